"""`triplog handover` and `slip`: a relief driver takes over."""

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli import asking
from triplog.cli.face import (
    AsJson,
    NewInstrument,
    Note,
    Odometer,
    OfTrip,
    Place,
    Stopped,
    Sure,
    When,
    face,
    line_width,
    recorded,
    show,
    show_json,
)

if TYPE_CHECKING:
    from triplog.desk.desk import Desk


def handover(
    context: typer.Context,
    to: Annotated[str | None, typer.Option("--to", help="Who takes over, by label.")] = None,
    giver: Annotated[
        str | None, typer.Option("--from", help="Who hands over; else who drives it now.")
    ] = None,
    looked_together: Annotated[
        bool | None,
        typer.Option(
            "--looked-together/--not-looked-together", help="Did both look at the load together?"
        ),
    ] = None,
    still_open: Annotated[
        str | None, typer.Option("--open", help="What the other must know; kept private.")
    ] = None,
    stopped: Stopped = None,
    odometer: Odometer = None,
    sure: Sure = False,
    new_instrument: NewInstrument = False,
    place: Place = None,
    note: Note = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Hand the trip over to a relief driver, and show the slip."""
    from triplog.desk import handing_over
    from triplog.desk.finding_things import person_label, the_trip
    from triplog.desk.when import moment
    from triplog.dossier.slip import slip_lines
    from triplog.journal.trip import UNDER_WAY, text_in
    from triplog.wording.slip import AFTER_HAND_OVER

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    stopped = asking.standing(found, stopped)
    taker = _ask_taker(desk, to)
    handing_over.parties(desk, found, to=taker, giver=giver)
    when = moment(at, desk.now_on(found))
    odometer = asking.reads_odometer(desk, odometer)
    told = asking.reading_with(
        desk, found, odometer, sure=sure, new_instrument=new_instrument, at=when
    )
    looked_together = asking.known(looked_together, "Did both look at the load together?")
    still_open = asking.maybe(still_open, "Anything the other must know")
    entry = here.recording(
        desk,
        lambda: handing_over.hand_over(
            desk,
            found,
            to=taker,
            giver=giver,
            looked_together=looked_together,
            stopped=stopped,
            open_points=still_open,
            at=when,
            place=place,
            note=note,
            **told,
        ),
    )
    who = person_label(desk, text_in(entry.body, "from"))
    show([recorded(entry, f"trip {found.label}: {who} hands over to {taker}"), AFTER_HAND_OVER, ""])
    found = desk.trip(found.id)
    show(slip_lines(handing_over.slip(desk, found, desk.now_on(found)), line_width()))


def _ask_taker(desk: "Desk", to: str | None) -> str:
    """Who takes over: asked until it is somebody who has a card."""
    from triplog.desk.looking import people

    if to is not None or not asking.at_terminal():
        return asking.text(to, "Who takes over, by label", "--to")
    there = [str(row["label"]) for row in people(desk)]
    question = f"Who takes over, of {asking.listed(there)} (triplog person add makes a card)"
    return asking.text(None, question, "--to", reads=asking.among(there, "person"))


def slip(context: typer.Context, trip: OfTrip = None, as_json: AsJson = False) -> None:
    """Show the hand-over slip: the five things a relief driver must know."""
    from triplog.desk import handing_over
    from triplog.desk.finding_things import the_trip
    from triplog.dossier.slip import slip_lines
    from triplog.journal.trip import OPEN_STATES, TripState

    desk = face(context).desk()
    found = the_trip(desk, trip, TripState if trip else OPEN_STATES)
    made = handing_over.slip(desk, found, desk.now_on(found))
    if as_json:
        return show_json(asdict(made))
    return show(slip_lines(made, line_width()))


COMMANDS = {"handover": handover, "slip": slip}
