"""Odometer doubts, duty changes, exemption, and what is shown before driving on.

Where a case names no source, what it holds is our reading.
"""

from collections.abc import Callable
from datetime import timedelta

import pytest

from scheduler.due import State
from scheduler.progress import DutyStatus
from tests.desk.seat import Seat
from triplog.checks import due_checks_of
from triplog.desk.checking import LOOKS, record_check
from triplog.desk.exempting import IMPRACTICABLE, SEALED, exempt_impracticable, exempt_sealed
from triplog.desk.odometer import Doubt, doubts, odometer_text
from triplog.desk.planning import add_article, change_plan
from triplog.desk.refused import Refused
from triplog.desk.road import (
    change_duty,
    driver_on,
    hear_prompts,
    read_odometer,
)
from triplog.journal.entries import Entry

Sit = Callable[[str], Seat]


def duty(seat: Seat, status: DutyStatus, reason: str | None = None) -> Entry:
    """Record a change of the driver's duty status."""
    entry, _ = change_duty(
        seat.desk, seat.trip, status, driver=seat.desk.by, at=None, place=None, reason=reason
    )
    return entry


@pytest.mark.parametrize(
    ("typed", "odd"),
    [
        ("24156", ()),
        ("24160", ()),
        ("24099", (Doubt.BACKWARDS,)),
        ("24980", (Doubt.TOO_FAST,)),
        ("24516", (Doubt.TOO_FAST, Doubt.SWAPPED)),
        ("21456", (Doubt.BACKWARDS, Doubt.SWAPPED)),
        ("38877", (Doubt.TOO_FAST, Doubt.OTHER_UNIT)),
        ("15012 km", (Doubt.BACKWARDS,)),
        ("24158 km", (Doubt.BACKWARDS, Doubt.OTHER_UNIT)),
        ("38877 km", ()),
    ],
)
def test_an_odd_reading_is_doubted_by_what_is_odd_about_it(
    typed: str, odd: tuple[Doubt, ...], sit: Sit
) -> None:
    """Five minutes after a reading of 24,156 mi, with a top road speed of 65 mph."""
    seat = sit("a first check made")
    reading = odometer_text(seat.desk, typed)
    assert doubts(seat.trip, reading, seat.desk.now().wall) == odd


def test_a_doubted_reading_is_recorded_only_when_confirmed_and_says_what_was_asked(
    sit: Sit,
) -> None:
    seat = sit("a first check made")
    before = seat.count()
    with pytest.raises(Refused, match="--sure"):
        read_odometer(seat.desk, seat.trip, "24980", stopped=True)
    assert seat.count() == before
    entry = read_odometer(seat.desk, seat.trip, "24980", stopped=True, sure=True)
    assert entry.body == {"odometer": "24980 mi", "asked": [str(Doubt.TOO_FAST)]}


def test_what_was_typed_first_is_kept_beside_what_was_confirmed(sit: Sit) -> None:
    seat = sit("a first check made")
    entry = read_odometer(seat.desk, seat.trip, "24156", stopped=True, typed_first="24516")
    asked = [str(Doubt.TOO_FAST), str(Doubt.SWAPPED)]
    assert entry.body == {"odometer": "24156 mi", "typed_first": "24516 mi", "asked": asked}


def test_a_replaced_odometer_is_told_apart_and_counts_from_its_first_reading(sit: Sit) -> None:
    seat = sit("a first check made")
    entry = read_odometer(seat.desk, seat.trip, "12", stopped=True, new_instrument=True)
    assert entry.body == {"odometer": "12 mi", "replaced": True}
    seat.later(10)
    assert doubts(seat.trip, "15 mi", seat.desk.now().wall) == ()
    assert Doubt.BACKWARDS in doubts(seat.trip, "11 mi", seat.desk.now().wall)


