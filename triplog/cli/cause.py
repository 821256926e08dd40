"""`triplog cause`: why gear had to be replaced, told after it."""

from typing import Annotated

import typer

from triplog.cli import asking
from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import OfTrip, face, leave, recorded, show


def cause(
    context: typer.Context,
    tie_down: Annotated[
        str | None, typer.Argument(help="Which tie-down; not needed where only one is open.")
    ] = None,
    why: Annotated[
        str | None, typer.Option("--why", help="What broke or moved it; kept private.")
    ] = None,
    trip: OfTrip = None,
) -> None:
    """Say afterwards why gear had to be replaced: what the broken strap asked is answered then."""
    from triplog.desk.causes import tell_cause
    from triplog.desk.finding_things import the_trip
    from triplog.desk.road import unrevised
    from triplog.journal.trip import OPEN_STATES
    from triplog.screen import unrevised_line
    from triplog.wording.entries import gist

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, OPEN_STATES)
    said = asking.text(why, "Why it had to be replaced", "--why", example="no edge protector")
    entry = here.recording(desk, lambda: tell_cause(desk, found, tie_down, said))
    show([recorded(entry, gist(entry))])
    left = unrevised(desk.trip(found.id))
    show([unrevised_line(len(left))] if left else [])
    leave(FOUND if left else DONE)


COMMANDS = {"cause": cause}
