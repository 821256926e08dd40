"""The counters that run on a trip: rules x progress, without a clock. Pure."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import TypeVar

from scheduler.counter import Counter, coming_up_from
from scheduler.distance import Course, How, distance, driving_time
from scheduler.duty import DutyRecord, duty_record, work_record
from scheduler.progress import CheckMark, EventMark, Mark, Progress, StartMark, from_ms
from scheduler.recheck_rules import (
    ANY_OTHER_EVENT,
    EVERY_SO_LONG,
    FIRST,
    TIMED,
    Kind,
    RecheckRule,
)

Marked = TypeVar("Marked", bound=Mark)


def counters(rules: tuple[RecheckRule, ...], progress: Progress) -> tuple[Counter, ...]:
    """The counters that run, in the order of the rules; none before departure or after the end.

    A first check that has been made, a change or event that a check has closed, a rule nothing has
    happened for and a rule without a number give no counter. `rules` are those that run
    (`rules_combined`).
    """
    if not progress.starts or progress.ended is not None:
        return ()
    record = duty_record(progress)
    base = _last_check(progress) or progress.starts[0]
    if isinstance(base, CheckMark) and base.observed_loss is not None:
        rules = (*rules, *_shortened(rules, progress, record, base))
    return tuple(
        counter for rule in rules for counter in _of_rule(rule, rules, progress, record, base)
    )


def event_rule(rules: tuple[RecheckRule, ...], what: str) -> RecheckRule | None:
    """The event rule that names an event, else the one for any other; None if there is none."""
    by_word = {rule.counted_from: rule for rule in rules if rule.kind is Kind.EVENT}
    return by_word.get(what.strip().lower(), by_word.get(ANY_OTHER_EVENT))


def _shortened(
    rules: tuple[RecheckRule, ...], progress: Progress, record: DutyRecord, check: CheckMark
) -> Iterator[RecheckRule]:
    """The rule that tension found lost at a check makes, where it is the tightest of its kind."""
    from scheduler.observed_loss import loss_rule

    assert check.observed_loss is not None, "asked only where a loss was found"
    before = [one for one in progress.checks if progress.starts[0].at_ms < one.at_ms < check.at_ms]
    since = before[-1] if before else progress.starts[0]
    interval_ms = driving_time(record, since.at_ms, check.at_ms).known
    rule = loss_rule(check.observed_loss, interval_ms)
    limits = [one.limit_count for one in rules if one.kind in EVERY_SO_LONG and one.limit_count]
    if rule is not None and all((rule.limit_count or 0) < limit for limit in limits):
        yield rule


def _of_rule(
    rule: RecheckRule,
    rules: tuple[RecheckRule, ...],
    progress: Progress,
    record: DutyRecord,
    base: StartMark | CheckMark,
) -> Iterator[Counter]:
    if rule.limit:
        yield from _with_limit(rule, progress, record, base)
        return
    since_ms = base.at_ms if isinstance(base, CheckMark) else None
    match rule.kind:
        case Kind.DUTY_CHANGE:
            changes = record.open_changes(since_ms)
            if changes:
                yield _at_once(rule, progress, record, base, changes)
        case Kind.LOAD_CHANGE:
            loads = tuple(_after(since_ms, progress.starts[1:]))
            if loads:
                yield _at_once(rule, progress, record, loads[0], loads)
        case Kind.EVENT:
            for event in _after(since_ms, progress.events):
                if event_rule(rules, event.what) == rule:
                    yield _at_once(rule, progress, record, event, (event,))


def _with_limit(
    rule: RecheckRule, progress: Progress, record: DutyRecord, base: StartMark | CheckMark
) -> Iterator[Counter]:
    """The counter of a rule with a number; none once a first check has been made."""
    mark = progress.starts[-1] if rule.kind in FIRST else base
    if rule.kind in FIRST and _first_check_made(progress, record, progress.starts[-1]):
        return
    if rule.kind in TIMED:
        at_it = work_record(progress) if rule.kind is Kind.WORK_TIME else record
        course = driving_time(at_it, mark.at_ms, progress.last_fact_ms())
    else:
        course = _since(progress, record, mark)
    yield _measured(rule, progress, record, mark, course)


def _after(since_ms: int | None, marks: Sequence[Marked]) -> Iterator[Marked]:
    """The marks made after a check; all where none was completed (None)."""
    return (mark for mark in marks if since_ms is None or mark.at_ms > since_ms)


def _measured(
    rule: RecheckRule, progress: Progress, record: DutyRecord, base: Mark, course: Course
) -> Counter:
    """A counter with a limit, from the course since the mark it runs from."""
    limit = rule.limit_count
    assert limit is not None, "a rule of a measured kind has a limit"
    due_ms = course.reached_ms(limit)
    if due_ms is None and course.known >= limit:
        due_ms = course.as_of_ms
    at_odometer_mm = None
    if course.odometer_mm is not None and course.estimate_at_odometer is not None:
        at_odometer_mm = course.odometer_mm + limit - course.estimate_at_odometer
    return _counter(
        rule,
        progress,
        record,
        base,
        course=course,
        coming_up_ms=course.reached_ms(coming_up_from(limit)),
        due_ms=due_ms,
        at_odometer_mm=at_odometer_mm,
    )


def _at_once(
    rule: RecheckRule,
    progress: Progress,
    record: DutyRecord,
    base: Mark,
    raised_by: tuple[Mark, ...],
) -> Counter:
    """A counter without a limit: due since the first mark that raised it."""
    first_ms = raised_by[0].at_ms
    resumed_ms = record.resumed_ms(first_ms)
    if resumed_ms is None:
        course = Course(
            legs=(),
            as_of_ms=progress.last_fact_ms(),
            rate_per_h=None,
            knows=frozenset(),
            goes_on=False,
        )
    else:
        course = distance(progress, record, since_ms=resumed_ms, odometer_mm=None)
    return _counter(
        rule,
        progress,
        record,
        base,
        course=course,
        coming_up_ms=None,
        due_ms=first_ms,
        resumed_ms=resumed_ms,
        raised_by=raised_by,
    )


def _counter(
    rule: RecheckRule,
    progress: Progress,
    record: DutyRecord,
    base: Mark,
    *,
    course: Course,
    coming_up_ms: int | None,
    due_ms: int | None,
    resumed_ms: int | None = None,
    at_odometer_mm: int | None = None,
    raised_by: tuple[Mark, ...] = (),
) -> Counter:
    return Counter(
        trip=progress.trip,
        rule_id=rule.id,
        from_key=base.key,
        kind=rule.kind,
        legal_force=rule.legal_force,
        source=rule.source,
        clause=rule.clause,
        printed_limit=rule.limit,
        printed_unit=rule.unit,
        counted_since=from_ms(base.at_ms),
        as_of=from_ms(course.as_of_ms),
        limit=rule.limit_count,
        known=course.known,
        estimate=course.estimate,
        rate_per_h=course.rate_per_h,
        basis=course.basis,
        goes_on=course.goes_on,
        top_speed_mm_per_h=progress.top_speed_mm_per_h,
        coming_up_since=_moment(coming_up_ms),
        due_since=_moment(due_ms),
        resumed_at=_moment(resumed_ms),
        limit_at_odometer_mm=at_odometer_mm,
        stop_number=record.stop_number(base.at_ms),
        reasons=tuple(mark.key for mark in raised_by),
        what=base.what if isinstance(base, EventMark) else None,
        exempt_reason=_exempt_reason(rule, progress),
        odometer_unit=progress.odometer_unit,
    )


def _last_check(progress: Progress) -> CheckMark | None:
    """The last completed check after departure; a look before it counts for nothing here."""
    departed_ms = progress.starts[0].at_ms
    return next((check for check in reversed(progress.checks) if check.at_ms > departed_ms), None)


def _first_check_made(progress: Progress, record: DutyRecord, start: StartMark) -> bool:
    """Whether a completed check has more than no distance behind it since the start."""
    return any(
        _moved(_since(progress, record, start, until_ms=check.at_ms))
        for check in progress.checks
        if check.at_ms > start.at_ms
    )


def _moved(course: Course) -> bool:
    return course.known > 0 or any(
        leg.how not in course.knows and leg.how is not How.WITHIN for leg in course.legs
    )


def _since(
    progress: Progress,
    record: DutyRecord,
    base: StartMark | CheckMark,
    until_ms: int | None = None,
) -> Course:
    return distance(
        progress,
        record,
        since_ms=base.at_ms,
        odometer_mm=base.odometer_mm,
        until_ms=until_ms,
    )


def _exempt_reason(rule: RecheckRule, progress: Progress) -> str | None:
    """Why a check is lifted; what happened to the load is looked at all the same."""
    if progress.exempt is None or rule.kind is Kind.EVENT:
        return None
    return progress.exempt.reason


def _moment(ms: int | None) -> datetime | None:
    return None if ms is None else from_ms(ms)
