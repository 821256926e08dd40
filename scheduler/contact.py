"""When a log is next brought to where it is collected: at once, every so often, or after a pause.

Many vehicles come back into a network at the same moment, so every wait is drawn by lot within a
span. Pure: the lot, from 0 up to 1, is the caller's.
"""

FIRST_PAUSE_MS = 30_000
LONGEST_PAUSE_MS = 3_600_000
CONTACT_MS = 900_000
"""How long, at most, nothing is heard while all goes well."""


def pause_ms(failures: int, lot: float) -> int:
    """How long to wait after so many attempts in a row that came to nothing.

    30 s, 1 min, 2 ... an hour; of that at least half, the rest by the lot.
    """
    longest = min(FIRST_PAUSE_MS << min(max(failures - 1, 0), 12), LONGEST_PAUSE_MS)
    return longest // 2 + int(lot * (longest - longest // 2))


def contact_ms(lot: float) -> int:
    """How long to wait after an attempt that went well and left nothing: 12 to 15 min by the lot.

    What is recorded meanwhile is brought without waiting.
    """
    return CONTACT_MS - int(lot * (CONTACT_MS // 5))
