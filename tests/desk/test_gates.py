"""Nothing is entered by somebody who drives: what every entry on the road asks first.

Where a case names no source, what it holds is our reading.
"""

from collections.abc import Callable

import pytest

from tests.desk.seat import Seat
from triplog.desk.checking import Found, Line, record_check
from triplog.desk.delivering import deliver
from triplog.desk.refused import Refused
from triplog.desk.releasing import QUESTIONS, Answer, record_release
from triplog.desk.road import read_odometer, report_event

Sit = Callable[[str], Seat]
Act = Callable[[Seat, bool], object]


def _odometer(seat: Seat, stopped: bool) -> object:
    return read_odometer(seat.desk, seat.trip, "24131", stopped=stopped, sure=True)


def _event(seat: Seat, stopped: bool) -> object:
    return report_event(
        seat.desk,
        seat.trip,
        "hard braking",
        stopped=stopped,
        tie_downs=[],
        moved=None,
        at=None,
        note=None,
        place=None,
    )


def _check(seat: Seat, stopped: bool) -> object:
    lines = [Line(tie_down=name, found=Found.FINE) for name in ("T1", "T2")]
    return record_check(seat.desk, seat.trip, lines=lines, looked_at=(), stopped=stopped)


def _delivery(seat: Seat, stopped: bool) -> object:
    return deliver(seat.desk, seat.trip, ["A"], stopped=stopped)


def _release(seat: Seat, stopped: bool) -> object:
    return record_release(
        seat.desk, seat.trip, dict.fromkeys(QUESTIONS, Answer.YES), stopped=stopped
    )


ACTS = {
    "odometer": _odometer,
    "event": _event,
    "check": _check,
    "delivery": _delivery,
    "release": _release,
}


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_no_entry_is_made_while_driving(act: Act, sit: Sit) -> None:
    seat = sit("a trip rolling")
    before = seat.count()
    with pytest.raises(Refused, match="stop off the road at the next safe place"):
        act(seat, False)
    assert seat.count() == before
    assert seat.trip.is_driven


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_saying_that_it_stands_records_the_change_of_duty_too(act: Act, sit: Sit) -> None:
    seat = sit("a trip rolling")
    act(seat, True)
    assert seat.last("duty_changed").body == {"driver": seat.desk.by, "status": "on duty"}
    assert not seat.trip.is_driven


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_a_vehicle_that_stands_needs_no_word_about_it(act: Act, sit: Sit) -> None:
    seat = sit("a trip stopped")
    changes = len(seat.entries("duty_changed"))
    act(seat, False)
    assert len(seat.entries("duty_changed")) == changes
