"""Which re-check rules a trip departs with.

Where a case names no source, what it holds is our reading.
"""

from pathlib import Path

import pytest

from scheduler.progress import DutyStatus
from scheduler.recheck_rules import Kind, LegalForce, rule_from_row, rule_row
from scheduler.rules_combined import rules_for
from tests.builders import START
from tests.desk.seat import Seat, take_seat
from triplog.checks import counters_of, pinned_rules, sorted_rules
from triplog.desk.checking import Found, Line, late_checks, record_check, tie_downs_of
from triplog.desk.company_rules import company_rules, record_company_rules
from triplog.desk.departing import depart
from triplog.desk.recheck_rules import add_rules, countries_of
from triplog.desk.refused import Refused
from triplog.desk.road import change_duty
from triplog.journal.trip import records_in


@pytest.fixture
def seat(tmp_path: Path) -> Seat:
    return take_seat("a trip planned", tmp_path)


def _depart(seat: Seat, *through: str, soft_load: bool = False) -> None:
    depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer="24105 mi",
        top_speed="65 mph",
        next_stop=None,
        reason=None,
        through=through,
        soft_load=soft_load,
    )


def _limits(seat: Seat) -> dict[Kind, tuple[str, LegalForce]]:
    return {
        one.kind: (f"{one.printed_limit} {one.printed_unit}", one.legal_force)
        for one in counters_of(seat.trip)
    }


def test_a_trip_for_which_nothing_is_named_takes_the_rules_of_the_united_states(
    seat: Seat,
) -> None:
    _depart(seat)
    assert {rule.rule_set for rule in pinned_rules(seat.trip)} == {"us-392.9", "common-practice"}


def test_a_trip_through_canada_as_well_takes_the_smaller_of_each_kind(seat: Seat) -> None:
    """49 CFR 392.9(b), NSC Standard 10 s.3: 80 km, 240 km, 3 h."""
    _depart(seat, "US", "CA")
    assert {kind: limit for kind, (limit, _) in _limits(seat).items()} == {
        Kind.FIRST_DISTANCE: "80 km",
        Kind.DISTANCE: "240 km",
        Kind.DRIVING_TIME: "3 h",
    }


def test_the_departure_carries_every_row_it_pinned_whole(seat: Seat) -> None:
    _depart(seat, "CA")
    rows = records_in(seat.last("departed").body, "rules")
    assert [rule_row(rule_from_row(row)) for row in rows] == rows
    pinned = {row["id"] for row in rows}
    assert pinned == {rule.id for rule in rules_for(["ca-nsc10"], START.date())}


def test_a_soft_load_is_checked_early_by_common_practice(seat: Seat) -> None:
    """The number of 15 km is ours: common practice, no source."""
    _depart(seat, "AU", soft_load=True)
    assert _limits(seat)[Kind.FIRST_DISTANCE] == ("15 km", LegalForce.COMMON_PRACTICE)


def test_a_country_without_rules_is_refused_and_nothing_is_recorded(seat: Seat) -> None:
    before = seat.count()
    with pytest.raises(Refused, match="no re-check rules are kept for 'XX'"):
        _depart(seat, "XX")
    assert seat.count() == before


@pytest.mark.parametrize(
    ("document", "countries"),
    [
        ({}, ("US",)),
        ({"vehicle": {"registered_in": "DE-BY"}}, ("DE-BY",)),
        ({"vehicle": {"registered_in": "NO"}}, ("US",)),
        ({"rules": ["us-393", "ca-nsc10", "house"]}, ("US", "CA")),
        ({"rules": ["au-lrg"], "vehicle": {"registered_in": "NZ"}}, ("AU", "NZ")),
    ],
)
def test_where_nobody_names_a_country_the_plan_and_the_registration_do(
    document: dict[str, object], countries: tuple[str, ...]
) -> None:
    assert countries_of(document) == countries


