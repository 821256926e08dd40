"""The check on the road: complete, in part, late; what each closes and starts anew.

Where a case names no source, what it holds is our reading.
"""

from collections.abc import Callable

import pytest

from scheduler.due import DueCheck, State
from scheduler.progress import DutyStatus
from scheduler.recheck_rules import Kind
from tests.desk.seat import Seat, lines_of
from triplog.checks import due_checks_of, top_speed_mm_per_h
from triplog.desk.checking import LOOKS, Checked, Found, Line, late_checks, record_check
from triplog.desk.mending import correct
from triplog.desk.planning import (
    Change,
    Document,
    add_article,
    change_article,
    change_plan,
    looked_over,
    remove_tie_down,
    use_vehicle,
)
from triplog.desk.refused import Refused
from triplog.desk.road import change_duty, read_odometer, report_event, unrevised
from triplog.desk.vehicles import add_anchor_row, add_vehicle
from triplog.journal.entries import Entry
from triplog.securement.quantity import Dimension, parse
from triplog.wording.due import count_text

Sit = Callable[[str], Seat]
FIRST_CHECK_DUE_AT = "24192"
"""Twelve miles past the first fifty."""


def check(
    seat: Seat,
    found: dict[str, Found],
    *,
    odometer: str | None = None,
    reason: str | None = None,
) -> Checked:
    """Record a look at the tie-downs named."""
    return record_check(
        seat.desk,
        seat.trip,
        lines=[Line(tie_down=name, found=one) for name, one in found.items()],
        looked_at=LOOKS,
        stopped=False,
        odometer=odometer,
        sure=True,
        reason=reason,
    )


def all_fine(seat: Seat, *, odometer: str | None = None, reason: str | None = None) -> Checked:
    """Record a check in which both tie-downs are fine."""
    return check(seat, {"T1": Found.FINE, "T2": Found.FINE}, odometer=odometer, reason=reason)


def kinds_due(seat: Seat) -> set[Kind]:
    """What is owed now."""
    due = due_checks_of(seat.trip, seat.desk.now().wall)
    return {one.counter.kind for one in due if one.is_due}


def test_a_complete_check_answers_everything_owed_and_the_first_check_ahead_of_time(
    sit: Sit,
) -> None:
    seat = sit("a trip stopped")
    checked = all_fine(seat, odometer="24156")
    assert checked.complete
    assert {one.counter.kind for one in checked.closed} == {Kind.DUTY_CHANGE, Kind.FIRST_DISTANCE}
    assert seat.last("check_completed").body["closes"] == [one.due_key for one in checked.closed]
    assert kinds_due(seat) == set()


def test_counters_start_anew_at_the_completed_check(sit: Sit) -> None:
    seat = sit("a trip stopped")
    checked = all_fine(seat, odometer="24156")
    running = due_checks_of(seat.trip, seat.desk.now().wall)
    assert {one.counter.from_key for one in running} == {checked.entry.hash}
    assert all(one.value == 0 for one in running)


def test_a_look_in_part_answers_nothing(sit: Sit) -> None:
    seat = sit("a trip stopped")
    owed = kinds_due(seat)
    looked = check(seat, {"T1": Found.FINE})
    assert not looked.complete
    assert looked.not_looked_at == ("T2",)
    assert looked.closed == ()
    assert looked.entry.kind == "check_left_open"
    assert lines_of(looked.entry.body) == {"T1": "fine", "T2": "not looked at"}
    assert kinds_due(seat) == owed


def test_a_late_check_keeps_by_how_much_and_the_reason(sit: Sit) -> None:
    seat = sit("a trip stopped")
    checked = all_fine(seat, odometer=FIRST_CHECK_DUE_AT, reason="road works")
    (late,) = checked.late
    assert late.state is State.LATE
    assert late.late_by == (12 * 1_609_344)
    assert checked.entry.body["late"] == [
        {"due": late.due_key, "by": late.late_by, "measure": "mm"}
    ]
    assert seat.opened(checked.entry)["reason"] == "road works"


