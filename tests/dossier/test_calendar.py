"""The planned checks as calendar events."""

from datetime import timedelta
from pathlib import Path

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
    assert first.title == "Trip T-1: first check, within 50 mi of setting out with this load"
    # 50 miles at the stated 65 mph: 46 min 9.2308 s, the soonest the limit can come.
    assert first.start_utc - yard.clock.wall == timedelta(minutes=46, seconds=9, milliseconds=231)
    assert "by odometer 24,180 mi" in first.description
    assert "49 CFR 392.9(b)(2)" in first.description
    assert "next safe place; nothing while driving" in first.description
    # 49 CFR 392.9(b)(3)(ii): three hours of driving.
    assert driving.start_utc - yard.clock.wall == timedelta(hours=3)
    assert first.start_utc < distance.start_utc < driving.start_utc


def test_the_times_are_estimates_and_ring_no_bell(yard: Office) -> None:
    made = events(yard, yard.departed(yard.loaded(1, 2)))
    assert all(one.estimated and one.alarm_before is None for one in made)
    text = calendar_text(made, yard.clock.wall)
    assert text.count("(time estimated)") == len(made)
    assert "VALARM" not in text


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
