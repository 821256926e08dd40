"""The same again: asked about, recorded once by its key, or nothing to ask about at all."""

from collections.abc import Callable

import pytest

from tests.desk.seat import Seat
from triplog.desk.departing import depart
from triplog.desk.judging import judge_and_record
from triplog.desk.road import hear_prompts, read_odometer
from triplog.journal.repeats import AlreadyRecorded, AskedAgain

Sit = Callable[[str], Seat]


def _leave(seat: Seat) -> object:
    return depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer="24130",
        top_speed=None,
        next_stop=None,
        reason=None,
    )


def _judge(seat: Seat) -> object:
    return judge_and_record(seat.desk, seat.trip)


def _read(seat: Seat) -> object:
    return read_odometer(seat.desk, seat.trip, "24156", stopped=True)


def _hear(seat: Seat) -> object:
    return hear_prompts(seat.desk, seat.trip, note=None)


def test_judging_again_and_leaving_at_once_is_nothing_to_ask_about(sit: Sit) -> None:
    seat = sit("a trip planned")
    _judge(seat)
    _judge(seat)
    _leave(seat)
    assert len(seat.entries("plan_judged")) == 3
    assert seat.last("departed").body["judgement"] == seat.last("plan_judged").hash


@pytest.mark.parametrize("act", [_read, _hear])
def test_the_same_within_two_minutes_is_asked_about_and_later_it_is_not(
    act: Callable[[Seat], object], sit: Sit
) -> None:
    seat = sit("a trip stopped")
    act(seat)
    count = seat.count()
    seat.later(1.9)
    with pytest.raises(AskedAgain):
        act(seat)
    assert seat.count() == count
    seat.later(0.2)
    act(seat)
    assert seat.count() > count


def test_the_same_is_recorded_where_the_person_says_again(sit: Sit) -> None:
    seat = sit("a trip stopped")
    _read(seat)
    seat.desk.again = True
    _read(seat)
    assert len(seat.entries("odometer_read")) == 2


@pytest.mark.parametrize(
    ("act", "scene"),
    [
        (_judge, "a trip planned"),
        (_leave, "a trip planned"),
        (_read, "a trip stopped"),
        (_hear, "a trip stopped"),
    ],
)
def test_under_one_key_each_act_is_recorded_once(
    act: Callable[[Seat], object], scene: str, sit: Sit
) -> None:
    seat = sit(scene)
    seat.desk.key = "morning-1"
    act(seat)
    count = seat.count()
    known = seat.desk.store.with_idem("morning-1")
    assert known is not None
    seat.later(60)
    if act is not _leave:  # A trip that has left is refused before the key is looked at.
        with pytest.raises(AlreadyRecorded):
            act(seat)
    assert seat.count() == count
