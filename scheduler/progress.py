"""What has happened on a trip, as neutral facts: marks in time, handed in by the caller.

Distances are whole millimetres and times whole milliseconds, because 50 mi is 80,467.2 m: a whole
number of metres cannot say "exactly 50 mi". A reading of a fraction of a mile is rounded to the
nearest millimetre, which cannot move a limit given in whole miles or kilometres.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from operator import itemgetter
from typing import NamedTuple

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MILLISECOND = timedelta(milliseconds=1)


class ProgressBroken(ValueError):
    """Facts that cannot be counted with: a naive time, a blank key, marks out of order."""


class DutyStatus(StrEnum):
    """The four statuses of 49 CFR 395.8(b); "on duty" is on duty, not driving."""

    OFF_DUTY = "off duty"
    SLEEPER = "sleeper"
    DRIVING = "driving"
    ON_DUTY = "on duty"


def to_ms(at: datetime) -> int:
    """Milliseconds since 1970 in UTC, parts of a millisecond dropped; `at` must be aware."""
    return (at - EPOCH) // MILLISECOND


def from_ms(ms: int) -> datetime:
    """The UTC moment so many milliseconds after the start of 1970."""
    return EPOCH + ms * MILLISECOND


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Something that happened at a moment.

    `key` names the entry it was written down in (no slash, no space); `at` is aware, `at_ms` the
    same moment in milliseconds since 1970, counted once because it is looked at often.
    """

    key: str
    at: datetime
    at_ms: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Refuse a key that could not stand in the name of a due check, and a naive time."""
        check_name("key", self.key)
        check_aware("at", self.at)
        object.__setattr__(self, "at_ms", to_ms(self.at))


@dataclass(frozen=True, slots=True, kw_only=True)
class StartMark(Mark):
    """The departure, or a loading, reloading, part unloading or change of vehicle.

    It starts a new first check. `odometer_mm` None: not read. `odometer_anew`: another odometer
    counts from here (change of vehicle or of instrument), so no distance is taken across it.
    """

    odometer_mm: int | None
    odometer_anew: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyMark(Mark):
    """A driver's duty status from this moment on.

    The status the departure sets is such a mark too, at the moment of the departure. Marks up to
    that moment say how things stood; none of them counts as a change.
    """

    driver: str
    status: DutyStatus


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingMark(Mark):
    """An odometer reading. `source`: typed, imported ..., in the caller's words.

    A figure in whole miles stands for all from `below_mm` under it to `above_mm` over it.
    `odometer_anew`: another instrument counts from here; no distance is taken across it.
    """

    odometer_mm: int
    source: str
    below_mm: int = 0
    above_mm: int = 0
    odometer_anew: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ObservedLoss:
    """What was found lost of the tension planned, and how much may be, as shares of it.

    The worst tie-down's; one found slack has lost all.
    """

    lost: Fraction
    allowed: Fraction

    def __post_init__(self) -> None:
        """Refuse shares outside 0 to 1, and an allowed loss of nothing (ProgressBroken)."""
        if not (0 <= self.lost <= 1 and 0 < self.allowed <= 1):
            raise ProgressBroken(f"observed loss: shares of 1, found {self.lost}, {self.allowed}")


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckMark(Mark):
    """A completed check: every tie-down was looked at. `odometer_mm` None: not read.

    A partial look, a heard prompt or an abandoned check is no CheckMark. `observed_loss` None: no
    tension was measured or nothing says how much may be lost.
    """

    odometer_mm: int | None
    observed_loss: ObservedLoss | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EventMark(Mark):
    """Something that calls for a check. `what` is the word of an event rule, or any other."""

    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ExemptMark(Mark):
    """The checks are lifted, for this reason (sealed and ordered not to open; impracticable)."""

    reason: str


class OdometerFigure(NamedTuple):
    """An odometer figure. `odometer_mm` None: another odometer counts from here, not read."""

    at_ms: int
    odometer_mm: int | None
    anew: bool = False
    below_mm: int = 0
    above_mm: int = 0

    @property
    def least_mm(self) -> int | None:
        """The lowest it can stand for."""
        return None if self.odometer_mm is None else self.odometer_mm - self.below_mm

    @property
    def width_mm(self) -> int:
        """How far apart the lowest and the highest are."""
        return self.below_mm + self.above_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """Everything the counters look at, for one trip; each tuple in order of time.

    `starts`: the departure first; empty before departure. `exempt` None: not exempt. `ended`
    None: still under way. `top_speed_mm_per_h`: the vehicle's stated top road speed, None when
    not stated: then no distance can be estimated. `odometer_unit`: what the odometer is read in,
    "mi" or "km", None when nothing was read. `odometer`: every figure, of whatever mark, in order
    of time, sorted once because it is looked at often.
    """

    trip: str
    starts: tuple[StartMark, ...] = ()
    duty: tuple[DutyMark, ...] = ()
    readings: tuple[ReadingMark, ...] = ()
    checks: tuple[CheckMark, ...] = ()
    events: tuple[EventMark, ...] = ()
    exempt: ExemptMark | None = None
    ended: datetime | None = None
    top_speed_mm_per_h: int | None = None
    odometer_unit: str | None = None
    odometer: tuple[OdometerFigure, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Refuse marks out of order, and facts before there is a departure to count from."""
        check_name("trip", self.trip)
        for name, marks in self._marks().items():
            check_order(name, marks)
        if self.ended is not None:
            check_aware("ended", self.ended)
        if self.top_speed_mm_per_h is not None and self.top_speed_mm_per_h <= 0:
            raise ProgressBroken(f"top speed: above zero, found {self.top_speed_mm_per_h}")
        object.__setattr__(self, "odometer", self._odometer())

    def last_fact_ms(self) -> int:
        """When the last mark was made, in milliseconds; what comes later is not recorded."""
        return max(marks[-1].at_ms for marks in self._marks().values() if marks)

    def _odometer(self) -> tuple[OdometerFigure, ...]:
        figures = [
            OdometerFigure(
                one.at_ms, one.odometer_mm, one.odometer_anew, one.below_mm, one.above_mm
            )
            for one in self.readings
        ]
        figures += [
            OdometerFigure(check.at_ms, check.odometer_mm)
            for check in self.checks
            if check.odometer_mm is not None
        ]
        figures += [
            OdometerFigure(start.at_ms, start.odometer_mm, start.odometer_anew)
            for start in self.starts
            if start.odometer_mm is not None or start.odometer_anew
        ]
        return tuple(sorted(figures, key=itemgetter(0)))

    def _marks(self) -> dict[str, tuple[Mark, ...]]:
        return {
            "starts": self.starts,
            "duty": self.duty,
            "readings": self.readings,
            "checks": self.checks,
            "events": self.events,
        }


