"""When something is said to have happened, and what of that cannot be right.

A time ahead of the clock, or on the road before the departure, is asked about. Whoever says that it
is to stand has it recorded as stated, with the doubt; it counts for nothing until it is corrected.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from triplog.desk.desk import Desk, present
from triplog.desk.refused import Refused
from triplog.desk.when import AHEAD_ALLOWED, local_text
from triplog.journal.entries import Body, ClockReading, time_text
from triplog.journal.trip import UNDER_WAY, Trip, TripState
from triplog.wording import time_doubts as wording


class TimeDoubt(StrEnum):
    """Why a time cannot be right; the words stand in the journal."""

    AHEAD = "ahead of the clock"
    BEFORE = "before departure"


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeAsked:
    """What asking about a stated time came to.

    `stands`: it is to stand though it cannot be right. `first`: what was typed before it was asked
    about, None: nothing else was.
    """

    stands: bool = False
    first: datetime | None = None


NOT_ASKED = TimeAsked()
ROAD = UNDER_WAY | {TripState.PLANNED, TripState.LOADED}
"""Where a trip can stand when something on the road is told; before departure with its doubt."""


def time_doubt(trip: Trip, at: datetime | None, reading: ClockReading) -> TimeDoubt | None:
    """Why something on the road cannot have happened then; None: it can."""
    if at is not None and at > reading.wall + AHEAD_ALLOWED:
        return TimeDoubt.AHEAD
    departure = trip.departure
    if departure is None or (at is not None and at < departure.entry.event_time):
        return TimeDoubt.BEFORE
    return None


def doubt_text(trip: Trip, doubt: TimeDoubt, at: datetime | None, reading: ClockReading) -> str:
    """Why a time cannot be right, in words."""
    departure = trip.departure
    when = "now" if at is None else _local(at, reading)
    if doubt is TimeDoubt.AHEAD:
        return wording.AHEAD.format(when=when, now=_local(reading.wall, reading))
    if departure is None:
        return wording.NOT_DEPARTED.format(trip=trip.label, state=trip.state)
    departed = local_text(departure.entry.event_time, departure.entry)
    return wording.BEFORE.format(when=when, trip=trip.label, departed=departed)


def time_body(desk: Desk, trip: Trip, at: datetime | None, asked: TimeAsked) -> Body:
    """What an entry says of its own time: why it cannot be right, and what was typed first.

    Empty where nothing is to be said. Raises Refused where it cannot be right and nobody said that
    it is to stand.
    """
    reading = desk.now_on(trip)
    doubt = time_doubt(trip, at, reading)
    if doubt is not None and not asked.stands:
        what_to_do = wording.DEPART_FIRST if trip.departure is None else wording.LOOK
        told = doubt_text(trip, doubt, at, reading)
        raise Refused(f"{told}; {what_to_do}. {wording.HOW_TO_KEEP}")
    return present(
        time_doubt=None if doubt is None else str(doubt),
        time_first=None if asked.first is None else time_text(asked.first),
    )


def counted(at: datetime | None, said_of_time: Body) -> datetime | None:
    """When what goes with an entry happened: with it, or now where its own time is in doubt."""
    return None if "time_doubt" in said_of_time else at


def refuse_before_departure(trip: Trip, at: datetime | None) -> None:
    """Refuse what is said to have happened on the road before the trip departed."""
    departure = trip.departure
    if departure is None:
        raise Refused(f"trip {trip.label} is {trip.state}; {wording.DEPART_FIRST}")
    if at is not None and at < departure.entry.event_time:
        when, departed = (
            local_text(one, departure.entry) for one in (at, departure.entry.event_time)
        )
        told = wording.BEFORE.format(when=when, trip=trip.label, departed=departed)
        raise Refused(f"{told}; {wording.LOOK}")


def _local(moment: datetime, reading: ClockReading) -> str:
    zone = timedelta(minutes=reading.offset_min)
    return (moment + zone).strftime("%Y-%m-%d %H:%M")
