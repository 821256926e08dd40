"""Part deliveries and deliveries: what is left is a new plan."""

from dataclasses import dataclass
from datetime import datetime
from typing import Unpack

from triplog.desk.desk import Desk
from triplog.desk.judging import Judgement, judge_trip, judgement_draft
from triplog.desk.odometer import ReadingTold, reading_fields
from triplog.desk.planning import Change, Document, plan_draft, take_off
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_while_driving, stopped_draft
from triplog.desk.time_doubts import refuse_before_departure
from triplog.journal.entries import Entry
from triplog.journal.trip import UNDER_WAY, Trip


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """A recorded delivery; `judgement` of what is left, None when nothing is."""

    entry: Entry
    judgement: Judgement | None
    trip: Trip


def deliver(
    desk: Desk,
    trip: Trip,
    articles: list[str],
    *,
    stopped: bool,
    at: datetime | None = None,
    place: str | None = None,
    note: str | None = None,
    **told: Unpack[ReadingTold],
) -> Delivery:
    """Record that articles were delivered, and the plan and judgement of what is left.

    The articles that braced their neighbours are gone, so the rest is judged anew.
    """
    if trip.state not in UNDER_WAY:
        raise Refused(f"trip {trip.label} is {trip.state}; deliveries are made under way")
    refuse_before_departure(trip, at)
    refuse_while_driving(trip, stopped=stopped)
    unknown = [one for one in articles if one not in trip.article_ids]
    if unknown or not articles:
        there = ", ".join(trip.article_ids)
        why = f"{', '.join(unknown)} is not on this trip" if unknown else "name what is delivered"
        raise Refused(f"{why}; there is: {there}")
    read = reading_fields(desk, trip, at=at, **told)
    left = set(trip.article_ids) - set(articles)
    plan = trip.plan
    assert plan is not None, "a trip under way has a plan"
    judgement = None
    with desk.writing() as writing:
        for draft in stopped_draft(desk, trip, at=at):
            writing.append(draft)
        delivered = desk.draft(
            "article_delivered",
            {"articles": articles, "revision": plan.entry.hash, **read},
            trip=trip.id,
            private={"place": place, "note": note},
            at=at,
        )
        entry = desk.append(writing, delivered)
        if left:
            writing.append(plan_draft(desk, desk.trip(trip.id), _without(articles)))
            rest = desk.trip(trip.id)
            judgement = judge_trip(rest)
            writing.append(judgement_draft(desk, rest, judgement))
    return Delivery(entry=entry, judgement=judgement, trip=desk.trip(trip.id))


def _without(articles: list[str]) -> Change:
    def edit(document: Document) -> None:
        take_off(document, set(articles))

    return Change(cause=f"{', '.join(articles)} delivered", edit=edit)
