"""The pure core: what a load, its gear and its tie-downs are, and what the rules say of them.

Imports itself and the standard library only; reads no file but its own figures; knows no clock.
Start reading at `model.py`, then `finding.py`, then `assess.py`.
"""
