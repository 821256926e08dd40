"""Why gear had to be replaced may be told after it: a driver alone can answer a broken strap."""

from collections.abc import Callable

import pytest

from tests.desk.seat import Seat
from tests.desk.test_replacing import broken, replace
from triplog.desk.causes import tell_cause
from triplog.desk.handing_over import slip
from triplog.desk.refused import Refused
from triplog.desk.road import unrevised
from triplog.desk.swaps import damaged_tie_downs
from triplog.dossier.slip import slip_lines

Sit = Callable[[str], Seat]


def test_a_cause_told_later_settles_what_the_broken_strap_asked(sit: Sit) -> None:
    seat = broken(sit("a first check made"))
    replace(seat, cause=None)
    replaced = seat.last("gear_replaced")
    assert len(unrevised(seat.trip)) == 1
    seat.later(60)
    entry = tell_cause(seat.desk, seat.trip, None, "the deck rail had cut it")
    assert entry.body == {"replacement": replaced.hash, "tie_down": "T2"}
    assert seat.opened(entry) == {"reason": "the deck rail had cut it"}
    assert unrevised(seat.trip) == ()


def test_the_replacement_stays_as_it_was_recorded_and_the_slip_tells_the_cause(sit: Sit) -> None:
    seat = broken(sit("a first check made"))
    replace(seat, cause=None)
    tell_cause(seat.desk, seat.trip, "T2", "the deck rail had cut it")
    assert seat.last("gear_replaced").body["cause_found"] is False
    told = slip_lines(slip(seat.desk, seat.trip, seat.desk.now()), 100)
    assert "the deck rail had cut it" in " ".join(told)


def test_a_strap_that_breaks_afterwards_asks_anew(sit: Sit) -> None:
    seat = broken(sit("a first check made"))
    replace(seat, cause=None)
    tell_cause(seat.desk, seat.trip, "T2", "the deck rail had cut it")
    seat.later(30)
    broken(seat)
    assert len(unrevised(seat.trip)) == 1


@pytest.mark.parametrize(
    ("tie_down", "cause", "why"),
    [
        (None, "  ", "say why it had to be replaced"),
        ("T1", "the deck rail", "of T1 nothing is open; replaced without a cause on trip T-1: T2"),
    ],
)
def test_refused_in_words(tie_down: str | None, cause: str, why: str, sit: Sit) -> None:
    seat = broken(sit("a first check made"))
    replace(seat, cause=None)
    before = seat.count()
    with pytest.raises(Refused, match=why):
        tell_cause(seat.desk, seat.trip, tie_down, cause)
    assert seat.count() == before


def test_told_once_and_only_where_no_cause_was_found(sit: Sit) -> None:
    seat = broken(sit("a first check made"))
    replace(seat)
    with pytest.raises(Refused, match=r"say of which tie-down; replaced without a cause .*: none"):
        tell_cause(seat.desk, seat.trip, None, "the deck rail")


def test_what_is_hurt_is_named_until_it_is_replaced(sit: Sit) -> None:
    seat = broken(sit("a first check made"))
    assert damaged_tie_downs(seat.trip) == ("T2",)
    replace(seat, cause=None)
    assert damaged_tie_downs(seat.trip) == ()
