"""What a photo shows, in words, and its times told as they were stated. English."""

from collections.abc import Iterable, Mapping
from datetime import timedelta, timezone
from typing import Any

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


KEEP_ORIGINAL = (
    "Keep the pictures on the phone as they are: those are the originals, and the entry names each"
    " by its SHA-256"
)

SHEET_NOTE = (
    "In shades of grey, made smaller. The camera's time stands as it was stated, nothing is put"
    " right. The picture itself lies in the bundle under its SHA-256; that it was not changed since"
    " its entry can be checked, that it shows this load cannot."
)


def taken_text(body: Mapping[str, Any]) -> str:
    """When the camera says it was taken, as stated, and whose clock that is."""
    stated = body.get("taken_at")
    if stated is None:
        return "no time stated"
    offset = body.get("taken_offset_min")
    if isinstance(offset, int):
        return f"{stated} {zone_text(offset)}, the camera's clock"
    return f"{stated} by the camera's own clock, no time zone stated"


def difference_text(body: Mapping[str, Any]) -> str:
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


def size_text(body: Mapping[str, Any]) -> str:
    """How large the picture is, and the beginning of its digest."""
    return (
        f"{body['width_px']:,} x {body['height_px']:,} pixels, {body['bytes']:,} bytes, SHA-256"
        f" {str(body['digest'])[:16]}..."
    )


def about_text(body: Mapping[str, Any]) -> str:
    """What it shows, with the tie-downs and gear it is about."""
    named = [*body.get("tie_downs", []), *body.get("gear", [])]
    return f"{body['shows']}, {', '.join(named)}" if named else str(body["shows"])


def time_lines(body: Mapping[str, Any]) -> list[str]:
    """The camera's time and how it lies to the entry, as two lines; one where there is no time."""
    if body.get("taken_at") is None:
        return ["the picture states no time"]
    return [f"taken {taken_text(body)}", difference_text(body)]


def taken_out_line(taken_out: Iterable[str]) -> str:
    """What the copies kept here do not have any more, and that the original counts."""
    return (
        "taken out of the copy kept here, because it tells or could tell a place:"
        f" {', '.join(dict.fromkeys(taken_out))}. The picture itself is as it was. {KEEP_ORIGINAL}"
    )


def count_line(bodies: Iterable[Mapping[str, Any]]) -> str:
    """How many photos there are, and of what; each word with its number where it comes twice."""
    shown = [str(body["shows"]) for body in bodies]
    counts = {word: shown.count(word) for word in SHOWN if word in shown}
    told = [word if count == 1 else f"{count} x {word}" for word, count in counts.items()]
    return f"photos: {len(shown)} ({', '.join(told)})" if shown else "photos: none"
