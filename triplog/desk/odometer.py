"""Odometer readings as people type them, and what about them should be asked."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from typing import TypedDict, Unpack

from triplog.checks import odometer_mm, top_speed_mm_per_h
from triplog.desk.desk import Desk, present
from triplog.desk.refused import Refused
from triplog.desk.setting_up import units_of
from triplog.journal.entries import Body, Entry, event_time_now
from triplog.journal.trip import Trip
from triplog.securement.quantity import Dimension, parse

_KM_PER_MILE = Fraction("1.609344")


class Doubt(StrEnum):
    """What is odd about a reading; it is asked about, never refused for good."""

    BACKWARDS = "it is below the reading before"
    ABOVE_LATER = "it is above a reading made later"
    TOO_FAST = "it would mean driving faster than the vehicle's stated top road speed"
    SWAPPED = "two digits may be swapped"
    OTHER_UNIT = "it fits the reading before if it is in the other unit (mi and km)"


def odometer_text(desk: Desk, typed: str) -> str:
    """The reading with its unit: as typed, or in the carrier's unit where a bare number is typed.

    Raises Refused for what is no distance.
    """
    text = typed.strip()
    if text.replace(",", "").replace(".", "", 1).isdecimal():
        text = f"{text} {'km' if units_of(desk) == 'si' else 'mi'}"
    try:
        quantity = parse(text, Dimension.LENGTH)
    except ValueError as problem:
        raise Refused(str(problem)) from problem
    if quantity.unit not in ("mi", "km"):
        raise Refused(f"an odometer reads miles or kilometres, found {typed!r}")
    return text


def read_at(desk: Desk, trip: Trip, at: datetime | None) -> datetime:
    """When a reading is made: as told, or now as the trip's entries are dated."""
    return at or event_time_now(desk.store.trip_entries(trip.id), desk.now())


def doubts(trip: Trip, reading: str, at: datetime) -> tuple[Doubt, ...]:
    """What should be asked about a reading before it is recorded; empty: nothing."""
    before, after = _neighbours(trip, at)
    now_mm = odometer_mm(reading)
    if before is None:
        return (Doubt.ABOVE_LATER,) if after is not None and now_mm > after.most_mm else ()
    most_mm = _most_mm(trip, at, before.at)

    def doubt(candidate_mm: int) -> Doubt | None:
        if candidate_mm < before.least_mm:
            return Doubt.BACKWARDS
        if most_mm is not None and candidate_mm - before.most_mm > most_mm:
            return Doubt.TOO_FAST
        if after is not None and candidate_mm > after.most_mm:
            return Doubt.ABOVE_LATER
        return None

    def fits(candidate_mm: int) -> bool:
        return doubt(candidate_mm) is None

    odd = doubt(now_mm)
    if odd is None:
        return ()
    found = [odd]

    if any(fits(odometer_mm(swapped)) for swapped in _swaps(reading)):
        found.append(Doubt.SWAPPED)
    elif fits(round(now_mm * _KM_PER_MILE)) or fits(round(now_mm / _KM_PER_MILE)):
        found.append(Doubt.OTHER_UNIT)
    return tuple(found)


class Answered(TypedDict, total=False):
    """What was answered where an odometer reading was asked about.

    `sure`: what is odd about it was asked and confirmed. `typed_first`: what was typed before it
    was asked about; both are kept. `new_instrument`: the odometer was replaced, and counts from
    this reading.
    """

    sure: bool
    typed_first: str | None
    new_instrument: bool


class ReadingTold(Answered, total=False):
    """An odometer reading as told with something else; None: nothing was read."""

    odometer: str | None


def reading_fields(
    desk: Desk,
    trip: Trip,
    *,
    at: datetime | None,
    counts: bool = True,
    **told: Unpack[ReadingTold],
) -> Body:
    """What an entry says of the odometer: the reading with its unit, and what was asked about it.

    Empty where nothing was typed. `counts` False: nothing is odd about what counts for nothing.
    Raises Refused where something is odd and was not confirmed.
    """
    typed, first = told.get("odometer"), told.get("typed_first")
    if typed is None:
        return {}
    reading, moment = odometer_text(desk, typed), read_at(desk, trip, at)
    replaced = told.get("new_instrument", False)
    odd = () if replaced or not counts else doubts(trip, reading, moment)
    if odd and not told.get("sure"):
        raise Refused(
            f"{reading}: {'; '.join(odd)}. If it is right, say so with --sure; it is recorded then."
            " If the odometer was replaced, say --new-instrument"
        )
    first = None if first is None else odometer_text(desk, first)
    asked = odd if first is None or not counts else doubts(trip, first, moment)
    return present(
        odometer=reading,
        asked=[str(one) for one in asked] or None,
        typed_first=first,
        replaced=replaced or None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """A reading there is: the least and the most it can stand for."""

    at: datetime
    least_mm: int
    most_mm: int
    replaced: bool


def _neighbours(trip: Trip, at: datetime) -> tuple[_Read | None, _Read | None]:
    """The reading before a moment, and the next one of the same instrument after it."""
    read = [one for fact in trip.facts if (one := _read_in(fact.entry)) is not None]
    before = [one for one in read if one.at <= at]
    after = [one for one in read if one.at > at]
    following = after[0] if after and not after[0].replaced else None
    return (before[-1] if before else None), following


def _read_in(entry: Entry) -> _Read | None:
    body = entry.body
    if not isinstance(body.get("odometer"), str):
        return None
    read_mm, below, above = (
        odometer_mm(str(body.get(name, "0 mi"))) for name in ("odometer", "below", "above")
    )
    return _Read(
        at=entry.event_time,
        least_mm=read_mm - below,
        most_mm=read_mm + above,
        replaced=bool(body.get("replaced")),
    )


def _most_mm(trip: Trip, at: datetime, last_at: datetime) -> int | None:
    """The most that can have been driven since the reading before; None: no top speed stated."""
    mm_per_h = top_speed_mm_per_h(trip)
    if mm_per_h is None:
        return None
    hours = Fraction((at - last_at).total_seconds()) / 3600
    tenth_of_a_mile_mm = Fraction(160_934_4, 10)
    return int(mm_per_h * hours + tenth_of_a_mile_mm)


def _swaps(reading: str) -> list[str]:
    """The reading with each pair of neighbouring digits swapped."""
    number, unit = reading.rsplit(" ", 1)
    digits = number.replace(",", "")
    swapped = []
    for place in range(len(digits) - 1):
        first, second = digits[place], digits[place + 1]
        if first.isdigit() and second.isdigit() and first != second:
            swapped.append(f"{digits[:place]}{second}{first}{digits[place + 2 :]} {unit}")
    return swapped