@pytest.mark.parametrize("typed", ["", "miles", "24130 ft", "24130 lb", "-5", "24,13"])
def test_what_is_no_odometer_reading_is_refused(typed: str, sit: Sit) -> None:
    with pytest.raises(Refused):
        odometer_text(sit("a trip stopped").desk, typed)


def test_before_driving_each_owed_check_is_recorded_as_shown_once_a_stop(sit: Sit) -> None:
    seat = sit("a trip stopped")
    duty(seat, DutyStatus.DRIVING)
    raised = seat.entries("prompt_raised")
    assert [(one.body["channel"], one.body["stage"]) for one in raised] == [("text", "due")]
    assert seat.last("prompt_outcome").body == {
        "raised": raised[0].hash,
        "outcomes": [{"by": "before driving", "came": "accepted"}],
    }
    assert raised[0].seq < seat.last("duty_changed").seq
    seat.later(10)
    duty(seat, DutyStatus.ON_DUTY)
    seat.later(5)
    duty(seat, DutyStatus.DRIVING)
    again = [one for one in seat.entries("prompt_raised") if one.body["channel"] == "text"]
    by_check = [(one.body["due"], one.body["number"]) for one in again]
    assert len(by_check) == len(set(by_check))
    assert by_check.count((raised[0].body["due"], 1)) == 1


def test_driving_on_late_records_the_reason_or_that_none_was_given(sit: Sit) -> None:
    seat = sit("a trip stopped")
    read_odometer(seat.desk, seat.trip, "24192", stopped=True, sure=True)
    assert seat.opened(duty(seat, DutyStatus.DRIVING))["reason"] == "no reason given"
    seat.later(10)
    duty(seat, DutyStatus.ON_DUTY)
    seat.later(5)
    entry = duty(seat, DutyStatus.DRIVING, reason="no room to stand here")
    assert seat.opened(entry)["reason"] == "no room to stand here"


def test_the_status_that_it_is_already_is_refused(sit: Sit) -> None:
    seat = sit("a trip stopped")
    with pytest.raises(Refused, match="on duty already, since 2026-03-02 07:50"):
        duty(seat, DutyStatus.ON_DUTY)


def test_a_change_in_the_past_is_recorded_with_both_times(sit: Sit) -> None:
    seat = sit("a trip stopped")
    when = seat.last("duty_changed").event_time + timedelta(minutes=1)
    seat.later(40)
    entry, _ = change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.OFF_DUTY,
        driver=seat.desk.by,
        at=when,
        place=None,
        reason=None,
    )
    assert entry.event_time == when
    assert entry.entered_late_by == timedelta(minutes=44)


def test_hearing_what_is_due_closes_nothing(sit: Sit) -> None:
    seat = sit("a trip stopped")
    due = due_checks_of(seat.trip, seat.desk.now().wall)
    heard = hear_prompts(seat.desk, seat.trip, note=None)
    assert [one.body["due"] for one in heard] == [one.due_key for one in due if one.is_due]
    assert due_checks_of(seat.trip, seat.desk.now().wall) == due


def test_with_two_on_board_the_driver_must_be_named(sit: Sit) -> None:
    seat = sit("a trip stopped")
    assert driver_on(seat.trip, None) == seat.desk.by
    change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.DRIVING,
        driver="another",
        at=None,
        place=None,
        reason=None,
    )
    with pytest.raises(Refused, match="--driver"):
        driver_on(seat.trip, None)
    assert driver_on(seat.trip, "another") == "another"


def test_sealed_and_ordered_is_exempt_with_seal_order_and_time(sit: Sit) -> None:
    """Source: 49 CFR 392.9(b)(4), sealed and ordered not to open it to inspect the cargo."""
    seat = sit("a trip stopped")
    entry = exempt_sealed(
        seat.desk,
        seat.trip,
        seal="48213",
        ordered_by="the dock",
        ordered_at=seat.desk.now().wall - timedelta(hours=2),
        driver_has_key=False,
    )
    assert entry.body["grounds"] == SEALED
    assert (entry.body["seal"], entry.body["driver_has_key"]) == ("48213", False)
    assert seat.opened(entry) == {"ordered_by": "the dock"}
    states = {one.state for one in due_checks_of(seat.trip, seat.desk.now().wall)}
    assert states == {State.EXEMPT}


