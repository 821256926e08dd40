"""Handing over to a relief driver: what is recorded, what is refused, what stays as it was.

That a change of driver comes with a change of duty status, after which a look is due:
49 CFR 392.9(b)(3)(i) with 49 CFR 395.8; which fields a hand-over holds is common practice, no
source.
"""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from tests.desk.seat import Seat
from triplog.desk.finding_things import person_named
from triplog.desk.handing_over import hand_over
from triplog.desk.mending import correct, withdraw
from triplog.desk.people import add_person
from triplog.desk.refused import Refused
from triplog.journal.entries import Entry

Sit = Callable[[str], Seat]


def over(seat: Seat, **more: Any) -> Entry:
    said: dict[str, Any] = {
        "to": "relief", "giver": None, "looked_together": None, "stopped": True
    }  # fmt: skip
    return hand_over(seat.desk, seat.trip, **(said | more))


def seat_with_relief(sit: Sit, scene: str = "a trip stopped") -> Seat:
    seat = sit(scene)
    add_person(seat.desk, label="relief", roles=["drives"], name=None)
    seat.later(3)
    return seat


def test_it_holds_who_to_whom_and_the_heads_of_the_trip_as_known_then(sit: Sit) -> None:
    seat = seat_with_relief(sit)
    heads = seat.desk.store.trip_heads(seat.trip.id)
    entry = over(
        seat, odometer="24160", looked_together=True, open_points="T2 creeps", place="Millbrook"
    )
    relief = person_named(seat.desk, "relief").id
    assert entry.body == {
        "from": seat.desk.by,
        "to": relief,
        "odometer": "24160 mi",
        "looked_together": True,
        "trip_heads": heads,
    }
    assert entry.trip_prev in heads.values()
    assert seat.opened(entry) == {"open_points": "T2 creeps", "place": "Millbrook"}
    assert entry.private.keys() == {"open_points", "place"}


def test_what_nobody_said_is_left_out(sit: Sit) -> None:
    assert over(seat_with_relief(sit)).body.keys() == {"from", "to", "trip_heads"}


def test_while_driving_it_is_refused_until_the_vehicle_stands(sit: Sit) -> None:
    seat = seat_with_relief(sit, "a trip rolling")
    before = seat.count()
    with pytest.raises(Refused, match="--stopped"):
        over(seat, stopped=False)
    assert seat.count() == before


def test_the_stop_is_recorded_with_it_and_no_other_duty_status_changes(sit: Sit) -> None:
    seat = seat_with_relief(sit, "a trip rolling")
    entry = over(seat)
    assert seat.trip.duty_by_driver == {seat.desk.by: "on duty"}
    assert entry.trip_prev == seat.last("duty_changed").hash
    assert entry.body["trip_heads"] == {entry.device: entry.trip_prev}


def test_it_answers_no_check(sit: Sit) -> None:
    seat = seat_with_relief(sit)
    due = "SELECT rule_id, due_since FROM due ORDER BY rule_id"
    before = seat.desk.store.raw.execute(due).fetchall()
    over(seat)
    assert seat.desk.store.raw.execute(due).fetchall() == before


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"to": "nobody-here"}, "no person is called 'nobody-here'; there is: owner, relief"),
        ({"to": "owner"}, "owner has the trip already"),
        ({"giver": "relief", "to": "owner"}, "relief has not driven trip T-1; on board: owner"),
        ({"odometer": "24100"}, "below the reading before"),
        ({"odometer": "24160 ft"}, "an odometer reads miles or kilometres"),
    ],
)
def test_what_cannot_be_is_refused_in_words(said: dict[str, Any], words: str, sit: Sit) -> None:
    seat = seat_with_relief(sit)
    before = seat.count()
    with pytest.raises(Refused, match=words):
        over(seat, **said)
    assert seat.count() == before


@pytest.mark.parametrize("scene", ["a trip planned", "a trip closed"])
def test_only_a_trip_under_way_is_handed_over(scene: str, sit: Sit) -> None:
    with pytest.raises(Refused, match="trip T-1 is"):
        over(seat_with_relief(sit, scene))


def test_before_the_departure_it_cannot_have_been(sit: Sit) -> None:
    seat = seat_with_relief(sit)
    with pytest.raises(Refused, match="before trip T-1 departed"):
        over(seat, at=seat.clock.wall - timedelta(hours=2))


def test_who_took_over_last_hands_over_next_unless_somebody_drives(sit: Sit) -> None:
    seat = seat_with_relief(sit)
    over(seat)
    seat.later(5)
    entry = over(seat, to="owner")
    assert entry.body["from"] == person_named(seat.desk, "relief").id


def test_a_reading_typed_wrong_is_corrected(sit: Sit) -> None:
    seat = seat_with_relief(sit)
    entry = over(seat, odometer="24169")
    mended = correct(
        seat.desk, entry.hash, changes={"odometer": "24160"}, at=None, reason="misread"
    )
    assert mended.body == {**entry.body, "odometer": "24160 mi"}


def test_a_hand_over_that_did_not_come_about_is_taken_back(sit: Sit) -> None:
    seat = seat_with_relief(sit)
    withdraw(seat.desk, over(seat).hash, reason="the relief driver went home")
    assert seat.trip.of("handed_over") == ()
