"""`triplog second-look`: another person has looked at the load."""

from typing import Annotated

import typer

from triplog.cli import asking
from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import Note, OfTrip, Place, face, leave, recorded, show
from triplog.desk.refused import Refused


def second_look(
    context: typer.Context,
    by: Annotated[
        str | None, typer.Option("--by", help="Who looked, by label; else the person typing.")
    ] = None,
    how: Annotated[
        str | None,
        typer.Option("--how", help='"on the spot", "by photo, answered" or "by photo, no answer".'),
    ] = None,
    as_planned: Annotated[
        bool | None,
        typer.Option("--as-planned/--to-put-right", help="What the second person says of it."),
    ] = None,
    place: Place = None,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Record a second look, by another person than who loaded or drives."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.second_look import How, Seen, record_second_look
    from triplog.journal.trip import OPEN_STATES

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, OPEN_STATES)
    words = [str(word) for word in How]
    if asking.at_terminal():
        by = asking.text(by, "Who looked, by label", "--by")
        how = how or asking.one_of("How did they look", words)
    if how not in words:
        raise Refused(f"say with --how how they looked: {'; '.join(words)}; found {how!r}")
    seen = None
    if how != How.PHOTO_UNANSWERED:
        question = "Do they say it is as planned, with nothing to put right?"
        right = asking.yes(as_planned, question, "--as-planned")
        seen = Seen.AS_PLANNED if right else Seen.TO_PUT_RIGHT
    entry = here.recording(
        desk,
        lambda: record_second_look(
            desk,
            found,
            by=by,
            how=How(how),
            seen=seen,
            place=place,
            note=note,
        ),
    )
    show([recorded(entry, f"second look {how}{f': {seen}' if seen else ''}")])
    if seen is None:
        show(["a photo that nobody answered is no second look; it is recorded as sent"])
    elif seen is Seen.TO_PUT_RIGHT:
        show(["put it right, plan it anew where that changes it, and ask them to look again"])
    leave(DONE if seen is Seen.AS_PLANNED else FOUND)


COMMANDS = {"second-look": second_look}
