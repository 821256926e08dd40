"""`triplog due`: one glance."""

from datetime import datetime
from typing import Annotated, Any

import typer

from scheduler.due import DueCheck
from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import AsJson, OfTrip, face, leave, line_width, show, show_json, tell
from triplog.desk.due_now import DueFirst, DueNow, due_first, due_now
from triplog.desk.refused import Refused
from triplog.screen import due_lines, next_due_line
from triplog.wording.due import by_when, rule_text, title

_INVENTED = "invented: this is the demo's store"

First = Annotated[
    int | None,
    typer.Option(
        "--first", min=1, metavar="N", help="Of all open trips only the N checks due first."
    ),
]


def due(
    context: typer.Context, trip: OfTrip = None, first: First = None, as_json: AsJson = False
) -> None:
    """What is due: what is next, by what odometer reading, by what time, and why."""
    here = face(context)
    if first is not None:
        if trip is not None:
            raise Refused("--first looks at all open trips; leave --trip out")
        _show_first(due_first(here.home, here.clock, first), as_json=as_json)
        return
    found = due_now(here.home, here.clock, trip)
    _tell_rebuilt(found.rebuilt)
    if as_json:
        show_json(_record(found))
    else:
        show(_lines(found))
    late = any(check.calls_for_reason for one in found.trips for check in one.due)
    leave(FOUND if late else DONE)


def _show_first(found: DueFirst, *, as_json: bool) -> None:
    """The checks due first, one line each."""
    _tell_rebuilt(found.rebuilt)
    offset_min, now = found.reading.offset_min, found.reading.wall
    if as_json:
        checks = [
            {"trip": label, **_check_record(check, offset_min, now)}
            for label, check in found.checks
        ]
        show_json({"now": now.isoformat(), "invented": found.invented, "due": checks})
    else:
        lines = [next_due_line(label, check, offset_min, now) for label, check in found.checks]
        lines = lines or ["no check on any open trip is due at a known time"]
        show(lines + ([_INVENTED] if found.invented else []))
    late = any(check.calls_for_reason for _, check in found.checks)
    leave(FOUND if late else DONE)


def _tell_rebuilt(rebuilt: bool) -> None:
    if rebuilt:
        tell("the lists were made by another version and have been rebuilt from the journal")


def _lines(found: DueNow) -> list[str]:
    offset_min, now = found.reading.offset_min, found.reading.wall
    if not found.trips:
        return ["no trip is open: nothing is due"]
    worst = found.worst
    lines = []
    if worst is not None and len(found.trips) > 1:
        label = next(trip.label for trip in found.trips if worst in trip.due)
        lines += [next_due_line(label, worst, offset_min, now), ""]
    for trip in found.trips:
        lines += due_lines(trip.label, trip.state, trip.due, offset_min, now, width=line_width())
    if found.invented:
        lines.append(_INVENTED)
    return lines


def _record(found: DueNow) -> dict[str, Any]:
    offset_min, now = found.reading.offset_min, found.reading.wall
    return {
        "now": now.isoformat(),
        "invented": found.invented,
        "trips": [
            {
                "trip": trip.label,
                "state": trip.state,
                "due": [_check_record(check, offset_min, now) for check in trip.due],
            }
            for trip in found.trips
        ],
    }


def _check_record(check: DueCheck, offset_min: int, now: datetime) -> dict[str, Any]:
    return {
        "due": check.due_key,
        "state": str(check.state),
        "what": title(check),
        "basis": str(check.basis),
        "by": by_when(check, offset_min, now),
        "rule": rule_text(check),
        "value": check.value,
        "limit": check.counter.limit,
        "late_by": check.late_by,
    }


COMMANDS = {"due": due}
