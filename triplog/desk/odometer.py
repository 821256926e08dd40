"""Odometer readings as people type them, and what about them should be asked."""

from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from typing import cast

from triplog.checks import odometer_mm, top_speed_mm_per_h
from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.desk.setting_up import units_of
from triplog.journal.trip import Trip
from triplog.securement.quantity import Dimension, parse

_KM_PER_MILE = Fraction("1.609344")


class Doubt(StrEnum):
    """What is odd about a reading; it is asked about, never refused for good."""

    BACKWARDS = "it is below the reading before"
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


def doubts(trip: Trip, reading: str, at: datetime) -> tuple[Doubt, ...]:
    """What should be asked about a reading before it is recorded; empty: nothing."""
    before = _last_before(trip, at)
    if before is None:
        return ()
    last_mm, last_at = before
    now_mm = odometer_mm(reading)
    most_mm = _most_mm(trip, at, last_at)
    too_far = most_mm is not None and now_mm - last_mm > most_mm
    if now_mm >= last_mm and not too_far:
        return ()
    found = [Doubt.BACKWARDS if now_mm < last_mm else Doubt.TOO_FAST]

    def fits(candidate_mm: int) -> bool:
        return candidate_mm >= last_mm and (most_mm is None or candidate_mm - last_mm <= most_mm)

    if any(fits(odometer_mm(swapped)) for swapped in _swaps(reading)):
        found.append(Doubt.SWAPPED)
    elif fits(round(now_mm * _KM_PER_MILE)) or fits(round(now_mm / _KM_PER_MILE)):
        found.append(Doubt.OTHER_UNIT)
    return tuple(found)


def sure_reading(
    desk: Desk, trip: Trip, typed: str | None, *, sure: bool, at: datetime | None
) -> str | None:
    """The reading with its unit, None where none was typed; Refused if it is odd and not `sure`."""
    if typed is None:
        return None
    reading = odometer_text(desk, typed)
    odd = doubts(trip, reading, at or desk.now().wall)
    if odd and not sure:
        raise Refused(f"{reading}: {'; '.join(odd)}. If it is right, say so with --sure")
    return reading


def _last_before(trip: Trip, at: datetime) -> tuple[int, datetime] | None:
    before = [
        (odometer_mm(cast(str, fact.entry.body["odometer"])), fact.entry.event_time)
        for fact in trip.facts
        if isinstance(fact.entry.body.get("odometer"), str) and fact.entry.event_time <= at
    ]
    return before[-1] if before else None


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
