"""Due checks in words, for a line on the screen and for a prompt. English.

Measured values are shown to the cautious side: what was driven rounded up, what is left down.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from typing import Any

from scheduler.due import DueCheck, State
from scheduler.recheck_rules import COUNT_PER_UNIT, Kind, LegalForce
from triplog.securement.quantity import Rounding, decimal_text

_MINUTE_MS = 60_000
_LATE_WITHOUT = "late, driven on without it"


def title(check: DueCheck) -> str:
    """What check it is: "first check, within 50 mi of setting out with this load"."""
    counter = check.counter
    limit = f"{counter.printed_limit} {counter.printed_unit}"
    match counter.kind:
        case Kind.FIRST_DISTANCE:
            return f"first check, within {limit} of setting out with this load"
        case Kind.DISTANCE:
            return f"check at the latest every {limit}"
        case Kind.DRIVING_TIME:
            return f"check at the latest every {limit} of driving"
        case Kind.DUTY_CHANGE:
            return "check after a change of duty status"
        case Kind.EVENT:
            return f"check after: {counter.what}"


def rule_text(check: DueCheck) -> str:
    """Where the rule stands, with its legal force: "law, 49 CFR 392.9(b)(2)"."""
    counter = check.counter
    if counter.legal_force is LegalForce.COMMON_PRACTICE:
        return "common practice, no source"
    if counter.legal_force is LegalForce.YARDSTICK:
        return f"a yardstick, not law here, {counter.source} {counter.clause}"
    return f"{counter.legal_force}, {counter.source} {counter.clause}"


def state_text(check: DueCheck) -> str:
    """The state in words: "late by 6.2 mi", "due, by estimate", "coming up"."""
    if check.state is State.LATE:
        if check.late_by is None or check.counter.limit is None:
            return _LATE_WITHOUT
        return f"late by {measure(check, check.late_by, 'up')}"
    if check.by_estimate and check.counter.limit is not None:
        return "due, by estimate"
    return str(check.state)


def count_text(check: DueCheck) -> str:
    """How far the counter has run and what is left, with what that rests on."""
    counter = check.counter
    if check.state is State.EXEMPT:
        return f"exempt: {counter.exempt_reason}; the load must not shift or fall all the same"
    if counter.limit is None:
        return "before driving on" if check.state is State.DUE else ""
    if check.state is State.CANNOT_TELL:
        return (
            f"at least {measure(check, check.value, 'down')} so far; read the odometer now and at"
            " the next stop, for the way between two readings decides; or a top road speed does:"
            " `triplog correct ENTRY top_speed=...` adds it to the departure, and after a change of"
            " vehicle to the plan that took the other one"
        )
    basis = "" if str(check.basis) == "known" else f" ({check.basis})"
    done = f"{measure(check, check.value, 'up')} so far{basis}"
    left = check.remaining
    return done if not left else f"{done}, {measure(check, left, 'down')} left"


def by_when(check: DueCheck, offset_min: int, now: datetime) -> str:
    """By which odometer reading and about when the limit comes, where that can be told."""
    parts = []
    at_odometer = check.counter.limit_at_odometer_mm
    if at_odometer is not None and check.counter.kind is not Kind.DRIVING_TIME:
        unit = check.counter.odometer_unit or check.counter.printed_unit
        parts.append(f"by odometer {odometer(at_odometer, unit)}")
    if check.state is not State.EXEMPT and check.due_at is not None and check.due_at > now:
        parts.append(f"by about {clock(check.due_at, offset_min, now)} if driving goes on")
    return ", ".join(parts)


def prompt_text(check: DueCheck, stage: State, label: str) -> tuple[str, str]:
    """Title and message of a desktop notification."""
    heading = {
        State.LATE: "Load check late",
        State.DUE: "Load check due",
        State.COMING_UP: "Load check coming up",
    }.get(stage, "Load check")
    parts = [f"{title(check)}: {state_text(check)}", count_text(check)]
    body = "; ".join(part for part in parts if part)
    return f"{heading}, trip {label}", f"{body}. At the next safe place; nothing while driving."


def measure(check: DueCheck, count: int, rounding: Rounding) -> str:
    """A count of millimetres or milliseconds in the unit its rule is printed in."""
    counter = check.counter
    if counter.kind is Kind.DRIVING_TIME:
        return _time_text(count, rounding)
    return _way_text(count, counter.printed_unit or counter.odometer_unit or "mi", rounding)


def made_late_text(late: Iterable[Mapping[str, Any]], reading: str | None) -> str:
    """By how much a completed check was late, as recorded: "late by 8.0 mi, late by 10 min".

    A way is shown in the unit of the odometer `reading` recorded with the check, else in miles.
    """
    unit = "km" if (reading or "").endswith("km") else "mi"
    told = []
    for one in late:
        if not one["by"]:
            told.append(_LATE_WITHOUT)
        elif one["measure"] == "ms":
            told.append(f"late by {_time_text(one['by'], 'up')}")
        else:
            told.append(f"late by {_way_text(one['by'], unit, 'up')}")
    return ", ".join(dict.fromkeys(told))


def _time_text(count_ms: int, rounding: Rounding) -> str:
    minutes = -(-count_ms // _MINUTE_MS) if rounding == "up" else count_ms // _MINUTE_MS
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def _way_text(count_mm: int, unit: str, rounding: Rounding) -> str:
    return f"{decimal_text(Fraction(count_mm, COUNT_PER_UNIT[unit]), 1, rounding)} {unit}"


def odometer(reading_mm: int, unit: str) -> str:
    """An odometer reading, rounded down so that the limit comes after it."""
    shown = unit if unit in ("mi", "km") else "mi"
    return f"{decimal_text(Fraction(reading_mm, COUNT_PER_UNIT[shown]), 0, 'down')} {shown}"


def clock(moment: datetime, offset_min: int, now: datetime) -> str:
    """The local time of a moment, with the date where it is another day than now."""
    zone = timezone(timedelta(minutes=offset_min))
    local, today = moment.astimezone(zone), now.astimezone(zone)
    return local.strftime("%H:%M" if local.date() == today.date() else "%Y-%m-%d %H:%M")
