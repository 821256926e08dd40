"""The gear in the store: in and out of use, inspected, held, and its life."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from tests.desk.seat import Seat
from triplog.desk.checking import Found, Line, record_check
from triplog.desk.departing import depart
from triplog.desk.finding_things import gear_named
from triplog.desk.gear import add_gear, change_gear, set_standing
from triplog.desk.holding import hold_gear, lift_gear_hold
from triplog.desk.inspecting import inspect
from triplog.desk.looking import gear, gear_life
from triplog.desk.mending import withdraw
from triplog.desk.planning import add_tie_down, change_plan, looked_over, use_file
from triplog.desk.refused import Refused
from triplog.desk.road import report_event
from triplog.journal.entries import Body
from triplog.journal.things import Standing

Sit = Callable[[str], Seat]
CUT: list[Body] = [{"kind": "cut", "size": "3/16 in"}]


def _standing(seat: Seat, label: str) -> Standing:
    return gear_named(seat.desk, label).standing


def _plan(seat: Seat, label: str) -> None:
    made = add_tie_down(seat.desk, "T-1", tie_down={"path": "over"}, gear=label, tie_down_id=None)
    change_plan(seat.desk, seat.trip, made)


def test_damage_found_takes_gear_out_of_use_with_what_and_when_and_by_whom(sit: Sit) -> None:
    seat = sit("a trip planned")
    result = inspect(seat.desk, "S-3", damage=CUT)
    assert result.entry.body["answer"] == "set aside"
    assert _standing(seat, "S-3") is Standing.SET_ASIDE
    with pytest.raises(Refused, match=r"S-3 is set aside since 2026-03-02 by owner \(cut 3/16 in"):
        _plan(seat, "S-3")


def test_a_plan_made_after_a_look_carries_what_was_found(sit: Sit) -> None:
    seat = sit("a trip planned")
    inspect(seat.desk, "S-3", damage=[], note="dry and clean")
    _plan(seat, "S-3")
    document = seat.last("plan_recorded").body["document"]
    assert isinstance(document, dict)
    assert document["gear"][-1] == gear_named(seat.desk, "S-3").item | {"id": "S-3"}
    assert document["gear"][-1]["damage"] == []


def test_damage_that_is_allowed_where_it_is_used_stays_on_the_card(sit: Sit) -> None:
    seat = sit("a truck and gear")
    nick: list[Body] = [{"kind": "nick", "size": "2 mm"}]
    result = inspect(
        seat.desk, "S-3", damage=nick, used_in=("eu",), allowed="3 mm", allowed_by="maker's sheet"
    )
    assert result.entry.body["answer"] == "within what is allowed there"
    assert seat.opened(result.entry) == {"reason": "maker's sheet"}
    assert _standing(seat, "S-3") is Standing.IN_STOCK
    assert gear_named(seat.desk, "S-3").item["damage"] == nick


def test_a_look_that_finds_nothing_brings_nothing_back(sit: Sit) -> None:
    seat = sit("a truck and gear")
    inspect(seat.desk, "S-3", damage=CUT)
    seat.later(5)
    inspect(seat.desk, "S-3", damage=[])
    assert _standing(seat, "S-3") is Standing.SET_ASIDE


@pytest.mark.parametrize("reason", [None, "", "  "])
def test_gear_comes_back_only_with_a_reason(reason: str | None, sit: Sit) -> None:
    seat = sit("a trip planned")
    inspect(seat.desk, "S-3", damage=CUT)
    with pytest.raises(Refused, match="only with a reason"):
        set_standing(seat.desk, "S-3", Standing.IN_STOCK, reason=reason)
    seat.later(1)
    entry = set_standing(seat.desk, "S-3", Standing.IN_STOCK, reason="it was a thread")
    assert entry.by == seat.desk.by
    _plan(seat, "S-3")


def test_unfit_gear_does_not_come_back_and_a_later_look_changes_nothing(sit: Sit) -> None:
    seat = sit("a truck and gear")
    assert inspect(seat.desk, "S-3", damage=[{"kind": "cut", "size": "11 mm"}]).thing.standing is (
        Standing.UNFIT
    )
    seat.later(5)
    inspect(seat.desk, "S-3", damage=CUT)
    assert _standing(seat, "S-3") is Standing.UNFIT
    with pytest.raises(Refused, match="stays out"):
        set_standing(seat.desk, "S-3", Standing.IN_STOCK, reason="needed")


def test_damage_typed_on_a_card_sets_the_piece_aside(sit: Sit) -> None:
    seat = sit("a truck and gear")
    change_gear(seat.desk, "S-3", item={"damage": CUT})
    add_gear(seat.desk, label="W-1", item={"kind": "ratchet strap", "damage": CUT})
    assert _standing(seat, "S-3") is _standing(seat, "W-1") is Standing.SET_ASIDE
    seat.later(1)
    set_standing(seat.desk, "S-3", Standing.IN_STOCK, reason="mended by the maker")
    seat.later(1)
    change_gear(seat.desk, "S-3", item={"length": "26 ft"})
    assert _standing(seat, "S-3") is Standing.IN_STOCK


def test_gear_under_a_hold_is_neither_planned_nor_put_back_until_it_is_lifted(sit: Sit) -> None:
    seat = sit("a trip planned")
    set_standing(seat.desk, "S-3", Standing.SET_ASIDE, reason="broke at the hook")
    seat.later(1)
    hold_gear(seat.desk, "S-3", reason="kept for the insurer")
    held = r"S-3 is under an evidence hold since 2026-03-02 by owner \(kept for the insurer\)"
    with pytest.raises(Refused, match=held):
        _plan(seat, "S-3")
    with pytest.raises(Refused, match=held):
        set_standing(seat.desk, "S-3", Standing.IN_STOCK, reason="needed")
    with pytest.raises(Refused, match="with a reason"):
        lift_gear_hold(seat.desk, "S-3", hold=None, reason=" ")
    seat.later(1)
    lift_gear_hold(seat.desk, "S-3", hold=None, reason="the insurer has it in writing")
    assert _standing(seat, "S-3") is Standing.SET_ASIDE
    with pytest.raises(Refused, match="is not under"):
        lift_gear_hold(seat.desk, "S-3", hold=None, reason="again")


def test_no_way_onto_a_plan_lets_gear_out_of_use_through(sit: Sit) -> None:
    seat = sit("a trip planned")
    hold_gear(seat.desk, "S-3", reason="evidence")
    plan = b"""format = "triplog-plan/1"
