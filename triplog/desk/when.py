"""When something happened, as a person says it."""

import re
from datetime import UTC, datetime, timedelta, timezone

from triplog.desk.refused import Refused
from triplog.journal.entries import ClockReading, Entry, to_milliseconds

_AGO = re.compile(r"(\d+)\s*(min|minutes?|h|hours?)\s+ago", re.ASCII)
_CLOCK = re.compile(r"(?:(\d{4}-\d{2}-\d{2})[ T])?(\d{1,2}):(\d{2})", re.ASCII)
AHEAD_ALLOWED = timedelta(minutes=2)
_AGO_MAX = timedelta(days=366)


def moment(text: str | None, reading: ClockReading, *, asked: bool = False) -> datetime | None:
    """The moment a person means; None for None (now).

    Takes "10:31" (the last one there was), "2026-11-25 10:31", "20 min ago", or RFC 3339 with its
    offset. Raises Refused for anything else, for a moment that has not come yet, and for one so
    long ago that the date must be wrong. `asked`: whoever calls asks about such a moment.
    """
    if text is None:
        return None
    try:
        said = _read(text.strip(), reading).astimezone(UTC)
    except (ValueError, OverflowError):
        raise Refused(
            f'"{text}" cannot be read as a time. Write for example 10:31, "2026-11-25 10:31",'
            ' "20 min ago" or 2026-11-25T10:31:00-06:00.'
        ) from None
    if asked:
        is_ahead = said > reading.wall + AHEAD_ALLOWED
        return to_milliseconds(said if is_ahead else min(said, reading.wall))
    if said > reading.wall + AHEAD_ALLOWED:
        raise Refused(f"{text} has not come yet; what is recorded has happened. Leave --at out.")
    if said < reading.wall - _AGO_MAX:
        raise Refused(f"{text} is more than a year ago; look at the date")
    return to_milliseconds(min(said, reading.wall))


def local_day(reading: ClockReading) -> str:
    """The day it is where the clock is read: "2026-11-25"."""
    zone = timezone(timedelta(minutes=reading.offset_min))
    return reading.wall.astimezone(zone).date().isoformat()


def local_text(when: datetime, entry: Entry) -> str:
    """A moment as the person who made an entry reads it: "2026-11-25 10:31"."""
    zone = timezone(timedelta(minutes=entry.event_offset_min))
    return when.astimezone(zone).strftime("%Y-%m-%d %H:%M")


def _read(text: str, reading: ClockReading) -> datetime:
    """The aware moment; ValueError or OverflowError for what is none."""
    ago = _AGO.fullmatch(text)
    if ago is not None:
        minutes = int(ago[1]) * (60 if ago[2].startswith("h") else 1)
        return reading.wall - timedelta(minutes=minutes)
    local = timezone(timedelta(minutes=reading.offset_min))
    clock = _CLOCK.fullmatch(text)
    if clock is None:
        given = datetime.fromisoformat(text)
        if given.tzinfo is None:
            raise ValueError("a date and time without its offset")
        return given
    day = reading.wall.astimezone(local).date()
    if clock[1] is not None:
        day = datetime.fromisoformat(clock[1]).date()
    said = datetime(day.year, day.month, day.day, int(clock[2]), int(clock[3]), tzinfo=local)
    if clock[1] is None and said > reading.wall + AHEAD_ALLOWED:
        return said - timedelta(days=1)
    return said