def vehicle_duty(duty: Iterable[DutyMark]) -> DutyStatus | None:
    """The status that decides what may be said in the vehicle, from duty marks in time order.

    Driving if any driver is, else on duty if any is, else sleeper, else off duty; None when no
    status was recorded.
    """
    statuses = {mark.driver: mark.status for mark in duty}.values()
    order = (DutyStatus.DRIVING, DutyStatus.ON_DUTY, DutyStatus.SLEEPER, DutyStatus.OFF_DUTY)
    return next((status for status in order if status in statuses), None)


def check_name(what: str, name: str) -> None:
    """Refuse a name that is blank or holds a slash or a space (ProgressBroken)."""
    if "/" in name or name.split() != [name]:
        raise ProgressBroken(f"{what}: a name without slash or space, found {name!r}")


def check_aware(what: str, at: datetime) -> None:
    """Refuse a time without its offset (ProgressBroken)."""
    if at.utcoffset() is None:
        raise ProgressBroken(f"{what}: a time with its offset from UTC, found {at.isoformat()}")


def check_order(name: str, marks: tuple[Mark, ...]) -> None:
    """Refuse marks that are not in order of time (ProgressBroken)."""
    times_ms = [mark.at_ms for mark in marks]
    if times_ms == sorted(times_ms):
        return
    for mark, before_ms, at_ms in zip(marks[1:], times_ms, times_ms[1:], strict=False):
        if at_ms < before_ms:
            raise ProgressBroken(
                f"{name}: in order of time; {mark.key} at {from_ms(at_ms).isoformat()} comes "
                f"after one at {from_ms(before_ms).isoformat()}"
            )
