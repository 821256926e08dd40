"""The planned checks as calendar events."""

from datetime import timedelta
from pathlib import Path

import icalendar
import pytest

from exports.calendar_file import Event, calendar_text
from tests.builders import OFFSET_MIN
from tests.dossier.scene import Office, office
from triplog.checks import due_checks_of
from triplog.dossier.calendar import check_events
from triplog.journal.trip import Trip


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


def events(yard: Office, trip: Trip) -> list[Event]:
    now = yard.clock.wall
    return check_events(trip, due_checks_of(trip, now), OFFSET_MIN, now)


def test_each_check_whose_time_can_be_told_is_an_event(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    first, distance, driving = events(yard, trip)
    assert first.title == (
        "Trip T-1: first check, within 50 mi of setting out with this load, by odometer 24,180 mi"
    )
    # 50 miles at the stated 65 mph: 46 min 9.2308 s, the soonest the limit can come.
    assert first.start_utc - yard.clock.wall == timedelta(minutes=46, seconds=9, milliseconds=231)
    assert "by odometer 24,180 mi" in first.description
    assert "49 CFR 392.9(b)(2)" in first.description
    assert "next safe place; nothing while driving" in first.description
    # 49 CFR 392.9(b)(3)(ii): three hours of driving.
    assert driving.start_utc - yard.clock.wall == timedelta(hours=3)
    assert first.start_utc < distance.start_utc < driving.start_utc


def test_the_times_are_estimates_and_the_title_says_so(yard: Office) -> None:
    made = events(yard, yard.departed(yard.loaded(1, 2)))
    assert all(one.estimated for one in made)
    assert calendar_text(made, yard.clock.wall).count("(time estimated)") == len(made)


def test_a_sound_without_a_text_comes_when_the_check_is_coming_up(yard: Office) -> None:
    """80 % of 3 h of driving are 2 h 24 min: 36 min before the limit."""
    trip = yard.departed(yard.loaded(1, 2))
    *_, driving = events(yard, trip)
    assert driving.alarm_before == timedelta(minutes=36)
    assert driving.alarm_sounds


def test_where_coming_up_is_behind_the_sound_comes_at_the_limit(yard: Office) -> None:
    """40 of 50 mi at 65 mph are 36 min 56 s; 40 min after departure that is behind."""
    trip = yard.departed(yard.loaded(1, 2))
    yard.clock.forward(minutes=40)
    first, *_ = events(yard, trip)
    assert "first check" in first.title
    assert first.alarm_before == timedelta(0)


def test_another_programs_reader_finds_events_alarms_and_times(yard: Office) -> None:
    """RFC 5545, 3.6.1 and 3.6.6, as the icalendar package reads it."""
    made = events(yard, yard.departed(yard.loaded(1, 2)))
    read = icalendar.Calendar.from_ical(calendar_text(made, yard.clock.wall))
    found = list(read.walk("VEVENT"))
    assert [str(one["SUMMARY"]) for one in found] == [
        f"{one.title} (time estimated)" for one in made
    ]
    for event, one in zip(found, made, strict=True):
        assert event.decoded("DTSTART") == one.start_utc.replace(microsecond=0)
        (alarm,) = event.walk("VALARM")
        assert str(alarm["ACTION"]) == "AUDIO"
        assert one.alarm_before is not None
        whole = one.alarm_before // timedelta(seconds=1)
        assert alarm.decoded("TRIGGER") == -timedelta(seconds=whole)
        assert not event.errors
        assert not alarm.errors


def test_the_same_check_keeps_its_name_so_that_a_calendar_replaces_it(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    before = {one.uid for one in events(yard, trip)}
    yard.clock.forward(minutes=10)
    assert {one.uid for one in events(yard, trip)} == before


def test_what_is_due_already_is_not_planned_any_more(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    yard.clock.forward(minutes=50)
    titles = [one.title for one in events(yard, trip)]
    assert not any("first check" in one for one in titles)
    assert len(titles) == 2


def test_while_the_truck_stands_no_time_can_be_told(yard: Office) -> None:
    trip = yard.checked(yard.departed(yard.loaded(1, 2)), odometer="24150 mi").trip
    assert events(yard, trip) == []


def test_a_trip_that_has_not_departed_has_no_events(yard: Office) -> None:
    assert events(yard, yard.loaded(1, 2)) == []
