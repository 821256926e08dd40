"""The words for 49 CFR 393.116 to 393.122."""

TITLES: dict[str, str] = {}
QUESTIONS: dict[str, str] = {}
STEPS: dict[str, str] = {}
FIELDS = {
    # 393.116
    "facts.processed": "whether {about} are processed logs",
    # 393.118
    # 393.120
    # 393.122
}
ASKED = {
    # 393.116
    "116-stakes": "Can the stakes and bunks hold the load, and can no loose stake come off?",
    # 393.118
    # 393.120
    # 393.122
}
