"""Why a check was late may be told after it; the check stays as it was recorded."""

from collections.abc import Callable

import pytest

from scheduler.progress import DutyStatus
from tests.desk.seat import Seat
from tests.desk.test_checking import FIRST_CHECK_DUE_AT, all_fine
from triplog.desk.late_reasons import give_late_reason, late_without_reason
from triplog.desk.refused import Refused
from triplog.desk.road import change_duty, read_odometer

Sit = Callable[[str], Seat]


def test_a_reason_told_later_is_an_entry_of_its_own_and_the_check_stays(sit: Sit) -> None:
    seat = sit("a trip stopped")
    checked = all_fine(seat, odometer=FIRST_CHECK_DUE_AT)
    seat.later(90)
    (entry,) = give_late_reason(seat.desk, seat.trip, "road works, no room to stop")
    (late,) = checked.late
    assert entry.body == {"due": late.due_key}
    assert seat.opened(entry) == {"reason": "road works, no room to stop"}
    assert seat.opened(checked.entry)["reason"] == "no reason given"


def test_it_is_told_once(sit: Sit) -> None:
    seat = sit("a trip stopped")
    all_fine(seat, odometer=FIRST_CHECK_DUE_AT)
    give_late_reason(seat.desk, seat.trip, "road works")
    seat.later(5)
    before = seat.count()
    with pytest.raises(Refused, match="without its reason"):
        give_late_reason(seat.desk, seat.trip, "road works, and rain")
    assert seat.count() == before


def test_a_check_that_is_late_now_can_be_told_of_too_and_stays_late(sit: Sit) -> None:
    seat = sit("a trip stopped")
    read_odometer(
        seat.desk, seat.trip, FIRST_CHECK_DUE_AT, stopped=True, at=None, sure=True, note=None
    )
    assert len(late_without_reason(seat.desk, seat.trip)) == 1
    give_late_reason(seat.desk, seat.trip, "road works")
    checked = all_fine(seat)
    assert len(checked.late) == 1


@pytest.mark.parametrize("reason", ["road works", None])
def test_where_nothing_was_late_or_a_reason_was_given_none_is_asked(
    reason: str | None, sit: Sit
) -> None:
    seat = sit("a trip stopped")
    all_fine(seat, odometer=FIRST_CHECK_DUE_AT if reason else "24156", reason=reason)
    assert late_without_reason(seat.desk, seat.trip) == ()


@pytest.mark.parametrize("scene", ["a trip planned", "a first check made"])
def test_refused_in_words_where_nothing_was_late(scene: str, sit: Sit) -> None:
    seat = sit(scene)
    with pytest.raises(Refused, match="no check of trip T-1 was late"):
        give_late_reason(seat.desk, seat.trip, "road works")


def test_an_empty_reason_is_none(sit: Sit) -> None:
    seat = sit("a trip stopped")
    all_fine(seat, odometer=FIRST_CHECK_DUE_AT)
    with pytest.raises(Refused, match="say why"):
        give_late_reason(seat.desk, seat.trip, "  ")


def test_nothing_is_asked_of_a_driver_at_the_wheel(sit: Sit) -> None:
    seat = sit("a trip stopped")
    all_fine(seat, odometer=FIRST_CHECK_DUE_AT)
    change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.DRIVING,
        driver=seat.desk.by,
        at=None,
        place=None,
        reason=None,
    )
    with pytest.raises(Refused):
        give_late_reason(seat.desk, seat.trip, "road works")
