"""The counters on the hand-over slip: what has run up since the last look, and what is next."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from scheduler.due import DueCheck, State
from scheduler.recheck_rules import ADVICE, TIMED, Kind
from scheduler.rules_combined import BINDING
from triplog.checks import sorted_rules
from triplog.dossier.slip_odd import Told
from triplog.journal.trip import UNDER_WAY, Trip
from triplog.wording import slip as wording
from triplog.wording.due import by_odometer, by_when, clock, measure, rule_text, state_text, title
from triplog.wording.recheck_rules import rule_source, rule_title

_WAY = (Kind.DISTANCE, Kind.FIRST_DISTANCE)
_WHEEL = (Kind.DRIVING_TIME, Kind.FIRST_TIME)
_OWED_MAX = 2


def counters_told(
    trip: Trip, due: Sequence[DueCheck], offset_min: int, now: datetime
) -> Iterator[Told]:
    """What has run up since the last completed check, what is owed, and the next limits."""
    running = [check for check in due if check.state is not State.EXEMPT]
    if trip.state not in UNDER_WAY:
        yield "Checks", f"none runs, the trip is {trip.state}"
        return
    if due and not running:
        reason = due[0].counter.exempt_reason
        yield "Checks", f"exempt: {reason}; the load must not shift or fall all the same"
        return
    so_far = [text for text in (_so_far(running, _WAY), _so_far(running, _WHEEL)) if text]
    whole = "the last look at every tie-down"
    since = "departure" if trip.last("check_completed") is None else whole
    yield "So far", f"{' and '.join(so_far) or 'nothing is counted'}, since {since}"
    owed = [check for check in running if check.is_due or check.state is State.CANNOT_TELL]
    owed.sort(key=lambda one: one.counter.legal_force in ADVICE)
    for check in owed[:_OWED_MAX]:
        yield "Now", f"{state_text(check)}: {title(check)}"
    if owed[_OWED_MAX:]:
        yield "Now", f"{len(owed) - _OWED_MAX} more: `triplog due`"
    ahead = _next([one for one in running if one not in owed])
    if owed:
        yield "After it", wording.starts_again_text(list(_every_so_long(running)))
    else:
        for name, check in zip(("Next", "or sooner"), ahead, strict=False):
            yield name, f"{_by(check, offset_min, now)}: {title(check)}"
    told = dict.fromkeys(rule_text(check) for check in (*owed[:_OWED_MAX], *ahead))
    if told:
        yield "Rules", "; ".join(told)
    regular = [rule for rule in sorted_rules(trip).told if rule.kind is Kind.REGULAR]
    for rule in sorted(regular, key=lambda one: BINDING[one.legal_force])[:1]:
        yield "All the way", f"{rule_title(rule)}; {rule_source(rule)}"


def _so_far(running: Sequence[DueCheck], kinds: tuple[Kind, ...]) -> str:
    counted = [check for check in running if check.counter.kind in kinds]
    if not counted:
        return ""
    check = max(counted, key=lambda one: one.value)
    least = "at least " if check.state is State.CANNOT_TELL else ""
    basis = "" if str(check.basis) in ("known", "unknown") else f" ({check.basis})"
    what = " of driving" if kinds is _WHEEL else ""
    shown = measure(check, check.value, "down" if least else "up")
    return f"{least}{shown}{what}{basis}"


def _next(ahead: Sequence[DueCheck]) -> list[DueCheck]:
    """The limit that comes first by the odometer, and the one that comes first by driving time."""
    limited = [one for one in ahead if one.counter.limit is not None]
    by_way = [one for one in limited if one.counter.kind in _WAY]
    by_time = [one for one in limited if one.counter.kind not in _WAY]
    return [
        min(some, key=lambda one: one.remaining if one.remaining is not None else 0)
        for some in (by_way, by_time)
        if some
    ]


def _every_so_long(running: Sequence[DueCheck]) -> Iterator[str]:
    """The tightest limit of way and the tightest of driving time that come again and again."""
    for kind, of_driving in ((Kind.DISTANCE, ""), (Kind.DRIVING_TIME, " of driving")):
        counters = [one.counter for one in running if one.counter.kind is kind]
        if counters:
            tightest = min(counters, key=lambda one: one.limit or 0)
            yield f"{tightest.printed_limit} {tightest.printed_unit}{of_driving}"


def _by(check: DueCheck, offset_min: int, now: datetime) -> str:
    """By which reading and about when; what is left of it where neither is known."""
    told = by_when(check, offset_min, now)
    if check.remaining is None:
        return told or "not known when"
    left = f"{measure(check, check.remaining, 'down')} left"
    if check.counter.kind in TIMED and not told:
        soonest = now + timedelta(milliseconds=check.remaining)
        return f"{left}, about {clock(soonest, offset_min, now)} if driven on now"
    if not told or told == by_odometer(check):
        return ", ".join(part for part in (told, left) if part)
    return told
