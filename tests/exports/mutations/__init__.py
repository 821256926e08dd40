"""Random damage to real bundles: every one that changes what is meant has to be named.

`python -m tests.exports.mutations --count 10000 --seed 1` prints what came of it. `bag.py` reads
and writes the files, `meaning.py` says beforehand what has to come of a damage (it knows nothing
of the checker), `of_bytes.py`, `of_lines.py`, `of_values.py` and `of_nothing.py` do the damage,
`running.py` lets the checker look at it.
"""
