"""A time that cannot be right, in words. English."""

AHEAD = "{when} has not come yet by this machine's clock ({now})"
NOT_DEPARTED = "trip {trip} is {state}: it has not departed"
BEFORE = "{when} is before trip {trip} departed ({departed})"
LOOK = "look at --at"
DEPART_FIRST = "`triplog depart` comes first"
HOW_TO_KEEP = (
    "If it is to stand as stated, say so with --as-stated: it is recorded then, and counts for"
    " nothing"
)
ASKED = "  recorded as stated, it counts for nothing until its time is corrected"
NOT_RECORDED = f"nothing is recorded; {DEPART_FIRST}"
MARK = "{doubt}: counts for nothing"
HEADING = "Recorded at a time that cannot be right: counts for nothing"


def told_after(doubt: str, hash_start: str) -> str:
    """What is said once such an entry is recorded."""
    return (
        f"its time cannot be right ({doubt}): it counts for nothing, and nothing is answered by it."
        f" If the time was a slip: `triplog correct {hash_start} --at TIME --reason ...`"
    )
