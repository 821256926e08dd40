"""Deliveries, letting off and closing: what is left is judged anew, what went out comes back."""

from collections.abc import Callable

import pytest

from scheduler.progress import DutyStatus
from tests.desk.seat import Seat, with_a_pallet
from triplog.desk.delivering import deliver
from triplog.desk.departing import depart
from triplog.desk.finding_things import gear_named
from triplog.desk.gear import set_standing
from triplog.desk.mending import correct
from triplog.desk.planning import (
    Document,
    add_article,
    add_tie_down,
    change_plan,
    change_tie_down,
)
from triplog.desk.refused import Refused
from triplog.desk.releasing import QUESTIONS, Answer, record_release, release_order
from triplog.desk.road import change_duty, report_event, stopped_draft, unrevised
from triplog.desk.trips import close_trip, gear_out
from triplog.journal.things import Standing
from triplog.journal.trip import TripState, records_in

Sit = Callable[[str], Seat]


def article_in_plan(seat: Seat, article_id: str) -> Document:
    """An article of the plan in force."""
    articles = records_in(seat.trip.document or {}, "article")
    return next(dict(one) for one in articles if one["id"] == article_id)


def test_what_was_blocked_by_an_article_that_is_gone_is_blocked_by_nothing(sit: Sit) -> None:
    blocked = {"forward": "A", "left": "front structure"}
    seat = with_a_pallet(sit("a trip stopped"), blocked=blocked)
    delivery = deliver(seat.desk, seat.trip, ["A"], stopped=True)
    assert article_in_plan(seat, "B")["blocked"] == {
        "forward": "nothing",
        "left": "front structure",
    }
    assert delivery.judgement is not None
    count = [one for one in delivery.judgement.findings if one.rule == "us-393.110-count"]
    assert [one.about for one in count] == [("B",)]


def test_a_part_delivery_records_delivery_plan_and_judgement_together(sit: Sit) -> None:
    seat = with_a_pallet(sit("a trip stopped"))
    before = seat.count()
    delivery = deliver(seat.desk, seat.trip, ["A"], stopped=True, odometer="24160", place="a farm")
    assert seat.count() == before + 3
    assert delivery.entry.body["odometer"] == "24160 mi"
    assert seat.opened(delivery.entry) == {"place": "a farm"}
    plan = seat.trip.plan
    assert plan is not None
    assert plan.entry.body["cause"] == "A delivered"
    assert seat.last("plan_judged").body["revision"] == plan.entry.hash
    assert [one["id"] for one in records_in(seat.trip.document or {}, "gear")] == ["S-3"]
    assert seat.trip.state is TripState.STOPPED


def test_with_the_last_article_the_trip_is_delivered_and_nothing_is_judged(sit: Sit) -> None:
    seat = sit("a trip stopped")
    delivery = deliver(seat.desk, seat.trip, ["A"], stopped=True)
    assert delivery.judgement is None
    assert seat.trip.state is TripState.DELIVERED


@pytest.mark.parametrize("articles", [[], ["Z"], ["A", "Z"]])
def test_what_is_not_on_the_trip_is_not_delivered(articles: list[str], sit: Sit) -> None:
    seat = sit("a trip stopped")
    with pytest.raises(Refused, match="there is: A"):
        deliver(seat.desk, seat.trip, articles, stopped=True)


def test_what_carries_another_article_is_not_delivered_from_under_it(sit: Sit) -> None:
    seat = sit("a trip with one article on another")
    before = seat.count()
    with pytest.raises(Refused, match="B stands on A"):
        deliver(seat.desk, seat.trip, ["A"], stopped=True)
    assert seat.count() == before
    deliver(seat.desk, seat.trip, ["A", "B"], stopped=True)


def test_what_stands_on_top_is_let_off_first_and_what_may_fall_last(sit: Sit) -> None:
    """Common practice, no source: top tier first; what does not stand alone is held first."""
    seat = with_a_pallet(sit("a trip stopped"), on="A", stands_unaided=True)
    order = release_order(seat.trip)
    assert [one.tie_down for one in order] == ["T3", "T1", "T2"]
    assert not any(one.held_first for one in order)
    seat = with_a_pallet_that_may_fall(seat)
    last = release_order(seat.trip)[-1]
    assert (last.tie_down, last.held_first) == ("T4", True)


