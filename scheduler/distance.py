"""How far, and how long at the wheel, since a moment: what is known, and what is an upper bound.

A course is a row of legs. A leg between two odometer readings is known; one without is estimated
as driving time x the stated top road speed, an upper bound: a prompt may come early, never late.
Where no duty status was recorded either, elapsed time stands for driving time. Pure; millimetres
and milliseconds, rounded up where they do not come out even.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from scheduler.counter import Basis
from scheduler.duty import DutyRecord
from scheduler.progress import OdometerFigure, Progress

HOUR_MS = 3_600_000


class How(StrEnum):
    """How a leg was taken: read off, recorded as driving, or no more than time gone by.

    WITHIN is no way at all: what readings in whole miles leave open.
    """

    READ = "read"
    WITHIN = "within"
    DRIVEN = "driven"
    ELAPSED = "elapsed"


class Leg(NamedTuple):
    """One part of a course. `amount` in the course's measure; None: no upper bound is known."""

    begin_ms: int
    end_ms: int
    how: How
    amount: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """Legs without a gap, to the last mark, and what goes on after it.

    Distance is in millimetres with `rate_per_h` the stated top road speed (None: not stated);
    driving time in milliseconds with a rate of one hour an hour. `knows`: the kinds of leg that
    count as known. `goes_on`: the vehicle is driven after the last mark (None: no duty status was
    recorded, so it may be). `odometer_mm`, `estimate_at_odometer`: the last reading and the
    course's upper bound there; None without a reading, or without a bound.
    """

    legs: tuple[Leg, ...]
    as_of_ms: int
    rate_per_h: int | None
    knows: frozenset[How]
    goes_on: bool | None
    odometer_mm: int | None = None
    estimate_at_odometer: int | None = None

    @property
    def known(self) -> int:
        """What is recorded: at least so much, in the course's measure."""
        return max(0, sum(leg.amount or 0 for leg in self.legs if leg.how in self.knows))

    @property
    def estimate(self) -> int | None:
        """The upper bound, in the course's measure; None when no top speed was stated."""
        return total(self.legs)

    @property
    def basis(self) -> Basis:
        """What the upper bound rests on, at the last mark."""
        hows = {leg.how for leg in self.legs} - self.knows
        if self.estimate is None:
            return Basis.UNKNOWN
        if not hows:
            return Basis.KNOWN
        return Basis.ELAPSED if How.ELAPSED in hows else Basis.ESTIMATED

    def reached_ms(self, amount: int) -> int | None:
        """When the upper bound first reached an amount; None if it has not by the last mark.

        Between two readings the moment is not known: the later reading's time is given.
        """
        so_far = 0
        for leg in self.legs:
            if leg.amount is None:
                return None
            if so_far + leg.amount >= amount:
                if leg.how in (How.READ, How.WITHIN):
                    return leg.end_ms
                assert self.rate_per_h is not None, "a leg without a reading grows by the rate"
                return leg.begin_ms + time_to_ms(amount - so_far, self.rate_per_h)
            so_far += leg.amount
        return None


