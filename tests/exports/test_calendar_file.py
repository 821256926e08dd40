"""iCalendar: RFC 5545 (September 2009), sections 3.1, 3.3.11, 3.6.1 and 3.6.6."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from exports.calendar_file import CalendarError, Event, calendar_text

STAMP = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
EVENT = Event(
    uid="trip-a/first",
    start_utc=datetime(2026, 5, 4, 7, 30, tzinfo=UTC),
    duration=timedelta(minutes=15),
    title="First check",
    description="At the next safe place.",
    estimated=False,
)


def unfolded(text: str) -> list[str]:
    """RFC 5545, 3.1: a CRLF with one white space behind it is taken out."""
    return text.replace("\r\n ", "").replace("\r\n\t", "").split("\r\n")


def unescaped(text: str) -> str:
    """RFC 5545, 3.3.11."""
    out, chars = "", iter(text)
    for char in chars:
        out += {"n": "\n", "N": "\n"}.get(after := next(chars), after) if char == "\\" else char
    return out


def values(text: str, name: str) -> list[str]:
    return [
        unescaped(line.removeprefix(f"{name}:"))
        for line in unfolded(text)
        if line.startswith(f"{name}:")
    ]


def test_the_reader_of_these_tests_unfolds_the_example_of_rfc_5545_section_3_1() -> None:
    folded = "DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line."
    assert unfolded(folded) == [
        "DESCRIPTION:This is a long description that exists on a long line."
    ]


def test_text_is_escaped_like_the_example_of_rfc_5545_section_3_3_11() -> None:
    event = replace(
        EVENT, description="Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    )
    escaped = "DESCRIPTION:Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
    assert escaped in unfolded(calendar_text([event], STAMP))


def test_a_calendar_holds_the_properties_that_are_required() -> None:
    # 3.6: VERSION and PRODID; 3.6.1: UID and DTSTAMP; 3.6.6: ACTION, TRIGGER, DESCRIPTION.
    # Regression value as a whole.
    assert unfolded(calendar_text([EVENT], STAMP)) == [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//triplog//exports//EN",
        "BEGIN:VEVENT",
        "UID:trip-a/first",
        "DTSTAMP:20260504T060000Z",
        "DTSTART:20260504T073000Z",
        "DURATION:PT900S",
        "SUMMARY:First check",
        "DESCRIPTION:At the next safe place.",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        "DESCRIPTION:First check",
        "TRIGGER:PT0S",
        "END:VALARM",
        "END:VEVENT",
        "END:VCALENDAR",
        "",
    ]


def test_an_estimated_time_is_marked_in_title_and_text() -> None:
    text = calendar_text([replace(EVENT, estimated=True)], STAMP)
    assert values(text, "SUMMARY") == ["First check (time estimated)"]
    assert values(text, "DESCRIPTION")[0] == "At the next safe place.\nThe time is an estimate."


def test_times_are_written_in_utc() -> None:
    local = EVENT.start_utc.astimezone(timezone(timedelta(hours=-5)))
    assert calendar_text([replace(EVENT, start_utc=local)], STAMP) == calendar_text([EVENT], STAMP)


def test_an_alarm_stands_before_the_start_or_is_left_out() -> None:
    early = replace(EVENT, alarm_before=timedelta(minutes=10))
    assert "TRIGGER:-PT600S" in unfolded(calendar_text([early], STAMP))
    assert "VALARM" not in calendar_text([replace(EVENT, alarm_before=None)], STAMP)


@given(
    title=st.text(st.characters(exclude_categories=["Cc", "Cs"]), min_size=1, max_size=200).filter(
        str.strip
    ),
    description=st.text(st.characters(exclude_categories=["Cc", "Cs"]) | st.just("\n")),
)
def test_any_text_reads_back_and_no_line_is_over_75_octets(title: str, description: str) -> None:
    text = calendar_text([replace(EVENT, title=title, description=description)], STAMP)
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert values(text, "SUMMARY") == [title]
    assert values(text, "DESCRIPTION")[:-1] == ([description] if description else [])


def test_what_is_no_calendar_is_refused() -> None:
    with pytest.raises(CalendarError, match="no event"):
        calendar_text([], STAMP)
    with pytest.raises(CalendarError, match="same uid"):
        calendar_text([EVENT, EVENT], STAMP)
    with pytest.raises(CalendarError, match="without an offset"):
        replace(EVENT, start_utc=EVENT.start_utc.replace(tzinfo=None))
    with pytest.raises(CalendarError, match="no title"):
        replace(EVENT, title=" ")


def test_an_alarm_that_sounds_has_no_text() -> None:
    # 3.6.6: an audio alarm needs ACTION and TRIGGER only; DESCRIPTION is that of a display alarm.
    text = calendar_text([replace(EVENT, alarm_sounds=True)], STAMP)
    lines = unfolded(text)
    alarm = lines[lines.index("BEGIN:VALARM") : lines.index("END:VALARM")]
    assert alarm == ["BEGIN:VALARM", "ACTION:AUDIO", "TRIGGER:PT0S"]


@given(
    title=st.text(min_size=1).filter(str.strip),
    description=st.text(),
    before=st.integers(min_value=0, max_value=10**6),
    sounds=st.booleans(),
)
def test_what_is_written_is_read_back_by_another_programs_reader(
    title: str, description: str, before: int, sounds: bool
) -> None:
    event = replace(
        EVENT,
        title=title,
        description=description,
        alarm_before=timedelta(seconds=before),
        alarm_sounds=sounds,
    )
    read = icalendar.Calendar.from_ical(calendar_text([event], STAMP))
    (found,) = read.walk("VEVENT")
    (alarm,) = found.walk("VALARM")
    assert not found.errors
    assert found.decoded("DTSTART") == EVENT.start_utc
    assert found.decoded("DURATION") == EVENT.duration
    assert alarm.decoded("TRIGGER") == -timedelta(seconds=before)
    assert str(alarm["ACTION"]) == ("AUDIO" if sounds else "DISPLAY")
    assert str(found["SUMMARY"]) == on_one_reading(title)


def on_one_reading(text: str) -> str:
    """A text as RFC 5545 can hold it: line ends as line feeds, other control characters as spaces.

    3.3.11 and 3.1: no control character but the tab may stand in a value; ours are spaces.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        " " if one != "\n" and (ord(one) < 32 or ord(one) == 127) else one for one in text
    )
