"""What every command that changes a plan does: find the trip, record the next revision, say so."""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import typer

from triplog.cli.face import face, recorded, show

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.desk.planning import Change


def change_the_plan(
    context: typer.Context,
    trip: str | None,
    make: "Callable[[Desk, str], Change]",
    reason: str | None = None,
) -> None:
    """Record the change that `make` gives for the desk and the label of the trip."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.planning import change_plan
    from triplog.journal.trip import OPEN_STATES

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, OPEN_STATES)
    change = replace(make(desk, found.label), reason=reason)
    entry = here.recording(desk, lambda: change_plan(desk, found, change))
    show([recorded(entry, f"trip {found.label}, plan {entry.body['number']}: {change.cause}")])