def grown(rate_per_h: int, during_ms: int) -> int:
    """How much a rate adds in a time, rounded up."""
    return -(-rate_per_h * during_ms // HOUR_MS)


def time_to_ms(amount: int, rate_per_h: int) -> int:
    """The shortest time, in milliseconds, in which `grown` adds an amount."""
    return (amount - 1) * HOUR_MS // rate_per_h + 1 if amount > 0 else 0


def total(legs: Sequence[Leg]) -> int | None:
    """The sum of the legs; None when one of them has no bound."""
    amounts = [leg.amount for leg in legs]
    return None if None in amounts else sum(amount or 0 for amount in amounts)


def driving_time(record: DutyRecord, since_ms: int, as_of_ms: int) -> Course:
    """Time at the wheel since a moment, in milliseconds. Recorded driving is known."""
    return Course(
        legs=_time_legs(record, since_ms, as_of_ms, HOUR_MS),
        as_of_ms=as_of_ms,
        rate_per_h=HOUR_MS,
        knows=frozenset({How.DRIVEN}),
        goes_on=record.driven_now,
    )


def distance(
    progress: Progress,
    record: DutyRecord,
    *,
    since_ms: int,
    odometer_mm: int | None,
    until_ms: int | None = None,
) -> Course:
    """Distance since a moment, in millimetres; `odometer_mm` is the reading there, or None.

    Without a reading there, one made before it serves as well if the vehicle has not been driven
    since. No distance is taken across a change of odometer, nor where a reading is lower than the
    one before it: that leg is estimated. A reading in whole miles is known by its lower end; the
    rest of what it can stand for is added to the upper bound. `until_ms` None: to the last mark.
    """
    as_of_ms = progress.last_fact_ms() if until_ms is None else until_ms
    readings = [reading for reading in progress.odometer if reading.at_ms <= as_of_ms]
    if odometer_mm is None:
        first = _standing(record, readings, since_ms)
    else:
        first = OdometerFigure(since_ms, odometer_mm)
    here_ms, last = since_ms, first
    legs: list[Leg] = []
    for reading in readings:
        if reading.at_ms <= since_ms:
            continue
        leg = _read_off(here_ms, first, last, reading)
        if leg is None:
            legs.extend(_left_open(first, last))
            legs.extend(_time_legs(record, here_ms, reading.at_ms, progress.top_speed_mm_per_h))
            first = reading
        else:
            legs.append(leg)
        here_ms, last = reading.at_ms, reading
    last_mm = None if last is None else last.least_mm
    at_reading = total(legs)
    legs.extend(_left_open(first, last))
    legs.extend(_time_legs(record, here_ms, as_of_ms, progress.top_speed_mm_per_h))
    return Course(
        legs=tuple(legs),
        as_of_ms=as_of_ms,
        rate_per_h=progress.top_speed_mm_per_h,
        knows=frozenset({How.READ}),
        goes_on=record.driven_now,
        odometer_mm=last_mm,
        estimate_at_odometer=None if last_mm is None else at_reading,
    )


def _standing(
    record: DutyRecord, readings: Sequence[OdometerFigure], at_ms: int
) -> OdometerFigure | None:
    """The odometer at a moment, from a reading since which the vehicle has not been driven."""
    before = [reading for reading in readings if reading.at_ms <= at_ms]
    if before and record.stood_still(before[-1].at_ms, at_ms):
        return before[-1]
    return None


def _read_off(
    here_ms: int, first: OdometerFigure | None, last: OdometerFigure | None, reading: OdometerFigure
) -> Leg | None:
    """The way to a reading, by the lower ends of both; None where it cannot be read off.

    The lower end of the whole row is taken from the highest its first reading can stand for.
    """
    if last is None or last.least_mm is None or reading.least_mm is None or reading.anew:
        return None
    if reading.least_mm + reading.width_mm < last.least_mm:
        return None
    begin_mm = last.least_mm + (last.width_mm if last is first else 0)
    return Leg(
        begin_ms=here_ms,
        end_ms=reading.at_ms,
        how=How.READ,
        amount=reading.least_mm - begin_mm,
    )


def _left_open(first: OdometerFigure | None, last: OdometerFigure | None) -> tuple[Leg, ...]:
    """What the two ends of a row of readings leave open, where they are in whole miles."""
    if first is None or last is None or first is last:
        return ()
    width_mm = first.width_mm + last.width_mm
    at_ms = last.at_ms
    if width_mm == 0:
        return ()
    return (Leg(begin_ms=at_ms, end_ms=at_ms, how=How.WITHIN, amount=width_mm),)


def _time_legs(
    record: DutyRecord, begin_ms: int, end_ms: int, rate_per_h: int | None
) -> tuple[Leg, ...]:
    """A leg for each spell that was, or may have been, driven."""
    return tuple(
        Leg(
            begin_ms=spell.begin_ms or 0,
            end_ms=spell.end_ms or 0,
            how=How.DRIVEN if spell.driven else How.ELAPSED,
            amount=None
            if rate_per_h is None
            else grown(rate_per_h, (spell.end_ms or 0) - (spell.begin_ms or 0)),
        )
        for spell in record.between(begin_ms, end_ms)
        if spell.driven is not False
    )
