"""When something happened, as a person says it."""

import re
from datetime import UTC, datetime, timedelta, timezone

from triplog.desk.desk import Refused
from triplog.journal.entries import ClockReading, to_milliseconds

_AGO = re.compile(r"(\d+)\s*(min|minutes?|h|hours?)\s+ago")
_CLOCK = re.compile(r"(?:(\d{4}-\d{2}-\d{2})[ T])?(\d{1,2}):(\d{2})")
_AHEAD_ALLOWED = timedelta(minutes=2)


def moment(text: str | None, reading: ClockReading) -> datetime | None:
    """The moment a person means; None for None (now).

    Takes "10:31" (the last one there was), "2026-11-25 10:31", "20 min ago", or RFC 3339 with its
    offset. Raises Refused for anything else, and for a moment that has not come yet.
    """
    if text is None:
        return None
    said = _read(text.strip(), reading)
    if said is None:
        raise Refused(
            f'"{text}" cannot be read as a time. Write for example 10:31, "2026-11-25 10:31",'
            ' "20 min ago" or 2026-11-25T10:31:00-06:00.'
        )
    if said > reading.wall + _AHEAD_ALLOWED:
        raise Refused(f"{text} has not come yet; what is recorded has happened. Leave --at out.")
    return to_milliseconds(min(said, reading.wall)).astimezone(UTC)


def _read(text: str, reading: ClockReading) -> datetime | None:
    ago = _AGO.fullmatch(text)
    if ago is not None:
        minutes = int(ago[1]) * (60 if ago[2].startswith("h") else 1)
        return reading.wall - timedelta(minutes=minutes)
    local = timezone(timedelta(minutes=reading.offset_min))
    clock = _CLOCK.fullmatch(text)
    try:
        if clock is None:
            given = datetime.fromisoformat(text)
            return given if given.tzinfo is not None else None
        today = reading.wall.astimezone(local)
        if clock[1] is not None:
            day = datetime.fromisoformat(clock[1]).date()
        else:
            day = today.date()
        said = datetime(day.year, day.month, day.day, int(clock[2]), int(clock[3]), tzinfo=local)
    except ValueError:
        return None
    if clock[1] is None and said > reading.wall + _AHEAD_ALLOWED:
        return said - timedelta(days=1)
    return said
