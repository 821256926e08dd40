"""The rule sets: one folder or file each, pure functions from a plan to findings.

Start reading at `../assess.py`, which puts them in their order.
"""
