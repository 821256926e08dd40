"""Corrections of every kind that takes them, and taking back: the old entry always stays."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from tests.desk.seat import Seat, lines_of, with_a_pallet
from triplog.checks import due_checks_of
from triplog.desk.delivering import deliver
from triplog.desk.departing import record_loading
from triplog.desk.mending import LAST, correct, withdraw
from triplog.desk.planning import change_article, change_plan
from triplog.desk.refused import Refused
from triplog.desk.road import read_odometer
from triplog.desk.trips import Opening, open_trip
from triplog.journal.entries import Entry
from triplog.journal.trip import TripState

Sit = Callable[[str], Seat]


def mended(seat: Seat, kind: str, **changes: str) -> Entry:
    """Correct the newest entry of a kind."""
    return correct(
        seat.desk, seat.last(kind).hash[:12], changes=changes, at=None, reason="it was misread"
    )


@pytest.mark.parametrize(
    ("kind", "field", "value", "stored"),
    [
        ("departed", "odometer", "24131", "24131 mi"),
        ("departed", "top_speed", "60 mph", "60 mph"),
        ("duty_changed", "status", "off duty", "off duty"),
        ("check_completed", "odometer", "24157 mi", "24157 mi"),
    ],
)
def test_a_public_field_is_corrected_and_everything_else_stays(
    kind: str, field: str, value: str, stored: str, sit: Sit
) -> None:
    seat = sit("a first check made")
    old = seat.last(kind)
    new = mended(seat, kind, **{field: value})
    assert new.kind == kind
    assert new.follows == old.hash
    assert new.body == {**old.body, field: stored}
    assert new.event_time == old.event_time
    assert seat.opened(new)["correction_reason"] == "it was misread"


@pytest.mark.parametrize(
    ("kind", "field"),
    [("departed", "next_stop"), ("duty_changed", "place"), ("check_completed", "note")],
)
def test_a_private_field_is_corrected_and_stays_out_of_the_body(
    kind: str, field: str, sit: Sit
) -> None:
    seat = sit("a first check made")
    new = mended(seat, kind, **{field: "behind the mill"})
    assert seat.opened(new)[field] == "behind the mill"
    assert b"behind the mill" not in new.data


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("slack, tightened:3", {"tie_down": "T2", "found": "slack, tightened", "notches": 3}),
        ("moved:15 mm", {"tie_down": "T2", "found": "moved", "moved": "15 mm"}),
        ("damaged", {"tie_down": "T2", "found": "damaged"}),
    ],
)
def test_a_line_of_a_check_is_corrected(said: str, line: dict[str, object], sit: Sit) -> None:
    seat = sit("a first check made")
    new = mended(seat, "check_completed", T2=said)
    assert new.body["lines"] == [{"tie_down": "T1", "found": "fine"}, line]


@pytest.mark.parametrize(
    ("kind", "changes"),
    [
        ("departed", {"driver": "another"}),
        ("departed", {"odometer": "12 ft"}),
        ("departed", {"top_speed": "fast"}),
        ("departed", {"top_speed": "0 mph"}),
        ("duty_changed", {"status": "resting"}),
        ("check_completed", {"T9": "fine"}),
        ("check_completed", {"T2": "loose"}),
        ("check_completed", {"T2": "slack, tightened:some"}),
        ("check_completed", {"T2": "moved:far"}),
        ("plan_recorded", {"document": "{}"}),
        ("departed", {}),
    ],
)
def test_a_correction_that_cannot_be_read_records_nothing(
    kind: str, changes: dict[str, str], sit: Sit
) -> None:
    seat = sit("a first check made")
    before = seat.count()
    with pytest.raises(Refused):
        mended(seat, kind, **changes)
    assert seat.count() == before


def test_a_time_is_corrected_and_not_to_before_the_departure(sit: Sit) -> None:
    seat = sit("a first check made")
    departed = seat.last("departed").event_time
    checked = seat.last("check_completed")
    five = timedelta(minutes=5)
    new = correct(
        seat.desk, checked.hash, changes={}, at=checked.event_time - five, reason="earlier"
    )
    assert new.event_time == checked.event_time - five
    with pytest.raises(Refused, match="before trip T-1 departed"):
        correct(seat.desk, new.hash, changes={}, at=departed - five, reason="much earlier")


def test_counters_run_from_the_original_and_follow_its_correction(sit: Sit) -> None:
    seat = sit("a first check made")
    original = seat.last("check_completed")
    mended(seat, "check_completed", odometer="24150 mi")
    running = due_checks_of(seat.trip, seat.desk.now().wall)
    assert {one.counter.from_key for one in running} == {original.hash}
    read_odometer(seat.desk, seat.trip, "24156", stopped=True, sure=True)
    distances = [
        one.value
        for one in due_checks_of(seat.trip, seat.desk.now().wall)
        if one.counter.rule_id == "us-392.9-distance"
    ]
    assert distances == [6 * 1_609_344]


def test_a_corrected_entry_is_corrected_at_its_newest(sit: Sit) -> None:
    seat = sit("a first check made")
    old = seat.last("check_completed")
    new = mended(seat, "check_completed", T2="damaged")
    with pytest.raises(Refused, match=f"the entry in force is {new.hash[:8]}"):
        correct(seat.desk, old.hash, changes={"T2": "fine"}, at=None, reason="after all")
    newest = correct(seat.desk, new.hash, changes={"T2": "fine"}, at=None, reason="after all")
    assert lines_of(newest.body)["T2"] == "fine"


def test_last_is_the_last_entry_of_the_person_typing(sit: Sit) -> None:
    seat = sit("a first check made")
    new = correct(seat.desk, LAST, changes={"note": "seen"}, at=None, reason="forgotten")
    assert new.follows == seat.entries("check_completed")[0].hash


@pytest.mark.parametrize("reason", ["", "  "])
def test_neither_happens_without_a_reason(reason: str, sit: Sit) -> None:
    seat = sit("a first check made")
    with pytest.raises(Refused, match="reason"):
        correct(seat.desk, LAST, changes={"note": "x"}, at=None, reason=reason)
    with pytest.raises(Refused, match="reason"):
        withdraw(seat.desk, None, reason=reason)


def test_a_check_taken_back_lets_its_counters_run_on(sit: Sit) -> None:
    seat = sit("a first check made")
    before = {one.due_key for one in due_checks_of(seat.trip, seat.desk.now().wall)}
    entry, old = withdraw(seat.desk, None, reason="not finished")
    assert old.kind == "check_completed"
    assert entry.follows == old.hash
    after = {one.due_key for one in due_checks_of(seat.trip, seat.desk.now().wall)}
    assert not before & after
    assert any(key.endswith(seat.entries("departed")[0].hash) for key in after)


def test_taking_back_twice_goes_on_to_the_entry_before(sit: Sit) -> None:
    seat = sit("a first check made")
    _, first = withdraw(seat.desk, None, reason="not finished")
    seat.later(5)
    _, second = withdraw(seat.desk, None, reason="nor that")
    assert (first.kind, second.kind) == ("check_completed", "duty_changed")


def test_a_departure_is_taken_back_only_while_nothing_has_happened_on_the_road(sit: Sit) -> None:
    seat = sit("a trip rolling")
    withdraw(seat.desk, seat.last("departed").hash, reason="turned back at the gate")
    assert seat.trip.state is TripState.LOADED


@pytest.mark.parametrize("kind", ["store_begun", "carrier_recorded", "trip_opened", "plan_judged"])
def test_some_entries_are_never_taken_back(kind: str, sit: Sit) -> None:
    seat = sit("a trip rolling")
    with pytest.raises(Refused, match="is not taken back"):
        withdraw(seat.desk, seat.last(kind).hash, reason="a mistake")


def test_a_reading_taken_back_leaves_the_stop_it_was_recorded_at(sit: Sit) -> None:
    seat = sit("a trip rolling")
    read_odometer(seat.desk, seat.trip, "24150", stopped=True, sure=True)
    _, old = withdraw(seat.desk, None, reason="misread")
    assert old.kind == "odometer_read"
    assert not seat.trip.is_driven


def test_a_part_delivery_is_taken_back_with_the_plan_it_left(sit: Sit) -> None:
    seat = with_a_pallet(sit("a trip stopped"))
    plan = seat.trip.plan
    deliver(seat.desk, seat.trip, ["A"], stopped=True)
    left = seat.last("plan_recorded")
    seat.later(5)
    with pytest.raises(Refused, match="take the delivery back"):
        withdraw(seat.desk, left.hash, reason="the wrong one")
    _, old = withdraw(seat.desk, None, reason="the wrong one")
    assert old.kind == "article_delivered"
    assert seat.trip.plan == plan
    assert seat.trip.article_ids == ("A", "B")
    assert seat.trip.delivered_ids == frozenset()


def test_a_delivery_is_not_taken_back_under_a_plan_changed_since(sit: Sit) -> None:
    seat = with_a_pallet(sit("a trip stopped"))
    deliver(seat.desk, seat.trip, ["A"], stopped=True)
    seat.later(5)
    change_plan(seat.desk, seat.trip, change_article("B", {"mass": "950 lb"}))
    delivered = seat.last("article_delivered")
    before = seat.count()
    with pytest.raises(Refused, match="changed since that delivery"):
        withdraw(seat.desk, delivered.hash, reason="the wrong one")
    assert seat.count() == before
    withdraw(seat.desk, None, reason="the wrong mass")
    withdraw(seat.desk, delivered.hash, reason="the wrong one")
    assert seat.trip.article_ids == ("A", "B")


def test_a_loading_is_taken_back_with_the_look_at_the_gear(sit: Sit) -> None:
    seat = sit("a trip planned")
    before = seat.trip.plan
    record_loading(seat.desk, seat.trip, over=True, note=None)
    assert seat.trip.plan != before
    withdraw(seat.desk, None, reason="the load is not on yet")
    assert seat.trip.state is TripState.PLANNED
    assert seat.trip.plan == before


def test_the_look_at_the_gear_alone_is_not_taken_back_nor_under_a_later_plan(sit: Sit) -> None:
    seat = sit("a trip planned")
    loading = record_loading(seat.desk, seat.trip, over=True, note=None)
    with pytest.raises(Refused, match=f"take the loading back: {loading.hash[:8]}"):
        withdraw(seat.desk, seat.last("plan_recorded").hash, reason="not looked at")
    change_plan(seat.desk, seat.trip, change_article("A", {"mass": "5300 lb"}))
    with pytest.raises(Refused, match="changed since that loading"):
        withdraw(seat.desk, loading.hash, reason="the load is not on yet")


def test_a_loading_without_a_look_leaves_the_plan(sit: Sit) -> None:
    seat = sit("a trip planned")
    before = seat.trip.plan
    loading = record_loading(seat.desk, seat.trip, over=False, note=None)
    withdraw(seat.desk, loading.hash, reason="not on yet")
    assert seat.trip.plan == before


def test_the_first_plan_of_a_trip_stays(sit: Sit) -> None:
    seat = sit("a trip planned")
    opening = Opening(label="T-9")
    trip = open_trip(seat.desk, opening, [])
    with pytest.raises(Refused, match="trip withdraw --trip T-9"):
        withdraw(seat.desk, None, reason="typed too early")
    assert seat.desk.trip(trip.id).plan is not None
