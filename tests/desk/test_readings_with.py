"""A reading that goes with a check, a delivery or a hand-over is asked about as any is.

Where a case names no source, what it holds is our reading.
"""

from collections.abc import Callable

import pytest

from scheduler.progress import DutyStatus
from scheduler.recheck_rules import Kind
from tests.desk.seat import Seat, with_a_pallet
from triplog.checks import due_checks_of
from triplog.desk.checking import LOOKS, Found, Line, record_check, tie_downs_of
from triplog.desk.delivering import deliver
from triplog.desk.handing_over import hand_over
from triplog.desk.odometer import Doubt, ReadingTold
from triplog.desk.people import add_person
from triplog.desk.refused import Refused
from triplog.desk.road import change_duty, read_odometer
from triplog.journal.entries import Entry

Sit = Callable[[str], Seat]
MILE_MM = 1_609_344


def checked(seat: Seat, told: ReadingTold) -> Entry:
    lines = [Line(tie_down=one, found=Found.FINE) for one in tie_downs_of(seat.trip)]
    return record_check(
        seat.desk, seat.trip, lines=lines, looked_at=LOOKS, stopped=True, **told
    ).entry


def looked_in_part(seat: Seat, told: ReadingTold) -> Entry:
    return record_check(seat.desk, seat.trip, lines=[], looked_at=(), stopped=True, **told).entry


def delivered(seat: Seat, told: ReadingTold) -> Entry:
    return deliver(seat.desk, seat.trip, ["B"], stopped=True, **told).entry


def handed_over(seat: Seat, told: ReadingTold) -> Entry:
    return hand_over(
        seat.desk,
        seat.trip,
        to="relief",
        giver=None,
        looked_together=None,
        stopped=True,
        **told,
    )


@pytest.fixture
def seat(sit: Sit) -> Seat:
    """A first check made at 24,156 mi, a second article on, and a relief driver known."""
    found = with_a_pallet(sit("a first check made"))
    add_person(found.desk, label="relief", name=None, roles=["drives"])
    return found


ACTS = pytest.mark.parametrize("act", [checked, looked_in_part, delivered, handed_over])


@ACTS
def test_what_was_typed_first_is_kept_beside_what_was_confirmed(
    act: Callable[[Seat, ReadingTold], Entry], seat: Seat
) -> None:
    """At a top road speed of 65 mph five minutes after 24,156 mi; the duty to keep both is ours."""
    body = act(seat, {"odometer": "24157", "typed_first": "24517"}).body
    assert (body["odometer"], body["typed_first"]) == ("24157 mi", "24517 mi")
    assert body["asked"] == [str(Doubt.TOO_FAST), str(Doubt.SWAPPED)]


@ACTS
def test_an_odd_reading_is_asked_about_and_not_refused_for_good(
    act: Callable[[Seat, ReadingTold], Entry], seat: Seat
) -> None:
    before = seat.count()
    with pytest.raises(Refused, match=r"below the reading before.*--sure.*--new-instrument"):
        act(seat, {"odometer": "12"})
    assert seat.count() == before
    body = act(seat, {"odometer": "12", "sure": True}).body
    assert (body["odometer"], body["asked"]) == ("12 mi", [str(Doubt.BACKWARDS)])


@pytest.mark.parametrize("act", [checked, delivered, handed_over])
def test_a_replaced_instrument_counts_from_the_reading_told_with_it(
    act: Callable[[Seat, ReadingTold], Entry], seat: Seat
) -> None:
    """No distance is taken from 24,156 to 12; from 12 on it is read off."""
    assert act(seat, {"odometer": "12", "new_instrument": True}).body["replaced"] is True
    change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.DRIVING,
        driver=seat.desk.by,
        at=None,
        place=None,
        reason=None,
    )
    seat.later(60)
    read_odometer(seat.desk, seat.trip, "42", stopped=True)
    (way,) = [
        one
        for one in due_checks_of(seat.trip, seat.desk.now().wall)
        if one.counter.kind is Kind.DISTANCE
    ]
    assert (way.value, str(way.basis)) == (30 * MILE_MM, "known")


def test_a_check_read_off_a_replaced_instrument_is_not_late_by_the_difference(sit: Sit) -> None:
    seat = sit("a trip stopped")
    entry = checked(seat, {"odometer": "88000", "new_instrument": True})
    assert "late" not in entry.body
