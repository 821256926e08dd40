"""What a reader gives: fixes, odometer readings, duty statuses, and what it has to say about them.

A row is the line, or the number of the point, counted from 1.
"""

from dataclasses import dataclass
from datetime import datetime

from scheduler.progress import DutyStatus


class FeedRefused(ValueError):
    """A source that cannot be read at all; the message says what was found and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """Something a reader has to say. `row` None: about the source as a whole."""

    row: int | None
    what: str

    def __str__(self) -> str:
        """As a line of a report."""
        return self.what if self.row is None else f"row {self.row}: {self.what}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix:
    """A position at a moment, WGS 84. `at` is aware, as the receiver gave it.

    `speed_m_per_s` None: not given.
    """

    row: int
    at: datetime
    lat_deg: float
    lon_deg: float
    speed_m_per_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """An odometer figure that stands for all between `below_mm` under it and `above_mm` over it.

    `unit`: the number of the power unit it was read on, None: not given.
    """

    row: int
    at: datetime
    odometer_mm: int
    below_mm: int = 0
    above_mm: int = 0
    unit: str | None = None

    @property
    def least_mm(self) -> int:
        """The lowest it can stand for."""
        return self.odometer_mm - self.below_mm

    @property
    def most_mm(self) -> int:
        """The highest it can stand for."""
        return self.odometer_mm + self.above_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyReading:
    """A driver's duty status from a moment on. `made_by`: how it came to be written."""

    row: int
    at: datetime
    status: DutyStatus
    made_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Aside:
    """What was read and is kept, but does not count: superseded, nobody's, at a doubtful time.

    `at` None: its moment is not known.
    """

    row: int
    at: datetime | None
    what: str
    why: str
