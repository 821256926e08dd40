"""What every command that changes a plan does: find the trip, record the next revision, say so."""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, cast

import typer

from triplog.cli.face import face, recorded, show

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.desk.planning import Change
    from triplog.journal.entries import Body


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
    what = f"trip {found.label}, plan {entry.body['number']}: {change.cause}"
    new = _new_ids(found.document or {}, cast("Body", entry.body["document"]))
    show([recorded(entry, f"{what}: {', '.join(new)}" if new else what)])


def _new_ids(before: "Body", after: "Body") -> list[str]:
    """The articles and tie-downs that are new, by which everything after names them."""
    from triplog.journal.trip import records_in

    return [
        one["id"]
        for table in ("article", "tie_down")
        for one in records_in(after, table)
        if one["id"] not in {other["id"] for other in records_in(before, table)}
    ]
