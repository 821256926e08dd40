"""Which re-check rules a trip departs with."""

from pathlib import Path

import pytest

from scheduler.recheck_rules import Kind, LegalForce, rule_from_row, rule_row
from scheduler.rules_combined import rules_for
from tests.builders import START
from tests.desk.seat import Seat, take_seat
from triplog.checks import counters_of, pinned_rules
from triplog.desk.departing import depart
from triplog.desk.recheck_rules import countries_of
from triplog.desk.refused import Refused
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
