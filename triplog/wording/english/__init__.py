"""English: `general.py`, and one file of words per rule set. Data without behaviour."""
