"""A second look: asked for where a load is carried for the first time, and another person's.

A coroner asked that the look at restraints be not left to the driver alone (job practice; the NZ
pipe case of 2012, press). Which loads ask for it is common practice, no source.
"""

from collections.abc import Callable

import pytest

from tests.desk.seat import Seat
from triplog.desk.departing import Departure, depart, outlook, record_loading
from triplog.desk.finding_things import person_named
from triplog.desk.people import add_person
from triplog.desk.planning import change_plan, change_tie_down
from triplog.desk.refused import Refused
from triplog.desk.second_look import RULE, How, Seen, record_second_look
from triplog.journal.entries import Entry

Sit = Callable[[str], Seat]


def loaded(seat: Seat, *, carried_before: bool | None) -> Seat:
    """The load is on, recorded by the owner; a yard hand and a second driver have cards."""
    add_person(seat.desk, label="yard-hand", roles=["loads"], name=None)
    add_person(seat.desk, label="second-driver", roles=["drives"], name=None)
    record_loading(seat.desk, seat.trip, over=False, note=None, carried_before=carried_before)
    return seat


def look(
    seat: Seat, by: str | None = "yard-hand", *, how: How = How.ON_THE_SPOT, right: bool = True
) -> Entry:
    seen = Seen.AS_PLANNED if right else Seen.TO_PUT_RIGHT
    return record_second_look(
        seat.desk, seat.trip, by=by, how=how, seen=None if how is How.PHOTO_UNANSWERED else seen
    )


def leave(seat: Seat, driver: str | None = None, *, carried: bool | None = None) -> Departure:
    return depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by if driver is None else person_named(seat.desk, driver).id,
        odometer="24130",
        top_speed=None,
        next_stop=None,
        reason=None,
        carried_before=carried,
    )


def unmet(departure: Departure) -> list[str]:
    listed = departure.entry.body["unmet"]
    assert isinstance(listed, list)
    return [one["rule"] for one in listed]


def test_a_first_time_load_without_a_second_look_departs_and_says_it_is_missing(sit: Sit) -> None:
    seat = loaded(sit("a trip planned"), carried_before=False)
    found = outlook(seat.desk, seat.trip)
    assert found.second_look == "no second person has looked at it"
    assert not found.is_settled
    departure = leave(seat)
    assert unmet(departure) == [RULE]
    assert seat.opened(departure.entry)["reason"] == "no reason given"


@pytest.mark.parametrize("carried", [True, None])
def test_it_is_not_asked_for_otherwise(carried: bool | None, sit: Sit) -> None:
    seat = loaded(sit("a trip planned"), carried_before=carried)
    assert outlook(seat.desk, seat.trip).is_settled
    assert unmet(leave(seat)) == []


def test_it_may_be_told_at_departure_only(sit: Sit) -> None:
    departure = leave(sit("a trip planned"), carried=False)
    assert unmet(departure) == [RULE]
    assert departure.entry.body["carried_before"] is False


@pytest.mark.parametrize("how", [How.ON_THE_SPOT, How.PHOTO_ANSWERED])
def test_another_persons_look_counts_on_the_spot_or_by_a_photo_that_was_answered(
    how: How, sit: Sit
) -> None:
    seat = loaded(sit("a trip planned"), carried_before=False)
    look(seat, how=how)
    assert unmet(leave(seat)) == []


def test_a_photo_that_nobody_answered_counts_nothing(sit: Sit) -> None:
    seat = loaded(sit("a trip planned"), carried_before=False)
    entry = look(seat, how=How.PHOTO_UNANSWERED)
    assert "seen" not in entry.body
    assert "nobody answered" in (outlook(seat.desk, seat.trip).second_look or "")


def test_what_the_second_person_found_stays_open_until_they_look_again(sit: Sit) -> None:
    seat = loaded(sit("a trip planned"), carried_before=False)
    look(seat, right=False)
    assert "something to put right" in (outlook(seat.desk, seat.trip).second_look or "")
    seat.later(5)
    look(seat)
    assert outlook(seat.desk, seat.trip).second_look is None


def test_a_plan_changed_afterwards_asks_for_another_look(sit: Sit) -> None:
    seat = loaded(sit("a trip planned"), carried_before=False)
    look(seat)
    change_plan(
        seat.desk, seat.trip, change_tie_down(seat.desk, "T-1", "T1", tie_down={}, gear="S-5")
    )
    assert "the plan was changed" in (outlook(seat.desk, seat.trip).second_look or "")


def test_who_loaded_is_no_second_person(sit: Sit) -> None:
    seat = loaded(sit("a trip planned"), carried_before=False)
    before = seat.count()
    with pytest.raises(Refused, match="owner recorded the loading; a second look is another"):
        look(seat, by=None)
    assert seat.count() == before


def test_who_drives_is_no_second_person_before_or_after_departure(sit: Sit) -> None:
    seat = loaded(sit("a trip planned"), carried_before=False)
    look(seat, by="second-driver")
    assert outlook(seat.desk, seat.trip).second_look is None
    departure = leave(seat, "second-driver")
    assert unmet(departure) == [RULE]
    with pytest.raises(Refused, match="driving"):
        look(seat, by="second-driver")


def test_it_is_a_look_at_a_load_that_is_on(sit: Sit) -> None:
    seat = sit("a trip planned")
    with pytest.raises(Refused, match="triplog loaded"):
        look(seat, by=None)