[[gear]]
id = "S-3"
kind = "ratchet strap"
[[article]]
id = "A"
mass = "900 lb"
[[tie_down]]
id = "T1"
holds = ["A"]
gear = "S-3"
"""
    with pytest.raises(Refused, match="under an evidence hold"):
        change_plan(seat.desk, seat.trip, use_file(plan, "plan.toml"))


def test_a_plan_may_be_changed_while_gear_on_it_is_out_of_use(sit: Sit) -> None:
    seat = sit("a trip planned")
    set_standing(seat.desk, "S-1", Standing.SET_ASIDE, reason="chafed")
    change_plan(seat.desk, seat.trip, looked_over())
    assert seat.last("plan_recorded").body["number"] == 4


def test_departing_with_gear_out_of_use_is_recorded_as_not_met(sit: Sit) -> None:
    seat = sit("a trip planned")
    inspect(seat.desk, "S-1", damage=CUT)
    depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer="24130",
        top_speed=None,
        next_stop=None,
        reason=None,
    )
    departed = seat.last("departed")
    unmet = departed.body["unmet"]
    assert isinstance(unmet, list)
    assert {"rule": "gear-standing", "about": ["S-1"], "verdict": "does not meet"} in unmet
    assert seat.opened(departed)["reason"] == "no reason given"


def test_the_list_tells_the_four_states_apart_and_the_hold_beside(sit: Sit) -> None:
    seat = sit("a trip planned")
    set_standing(seat.desk, "S-3", Standing.SET_ASIDE, reason="chafed")
    set_standing(seat.desk, "S-4", Standing.UNFIT, reason="melted")
    hold_gear(seat.desk, "S-4", reason="evidence")
    rows = {row["label"]: (row["standing"], row["hold"]) for row in gear(seat.desk)}
    assert rows["S-1"] == ("on a trip", None)
    assert rows["S-3"] == ("set aside", None)
    assert rows["S-4"] == ("unfit", "under an evidence hold")
    assert rows["S-5"] == ("in stock", None)
    assert [row["label"] for row in gear(seat.desk, standing="on a trip")] == ["S-1", "S-2"]


def test_gear_is_to_be_looked_at_from_the_day_the_company_set(sit: Sit) -> None:
    seat = sit("a truck and gear")
    change_gear(seat.desk, "S-3", item={}, inspect_by="2026-03-02")
    change_gear(seat.desk, "S-4", item={}, inspect_by="2026-03-03")
    due = [row["label"] for row in gear(seat.desk, inspect_on="2026-03-02")]
    assert due == ["S-3"]
    seat.later(1)
    inspect(seat.desk, "S-3", damage=[], inspect_by="2027-03-02")
    assert gear(seat.desk, inspect_on="2026-03-02") == []
    assert gear_named(seat.desk, "S-3").inspect_by == "2027-03-02"
    with pytest.raises(Refused, match="year-month-day"):
        inspect(seat.desk, "S-3", damage=[], inspect_by="3/2/2027")


def test_labels_are_listed_by_their_numbers(sit: Sit) -> None:
    seat = sit("a truck and gear")
    add_gear(seat.desk, label="S-7", item={"kind": "chain"}, count=6)
    assert [row["label"] for row in gear(seat.desk)] == [f"S-{n}" for n in range(1, 13)]


def test_a_life_tells_everything_in_order_with_both_times_and_by_whom(sit: Sit) -> None:
    seat = sit("a first check made")
    earlier = seat.clock.wall - timedelta(minutes=20)
    inspect(seat.desk, "S-1", damage=CUT, at=earlier)
    seat.later(1)
    hold_gear(seat.desk, "S-1", reason="evidence")
    life = gear_life(seat.desk, gear_named(seat.desk, "S-1"))["history"]
    assert [one["what"] for one in life] == [
        "recorded as ratchet strap",
        "planned as T1",
        "departed",
        "inspected: cut 3/16 in: set aside",
        "checked: fine",
        "put under an evidence hold",
    ]
    late = next(one for one in life if one["kind"] == "gear_inspected")
    assert late["entered_late_by_min"] == 20
    assert late["event_time"] < late["entry_time"]
    assert {one["by"] for one in life} == {"owner"}
    assert [one["event_time"] for one in life] == sorted(one["event_time"] for one in life)


def test_a_life_shows_what_was_taken_back(sit: Sit) -> None:
    seat = sit("a truck and gear")
    set_standing(seat.desk, "S-1", Standing.UNFIT, reason="wrong strap")
    withdraw(seat.desk, None, reason="it was S-2")
    life = gear_life(seat.desk, gear_named(seat.desk, "S-1"))
    assert life["standing"] == "in stock"
    assert [one["standing"] for one in life["history"]] == ["in force", "taken back", "takes back"]


def test_gear_found_damaged_at_a_check_is_set_aside_with_the_trip_it_was_on(sit: Sit) -> None:
    seat = sit("a trip stopped")
    lines = [Line(tie_down="T1", found=Found.FINE), Line(tie_down="T2", found=Found.DAMAGED)]
    record_check(seat.desk, seat.trip, lines=lines, looked_at=(), stopped=False)
    assert (_standing(seat, "S-1"), _standing(seat, "S-2")) == (
        Standing.IN_STOCK,
        Standing.SET_ASIDE,
    )
    reason = {"reason": "found damaged at a check, trip T-1, T2"}
    assert seat.opened(seat.last("gear_standing_set")) == reason


def test_a_strap_that_broke_is_set_aside_once(sit: Sit) -> None:
    seat = sit("a trip stopped")
    for _ in range(2):
        report_event(
            seat.desk,
            seat.trip,
            "broken strap",
            stopped=False,
            tie_downs=["T1"],
            moved=None,
            at=None,
            note=None,
            place=None,
        )
        seat.later(5)
    assert len(seat.entries("gear_standing_set")) == 1
    assert _standing(seat, "S-1") is Standing.SET_ASIDE


def test_taking_back_what_was_recorded_last_takes_back_the_check_first(sit: Sit) -> None:
    seat = sit("a trip stopped")
    lines = [Line(tie_down="T1", found=Found.DAMAGED)]
    record_check(seat.desk, seat.trip, lines=lines, looked_at=(), stopped=False)
    _, old = withdraw(seat.desk, None, reason="the wrong strap")
    assert old.kind == "check_left_open"
    assert _standing(seat, "S-1") is Standing.SET_ASIDE
