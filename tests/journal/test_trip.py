"""What the entries of one trip amount to."""

from dataclasses import replace
from datetime import timedelta

from tests.builders import (
    DRIVER,
    START,
    TRIP,
    check_completed,
    departed,
    duty_changed,
    entry_made,
    plan_recorded,
    trip_opened,
    withdrawn,
)
from triplog.journal.entries import Draft, Entry
from triplog.journal.trip import OPEN_STATES, UNDER_WAY, Trip, TripState, trip_of


def _made(*drafts: Draft) -> list[Entry]:
    """One entry a minute."""
    return [entry_made(draft, seq=seq, minutes=seq) for seq, draft in enumerate(drafts)]


def _trip(*drafts: Draft) -> Trip:
    return trip_of(TRIP, _made(*drafts))


def _of_trip(kind: str, **body: object) -> Draft:
    return Draft(kind=kind, trip=TRIP, body=body, by=DRIVER)


PLAN = entry_made(plan_recorded(), seq=1, minutes=1)
PLANNED = (trip_opened(), plan_recorded())
LOADED = (*PLANNED, _of_trip("loading_recorded", revision=PLAN.hash))
ROLLING = (*LOADED, departed(PLAN.hash))
STOPPED = (*ROLLING, duty_changed("on duty"))
DELIVERED = (
    *STOPPED,
    _of_trip("article_delivered", articles=["A1"], revision=PLAN.hash),
    _of_trip("article_delivered", articles=["A2"], revision=PLAN.hash),
)
CLOSED = (*DELIVERED, _of_trip("trip_closed", release_done=True, gear_back=True, trip_heads={}))


def test_a_trip_goes_from_planned_to_closed() -> None:
    states = [_trip(*facts).state for facts in (PLANNED, LOADED, ROLLING, STOPPED, DELIVERED)]
    assert states == ["planned", "loaded", "rolling", "stopped", "delivered"]
    assert _trip(*CLOSED).state is TripState.CLOSED


def test_driving_on_after_a_stop_is_rolling_again() -> None:
    assert _trip(*STOPPED, duty_changed("driving")).state is TripState.ROLLING


def test_a_part_delivery_leaves_the_trip_under_way() -> None:
    assert _trip(*DELIVERED[:-1]).state is TripState.STOPPED


def test_a_withdrawn_trip_is_withdrawn() -> None:
    trip = _trip(*LOADED, _of_trip("trip_withdrawn"))
    assert trip.state is TripState.WITHDRAWN
    assert trip.state not in OPEN_STATES


def test_a_withdrawn_departure_is_no_departure() -> None:
    entries = _made(*ROLLING)
    back = entry_made(withdrawn(entries[-1]), seq=9, minutes=9)
    trip = trip_of(TRIP, [*entries, back])
    assert trip.departure is None
    assert trip.state is TripState.LOADED
    assert trip.state not in UNDER_WAY


def test_the_trip_is_driven_while_any_driver_on_board_drives() -> None:
    trip = _trip(*ROLLING, duty_changed("sleeper", driver="second driver"))
    assert trip.duty_by_driver == {DRIVER: "driving", "second driver": "sleeper"}
    assert trip.is_driven
    assert not _trip(*STOPPED, duty_changed("off duty", driver="second driver")).is_driven


def test_the_plan_in_force_is_the_one_entered_last_whatever_time_it_names() -> None:
    backdated = replace(
        plan_recorded(mass="7000 lb", number=2), event_time=START - timedelta(days=1)
    )
    trip = _trip(*PLANNED, backdated)
    assert trip.plan is not None
    assert trip.plan.entry.body["number"] == 2
    assert trip.article_ids == ("A1", "A2")


def test_a_judgement_of_an_earlier_plan_says_nothing_of_the_plan_in_force() -> None:
    judged = _of_trip("plan_judged", revision=PLAN.hash, findings={})
    assert _trip(*PLANNED, judged).judgement is not None
    assert _trip(*PLANNED, judged, plan_recorded(number=2)).judgement is None


def test_a_trip_is_known_as_it_was_at_a_time() -> None:
    entries = _made(*CLOSED)
    assert trip_of(TRIP, entries, START + timedelta(minutes=3)).state is TripState.ROLLING
    assert trip_of(TRIP, entries, START + timedelta(minutes=1)).state is TripState.PLANNED


def test_a_trip_without_its_opening_is_called_by_its_id() -> None:
    assert _trip(check_completed(PLAN.hash)).label == TRIP
    assert _trip(*PLANNED).label == "T-1"


def test_a_trip_before_its_first_plan_holds_nothing() -> None:
    trip = _trip(trip_opened())
    assert (trip.plan, trip.document, trip.article_ids, trip.judgement) == (None, None, (), None)
