"""The checks on the roadside sheet: the last look, the next check, each check that runs."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, cast

from exports.document import Block, Column, Table
from scheduler.due import DueCheck, State
from scheduler.recheck_rules import AT_THE_WHEEL, Kind, LegalForce
from triplog.journal.entries import Body
from triplog.journal.folding import InForce
from triplog.journal.trip import Trip, records_in
from triplog.wording.due import (
    clock,
    made_late_text,
    measure,
    odometer,
    rule_text,
    state_text,
    title,
)
from triplog.wording.looks import beside_texts

_BY_ODOMETER = (Kind.FIRST_DISTANCE, Kind.DISTANCE)


def check_figures(
    trip: Trip, due: Sequence[DueCheck], offset_min: int, now: datetime
) -> list[tuple[str, str]]:
    """The last look and the next check; the last completed check too where that was another."""
    looks = trip.of("check_completed", "check_left_open")
    if not looks:
        told = "none yet, not departed" if trip.departure is None else "none since departure"
        return [("Last look", told), ("Next check", _next(trip, due, offset_min, now))]
    figures = [("Last look", _look(looks[-1], offset_min, now))]
    if looks[-1].original.kind == "check_left_open":
        last = trip.last("check_completed")
        told = "none" if last is None else _look(last, offset_min, now)
        figures.append(("Last completed check", told))
    return [*figures, ("Next check", _next(trip, due, offset_min, now))]


def check_blocks(due: Sequence[DueCheck], offset_min: int, now: datetime) -> list[Block]:
    """Each check that runs, worst first; nothing where none does."""
    if not due:
        return []
    return [
        Table(
            columns=(
                Column(title="State", weight=9),
                Column(title="Check"),
                Column(title="By odometer, about", weight=9),
                Column(title="Rule", weight=9),
            ),
            rows=tuple(_row(check, offset_min, now) for check in due),
        )
    ]


def found_words(body: Body) -> list[str]:
    """What a look found: what is odd, how many tie-downs were not slack, what was left out."""
    lines = records_in(body, "lines")
    unseen = [one["tie_down"] for one in lines if one["found"] == "not looked at"]
    odd = [one for one in lines if one["found"] not in ("fine", "not looked at")]
    fine = len(lines) - len(unseen) - len(odd)
    found = [f"{one['tie_down']} {one['found']}" for one in odd]
    if fine and odd:
        found.append(f"{fine} other{'s' if fine > 1 else ''} not slack")
    elif fine:
        found.append(f"{fine} tie-down{'s' if fine > 1 else ''} looked at, none slack")
    if unseen:
        found.append(f"not looked at: {', '.join(unseen)}")
    return found + beside_texts(records_in(body, "looks"))


def _look(fact: InForce, offset_min: int, now: datetime) -> str:
    """When, at what odometer reading, and what was found."""
    body = cast(dict[str, Any], fact.entry.body)
    found = found_words(fact.entry.body)
    if body.get("late"):
        found.append(f"made {made_late_text(body['late'], body.get('odometer'))}")
    when = clock(fact.entry.event_time, offset_min, now)
    return f"{when}, {body.get('odometer', 'odometer not read')}: {'; '.join(found)}"


def _next(trip: Trip, due: Sequence[DueCheck], offset_min: int, now: datetime) -> str:
    """The worst that is owed; else the earliest odometer reading and time of all."""
    if not due:
        return f"none runs, the trip is {trip.state}"
    running = [check for check in due if check.state is not State.EXEMPT]
    if not running:
        return f"exempt: {due[0].counter.exempt_reason}"
    if running[0].is_due or running[0].state is State.CANNOT_TELL:
        return f"{state_text(running[0])}: {title(running[0])}"
    at_odometers = [
        (
            check.counter.limit_at_odometer_mm,
            check.counter.odometer_unit or check.counter.printed_unit,
        )
        for check in running
        if check.counter.limit_at_odometer_mm is not None and check.counter.kind in _BY_ODOMETER
    ]
    moments = [check.due_at for check in running if check.due_at is not None]
    driving = [check for check in running if check.counter.kind in AT_THE_WHEEL]
    by = []
    if at_odometers:
        by.append(f"at odometer {odometer(*min(at_odometers))}")
    if moments:
        by.append(f"about {clock(min(moments), offset_min, now)} if driving goes on")
    elif driving:
        by.append(f"after {_left(driving[0])} of driving")
    return " or ".join(by) or f"{running[0].state}: {title(running[0])}"


def _left(check: DueCheck) -> str:
    """What is left of a limit, to the cautious side; "" where that cannot be told."""
    return "" if check.remaining is None else measure(check, check.remaining, "down")


def _row(check: DueCheck, offset_min: int, now: datetime) -> tuple[str, ...]:
    counter = check.counter
    rule = f"{counter.source} {counter.clause}"
    return (
        state_text(check),
        title(check).removeprefix("check "),
        _by(check, offset_min, now),
        rule if counter.legal_force is LegalForce.LAW else rule_text(check),
    )


def _by(check: DueCheck, offset_min: int, now: datetime) -> str:
    """By which odometer reading and about when it is due; what is left where neither is known."""
    counter = check.counter
    if check.state is State.EXEMPT:
        return counter.exempt_reason or ""
    if counter.limit is None:
        return "now"
    at_odometer = counter.limit_at_odometer_mm
    by = []
    if at_odometer is not None and counter.kind in _BY_ODOMETER:
        by.append(odometer(at_odometer, counter.odometer_unit or counter.printed_unit))
    if check.due_at is not None:
        by.append(clock(check.due_at, offset_min, now))
    left = _left(check)
    return ", ".join(by) or (f"{left} left" if left else "not known")