def test_a_late_check_without_a_reason_says_so(sit: Sit) -> None:
    seat = sit("a trip stopped")
    checked = all_fine(seat, odometer=FIRST_CHECK_DUE_AT)
    assert seat.opened(checked.entry)["reason"] == "no reason given"


def test_a_check_in_time_has_no_reason(sit: Sit) -> None:
    seat = sit("a trip stopped")
    checked = all_fine(seat, odometer="24156")
    assert "reason" not in seat.opened(checked.entry)
    assert "late" not in checked.entry.body


@pytest.mark.parametrize("found", [Found.DAMAGED, Found.MOVED])
def test_damage_or_a_moved_load_calls_for_a_new_plan_until_there_is_one(
    found: Found, sit: Sit
) -> None:
    seat = sit("a trip stopped")
    checked = check(seat, {"T1": Found.FINE, "T2": found})
    assert checked.calls_for_new_plan
    assert unrevised(seat.trip) == (checked.entry.hash,)


def test_a_slack_strap_tightened_calls_for_no_new_plan(sit: Sit) -> None:
    seat = sit("a trip stopped")
    checked = check(seat, {"T1": Found.SLACK, "T2": Found.FINE})
    assert checked.complete
    assert not checked.calls_for_new_plan
    assert unrevised(seat.trip) == ()


def test_a_check_answers_something_that_happened(sit: Sit) -> None:
    seat = sit("a first check made")
    report_event(
        seat.desk,
        seat.trip,
        "Hard braking ",
        stopped=True,
        tie_downs=["T1"],
        moved=None,
        at=None,
        note=None,
        place=None,
    )
    assert seat.last("event_reported").body == {"what": "hard braking", "tie_downs": ["T1"]}
    assert Kind.EVENT in kinds_due(seat)
    seat.later(5)
    all_fine(seat)
    assert kinds_due(seat) == set()


@pytest.mark.parametrize(
    ("notches", "moved"), [(0, None), (-1, None), (101, None), (None, "a bit"), (None, "-3 mm")]
)
def test_a_line_with_an_impossible_detail_is_refused(
    notches: int | None, moved: str | None
) -> None:
    with pytest.raises(Refused):
        Line(tie_down="T1", found=Found.SLACK, notches=notches, moved=moved)


def test_a_check_before_the_departure_is_refused(sit: Sit) -> None:
    seat = sit("a trip stopped")
    departed = seat.last("departed").event_time
    before = seat.count()
    with pytest.raises(Refused, match="before trip T-1 departed"):
        record_check(
            seat.desk,
            seat.trip,
            lines=[],
            looked_at=(),
            stopped=False,
            at=departed.replace(hour=departed.hour - 1),
        )
    assert seat.count() == before


def test_a_check_written_down_later_is_late_by_what_was_driven_when_it_was_made(sit: Sit) -> None:
    """A reading past the first fifty miles, taken after the check, does not make the check late."""
    seat = sit("a trip stopped")
    at_the_check = seat.desk.now().wall
    seat.later(30)
    read_odometer(seat.desk, seat.trip, FIRST_CHECK_DUE_AT, stopped=True, sure=True)
    assert late_checks(seat.trip, seat.desk.now().wall)
    assert late_checks(seat.trip, seat.desk.now().wall, at=at_the_check) == ()
    checked = record_check(
        seat.desk,
        seat.trip,
        lines=[Line(tie_down=name, found=Found.FINE) for name in ("T1", "T2")],
        looked_at=LOOKS,
        stopped=False,
        odometer="24156",
        at=at_the_check,
    )
    assert checked.late == ()
    assert "late" not in checked.entry.body
    assert {one.counter.kind for one in checked.closed} == {Kind.DUTY_CHANGE, Kind.FIRST_DISTANCE}


def test_a_reading_given_with_the_check_tells_that_it_is_late(sit: Sit) -> None:
    seat = sit("a trip stopped")
    now = seat.desk.now().wall
    assert late_checks(seat.trip, now) == ()
    (late,) = late_checks(seat.trip, now, reading=f"{FIRST_CHECK_DUE_AT} mi")
    assert late.counter.kind is Kind.FIRST_DISTANCE