def test_a_trip_that_goes_into_canada_unplanned_takes_on_its_rules_from_there(seat: Seat) -> None:
    """NSC Standard 10 s.3: 80 km is less than the 50 mi of 49 CFR 392.9(b)(2)."""
    _depart(seat)
    change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.ON_DUTY,
        driver=seat.desk.by,
        at=None,
        place=None,
        reason=None,
    )
    add_rules(seat.desk, seat.trip, ["CA"], soft_load=False)
    assert _limits(seat)[Kind.FIRST_DISTANCE] == ("80 km", LegalForce.LAW)
    added = records_in(seat.last("rules_added").body, "rules")
    assert {row["rule_set"] for row in added} == {"ca-nsc10"}
    with pytest.raises(Refused, match="has the rules of CA already"):
        add_rules(seat.desk, seat.trip, ["CA"], soft_load=False)


def test_rules_are_taken_on_only_at_a_stop_and_only_under_way(seat: Seat) -> None:
    with pytest.raises(Refused, match="depart --through"):
        add_rules(seat.desk, seat.trip, ["CA"], soft_load=False)
    _depart(seat)
    with pytest.raises(Refused, match="driving: stop off the road"):
        add_rules(seat.desk, seat.trip, ["CA"], soft_load=False)


def _company(
    seat: Seat, *, first: str | None = None, every: str | None = None, driving: str | None = None
) -> None:
    record_company_rules(seat.desk, first=first, every=every, driving=driving)


def test_a_tighter_company_rule_runs_beside_the_law_it_tightens(seat: Seat) -> None:
    """The 2 h are one carrier's rule as the trade press tells it; the law's: 49 CFR 392.9(b)(3)."""
    _company(seat, driving="2 h")
    _depart(seat)
    running = {rule.id for rule in pinned_rules(seat.trip) if rule.kind is Kind.DRIVING_TIME}
    assert running == {"us-392.9-driving", "company-driving_time"}


def test_the_company_rules_a_trip_departed_with_stay_its_own(seat: Seat) -> None:
    _company(seat, first="40 mi")
    _depart(seat)
    _company(seat)
    assert "company-first_distance" in {rule.id for rule in pinned_rules(seat.trip)}
    assert company_rules(seat.desk) == ()


def test_a_company_rule_looser_than_every_law_is_refused(seat: Seat) -> None:
    """The loosest first check in law here is that of 49 CFR 392.9(b)(2), 50 mi."""
    with pytest.raises(Refused, match=r"60 mi is looser than 49 CFR 392\.9\(b\)\(2\)"):
        _company(seat, first="60 mi")
    with pytest.raises(Refused, match="181 min is looser than"):
        _company(seat, driving="181 min")
    _company(seat, first="80.2 km", every="150 mi", driving="180 min")


def test_a_company_rule_looser_than_the_law_of_this_trip_stands_behind_it(seat: Seat) -> None:
    """80.2 km tightens the 50 mi of 49 CFR 392.9(b)(2), not the 80 km of NSC Standard 10 s.3."""
    _company(seat, first="80.2 km")
    _depart(seat, "CA")
    assert ("company-first_distance", "ca-nsc10-first") in [
        (rule.id, by.id) for rule, by in sorted_rules(seat.trip).behind
    ]


@pytest.mark.parametrize("typed", ["40", "forty mi", "0 mi", "2 h", "-3 mi"])
def test_a_company_limit_that_cannot_be_read_is_refused_with_an_example(
    seat: Seat, typed: str
) -> None:
    with pytest.raises(Refused, match="write it as '40 mi'"):
        _company(seat, first=typed)


def test_advice_that_was_gone_beyond_is_not_late_in_the_record_and_no_reason_is_asked(
    seat: Seat,
) -> None:
    """The 15 km of a soft load are common practice; the first hour is guidance."""
    _depart(seat, "AU", soft_load=True)
    seat.later(90)
    now = seat.desk.now().wall
    found = late_checks(seat.trip, now, reading="24150 mi")
    assert found == ()
    lines = [Line(tie_down=name, found=Found.FINE) for name in tie_downs_of(seat.trip)]
    checked = record_check(
        seat.desk, seat.trip, lines=lines, looked_at=(), stopped=True, odometer="24150 mi"
    )
    assert checked.late == ()
    assert "late" not in checked.entry.body
    closed = {one.counter.rule_id for one in checked.closed}
    assert {"any-first-soft", "au-first-hour"} <= closed
