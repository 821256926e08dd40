"""Letting the tie-downs off: what is asked before the first one is touched, and in which order.

The questions follow the published cautions on unloading; any *no* or *unknown* says: do not
release.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any, cast

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_while_driving, stopped_draft
from triplog.desk.time_doubts import refuse_before_departure
from triplog.journal.entries import Entry
from triplog.journal.trip import UNDER_WAY, Trip, TripState


class Answer(StrEnum):
    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


QUESTIONS = {
    "looked first": "Looked at the load from a distance, before touching anything?",
    "nothing leans": "Has nothing moved, and does nothing lean on a tie-down?",
    "level": "Level ground, brakes on, wheels chocked?",
    "stands alone": "Does every article stand alone, or is it held by a machine or a frame?",
    "nobody near": "Nobody on the far side or where something could fall?",
    "machine": "Is the unloading machine stopped (or is there none), and the driver of the vehicle"
    " in the agreed place?",
    "own release": "Each tie-down let off by its own mechanism, face and hands out of the path of"
    " handle and hook?",
    "no bar": "No bar or pipe on any handle?",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LetOff:
    """One tie-down in the order of letting off, with why it waits where it does."""

    tie_down: str
    holds: tuple[str, ...]
    held_first: bool


def release_order(trip: Trip, only: list[str] | None = None) -> tuple[LetOff, ...]:
    """The order in which to let the tie-downs off; with `only`, those that hold just these.

    What stands on top comes first; an article that does not stand unaided, or nobody knows,
    comes last and is held by a machine or a frame before its tie-down is touched.
    """
    document = cast(dict[str, Any], trip.document or {})
    articles = {one["id"]: one for one in document.get("article", [])}

    def height(article_id: str) -> int:
        support = articles.get(article_id, {}).get("on", "deck")
        return 0 if support not in articles else 1 + height(support)

    listed = []
    for place, tie_down in enumerate(document.get("tie_down", [])):
        holds = tuple(tie_down["holds"])
        if only and not set(holds) <= set(only):
            continue
        held_first = any(articles.get(one, {}).get("stands_unaided") is not True for one in holds)
        top = max((height(one) for one in holds), default=0)
        listed.append((held_first, -top, place, holds, tie_down["id"]))
    return tuple(
        LetOff(tie_down=name, holds=holds, held_first=held_first)
        for held_first, _, _, holds, name in sorted(listed)
    )


def record_release(
    desk: Desk,
    trip: Trip,
    answers: dict[str, Answer],
    *,
    stopped: bool,
    at: datetime | None = None,
    place: str | None = None,
    note: str | None = None,
) -> tuple[Entry, bool]:
    """Record the answers; False: do not release. A question not answered is *unknown*."""
    if trip.state not in (*UNDER_WAY, TripState.DELIVERED):
        raise Refused(f"trip {trip.label} is {trip.state}; there is nothing to let off")
    refuse_before_departure(trip, at)
    refuse_while_driving(trip, stopped=stopped)
    unknown = [name for name in answers if name not in QUESTIONS]
    if unknown:
        raise Refused(f"there is no question {unknown[0]!r}; they are: {', '.join(QUESTIONS)}")
    given = {name: answers.get(name, Answer.UNKNOWN) for name in QUESTIONS}
    ready = all(answer is Answer.YES for answer in given.values())
    with desk.writing() as writing:
        for draft in stopped_draft(desk, trip, at=at):
            writing.append(draft)
        entry = desk.append(
            writing,
            desk.draft(
                "released",
                {
                    "answers": [
                        {"question": name, "answer": str(answer)} for name, answer in given.items()
                    ],
                    "ready": ready,
                },
                trip=trip.id,
                private={"place": place, "note": note},
                at=at,
            ),
        )
    return entry, ready
