"""What is recorded on a simulated trip, in one plain form for the scheduler and its second."""

from collections.abc import Iterable
from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from scheduler.progress import (
    CheckMark,
    DutyMark,
    DutyStatus,
    EventMark,
    ExemptMark,
    ObservedLoss,
    Progress,
    ReadingMark,
    StartMark,
    from_ms,
)

TRIP = "trip-1"
ALLOWED_HUNDREDTHS = 15
"""How much of the tension may be lost."""


class What(StrEnum):
    """What kind of fact it is."""

    START = "start"
    DUTY = "duty"
    READING = "reading"
    CHECK = "check"
    EVENT = "event"
    EXEMPT = "exempt"
    END = "end"


class Fact(NamedTuple):
    """One thing recorded. `word`: a duty status or the name of an event; `anew`: other odometer;
    `lost`: how many hundredths of the tension a check found lost, 0 where none was measured.
    """

    at_ms: int
    what: What
    key: str
    who: str = ""
    word: str = ""
    odometer_mm: int | None = None
    anew: bool = False
    lost: int = 0


class Written(NamedTuple):
    """When something is written down: by the trip's time, on which start of the machine, how long
    after that start, sleep included, and by the wall clock.
    """

    at_ms: int
    machine: int
    passed_ms: int
    wall_ms: int

    @property
    def as_it_happened(self) -> bool:
        """Whether it was written down when it happened, not told of afterwards."""
        return self.at_ms >= self.wall_ms


def in_time(facts: Iterable[Fact]) -> list[Fact]:
    """The facts that count, in order of time; what is said to lie before departure but duty is not.

    The first fact is the departure.
    """
    given = list(facts)
    departed_ms = given[0].at_ms
    counted = [fact for fact in given if fact.what is What.DUTY or fact.at_ms >= departed_ms]
    return sorted(counted, key=lambda fact: fact.at_ms)


def progress_of(facts: list[Fact], top_speed_mm_per_h: int | None) -> Progress:
    """The facts as the scheduler wants them handed over; `facts` in order of time."""
    by_kind: dict[What, list[Fact]] = {what: [] for what in What}
    for fact in facts:
        by_kind[fact.what].append(fact)
    ends, lifted = by_kind[What.END], by_kind[What.EXEMPT]
    return Progress(
        trip=TRIP,
        starts=tuple(
            StartMark(key=one.key, at=_at(one), odometer_mm=one.odometer_mm, odometer_anew=one.anew)
            for one in by_kind[What.START]
        ),
        duty=tuple(
            DutyMark(key=one.key, at=_at(one), driver=one.who, status=DutyStatus(one.word))
            for one in by_kind[What.DUTY]
        ),
        readings=tuple(
            ReadingMark(key=one.key, at=_at(one), odometer_mm=one.odometer_mm, source="typed")
            for one in by_kind[What.READING]
            if one.odometer_mm is not None
        ),
        checks=tuple(
            CheckMark(
                key=one.key,
                at=_at(one),
                odometer_mm=one.odometer_mm,
                observed_loss=ObservedLoss(
                    lost=Fraction(one.lost, 100), allowed=Fraction(ALLOWED_HUNDREDTHS, 100)
                )
                if one.lost
                else None,
            )
            for one in by_kind[What.CHECK]
        ),
        events=tuple(
            EventMark(key=one.key, at=_at(one), what=one.word) for one in by_kind[What.EVENT]
        ),
        exempt=ExemptMark(key=lifted[0].key, at=_at(lifted[0]), reason="sealed")
        if lifted
        else None,
        ended=_at(ends[0]) if ends else None,
        top_speed_mm_per_h=top_speed_mm_per_h,
    )


def _at(fact: Fact) -> datetime:
    return from_ms(fact.at_ms)
