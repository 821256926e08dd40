"""Due checks in words, for a line on the screen and for a prompt. English.

Measured values are shown to the cautious side: what was driven rounded up, what is left down.
Where a function takes `say`, every piece of a sentence goes through it before the figures are put
in: the page says it in another language.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from typing import Any

from scheduler.due import DueCheck, State
from scheduler.recheck_rules import ADVICE, COUNT_PER_UNIT, TIMED, Kind, LegalForce
from triplog.securement.quantity import Rounding, decimal_text
from triplog.wording.happened import MOVED

Say = Callable[[str], str]
"""From a piece of an English sentence to the same in the reader's language."""
_MINUTE_MS = 60_000
_LATE_WITHOUT = "late, driven on without it"
_BREAKS = (Kind.DRIVING_BREAK, Kind.WORK_TIME)
_NAMED = (LegalForce.COMPANY_RULE, LegalForce.GUIDANCE)
"""The forces that a check's title begins with."""
LOOK_WHY = (
    "more than half of the tension that may go was lost since the last look: find out why before"
    " driving on; a strap that slips or is damaged is replaced, not tightened again"
)
LOAD_STAYS_A_DUTY = (
    "the load must not shift or fall all the same, and the look before driving stays"
)
REASON_LATER = "  the reason can be told later: `triplog late-reason`"
TITLES = {
    Kind.FIRST_DISTANCE: "first check, within {limit} of setting out with this load",
    Kind.FIRST_TIME: "first check, within {limit} of driving with this load",
    Kind.DISTANCE: "check at the latest every {limit}",
    Kind.DRIVING_TIME: "check at the latest every {limit} of driving",
    Kind.DRIVING_BREAK: "check with the break, by {limit} of driving",
    Kind.WORK_TIME: "check with the break, by {limit} of work",
    Kind.OBSERVED_LOSS: "look again by {limit} of driving: tension was found lost",
    Kind.DUTY_CHANGE: "check after a change of duty status",
    Kind.LOAD_CHANGE: "check after loading or unloading, before driving on",
    Kind.EVENT: "check after something happened",
    Kind.BEFORE_DRIVING: "look before driving",
    Kind.REGULAR: "check regularly",
    Kind.EXEMPTION: "no check owed",
}
ADVISED = {
    Kind.DISTANCE: "check every {limit}",
    Kind.DRIVING_TIME: "check every {limit} of driving",
}


def as_it_is(text: str) -> str:
    """English as it is."""
    return text


def title(check: DueCheck, say: Say = as_it_is) -> str:
    """What check it is: "first check, within 50 mi of setting out with this load"."""
    counter = check.counter
    force = counter.legal_force
    limit = f"{counter.printed_limit} {counter.printed_unit}"
    what = check_title(counter.kind, limit, force, say)
    if counter.kind is Kind.EVENT:
        happened = counter.what or ""
        what = say("check after: {what}").format(what=say(happened))
    return f"{say(str(force))}: {what}" if force in _NAMED else what


def check_title(
    kind: Kind, limit: str, force: LegalForce = LegalForce.LAW, say: Say = as_it_is
) -> str:
    """What check a rule of this kind asks for, or advises.

    `limit` as printed, empty where it has none.
    """
    words = ADVISED.get(kind, TITLES[kind]) if force in ADVICE else TITLES[kind]
    return say(words).format(limit=limit)


def rule_text(check: DueCheck, say: Say = as_it_is) -> str:
    """Where the rule stands, with its legal force: "law, 49 CFR 392.9(b)(2)"."""
    counter = check.counter
    return source_text(counter.legal_force, counter.source, counter.clause, counter.kind, say)


