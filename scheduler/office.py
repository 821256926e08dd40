"""When the office is told of a check that is late beyond the margin, and when to try again. Pure.

The office is told once per due check; the driver hears nothing of it.
"""

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime

from scheduler.counter import Counter
from scheduler.distance import HOUR_MS, time_to_ms
from scheduler.due import DueCheck, reaches
from scheduler.progress import MILLISECOND
from scheduler.recheck_rules import AT_ONCE, AT_THE_WHEEL

FIRST_PAUSE_MS = 60_000
LONGEST_PAUSE_MS = 3_600_000


def to_tell(
    due_checks: Sequence[DueCheck], told: Collection[str], margin_mm: int
) -> tuple[DueCheck, ...]:
    """The checks that are late beyond the margin and not among those told (names of due checks).

    Late driving time is turned into distance by the top road speed. Where how far was driven late
    cannot be told, there is no margin to wait for: the office is told that it is late. Advice gone
    beyond is nothing to tell: nobody is late by it.
    """
    return tuple(
        check
        for check in due_checks
        if check.calls_for_reason and check.due_key not in told and _is_beyond(check, margin_mm)
    )


def next_to_tell(
    counters: Iterable[Counter], told: Collection[str], margin_mm: int, now: datetime
) -> datetime | None:
    """The next moment after `now` at which a check can go beyond the margin by driving alone."""
    moments = (
        _passes(counter, margin_mm)
        for counter in counters
        if counter.exempt_reason is None and counter.due_key not in told
    )
    return min((moment for moment in moments if moment and moment > now), default=None)


def pause_ms(failures: int) -> int:
    """How long to wait after so many attempts that came to nothing: 1 min, 2, 4 ... an hour."""
    return min(FIRST_PAUSE_MS << min(max(failures - 1, 0), 12), LONGEST_PAUSE_MS)


def _is_beyond(check: DueCheck, margin_mm: int) -> bool:
    counter, late_by = check.counter, check.late_by
    if late_by is None:
        return True
    if counter.kind not in AT_THE_WHEEL:
        return late_by > margin_mm
    speed = counter.top_speed_mm_per_h
    return speed is None or late_by * speed > margin_mm * HOUR_MS


def _passes(counter: Counter, margin_mm: int) -> datetime | None:
    """When the margin is passed if driving goes on; None: only what is recorded can tell.

    A distance past its limit by estimate only is not late, so nothing is to be told of it.
    """
    if counter.kind in AT_ONCE:
        if counter.resumed_at is None:
            return None
        if counter.rate_per_h is None and counter.goes_on is not False:
            # From now on nobody can tell how far, so there is no margin to wait for.
            return counter.as_of + MILLISECOND
        # A millimetre more is beyond it.
        return reaches(counter, margin_mm + 1)
    limit = counter.limit
    if counter.kind not in AT_THE_WHEEL or counter.goes_on is not True or limit is None:
        return None
    speed = counter.top_speed_mm_per_h
    beyond_ms = 0 if speed is None else time_to_ms(margin_mm, speed)
    return counter.as_of + (limit + beyond_ms + 1 - counter.known) * MILLISECOND
