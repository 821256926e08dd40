"""`triplog due`: one glance."""

from typing import Any

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import AsJson, OfTrip, face, leave, line_width, show, show_json, tell
from triplog.desk.due_now import DueNow, due_now
from triplog.screen import due_lines, next_due_line
from triplog.wording.due import by_when, rule_text, title


def due(context: typer.Context, trip: OfTrip = None, as_json: AsJson = False) -> None:
    """What is due: what is next, by what odometer reading, by what time, and why."""
    here = face(context)
    found = due_now(here.home, here.clock, trip)
    if found.rebuilt:
        tell("the lists were made by another version and have been rebuilt from the journal")
    if as_json:
        show_json(_record(found))
    else:
        show(_lines(found))
    late = any(check.calls_for_reason for one in found.trips for check in one.due)
    leave(FOUND if late else DONE)


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
        lines.append("invented: this is the demo's store")
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
                "due": [
                    {
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
                    for check in trip.due
                ],
            }
            for trip in found.trips
        ],
    }


COMMANDS = {"due": due}
