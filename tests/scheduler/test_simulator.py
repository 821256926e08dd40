"""Simulated trips against a second telling of the duty rules; see `tests/scheduler/simulator`.

Where a case names no source, what it holds is our reading.
"""

from dataclasses import replace

import pytest

from scheduler.progress import to_ms
from scheduler.recheck_rules import AT_ONCE, MEASURED, Kind
from tests.scheduler.day import DEPARTURE
from tests.scheduler.simulator.__main__ import lived
from tests.scheduler.simulator.claims import ClaimBroken
from tests.scheduler.simulator.drive import Run, rules_of
from tests.scheduler.simulator.printed import COUNTRIES, STRAP_MAKER
from tests.scheduler.simulator.trips import MINUTE_MS, Act, Do, trip_of

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
    trips = [trip_of(seed) for seed in range(120)]
    assert {act.do for trip in trips for act in trip.acts} == set(Do)
    assert {trip.honest for trip in trips} == {True, False}
    assert any(trip.top_speed_mm_per_h is None for trip in trips)
    assert any(act.slips_in for trip in trips for act in trip.acts)
    assert any(trip.margin_mm is None for trip in trips)
    assert any(act.lost for trip in trips for act in trip.acts)


def test_the_simulated_trips_go_by_the_rules_of_every_country_and_by_the_advice_on_top() -> None:
    trips = [trip_of(seed) for seed in range(120)]
    assert {trip.rule_set.removesuffix(f" {STRAP_MAKER}") for trip in trips} == set(COUNTRIES)
    assert {trip.soft_load for trip in trips} == {True, False}
    kinds = {rule.kind for trip in trips for rule in rules_of(trip)}
    assert kinds == {*AT_ONCE, *MEASURED} - {Kind.OBSERVED_LOSS}


def test_a_trip_may_set_the_clock_back_and_its_own_time_goes_on() -> None:
    """The wall clock is an hour behind the trip; what happens then is dated after what happened."""
    run = Run(
        replace(
            trip_of(0),
            acts=(
                Act(30 * MINUTE_MS, Do.READING, odometer_mm=trip_of(0).odometer_mm),
                Act(31 * MINUTE_MS, Do.STEP, ms=-60 * MINUTE_MS),
                Act(40 * MINUTE_MS, Do.EVENT, word="kerb"),
            ),
            honest=False,
        )
    )
    run.live()
    kerb = run.house.facts[-1]
    assert (kerb.word, kerb.at_ms - to_ms(DEPARTURE)) == ("kerb", 40 * MINUTE_MS)


def test_an_error_on_a_simulated_trip_is_told_as_a_broken_claim_with_its_seed() -> None:
    run = Run(trip_of(0))

    def fails() -> None:
        raise KeyError("no such counter")

    run.house.on_asked = fails
    with pytest.raises(ClaimBroken, match=r"trip 0, minute 0\.000: it ended in an error, KeyError"):
        run.live()
