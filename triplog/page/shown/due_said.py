"""Due checks as the page says them: the words of `wording.due` in the reader's language."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from scheduler.due import DueCheck, State
from scheduler.recheck_rules import COUNT_PER_UNIT, TIMED
from triplog.securement.quantity import Rounding, decimal_text
from triplog.wording.amounts import Units
from triplog.wording.due import Say, by_clock, by_odometer, measure, rule_text, state_text, title

_OF_A_WAY: dict[Units, str] = {"us": "mi", "si": "km"}


@dataclass(frozen=True, slots=True, kw_only=True)
class DueSaid:
    """A due check in words; an empty text is not known. `is_owed`: due or late."""

    key: str
    state: str
    is_owed: bool
    is_late: bool
    title: str
    by_odometer: str
    by_clock: str
    amount: str
    rule: str


def due_said(
    check: DueCheck, offset_min: int, now: datetime, say: Say, units: Units | None = None
) -> DueSaid:
    """A due check in words; `units`: the reader's own, put beside where the rule has others."""
    return DueSaid(
        key=check.due_key,
        state=state_text(check, say),
        is_owed=check.is_due,
        is_late=check.state is State.LATE,
        title=title(check, say),
        by_odometer=by_odometer(check, say),
        by_clock=by_clock(check, offset_min, now, say),
        amount=_amount(check, say, units),
        rule=rule_text(check, say),
    )


def all_said(
    checks: Iterable[DueCheck],
    offset_min: int,
    now: datetime,
    say: Say,
    units: Units | None = None,
) -> tuple[DueSaid, ...]:
    """Due checks in words, in their order."""
    return tuple(due_said(check, offset_min, now, say, units) for check in checks)


def _amount(check: DueCheck, say: Say, units: Units | None) -> str:
    """How far the counter has run, and what is left."""
    if check.counter.limit is None or check.state is State.EXEMPT:
        return ""
    if check.state is State.CANNOT_TELL:
        least = _measured(check, check.value, "down", units)
        return say("at least {amount} so far; read the odometer now").format(amount=least)
    done, left = _measured(check, check.value, "up", units), check.remaining
    if not left:
        return say("{done} so far").format(done=done)
    left_text = _measured(check, left, "down", units)
    return say("{done} so far, {left} left").format(done=done, left=left_text)


def _measured(check: DueCheck, count: int, rounding: Rounding, units: Units | None) -> str:
    """A count in the unit of its rule, and beside it in the reader's where that is another."""
    told = measure(check, count, rounding)
    own = None if units is None else _OF_A_WAY[units]
    if own is None or check.counter.kind in TIMED or told.endswith(f" {own}"):
        return told
    beside = decimal_text(Fraction(count, COUNT_PER_UNIT[own]), 1, rounding)
    return f"{told} ({beside} {own})"