@pytest.mark.parametrize("missing", ["seal", "ordered_by", "ordered_at", "driver_has_key"])
def test_a_seal_alone_exempts_nothing(missing: str, sit: Sit) -> None:
    seat = sit("a trip stopped")
    before = seat.count()
    with pytest.raises(Refused, match="exempt only with"):
        exempt_sealed(
            seat.desk,
            seat.trip,
            seal=None if missing == "seal" else "48213",
            ordered_by=None if missing == "ordered_by" else "the dock",
            ordered_at=None if missing == "ordered_at" else seat.desk.now().wall,
            driver_has_key=None if missing == "driver_has_key" else False,
        )
    assert seat.count() == before


def test_a_padlock_whose_key_the_driver_holds_is_no_seal_and_the_checks_stay_due(
    sit: Sit,
) -> None:
    """Source: the agency's guidance on 49 CFR 392.9, question 1."""
    seat = sit("a trip stopped")
    before = due_checks_of(seat.trip, seat.desk.now().wall)
    with pytest.raises(Refused, match="no seal: the checks stay due"):
        exempt_sealed(
            seat.desk,
            seat.trip,
            seal="48213",
            ordered_by="the dock",
            ordered_at=seat.desk.now().wall,
            driver_has_key=True,
        )
    assert due_checks_of(seat.trip, seat.desk.now().wall) == before


def test_impracticable_is_exempt_with_why_and_who_loaded(sit: Sit) -> None:
    """Source: 49 CFR 392.9(b)(4), loaded so that inspection of the cargo is impracticable."""
    seat = sit("a trip stopped")
    told = {"reason": "full to the doors", "loaded_by": "the mill's dock"}
    entry = exempt_impracticable(
        seat.desk, seat.trip, reason=told["reason"], loaded_by=told["loaded_by"]
    )
    assert entry.body == {"grounds": IMPRACTICABLE}
    assert seat.opened(entry) == told


@pytest.mark.parametrize(
    ("reason", "loaded_by"), [(None, "the mill's dock"), ("", "the dock"), ("full", None)]
)
def test_impracticable_needs_why_and_who_loaded(
    reason: str | None, loaded_by: str | None, sit: Sit
) -> None:
    """Source: 49 CFR 392.9(b)(4); that both are asked for is our reading."""
    seat = sit("a trip stopped")
    with pytest.raises(Refused, match=r"--reason.*--loaded-by"):
        exempt_impracticable(seat.desk, seat.trip, reason=reason, loaded_by=loaded_by)


def test_a_stop_told_with_something_from_before_driving_resumed_is_a_stop_now(sit: Sit) -> None:
    seat = sit("a trip stopped")
    at_the_stop = seat.desk.now().wall
    seat.later(5)
    duty(seat, DutyStatus.DRIVING)
    seat.later(10)
    record_check(seat.desk, seat.trip, lines=[], looked_at=LOOKS, stopped=True, at=at_the_stop)
    assert not seat.trip.is_driven
    assert seat.last("duty_changed").event_time == seat.desk.now().wall


def test_nothing_that_can_wait_for_a_stop_is_entered_while_driving(sit: Sit) -> None:
    seat = sit("a trip rolling")
    seat.later(60)
    before = seat.count()
    box = add_article(article={"what": "a box"}, article_id="B", count=1)
    with pytest.raises(Refused, match="stop off the road"):
        change_plan(seat.desk, seat.trip, box)
    with pytest.raises(Refused, match="stop off the road"):
        hear_prompts(seat.desk, seat.trip, note=None)
    with pytest.raises(Refused, match="stop off the road"):
        exempt_impracticable(seat.desk, seat.trip, reason="a closed box", loaded_by="the dock")
    assert seat.count() == before
