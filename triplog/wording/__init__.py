"""From ids and values to sentences: pure, and the only place where sentences about findings stand.

Imports `securement` and itself. Start reading at `findings.py`; the words stand in `english/`.
"""