def with_a_pallet_that_may_fall(seat: Seat) -> Seat:
    """Put on an article of which nobody knows whether it stands alone."""
    change_plan(
        seat.desk, seat.trip, add_article(article={"what": "pole"}, article_id="C", count=1)
    )
    strap = {"holds": ["C"], "path": "over"}
    add = add_tie_down(seat.desk, "T-1", tie_down=strap, gear="S-4", tie_down_id=None)
    change_plan(seat.desk, seat.trip, add)
    return seat


def test_only_the_tie_downs_of_the_articles_named_are_listed(sit: Sit) -> None:
    seat = with_a_pallet(sit("a trip stopped"))
    assert [one.tie_down for one in release_order(seat.trip, ["B"])] == ["T3"]


@pytest.mark.parametrize("answer", [Answer.NO, Answer.UNKNOWN, None])
@pytest.mark.parametrize("question", QUESTIONS)
def test_one_no_or_unknown_says_do_not_release(
    question: str, answer: Answer | None, sit: Sit
) -> None:
    seat = sit("a trip stopped")
    answers = dict.fromkeys(QUESTIONS, Answer.YES)
    if answer is None:
        del answers[question]
    else:
        answers[question] = answer
    entry, ready = record_release(seat.desk, seat.trip, answers, stopped=True)
    assert not ready
    assert entry.body["ready"] is False


def test_a_closed_trip_has_its_gear_counted_in_or_named_as_missing(sit: Sit) -> None:
    seat = sit("a first check made")
    entry = close_trip(seat.desk, seat.trip, release_done=True, gear_missing=["S-2"], note=None)
    assert entry.body["gear_back"] == ["S-1"]
    assert entry.body["missing"] == ["S-2"]
    assert seat.trip.state is TripState.CLOSED


def test_the_closing_entry_keeps_the_heads_of_the_trip_as_they_were(sit: Sit) -> None:
    seat = sit("a first check made")
    heads = seat.desk.store.trip_heads(seat.trip.id)
    entry = close_trip(seat.desk, seat.trip, release_done=True, gear_missing=[], note=None)
    assert entry.body["trip_heads"] == heads == {seat.desk.store.device: entry.trip_prev}


def test_gear_taken_on_and_off_on_the_road_was_out_and_gear_of_the_yard_was_not(sit: Sit) -> None:
    seat = sit("a trip planned")
    swap = change_tie_down(seat.desk, "T-1", "T1", tie_down={}, gear="S-5")
    change_plan(seat.desk, seat.trip, swap)
    depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer=None,
        top_speed=None,
        next_stop=None,
        reason=None,
    )
    for stop in stopped_draft(seat.desk, seat.trip, at=None):
        seat.desk.record(stop)
    swap = change_tie_down(seat.desk, "T-1", "T1", tie_down={}, gear="S-6")
    change_plan(seat.desk, seat.trip, swap)
    assert gear_out(seat.trip) == ["S-2", "S-5", "S-6"]


def test_an_odd_reading_with_a_delivery_is_asked_about(sit: Sit) -> None:
    seat = with_a_pallet(sit("a trip stopped"))
    before = seat.count()
    with pytest.raises(Refused, match="faster than"):
        deliver(seat.desk, seat.trip, ["A"], stopped=True, odometer="241560")
    assert seat.count() == before
    delivery = deliver(seat.desk, seat.trip, ["A"], stopped=True, odometer="241560", sure=True)
    assert delivery.entry.body["odometer"] == "241560 mi"


def test_an_id_that_comes_again_after_a_delivery_is_still_to_be_delivered(sit: Sit) -> None:
    """Otherwise the reminders would end with that article on the deck."""
    seat = with_a_pallet(sit("a trip stopped"))
    deliver(seat.desk, seat.trip, ["A"], stopped=True)
    change_plan(
        seat.desk,
        seat.trip,
        add_article(article={"what": "empty crates"}, article_id="A", count=1),
    )
    delivery = deliver(seat.desk, seat.trip, ["B"], stopped=True)
    assert seat.trip.article_ids == ("A",)
    assert delivery.trip.state is TripState.STOPPED
    assert seat.trip.delivered_ids == frozenset()
    deliver(seat.desk, seat.trip, ["A"], stopped=True)
    assert seat.trip.state is TripState.DELIVERED


