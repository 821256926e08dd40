"""What could go today: by its end and the longest period, and never what a hold stands over."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from tests.desk.seat import Seat
from triplog.desk.gear import set_standing
from triplog.desk.holding import hold_gear, hold_trip, lift_trip_hold
from triplog.desk.incident import Facts, report
from triplog.desk.refused import Refused
from triplog.desk.retention import Kept, company_periods, kept, set_company_period, today_of
from triplog.desk.trips import close_trip, withdraw_trip
from triplog.journal.things import Standing
from triplog.wording.incident import QUESTIONS

Sit = Callable[[str], Seat]
DAYS_3_YEARS = 1096
"""From 2 March 2026 to 2 March 2029: a leap day among them."""


def closed(sit: Sit) -> Seat:
    """A trip closed today, with a note."""
    seat = sit("a first check made")
    close_trip(seat.desk, seat.trip, release_done=True, gear_missing=[], note="wet straps")
    return seat


def listed(seat: Seat, about: str = "trip", label: str = "T-1") -> Kept:
    return next(one for one in kept(seat.desk) if (one.about, one.label) == (about, label))


def stands(seat: Seat, about: str = "trip", label: str = "T-1") -> str:
    return listed(seat, about, label).stands(today_of(seat.desk))


def days_later(seat: Seat, days: int) -> None:
    seat.later(days * 24 * 60)


def test_a_trip_stays_three_years_from_its_end_and_then_could_go(sit: Sit) -> None:
    seat = closed(sit)
    found = listed(seat)
    assert found.since == date(2026, 3, 2)
    assert found.until is not None
    assert found.until.day == date(2029, 3, 2)
    days_later(seat, DAYS_3_YEARS)
    assert (today_of(seat.desk), stands(seat)) == (date(2029, 3, 2), "kept")
    days_later(seat, 1)
    assert stands(seat) == "could go"


@pytest.mark.parametrize("scene", ["a trip planned", "a trip rolling"])
def test_a_trip_that_has_not_ended_never_could_go(sit: Sit, scene: str) -> None:
    seat = sit(scene)
    days_later(seat, 10 * 365)
    assert stands(seat) == "open"


def test_a_withdrawn_trip_is_counted_from_then(sit: Sit) -> None:
    seat = sit("a trip planned")
    withdraw_trip(seat.desk, seat.trip, reason="cancelled")
    assert listed(seat).since == date(2026, 3, 2)


def test_what_is_under_a_hold_could_not_go_however_old(sit: Sit) -> None:
    seat = closed(sit)
    hold_trip(seat.desk, seat.trip, reason="a letter")
    days_later(seat, 20 * 365)
    assert stands(seat) == "under hold"
    lift_trip_hold(seat.desk, seat.trip, hold=None, reason="settled")
    assert stands(seat) == "could go"
    hold_gear(seat.desk, "S-1", reason="another letter")
    assert stands(seat) == "under hold"


def test_an_incident_keeps_its_trip_from_the_day_of_the_accident(sit: Sit) -> None:
    seat = closed(sit)
    days_later(seat, 30)
    at = seat.clock.wall - timedelta(minutes=5)
    facts = Facts(answers=dict.fromkeys(QUESTIONS))
    made = report(seat.desk, seat.trip, facts, at=at, stopped=True)
    lift_trip_hold(seat.desk, seat.trip, hold=None, reason="settled")
    incident = listed(seat, "incident", f"T-1, {made.entry.hash[:8]}")
    for found in (incident, listed(seat)):
        assert found.until is not None
        assert (found.until.day, found.until.period.id) == (
            date(2029, 4, 1),
            "us-accident-register",
        )


def test_gear_stays_while_it_is_in_use_and_three_years_after(sit: Sit) -> None:
    seat = sit("a trip planned")
    set_standing(seat.desk, "S-4", Standing.SET_ASIDE, reason="chafed")
    days_later(seat, 5 * 365)
    assert stands(seat, "gear", "S-4") == stands(seat, "gear", "S-5") == "in use"
    set_standing(seat.desk, "S-4", Standing.UNFIT, reason="cut up")
    days_later(seat, DAYS_3_YEARS + 1)
    assert stands(seat, "gear", "S-4") == "could go"
    assert stands(seat, "gear", "S-5") == "in use"


def test_a_period_of_the_company_is_only_ever_longer(sit: Sit) -> None:
    seat = closed(sit)
    with pytest.raises(Refused, match="the table keeps a trip 36 months"):
        set_company_period(seat.desk, "trip", 35)
    with pytest.raises(Refused, match="kept here are trip, incident, gear"):
        set_company_period(seat.desk, "elsewhere", 60)
    with pytest.raises(Refused, match="only ever longer, up to 1200"):
        set_company_period(seat.desk, "gear", 1201)
    set_company_period(seat.desk, "trip", 60)
    set_company_period(seat.desk, "gear", 48)
    assert company_periods(seat.desk) == {"trip": 60, "gear": 48}
    found = listed(seat)
    assert found.until is not None
    assert found.until.day == date(2031, 3, 2)
    set_company_period(seat.desk, "trip", 36)
    assert company_periods(seat.desk)["trip"] == 36
