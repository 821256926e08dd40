"""`triplog photo`: photos added to a trip, and listed."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli import asking
from triplog.cli.face import (
    AsJson,
    Note,
    OfTrip,
    Place,
    Stopped,
    face,
    recorded,
    show,
    show_json,
)
from triplog.cli.lines import tell
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.desk.photos import Added, TakenIn

app = typer.Typer(help="The photos of a trip.", no_args_is_help=True)


@app.command("add")
def add(
    context: typer.Context,
    files: Annotated[list[Path], typer.Argument(help="Pictures, JPEG or PNG.")],
    shows: Annotated[
        list[str] | None,
        typer.Option(
            "--shows", help="What it shows: front, tag, damage ...; once, or once for each file."
        ),
    ] = None,
    tie_down: Annotated[
        list[str] | None, typer.Option("--tie-down", help="Which tie-down it shows.")
    ] = None,
    gear: Annotated[list[str] | None, typer.Option("--gear", help="Which gear, by label.")] = None,
    stopped: Stopped = None,
    place: Place = None,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Add photos to a trip: kept with their digest, the camera's time shown and never corrected."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.photos import add_photos, take_in
    from triplog.journal.trip import OPEN_STATES, TripState

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, TripState if trip else OPEN_STATES)
    stopped = asking.standing(found, stopped)
    taken_in = take_in(files)
    words = shows or _ask_what(taken_in)
    added = here.recording(
        desk,
        lambda: add_photos(
            desk,
            found,
            taken_in,
            shows=words,
            tie_downs=tie_down or [],
            gear=gear or [],
            stopped=stopped,
            note=note,
            place=place,
        ),
    )
    _show_added(added)


def _ask_what(taken_in: "list[TakenIn]") -> list[str]:
    """What each shows, asked at a terminal; the list stands on the screen once."""
    from triplog.wording.photos import SHOWN

    if not asking.at_terminal():
        raise Refused(f"--shows is missing; a photo shows one of: {', '.join(SHOWN)}")
    return [asking.one_of(f"{one.name} shows", SHOWN) for one in taken_in]


def _show_added(added: "Added") -> None:
    from triplog.wording.photos import about_text, size_text, taken_out_line, time_lines

    for entry, one in added.already:
        tell(f"{one.name} is on this trip already  [{entry.hash[:8]}]")
    for entry, one in added.new:
        show([recorded(entry, f"photo: {about_text(entry.body)}")])
        show(
            f"  {line}"
            for line in (f"{one.name}: {size_text(entry.body)}", *time_lines(entry.body))
        )
    taken_out = [what for _, one in added.new for what in one.picture.taken_out]
    show([taken_out_line(taken_out)] if taken_out else [])
    if added.elsewhere:
        show([f"the same picture is on trip {', '.join(added.elsewhere)} too"])


@app.command("list")
def listed(context: typer.Context, trip: OfTrip = None, as_json: AsJson = False) -> None:
    """List the photos of a trip: what each shows, when it was entered, what its camera says."""
    from triplog.desk.finding_things import the_trip_or_last
    from triplog.desk.photos import photo_rows
    from triplog.wording.entries import moment_text
    from triplog.wording.photos import about_text, count_line, size_text, time_lines

    desk = face(context).desk()
    found = the_trip_or_last(desk, trip)
    rows = photo_rows(desk, found)
    if as_json:
        return show_json(rows)
    show([f"trip {found.label}, {count_line(rows)}"])
    for row in rows:
        entered = moment_text(row["entry_time"], row["offset_min"])
        kept = "" if row["is_kept"] else "; the picture is not kept here any more"
        show([f"{row['number']}  {about_text(row)}; entered {entered}{kept}"])
        show(f"   {line}" for line in (size_text(row), *time_lines(row)))
    return None


COMMANDS = {"photo": app}
