"""`triplog late-reason`: why a check was late, told after it."""

from typing import Annotated

import typer

from triplog.cli.face import OfTrip, face, recorded, show


def late_reason(
    context: typer.Context,
    reason: Annotated[
        str | None, typer.Argument(help="Why it was late, in your own words; kept private.")
    ] = None,
    trip: OfTrip = None,
) -> None:
    """Say afterwards why a check was late; the check itself stays as it was recorded."""
    from triplog.cli import asking
    from triplog.desk.finding_things import the_trip
    from triplog.desk.late_reasons import give_late_reason
    from triplog.journal.trip import OPEN_STATES, TripState
    from triplog.wording.entries import gist

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, TripState if trip else OPEN_STATES)
    why = asking.text(reason, "Why was the check late", "REASON")
    entries = here.recording(desk, lambda: give_late_reason(desk, found, why))
    show(recorded(entry, gist(entry)) for entry in entries)


COMMANDS = {"late-reason": late_reason}