def test_a_trip_that_is_delivered_takes_no_next_load(sit: Sit) -> None:
    """What was delivered still stands on its last plan and would be judged with the next load."""
    seat = sit("a first check made")
    deliver(seat.desk, seat.trip, ["A"], stopped=True)
    box = add_article(article={"what": "a box"}, article_id="B", count=1)
    with pytest.raises(Refused, match="open another for the next load"):
        change_plan(seat.desk, seat.trip, box)


def test_a_plan_whose_reason_is_corrected_is_still_what_the_trip_left_with(sit: Sit) -> None:
    seat = sit("a first check made")
    judged = seat.trip.judgement
    plan = seat.last("plan_recorded")
    correct(seat.desk, plan.hash, changes={"reason": "as on paper"}, at=None, reason="left out")
    assert seat.trip.judgement == judged
    assert gear_out(seat.trip) == ["S-1", "S-2"]
    deliver(seat.desk, seat.trip, ["A"], stopped=True)
    assert seat.trip.state is TripState.DELIVERED


def test_what_is_missing_at_the_end_is_set_aside_until_it_is_found(sit: Sit) -> None:
    seat = sit("a first check made")
    close_trip(seat.desk, seat.trip, release_done=True, gear_missing=["S-2"], note=None)
    lost = gear_named(seat.desk, "S-2")
    assert lost.standing is Standing.SET_ASIDE
    reason = seat.opened(seat.last("gear_standing_set"))["reason"]
    assert reason == "missing at the end of trip T-1"
    assert gear_named(seat.desk, "S-1").standing is Standing.IN_STOCK
    set_standing(seat.desk, "S-2", Standing.IN_STOCK, reason="found under the seat")


def test_gear_that_nobody_counted_is_neither_back_nor_missing(sit: Sit) -> None:
    seat = sit("a first check made")
    entry = close_trip(seat.desk, seat.trip, release_done=True, gear_missing=None, note=None)
    assert entry.body["gear_back"] == []
    assert entry.body["missing"] == []
    assert entry.body["not_counted"] == ["S-1", "S-2"]
    assert gear_named(seat.desk, "S-2").standing is Standing.IN_STOCK


def test_a_delivery_that_leaves_something_open_asks_for_a_plan_before_rolling(sit: Sit) -> None:
    """The one strap over what is left is half of what 49 CFR 393.110 asks of an article unblocked.

    A pallet of 4 ft and 900 lb that nothing blocks forward needs one; of 2,000 lb it needs two.
    """
    seat = with_a_pallet(sit("a trip stopped"), mass="2000 lb", blocked={"forward": "A"})
    delivery = deliver(seat.desk, seat.trip, ["A"], stopped=True)
    assert delivery.judgement is not None
    assert delivery.judgement.unsettled
    assert unrevised(seat.trip) == (delivery.entry.hash,)
    entry, _ = change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.DRIVING,
        driver=seat.desk.by,
        at=None,
        place=None,
        reason=None,
    )
    assert entry.body["unrevised"] == [delivery.entry.hash]
    seat.later(5)
    change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.ON_DUTY,
        driver=seat.desk.by,
        at=None,
        place=None,
        reason=None,
    )
    change = change_tie_down(seat.desk, "T-1", "T3", tie_down={"to": "R5"}, gear=None)
    change_plan(seat.desk, seat.trip, change)
    assert unrevised(seat.trip) == ()


def test_the_release_list_asks_each_thing_that_has_killed() -> None:
    """Common practice after published accidents at unloading; one question for each thing."""
    asked = " ".join(QUESTIONS.values()).lower()
    for thing in (
        "before touching anything",
        "lean on a tie-down",
        "level ground",
        "brakes on",
        "chocked",
        "stand alone",
        "machine or a frame",
        "far side",
        "could fall",
        "machine stopped",
        "driver of the vehicle in the agreed place",
        "own mechanism",
        "face and hands out of the path",
        "no bar",
    ):
        assert thing in asked


def test_a_delivery_is_no_answer_to_a_broken_strap(sit: Sit) -> None:
    seat = with_a_pallet(sit("a trip stopped"))
    report_event(
        seat.desk,
        seat.trip,
        "broken strap",
        stopped=True,
        tie_downs=["T2"],
        moved=None,
        at=None,
        note=None,
        place=None,
    )
    seat.later(5)
    deliver(seat.desk, seat.trip, ["B"], stopped=True)
    assert seat.last("event_reported").hash in unrevised(seat.trip)
