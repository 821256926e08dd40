"""When something on the road happened, as somebody states it: what cannot be right is asked."""

from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli import asking
from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import show
from triplog.desk.refused import Refused
from triplog.journal.trip import UNDER_WAY, TripState

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import datetime

    from triplog.desk.desk import Desk
    from triplog.desk.time_doubts import TimeAsked
    from triplog.journal.entries import Entry
    from triplog.journal.trip import Trip

_WRONG = "typed wrongly"
AsStated = Annotated[
    bool,
    typer.Option(
        "--as-stated",
        help="Keep a time that cannot be right (to come, or before departure): counts for nothing.",
    ),
]


def on_the_road(trip: str | None) -> "Collection[TripState]":
    """Where a trip may stand for something on the road to be told of it.

    One that has not departed is meant only where it is named.
    """
    from triplog.desk.time_doubts import ROAD

    return UNDER_WAY if trip is None else ROAD


def stated(
    desk: "Desk", trip: "Trip", at: str | None, *, as_stated: bool
) -> "tuple[datetime | None, TimeAsked]":
    """The moment stated, None for now, and what asking about it came to.

    Refused where it cannot be right, nobody said that it stands, and nobody can be asked.
    """
    from triplog.desk.time_doubts import TimeAsked, doubt_text, time_body, time_doubt
    from triplog.desk.when import moment
    from triplog.wording.time_doubts import ASKED, NOT_RECORDED

    reading = desk.now_on(trip)
    asked = TimeAsked(stands=as_stated)
    while True:
        when = moment(at, reading, asked=True)
        doubt = time_doubt(trip, when, reading)
        if doubt is None or asked.stands or not asking.at_terminal():
            time_body(desk, trip, when, asked)
            return when, asked
        show([f"  {doubt_text(trip, doubt, when, reading)}", ASKED])
        if trip.departure is None:
            if not asking.yes(None, "Record it as stated?", "--as-stated"):
                raise Refused(NOT_RECORDED)
            asked = TimeAsked(stands=True)
        elif (
            asking.one_of(f'"{at}" is', ["typed wrongly", "to stand as stated"]) == "typed wrongly"
        ):
            asked = TimeAsked(first=asked.first or when)
            at = asking.text(None, "When was it", "--at", example="10:31")
        else:
            asked = TimeAsked(stands=True, first=asked.first)


def show_doubt(entry: "Entry") -> int:
    """Say that an entry's time cannot be right, if so; the exit code of that."""
    doubt = entry.body.get("time_doubt")
    if doubt is None:
        return DONE
    from triplog.wording.time_doubts import told_after

    show([told_after(str(doubt), entry.hash[:8])])
    return FOUND