def source_text(
    force: LegalForce, source: str, clause: str, kind: Kind, say: Say = as_it_is
) -> str:
    """Legal force and place of a rule."""
    if source.startswith(str(LegalForce.COMMON_PRACTICE)):
        return say("common practice, no source")
    if force is LegalForce.COMPANY_RULE:
        return f"{say(str(force))}, {clause}"
    numbered = clause[:1].isdigit() or clause.startswith(("s.", "art."))
    where = source if clause == "none" else f"{source}{'' if numbered else ','} {clause}"
    if kind in _BREAKS:
        return say("{force}; the break itself: {where}").format(force=say(str(force)), where=where)
    if force is LegalForce.YARDSTICK:
        return say("a yardstick, not law here, {where}").format(where=where)
    return f"{say(str(force))}, {where}"


def state_text(check: DueCheck, say: Say = as_it_is) -> str:
    """The state in words: "late by 6.2 mi", "due, by estimate", "coming up".

    What is not binding is gone beyond; it is never late.
    """
    counter = check.counter
    advice = counter.legal_force in ADVICE
    if check.state is State.LATE:
        if check.late_by is None or counter.limit is None:
            return say("driven on without it") if advice else say(_LATE_WITHOUT)
        by = measure(check, check.late_by, "up")
        return (say("beyond it by {by}") if advice else say("late by {by}")).format(by=by)
    if check.state is State.DUE and counter.kind in _BREAKS:
        return say("due at the break")
    if check.by_estimate and counter.limit is not None:
        return say("due, by estimate")
    return say(str(check.state))


def count_text(check: DueCheck) -> str:
    """How far the counter has run and what is left, with what that rests on."""
    counter = check.counter
    if check.state is State.EXEMPT:
        return f"exempt: {counter.exempt_reason}; the load must not shift or fall all the same"
    if counter.limit is None:
        if check.state is State.DUE:
            return "before driving on"
        return f"stop at {where_to_stop(check)}" if counter.what == MOVED else ""
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


def by_when(check: DueCheck, offset_min: int, now: datetime, say: Say = as_it_is) -> str:
    """By which odometer reading and about when the limit comes, where that can be told."""
    parts = (by_odometer(check, say), by_clock(check, offset_min, now, say))
    return ", ".join(part for part in parts if part)


def by_clock(check: DueCheck, offset_min: int, now: datetime, say: Say = as_it_is) -> str:
    """About when the limit comes: "by about 07:16 if driving goes on"; "" if that is not known."""
    if check.state is State.EXEMPT or check.due_at is None or check.due_at <= now:
        return ""
    works = check.counter.kind is Kind.WORK_TIME
    words = (
        say("by about {time} if work goes on")
        if works
        else say("by about {time} if driving goes on")
    )
    return words.format(time=clock(check.due_at, offset_min, now))


def by_odometer(check: DueCheck, say: Say = as_it_is) -> str:
    """By which odometer reading the limit comes: "by odometer 24,180 mi"; "" if not known."""
    at_odometer = check.counter.limit_at_odometer_mm
    if at_odometer is None or check.counter.kind in TIMED:
        return ""
    unit = check.counter.odometer_unit or check.counter.printed_unit
    return say("by odometer {reading}").format(reading=odometer(at_odometer, unit))


def prompt_text(check: DueCheck, stage: State, label: str) -> tuple[str, str]:
    """Title and message of a desktop notification; nobody is late by what does not bind."""
    heading = {
        State.LATE: "Load check late" if check.calls_for_reason else "Load check due",
        State.DUE: "Load check due",
        State.COMING_UP: "Load check coming up",
    }.get(stage, "Load check")
    parts = [f"{title(check)}: {state_text(check)}", count_text(check)]
    body = "; ".join(part for part in parts if part)
    return f"{heading}, trip {label}", f"{body}. At {where_to_stop(check)}; nothing while driving."


def where_to_stop(check: DueCheck) -> str:
    """Where to stop for a check; for a load that has moved, not at the next planned stop."""
    if check.counter.what == MOVED:
        return "the nearest safe place now, not at the next planned stop"
    return "the next safe place"


def measure(check: DueCheck, count: int, rounding: Rounding) -> str:
    """A count of millimetres or milliseconds in the unit its rule is printed in."""
    counter = check.counter
    if counter.kind in TIMED:
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
