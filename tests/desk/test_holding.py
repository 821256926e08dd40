"""Evidence holds on trips: one step to place, a named person and a reason to lift, side by side."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.builders import entry_made, hold
from tests.desk.seat import Seat
from triplog.desk.desk import NOBODY, open_desk
from triplog.desk.finding_things import person_named, vehicle_named
from triplog.desk.holding import (
    all_holds,
    hold_gear,
    hold_trip,
    holds_over,
    lift_gear_hold,
    lift_trip_hold,
)
from triplog.desk.looking import trip_record, trips
from triplog.desk.mending import withdraw
from triplog.desk.refused import Refused
from triplog.desk.road import read_odometer
from triplog.desk.scope import scope_of
from triplog.journal.entries import Entry
from triplog.journal.folding import holds_in, in_force
from triplog.journal.trip import Trip

Sit = Callable[[str], Seat]


def entries_of(seat: Seat, trip: Trip) -> list[Entry]:
    return seat.desk.store.trip_entries(trip.id)


@pytest.mark.parametrize("scene", ["a trip planned", "a trip rolling", "a trip closed"])
def test_a_trip_is_held_however_it_stands_and_shows_it(sit: Sit, scene: str) -> None:
    seat = sit(scene)
    placed = hold_trip(seat.desk, seat.trip, reason="a letter asks for it")
    assert (placed.v, placed.body, placed.trip) == (2, {}, seat.trip.id)
    assert seat.opened(placed) == {"reason": "a letter asks for it"}
    (row,) = trips(seat.desk, open_only=False)
    assert row["holds"] == 1
    assert trip_record(seat.desk, seat.trip)["holds"] == [placed.hash]
    (standing,) = all_holds(seat.desk)
    assert "trip T-1 is under an evidence hold since 2026-03-02" in standing.line
    assert "by owner (a letter asks for it)" in standing.line


def test_holds_stand_side_by_side_and_each_is_lifted_by_itself(sit: Sit) -> None:
    seat = sit("a trip stopped")
    first = hold_trip(seat.desk, seat.trip, reason="a letter")
    seat.later(1)
    second = hold_trip(seat.desk, seat.trip, reason="the insurer")
    with pytest.raises(Refused, match="several holds stand"):
        lift_trip_hold(seat.desk, seat.trip, hold=None, reason="settled")
    with pytest.raises(Refused, match="no hold 'ffffffff' stands there"):
        lift_trip_hold(seat.desk, seat.trip, hold="ffffffff", reason="settled")
    lift_trip_hold(seat.desk, seat.trip, hold=second.hash[:8], reason="settled")
    assert [fact.original for fact in seat.trip.holds] == [first]
    assert holds_over(seat.desk, entries_of(seat, seat.trip))
    lift_trip_hold(seat.desk, seat.trip, hold=None, reason="the other one too")
    assert not seat.trip.holds
    assert not holds_over(seat.desk, entries_of(seat, seat.trip))
    with pytest.raises(Refused, match="trip T-1 is not under an evidence hold"):
        lift_trip_hold(seat.desk, seat.trip, hold=None, reason="once more")


def test_anybody_places_a_hold_and_only_a_named_person_lifts_it(sit: Sit) -> None:
    seat = sit("a trip stopped")
    somebody, seat.desk.by = seat.desk.by, NOBODY
    hold_trip(seat.desk, seat.trip, reason="a letter")
    with pytest.raises(Refused, match="lifted by a named person"):
        lift_trip_hold(seat.desk, seat.trip, hold=None, reason="settled")
    seat.desk.by = somebody
    with pytest.raises(Refused, match="with a reason"):
        lift_trip_hold(seat.desk, seat.trip, hold=None, reason=" ")
    assert lift_trip_hold(seat.desk, seat.trip, hold=None, reason="settled").by == somebody


def test_taking_back_an_entry_is_no_way_round_lifting(sit: Sit) -> None:
    seat = sit("a trip stopped")
    placed = hold_trip(seat.desk, seat.trip, reason="a letter")
    with pytest.raises(Refused, match="hold_placed is not taken back"):
        withdraw(seat.desk, placed.hash, reason="changed my mind")
    _, taken = withdraw(seat.desk, None, reason="the last of mine is an earlier one")
    assert taken.kind != "hold_placed"
    assert seat.trip.holds


def test_a_hold_is_placed_whatever_another_program_wrote_meanwhile(sit: Sit) -> None:
    seat = sit("a trip stopped")
    trip = seat.trip
    other = open_desk(seat.desk.home, seat.clock)
    read_odometer(other, trip, "24157", stopped=True)
    other.store.close()
    hold_trip(seat.desk, trip, reason="a letter")
    assert seat.trip.holds


def test_a_hold_keeps_all_that_a_file_of_the_trip_holds(sit: Sit) -> None:
    seat = sit("two trips open")
    desk = seat.desk
    hold_trip(desk, seat.trip, reason="a letter")
    driver, vehicle = person_named(desk, "owner"), vehicle_named(desk, "flatbed")
    for thing in (driver, vehicle):
        assert holds_over(desk, desk.store.thing_entries(thing.id)), thing.label
    for own_hash in scope_of(desk, seat.trip).beside:
        assert holds_over(desk, [desk.store.entry(own_hash)])
    assert not holds_over(desk, entries_of(seat, seat.trip_called("T-2")))
    other = person_named(desk, "second-driver")
    assert not holds_over(desk, desk.store.thing_entries(other.id))


def test_a_hold_on_gear_keeps_its_card_and_the_trips_that_planned_it(sit: Sit) -> None:
    seat = sit("two trips open")
    placed = hold_gear(seat.desk, "S-1", reason="broke")
    assert (placed.trip, holds_over(seat.desk, entries_of(seat, seat.trip))[0].on) == (None, "S-1")
    assert holds_over(seat.desk, seat.desk.store.thing_entries(str(placed.body["gear"])))
    assert not holds_over(seat.desk, entries_of(seat, seat.trip_called("T-2")))
    seat.later(1)
    second = hold_gear(seat.desk, "S-1", reason="a letter")
    lift_gear_hold(seat.desk, "S-1", hold=second.hash, reason="settled")
    assert holds_over(seat.desk, entries_of(seat, seat.trip))


def test_a_lifting_of_the_first_version_ends_whatever_stood() -> None:
    placed = entry_made(hold("g1", "hold_placed"), seq=1, minutes=1)
    again = entry_made(hold("g1", "hold_placed"), seq=2, minutes=2)
    lifted = entry_made(hold("g1", "hold_lifted"), seq=3, minutes=3)
    later = entry_made(hold("g1", "hold_placed"), seq=4, minutes=4)
    assert [fact.entry for fact in holds_in(in_force([placed, again]))] == [placed, again]
    assert not holds_in(in_force([placed, again, lifted]))
    assert [fact.entry for fact in holds_in(in_force([placed, again, lifted, later]))] == [later]


def test_a_lifting_that_names_a_hold_ends_that_one_alone() -> None:
    placed = entry_made(hold("g1", "hold_placed"), seq=1, minutes=1)
    again = entry_made(hold("g1", "hold_placed"), seq=2, minutes=2)
    draft = hold("g1", "hold_lifted")
    lifted = entry_made(replace(draft, body={**draft.body, "hold": placed.hash}), seq=3, minutes=3)
    assert [fact.entry for fact in holds_in(in_force([placed, again, lifted]))] == [again]
