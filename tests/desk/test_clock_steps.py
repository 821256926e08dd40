"""The clock is set, the computer sleeps, the local time changes: what is due comes when it would.

An interval is time that passed (49 CFR 392.9(b)(3): 3 hours of driving), whatever the clock on the
wall does meanwhile. How that is found out is our reading; common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.due import State, at, in_order
from tests.builders import START, TRIP
from tests.desk.watched import Watched, watched
from triplog.checks import counters_of
from triplog.desk.due_now import due_now
from triplog.desk.road import read_odometer
from triplog.journal.entries import ClockReading, event_time_now
from triplog.journal.trip import trip_of

HOUR = timedelta(hours=1)


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Watched]:
    """A trip that has just departed, not watched yet."""
    with watched(tmp_path) as day:
        yield day


def asked_and_watched(day: Watched) -> tuple[dict[str, tuple[State, int]], ...]:
    """How each check stands, by whoever asks and by whoever watches."""
    day.watch().look(day.clock.now)
    (asked,) = due_now(day.home, day.clock).trips
    (seen,) = day.looks[-1].trips
    return tuple(
        {one.due_key: (one.state, one.value) for one in checks}
        for checks in (asked.due, seen.due_checks)
    )


def test_set_back_behind_the_departure_the_counters_go_on_by_the_time_that_passes(
    day: Watched,
) -> None:
    """65 mph are 40 mi after 37 min and 50 mi after 47, and that is when it comes up and is due."""
    day.watch()
    day.forward(1)
    day.clock.set_wall(-HOUR)
    day.turn()
    day.forward(35)
    assert day.names() == []
    day.forward(1)
    assert day.names() == ["first/coming up/tone/1"]
    day.forward(9)
    assert len(day.names()) == 1
    day.forward(1)
    assert day.names() == ["first/coming up/tone/1", "first/due/tone/1"]


def test_set_back_who_asks_and_who_watches_are_told_the_same(day: Watched) -> None:
    day.clock.set_wall(-HOUR)
    day.clock.go_on_to(day.clock.now + timedelta(minutes=50))
    asked, seen = asked_and_watched(day)
    assert asked == seen
    first = next(value for key, value in asked.items() if "first" in key)
    assert first[0] is State.DUE


@pytest.mark.parametrize("minutes", [5, 30, 59, 61, 90, 125])
def test_set_back_the_time_of_a_trip_goes_on_when_the_wall_clock_has_caught_up(
    day: Watched, minutes: float
) -> None:
    """What was driven until then is not lost: else a check would come late by the whole step."""
    day.clock.set_wall(-HOUR)
    entries = day.driver.store.trip_entries(TRIP)
    departed = max(one.event_time for one in entries)
    day.clock.go_on_to(day.clock.now + timedelta(minutes=minutes))
    now = event_time_now(entries, day.clock.read())
    assert now == departed + timedelta(minutes=minutes)
    asked, seen = asked_and_watched(day)
    assert asked == seen
    driven = next(value for key, value in asked.items() if "driving" in key)
    # Each entry is dated a millisecond after the one before it.
    assert 0 <= driven[1] - minutes * 60_000 < 1_000


def test_set_forward_or_asleep_it_counts_as_time_that_passed_for_both(day: Watched) -> None:
    """Nothing tells a clock set on from a sleep: the bound is the longer time, early, not late."""
    day.clock.set_wall(HOUR)
    asked, seen = asked_and_watched(day)
    assert asked == seen
    assert State.DUE in [state for state, _ in asked.values()]


def test_after_another_start_of_the_machine_a_clock_set_back_tells_no_time(day: Watched) -> None:
    """No clock says how long it was off: what was counted stands, a millisecond on."""
    entries = day.driver.store.trip_entries(TRIP)
    last = max(one.event_time for one in entries)
    reading = replace(day.clock.read(), wall=last - HOUR, boot_id="second start", boot_ms=1)
    assert event_time_now(entries, reading) - last == timedelta(milliseconds=1)


def test_what_is_recorded_then_is_dated_as_what_is_asked_then(day: Watched) -> None:
    day.clock.set_wall(-HOUR)
    day.clock.go_on_to(day.clock.now + timedelta(minutes=20))
    (asked,) = due_now(day.home, day.clock).trips
    entry = read_odometer(day.driver, day.driver.trip(TRIP), "24150 mi", stopped=True)
    trip = trip_of(TRIP, day.driver.store.trip_entries(TRIP))
    anew = in_order(at(counter, entry.event_time) for counter in counters_of(trip))
    driving = [
        next(one.value for one in checks if "driving" in one.due_key)
        for checks in (asked.due, anew)
    ]
    assert driving == [20 * 60_000, 20 * 60_000]


def test_steps_to_and_fro_raise_nothing_twice_and_are_each_an_entry(day: Watched) -> None:
    day.watch()
    day.forward(50)
    day.clock.set_wall(HOUR)
    day.turn()
    day.clock.set_wall(-HOUR)
    day.turn()
    day.forward(5)
    assert len(day.names()) == len(set(day.names()))
    assert day.steps() == ["3600.000", "-3600.000"]


@dataclass(slots=True)
class ZoneClock:
    """A clock whose local offset changes at a moment, as the machine's does twice a year."""

    day: Watched
    changes_at: datetime
    before_min: int
    after_min: int

    def read(self) -> ClockReading:
        reading = self.day.clock.read()
        is_after = reading.wall >= self.changes_at
        return replace(reading, offset_min=self.after_min if is_after else self.before_min)


@pytest.mark.parametrize(("before_min", "after_min"), [(-360, -300), (-300, -360)])
def test_daylight_saving_begins_or_ends_on_the_way_and_changes_no_interval(
    day: Watched, before_min: int, after_min: int
) -> None:
    clock = ZoneClock(day, START + timedelta(minutes=20), before_min, after_min)
    day.driver.clock = clock
    day.watch()
    day.forward(36)
    assert day.names() == []
    day.forward(2)
    assert day.names() == ["first/coming up/tone/1"]
    day.forward(9)
    assert day.names()[-1] == "first/due/tone/1"
    (check,) = [one for trip in due_now(day.home, clock).trips for one in trip.due if one.is_due]
    assert check.due_at is not None
    assert check.due_at.tzinfo is UTC
    assert day.steps() == []
