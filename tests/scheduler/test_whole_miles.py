"""Readings in whole miles: due by the highest they can stand for, late by the lowest alone.

49 CFR 395, subpart B, appendix A writes miles whole; that a figure then stands for an interval,
and how it counts, is our reading.
"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.due import DueCheck, State
from scheduler.progress import ReadingMark
from tests.scheduler.day import DISTANCE, FIRST, MILE_MM, Day

HALF = MILE_MM // 2


def imported(day: Day, at: int, miles: float) -> None:
    """A reading of a duty-record file: from half a mile below to a mile above."""
    day.read(at, miles)
    day.readings[-1] = replace(day.readings[-1], source="imported", below_mm=HALF, above_mm=MILE_MM)


def first_check(day: Day, at: int) -> DueCheck:
    """The first check of a day that stands."""
    return day.due(at)[FIRST]


@pytest.mark.parametrize(
    ("miles", "state"),
    [
        (12_038, State.NOTHING_DUE),
        (12_039, State.COMING_UP),
        (12_048, State.COMING_UP),
        (12_049, State.DUE),
        (12_050, State.DUE),
        (12_051, State.LATE),
    ],
)
def test_the_upper_end_makes_a_check_due_and_only_the_lower_end_late(
    miles: int, state: State
) -> None:
    """50 miles, counted from an odometer typed as 12,000; 80 % is 40 miles."""
    day = Day()
    day.stop(70)
    imported(day, 70, miles)
    assert first_check(day, 70).state is state


def test_due_by_the_upper_end_alone_is_due_by_estimate_and_no_lateness_is_said() -> None:
    day = Day()
    day.stop(70)
    imported(day, 70, 12_050)
    check = first_check(day, 70)
    assert check.by_estimate
    assert check.late_by is None
    assert check.counter.limit_at_odometer_mm == 12_050 * MILE_MM


@given(st.lists(st.integers(0, 20), min_size=1, max_size=12))
def test_many_readings_leave_no_more_open_than_two(steps: list[int]) -> None:
    """What the readings in between leave open cancels out."""
    day = Day()
    miles = 12_000
    for place, step in enumerate(steps, start=1):
        miles += step
        imported(day, place * 20, miles)
    counter = day.due(len(steps) * 20)[DISTANCE].counter
    assert counter.known == max(0, (miles - 12_000) * MILE_MM - HALF)
    assert counter.estimate == (miles - 12_000) * MILE_MM + MILE_MM


def test_a_whole_reading_at_the_departure_widens_both_ends() -> None:
    day = Day(odometer_mi=None)
    imported(day, 0, 12_000)
    day.stop(40)
    imported(day, 40, 12_030)
    counter = day.due(40)[DISTANCE].counter
    assert counter.known == 28.5 * MILE_MM
    assert counter.estimate == 31.5 * MILE_MM


def test_typed_and_whole_readings_of_the_same_moment_contradict_nothing() -> None:
    day = Day()
    day.stop(40)
    day.read(40, 12_030.4)
    imported(day, 41, 12_030)
    counter = day.due(41)[DISTANCE].counter
    assert counter.known == (12_029.5 - 12_000) * MILE_MM
    assert counter.estimate == 12_031 * MILE_MM - 12_000 * MILE_MM


def test_whole_miles_at_a_stand_have_not_moved_the_load_to_a_first_check() -> None:
    """A look at distance 0 is no first check: rounding is no distance."""
    day = Day()
    day.stop(0)
    imported(day, 5, 12_000)
    day.check(6)
    assert FIRST in day.due(7)


def test_another_instrument_counts_from_its_own_reading() -> None:
    day = Day(mph=60)
    day.stop(30)
    day.read(30, 12_030)
    day.read(31, 3)
    day.readings[-1] = replace(day.readings[-1], odometer_anew=True)
    day.drive(32)
    day.stop(42)
    day.read(42, 13)
    counter = day.due(42)[DISTANCE].counter
    assert counter.known == 40 * MILE_MM
    assert counter.estimate == 40 * MILE_MM


def test_a_reading_says_itself_what_it_stands_for() -> None:
    mark = ReadingMark(key="e1", at=Day().starts[0].at, odometer_mm=5, source="typed")
    assert (mark.below_mm, mark.above_mm, mark.odometer_anew) == (0, 0, False)
