"""What somebody does who wants a bundle to say something else, each attack a specimen.

`signed_day.py` makes invented logs with real keys, signed heads and proofs; `attack.py` says what
an attack is. What the log alone shows, and what only a head held elsewhere shows, stand side by
side.
"""
