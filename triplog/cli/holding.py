"""`triplog hold` and `triplog lift-hold`: nothing of a trip goes while a hold stands."""

from typing import Annotated

import typer

from triplog.cli import asking
from triplog.cli.face import Reason, face, recorded, show
from triplog.cli.gear_looks import WhichHold

Label = Annotated[str, typer.Argument(help="Which trip, by label.")]


def hold(context: typer.Context, trip: Label, reason: Reason = None) -> None:
    """Put a trip under an evidence hold: nothing of it, or of what it names, may be deleted."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.holding import hold_trip
    from triplog.journal.trip import TripState

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, TripState)
    why = asking.text(reason, "Why", "--reason")
    entry = here.recording(desk, lambda: hold_trip(desk, found, reason=why))
    show(
        [
            recorded(entry, f"trip {found.label} is under an evidence hold"),
            "nothing of it goes until a named person lifts the hold; what is added is added as"
            " ever. Copies elsewhere (phones, a camera, a vehicle's recorder) are to be kept too",
        ]
    )


def lift_hold(
    context: typer.Context, trip: Label, hold: WhichHold = None, reason: Reason = None
) -> None:
    """Lift one evidence hold on a trip; done by a named person, with a reason."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.holding import holds_on_trip, lift_trip_hold
    from triplog.journal.trip import TripState

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, TripState)
    why = asking.text(reason, "Why", "--reason")
    entry = here.recording(desk, lambda: lift_trip_hold(desk, found, hold=hold, reason=why))
    left = holds_on_trip(desk, desk.trip(found.id))
    show([recorded(entry, f"hold on trip {found.label} lifted")])
    show(f"still standing: {one.line}" for one in left)


COMMANDS = {"hold": hold, "lift-hold": lift_hold}
