"""What a photo shows, in words, and its times told as they were stated. English."""

from datetime import timedelta, timezone

from triplog.journal.entries import Body
from triplog.wording.entries import span

SHOWN = (
    "front",
    "rear",
    "left side",
    "right side",
    "article",
    "tie-down",
    "tag",
    "edge protection",
    "anchor point",
    "blocking",
    "damage",
    "broken piece",
    "marks",
    "deck",
    "vehicle",
    "scene",
    "road",
    "instrument",
    "paper",
    "other",
)
"""What a photo may be said to show: four sides, each tag, the awkward bit, and what a look after
something happened asks for (marks on road or deck, an instrument's reading). A word is never taken
away: entries hold it.
"""
FOUR_SIDES = SHOWN[:4]
WITH_OFFSET, WITHOUT_OFFSET, NONE = "exif with offset", "exif without offset", "none"
"""Where the time a photo was taken is from: EXIF with or without a time zone, or nowhere."""
_SAME_MINUTE_S = 60


def taken_text(body: Body) -> str:
    """When the camera says it was taken, as stated, and whose clock that is."""
    stated = body.get("taken_at")
    if stated is None:
        return "no time stated"
    offset = body.get("taken_offset_min")
    if isinstance(offset, int):
        return f"{stated} {zone_text(offset)}, the camera's clock"
    return f"{stated} by the camera's own clock, no time zone stated"


def difference_text(body: Body) -> str:
    """How the camera's time lies to the entry's, shown and never corrected."""
    seconds, assumed = body.get("difference_s"), body.get("difference_offset_min")
    if not isinstance(seconds, int):
        return "cannot tell"
    told = _apart(seconds)
    if not isinstance(assumed, int):
        return told
    return f"{told} if that clock was on {zone_text(assumed)}, else cannot tell"


def zone_text(offset_min: int) -> str:
    """An offset as UTC-05:00."""
    return timezone(timedelta(minutes=offset_min)).tzname(None) if offset_min else "UTC"


def _apart(seconds: int) -> str:
    """So many seconds before the entry; negative: after it."""
    if abs(seconds) < _SAME_MINUTE_S:
        return "within a minute of the entry"
    days, rest = divmod(abs(seconds), 86400)
    parts = [f"{days} d"] if days else []
    parts += [span(timedelta(seconds=rest))] if rest >= _SAME_MINUTE_S else []
    return f"{' '.join(parts)} {'before' if seconds > 0 else 'after'} the entry"
