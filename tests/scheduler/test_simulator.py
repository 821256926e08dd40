"""Simulated trips against a second telling of the duty rules; see `tests/scheduler/simulator`."""

import pytest

from tests.scheduler.simulator.__main__ import lived
from tests.scheduler.simulator.drive import Run
from tests.scheduler.simulator.trips import Do, trip_of

FEW, MORE = 250, 2_000


def broken(seeds: range) -> list[str]:
    return [told for seed in seeds if (told := lived(seed)) is not None]


def test_on_simulated_trips_each_check_is_told_when_due_and_allowed_and_never_otherwise() -> None:
    assert broken(range(FEW)) == []


@pytest.mark.long
def test_the_same_on_many_more_trips() -> None:
    assert broken(range(FEW, FEW + MORE)) == []


@pytest.mark.parametrize("seed", range(3))
def test_jobs_run_by_hand_say_the_same_as_the_scheduling_library(seed: int) -> None:
    by_hand, by_library = Run(trip_of(seed)), Run(trip_of(seed), by_hand=False)
    by_hand.live()
    by_library.live()
    assert list(by_hand.house.raised) == list(by_library.house.raised)


def test_the_simulated_trips_hold_everything_that_may_go_wrong() -> None:
    happened = {act.do for seed in range(60) for act in trip_of(seed).acts}
    assert happened == set(Do)
    trips = [trip_of(seed) for seed in range(60)]
    assert {trip.honest for trip in trips} == {True, False}
    assert any(trip.top_speed_mm_per_h is None for trip in trips)
    assert any(act.slips_in for trip in trips for act in trip.acts)
