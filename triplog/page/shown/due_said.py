"""Due checks as the page says them: the words of `wording.due` in the reader's language."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduler.due import DueCheck, State
from triplog.wording.due import Say, by_clock, by_odometer, measure, rule_text, state_text, title


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


def due_said(check: DueCheck, offset_min: int, now: datetime, say: Say) -> DueSaid:
    """A due check in words."""
    return DueSaid(
        key=check.due_key,
        state=state_text(check, say),
        is_owed=check.is_due,
        is_late=check.state is State.LATE,
        title=title(check, say),
        by_odometer=by_odometer(check, say),
        by_clock=by_clock(check, offset_min, now, say),
        amount=_amount(check, say),
        rule=rule_text(check, say),
    )


def all_said(
    checks: Iterable[DueCheck], offset_min: int, now: datetime, say: Say
) -> tuple[DueSaid, ...]:
    """Due checks in words, in their order."""
    return tuple(due_said(check, offset_min, now, say) for check in checks)


def _amount(check: DueCheck, say: Say) -> str:
    """How far the counter has run, and what is left."""
    if check.counter.limit is None or check.state is State.EXEMPT:
        return ""
    if check.state is State.CANNOT_TELL:
        least = measure(check, check.value, "down")
        return say("at least {amount} so far; read the odometer now").format(amount=least)
    done, left = measure(check, check.value, "up"), check.remaining
    if not left:
        return say("{done} so far").format(done=done)
    left_text = measure(check, left, "down")
    return say("{done} so far, {left} left").format(done=done, left=left_text)
