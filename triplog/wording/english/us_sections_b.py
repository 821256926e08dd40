"""The words for 49 CFR 393.124 to 393.136, and 393.102."""

TITLES: dict[str, str] = {}
QUESTIONS: dict[str, str] = {}
STEPS: dict[str, str] = {}
FIELDS: dict[str, str] = {}
ASKED: dict[str, str] = {}
