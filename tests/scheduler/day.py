"""An invented day on the road, written mark by mark: minutes after 08:00 UTC, miles, statuses."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

from scheduler.counter import Counter
from scheduler.counters import counters
from scheduler.due import DueCheck, due
from scheduler.progress import (
    CheckMark,
    DutyMark,
    DutyStatus,
    EventMark,
    ExemptMark,
    Progress,
    ReadingMark,
    StartMark,
)
from scheduler.rules_combined import combined, rules_for

DEPARTURE = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
MILE_MM = 1_609_344
HOUR_MS = 3_600_000
US = combined(rules_for(["us-392.9"], date(2026, 3, 2))).running

FIRST = "us-392.9-first"
DISTANCE = "us-392.9-distance"
DRIVING = "us-392.9-driving"
DUTY = "us-392.9-duty"

Number = int | float | Fraction


def minute(number: Number) -> datetime:
    """The moment so many minutes after departure; parts of a minute to the millisecond."""
    return DEPARTURE + timedelta(milliseconds=round(number * 60_000))


def miles(number: Number | None) -> int | None:
    """Millimetres in so many miles."""
    return None if number is None else round(Fraction(str(number)) * MILE_MM)


class Day:
    """Marks are added in order of time; each gets the next key: e1, e2, ..."""

    def __init__(self, *, odometer_mi: Number | None = 12_000, mph: Number | None = 65) -> None:
        """Departed at minute 0, the driver driving."""
        self.starts: list[StartMark] = []
        self.duties: list[DutyMark] = []
        self.readings: list[ReadingMark] = []
        self.checks: list[CheckMark] = []
        self.events: list[EventMark] = []
        self.exempt: ExemptMark | None = None
        self.ended: datetime | None = None
        self.speed = miles(mph)
        self._number = 0
        self.load(0, odometer_mi)
        self.duty(0, DutyStatus.DRIVING)

    def load(self, at: Number, odometer_mi: Number | None = None, *, anew: bool = False) -> str:
        key = self._key()
        self.starts.append(
            StartMark(key=key, at=minute(at), odometer_mm=miles(odometer_mi), odometer_anew=anew)
        )
        return key

    def duty(self, at: Number, status: DutyStatus, driver: str = "driver-1") -> str:
        key = self._key()
        self.duties.append(DutyMark(key=key, at=minute(at), driver=driver, status=status))
        return key

    def stop(self, at: Number) -> str:
        return self.duty(at, DutyStatus.ON_DUTY)

    def drive(self, at: Number) -> str:
        return self.duty(at, DutyStatus.DRIVING)

    def read(self, at: Number, odometer_mi: Number) -> str:
        key = self._key()
        odometer_mm = miles(odometer_mi)
        assert odometer_mm is not None
        self.readings.append(
            ReadingMark(key=key, at=minute(at), odometer_mm=odometer_mm, source="typed")
        )
        return key

    def check(self, at: Number, odometer_mi: Number | None = None) -> str:
        key = self._key()
        self.checks.append(CheckMark(key=key, at=minute(at), odometer_mm=miles(odometer_mi)))
        return key

    def event(self, at: Number, what: str) -> str:
        key = self._key()
        self.events.append(EventMark(key=key, at=minute(at), what=what))
        return key

    def shift(self, by: timedelta) -> None:
        """Move the departure and the duty marks in time."""
        self.starts = [replace(mark, at=mark.at + by) for mark in self.starts]
        self.duties = [replace(mark, at=mark.at + by) for mark in self.duties]

    def progress(self) -> Progress:
        return Progress(
            trip="trip-1",
            starts=tuple(self.starts),
            duty=tuple(self.duties),
            readings=tuple(self.readings),
            checks=tuple(self.checks),
            events=tuple(self.events),
            exempt=self.exempt,
            ended=self.ended,
            top_speed_mm_per_h=self.speed,
        )

    def counters(self) -> dict[str, Counter]:
        """By rule; of several events the last."""
        return {counter.rule_id: counter for counter in counters(US, self.progress())}

    def due(self, at: Number) -> dict[str, DueCheck]:
        """The due checks at a minute, by rule."""
        return {check.counter.rule_id: check for check in due(US, self.progress(), minute(at))}

    def states(self, at: Number) -> dict[str, str]:
        """How each due check stands at a minute, by rule."""
        return {rule: str(check.state) for rule, check in self.due(at).items()}

    def _key(self) -> str:
        self._number += 1
        return f"e{self._number}"
