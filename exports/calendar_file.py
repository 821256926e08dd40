"""A calendar of events as iCalendar (RFC 5545), for any calendar program.

All times are UTC, so that no time zone table is needed. Given the same events and time stamp the
text is the same.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

_LINE_OCTETS_MAX = 75
_ESTIMATED_TITLE = "(time estimated)"
_ESTIMATED_TEXT = "The time is an estimate."


class CalendarError(ValueError):
    """An event that cannot be written; the message names it and the mend."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One event. `uid` names it for good: the same uid replaces the event in a calendar.

    `start_utc` is an aware time. `estimated` is true where the time follows from an estimate; the
    title and the text then say so. The alarm is raised `alarm_before` the start; None leaves it
    out. `alarm_sounds`: the alarm is a sound and shows nothing; else its title is shown.
    """

    uid: str
    start_utc: datetime
    duration: timedelta
    title: str
    description: str
    estimated: bool
    alarm_before: timedelta | None = timedelta(0)
    alarm_sounds: bool = False

    def __post_init__(self) -> None:
        if not self.uid.strip() or not self.uid.isprintable():
            raise CalendarError(f"{self.uid!r} is no name for an event: use printable characters.")
        if not self.title.strip():
            raise CalendarError(f"The event {self.uid!r} has no title: give it one.")
        if self.start_utc.tzinfo is None:
            raise CalendarError(f"The event {self.uid!r} starts at a time without an offset.")
        if self.duration < timedelta(0):
            raise CalendarError(f"The event {self.uid!r} lasts less than no time.")
        if self.alarm_before is not None and self.alarm_before < timedelta(0):
            raise CalendarError(f"The alarm of the event {self.uid!r} comes after its start.")


def calendar_text(events: Iterable[Event], stamp_utc: datetime) -> str:
    """The calendar with its CRLF line ends; write it in UTF-8 without changing them.

    `stamp_utc`, an aware time, is when the calendar was made. Raises `CalendarError` if two
    events have one uid, or if there is no event: a calendar without one is not valid.
    """
    assert stamp_utc.tzinfo is not None, "stamp_utc is an aware time"
    listed = list(events)
    uids = [event.uid for event in listed]
    if not listed:
        raise CalendarError("There is no event to put into a calendar.")
    if len(set(uids)) != len(uids):
        raise CalendarError("Two events have the same uid: each needs its own.")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//triplog//exports//EN"]
    for event in listed:
        lines += _event_lines(event, stamp_utc)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded}\r\n" for line in lines for folded in _folded(line))


def _event_lines(event: Event, stamp_utc: datetime) -> Iterator[str]:
    title, text = event.title, event.description
    if event.estimated:
        title = f"{title} {_ESTIMATED_TITLE}"
        text = f"{text}\n{_ESTIMATED_TEXT}" if text else _ESTIMATED_TEXT
    yield "BEGIN:VEVENT"
    yield f"UID:{_escaped(event.uid)}"
    yield f"DTSTAMP:{_time(stamp_utc)}"
    yield f"DTSTART:{_time(event.start_utc)}"
    yield f"DURATION:{_span(event.duration)}"
    yield f"SUMMARY:{_escaped(title)}"
    if text:
        yield f"DESCRIPTION:{_escaped(text)}"
    if event.alarm_before is not None:
        yield "BEGIN:VALARM"
        if event.alarm_sounds:
            yield "ACTION:AUDIO"
        else:
            yield "ACTION:DISPLAY"
            yield f"DESCRIPTION:{_escaped(title)}"
        yield f"TRIGGER:{'-' if event.alarm_before else ''}{_span(event.alarm_before)}"
        yield "END:VALARM"
    yield "END:VEVENT"


def _time(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")


def _span(span: timedelta) -> str:
    return f"PT{span // timedelta(seconds=1)}S"


def _escaped(text: str) -> str:
    """A TEXT value (RFC 5545, section 3.3.11); control characters it cannot hold go as spaces."""
    text = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    text = "\\n".join(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))
    return "".join(" " if ord(char) < 32 or ord(char) == 127 else char for char in text)


def _folded(line: str) -> Iterator[str]:
    """The line in pieces of at most 75 octets (section 3.1), never within a character."""
    piece, octets = "", 0
    for char in line:
        size = len(char.encode())
        if octets + size > _LINE_OCTETS_MAX:
            yield piece
            piece, octets = " ", 1
        piece += char
        octets += size
    yield piece