def first_check(seat: Seat) -> DueCheck | None:
    """The first check that runs, if one does."""
    running = due_checks_of(seat.trip, seat.desk.now().wall)
    return next((one for one in running if one.counter.kind is Kind.FIRST_DISTANCE), None)


def test_what_is_loaded_on_the_road_makes_a_new_first_check(sit: Sit) -> None:
    """49 CFR 392.9(b)(2): "after beginning a trip"; that a loading begins one is our reading."""
    seat = sit("a first check made")
    assert first_check(seat) is None
    seat.later(5)
    box: Document = {"what": "a box", "mass": "300 lb", "length": "2 ft"}
    loaded = change_plan(seat.desk, seat.trip, add_article(article=box, article_id="B", count=1))
    found = first_check(seat)
    assert found is not None
    assert found.counter.from_key == loaded.hash
    assert found.value == 0


@pytest.mark.parametrize(
    "change", [change_article("A", {"mass": "5100 lb"}), remove_tie_down("T2"), looked_over()]
)
def test_a_plan_changed_without_another_load_begins_nothing(change: Change, sit: Sit) -> None:
    seat = sit("a first check made")
    seat.later(5)
    change_plan(seat.desk, seat.trip, change)
    assert first_check(seat) is None


def another_truck(seat: Seat, *, top_speed: str | None) -> Entry:
    """The trip goes on with another truck."""
    size: Document = {"deck_length": "20 ft", "deck_width": "8 ft"}
    add_vehicle(seat.desk, label="other truck", document=size, top_speed=top_speed)
    add_anchor_row(
        seat.desk,
        "other truck",
        side="both",
        first="2 ft",
        every="4 ft",
        count=None,
        fields={},
        across=None,
    )
    seat.later(5)
    return change_plan(seat.desk, seat.trip, use_vehicle(seat.desk, "other truck"))


def test_another_vehicle_on_the_road_makes_a_new_first_check_on_its_own_odometer(sit: Sit) -> None:
    seat = sit("a first check made")
    swapped = another_truck(seat, top_speed=None)
    found = first_check(seat)
    assert found is not None
    assert found.counter.from_key == swapped.hash
    assert found.counter.limit_at_odometer_mm is None


@pytest.mark.parametrize(
    ("top_speed", "bound"), [("70 mph", "70 mph"), ("40 mph", "65 mph"), (None, None)]
)
def test_the_way_is_bounded_by_the_faster_vehicle_or_by_nothing_that_was_stated(
    top_speed: str | None, bound: str | None, sit: Sit
) -> None:
    seat = sit("a first check made")
    another_truck(seat, top_speed=top_speed)
    change_plan(seat.desk, seat.trip, looked_over())
    expected = None if bound is None else round(parse(bound, Dimension.SPEED).si * 3_600_000)
    assert top_speed_mm_per_h(seat.trip) == expected
    found = first_check(seat)
    assert found is not None
    assert found.counter.top_speed_mm_per_h == expected


def test_a_top_speed_stated_after_the_change_of_vehicle_settles_what_could_not_be_told(
    sit: Sit,
) -> None:
    seat = sit("a first check made")
    first_plan = seat.last("plan_recorded")
    swapped = another_truck(seat, top_speed=None)
    (driver,) = seat.trip.duty_by_driver
    change_duty(
        seat.desk, seat.trip, DutyStatus.DRIVING, driver=driver, at=None, place=None, reason=None
    )
    seat.later(60)
    found = first_check(seat)
    assert found is not None and found.state is State.CANNOT_TELL
    told = count_text(found)
    assert "read the odometer now" in told and "to the plan that took the other one" in told

    def speed_of(entry: Entry) -> Entry:
        speed = {"top_speed": "60 mph"}
        return correct(seat.desk, entry.hash[:12], changes=speed, at=None, reason="from its papers")

    with pytest.raises(Refused, match="took no other vehicle"):
        speed_of(first_plan)
    assert speed_of(swapped).body == {**swapped.body, "top_speed": "60 mph"}
    found = first_check(seat)
    assert found is not None and found.state is not State.CANNOT_TELL
