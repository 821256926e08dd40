"""What is due: counters x now -> due checks. Pure; `now` is handed in.

Limits are inclusive: at the limit a check is due, beyond it late. Late needs a reading or recorded
driving time past the limit; past it by the upper bound only, it is due by estimate.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from fractions import Fraction

from scheduler.counter import Basis, Counter, coming_up_from
from scheduler.distance import HOUR_MS, grown, time_to_ms
from scheduler.progress import MILLISECOND, Progress, to_ms
from scheduler.recheck_rules import ADVICE, MEASURED, TIMED, Kind, RecheckRule

FURTHER_MM = 100_000_000
"""100 km: after each further one driven late, a tone may sound again."""


class State(StrEnum):
    """How a due check stands; the order here is from worst to best."""

    LATE = "late"
    DUE = "due"
    CANNOT_TELL = "cannot tell"
    COMING_UP = "coming up"
    NOTHING_DUE = "nothing due"
    EXEMPT = "exempt"


@dataclass(frozen=True, slots=True, kw_only=True)
class DueCheck:
    """A counter answered at a moment.

    `value`, `remaining`, `late_by` are in the counter's measure: milliseconds for the timed kinds,
    else millimetres. `value` rests on `basis`; with *cannot tell* it is the least it can be.
    `remaining` is None for duty changes and events, and when it cannot be told. `late_by` is None
    unless late; for a duty change or event it is the distance driven since driving resumed, and
    None if that is not known. `coming_up_at` and `due_at`: since when, or when to come if driving
    goes on as now; None if neither is known. `late_at` likewise. `further_tones`: how many full
    100 km were driven beyond, by the upper bound.
    """

    counter: Counter
    state: State
    basis: Basis
    value: int
    remaining: int | None
    late_by: int | None
    coming_up_at: datetime | None
    due_at: datetime | None
    late_at: datetime | None
    further_tones: int

    @property
    def due_key(self) -> str:
        """The name of the due check."""
        return self.counter.due_key

    @property
    def is_due(self) -> bool:
        """Whether a check is owed now: due or late."""
        return self.state in (State.DUE, State.LATE)

    @property
    def calls_for_reason(self) -> bool:
        """Whether it is late by what binds, or was driven on without: then a reason is asked."""
        advice = self.counter.limit is not None and self.counter.legal_force in ADVICE
        return self.state is State.LATE and not advice

    @property
    def by_estimate(self) -> bool:
        """Due by the upper bound only: no lateness is recorded and no reason asked."""
        return self.state is State.DUE and self.basis is not Basis.KNOWN


def due(rules: tuple[RecheckRule, ...], progress: Progress, now: datetime) -> tuple[DueCheck, ...]:
    """The due checks of a trip at a moment, worst and earliest first."""
    from scheduler.counters import counters

    return in_order(at(counter, now) for counter in counters(rules, progress))


def in_order(due_checks: Iterable[DueCheck]) -> tuple[DueCheck, ...]:
    """Worst first, then the one that came or comes due earliest, then the least left, by name."""
    return tuple(sorted(due_checks, key=_place))


def at(counter: Counter, now: datetime) -> DueCheck:
    """The counter answered at `now` (aware). Before its last mark it stands as at that mark."""
    known, estimate, basis = _values(counter, now)
    state = _state(counter, known, estimate)
    if counter.kind in MEASURED and (
        state is State.CANNOT_TELL or (counter.limit is not None and known >= counter.limit)
    ):
        value = known
        basis = Basis.UNKNOWN if state is State.CANNOT_TELL else Basis.KNOWN
    else:
        value = known if estimate is None else estimate
    return DueCheck(
        counter=counter,
        state=state,
        basis=basis,
        value=value,
        remaining=_remaining(counter, state, value),
        late_by=_late_by(counter, state, known, estimate),
        coming_up_at=counter.coming_up_since or reaches(counter, _coming_up(counter)),
        due_at=counter.due_since or reaches(counter, counter.limit),
        late_at=_late_at(counter),
        further_tones=_beyond_mm(counter, known, estimate) // FURTHER_MM,
    )


def next_moment(counters: Iterable[Counter], now: datetime) -> datetime | None:
    """The next moment after `now` at which a state or a tone can change if nothing is recorded.

    None: nothing changes until something is recorded.
    """
    moments = (
        moment
        for counter in counters
        if counter.exempt_reason is None
        for moment in _turning_points(counter, now)
        if moment is not None and moment > now
    )
    return min(moments, default=None)


def _values(counter: Counter, now: datetime) -> tuple[int, int | None, Basis]:
    """Known, upper bound and what that rests on, grown from the last mark to now."""
    elapsed_ms = max(0, to_ms(now) - to_ms(counter.as_of))
    known, estimate, basis = counter.known, counter.estimate, counter.basis
    if elapsed_ms == 0 or counter.goes_on is False:
        return known, estimate, basis
    recorded = counter.kind in TIMED and counter.goes_on is True
    if recorded:
        known += elapsed_ms
    if estimate is None or counter.rate_per_h is None:
        return known, None, Basis.UNKNOWN
    estimate += grown(counter.rate_per_h, elapsed_ms)
    if counter.goes_on is None:
        basis = Basis.ELAPSED
    elif not recorded and basis is Basis.KNOWN:
        basis = Basis.ESTIMATED
    return known, estimate, basis


def _state(counter: Counter, known: int, estimate: int | None) -> State:
    if counter.exempt_reason is not None:
        return State.EXEMPT
    if counter.limit is None:
        return State.DUE if counter.resumed_at is None else State.LATE
    if known >= counter.limit:
        return State.LATE if known > counter.limit else State.DUE
    if estimate is None:
        return State.CANNOT_TELL
    if estimate >= counter.limit:
        return State.DUE
    return State.COMING_UP if estimate >= coming_up_from(counter.limit) else State.NOTHING_DUE


def _remaining(counter: Counter, state: State, value: int) -> int | None:
    if counter.limit is None or state in (State.CANNOT_TELL, State.EXEMPT):
        return None
    return max(0, counter.limit - value)


def _late_by(counter: Counter, state: State, known: int, estimate: int | None) -> int | None:
    if state is not State.LATE:
        return None
    if counter.limit is None:
        return estimate
    return known - counter.limit


def _beyond_mm(counter: Counter, known: int, estimate: int | None) -> int:
    """How far beyond the limit, or since driving resumed, by the upper bound where there is one.

    Driving time beyond its limit is turned into distance by the top road speed; where none is
    stated, nothing is said to have been driven. Nor is it beyond a limit of work, which goes on
    while the vehicle stands.
    """
    if counter.kind is Kind.WORK_TIME:
        return 0
    beyond = max(0, (known if estimate is None else estimate) - (counter.limit or 0))
    if counter.kind not in TIMED:
        return beyond
    return beyond * (counter.top_speed_mm_per_h or 0) // HOUR_MS


def _coming_up(counter: Counter) -> int | None:
    return None if counter.limit is None else coming_up_from(counter.limit)


def reaches(counter: Counter, amount: int | None) -> datetime | None:
    """When the upper bound will reach an amount if the driving goes on; None if it does not."""
    rate_per_h, estimate = counter.rate_per_h, counter.estimate
    if counter.goes_on is False or amount is None or estimate is None or rate_per_h is None:
        return None
    return counter.as_of + time_to_ms(amount - estimate, rate_per_h) * MILLISECOND


def _late_at(counter: Counter) -> datetime | None:
    """When it became late, or will if recorded driving goes on; None: only a reading can tell."""
    if counter.limit is None:
        return counter.resumed_at
    if counter.kind in TIMED and counter.goes_on is True:
        return counter.as_of + (counter.limit + 1 - counter.known) * MILLISECOND
    return None


def _turning_points(counter: Counter, now: datetime) -> Iterator[datetime | None]:
    check = at(counter, now)
    yield check.coming_up_at
    yield check.due_at
    yield check.late_at
    beyond_mm = (check.further_tones + 1) * FURTHER_MM
    if counter.kind not in TIMED:
        yield reaches(counter, (counter.limit or 0) + beyond_mm)
    elif counter.kind is not Kind.WORK_TIME and counter.top_speed_mm_per_h is not None:
        beyond_ms = -(-beyond_mm * HOUR_MS // counter.top_speed_mm_per_h)
        yield reaches(counter, (counter.limit or 0) + beyond_ms)


def _place(check: DueCheck) -> tuple[int, datetime, Fraction, str]:
    limit = check.counter.limit
    left = Fraction(1) if limit is None else Fraction(limit - check.value, limit)
    moment = check.due_at or datetime.max.replace(tzinfo=UTC)
    return (list(State).index(check.state), moment, left, check.due_key)
