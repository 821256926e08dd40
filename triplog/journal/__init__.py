"""The append-only log: the truth everything else is rebuilt from.

`entries` and `kinds` say what an entry is, `chain` how entries hold together, `folding` which of
them are in force, `trip` and `things` what they amount to; all of these are pure. `store` is the
only module that opens the database for writing, `derived` its relational tables. May import
`securement`, never a room above. Start reading at `entries.py`.
"""
