"""A trip securement log.

The rooms, in the order the data flows: `securement` (pure calculation), `journal` (the
append-only log), `checks` and `wording` (from one room's values to another's), `screen` and
`dossier` (what is shown and handed over), `desk` (everything a person can do), `cli` (the
terminal). A room may import any room before it in this list, never one after it. Start reading at
`securement/model.py`.
"""
