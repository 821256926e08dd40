"""`triplog exempt`: the checks on the road do not apply."""

from typing import Annotated

import typer

from triplog.cli.face import OfTrip, Reason, face, recorded, show
from triplog.desk.refused import Refused


def exempt(
    context: typer.Context,
    sealed: Annotated[str | None, typer.Option("--sealed", help="The seal's number.")] = None,
    ordered_by: Annotated[
        str | None, typer.Option("--ordered-by", help="Who ordered it not to be opened; private.")
    ] = None,
    ordered_at: Annotated[str | None, typer.Option("--ordered-at", help="When.")] = None,
    driver_has_key: Annotated[
        bool | None,
        typer.Option(
            "--driver-has-key/--driver-has-no-key", help="A padlock with a key is no seal."
        ),
    ] = None,
    impracticable: Annotated[
        bool, typer.Option("--impracticable", help="Loaded so that it cannot be inspected.")
    ] = False,
    loaded_by: Annotated[
        str | None, typer.Option("--loaded-by", help="Who loaded it; private.")
    ] = None,
    reason: Reason = None,
    trip: OfTrip = None,
) -> None:
    """Record that the checks on the road do not apply: sealed and ordered, or impracticable."""
    from triplog.cli import asking
    from triplog.desk import exempting
    from triplog.desk.finding_things import the_trip
    from triplog.desk.road import refuse_at_the_wheel
    from triplog.desk.when import moment
    from triplog.journal.trip import OPEN_STATES
    from triplog.wording.due import LOAD_STAYS_A_DUTY

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, OPEN_STATES)
    refuse_at_the_wheel(found)
    if sealed is None and not impracticable and asking.at_terminal():
        grounds = (exempting.SEALED, exempting.IMPRACTICABLE)
        impracticable = asking.one_of("No check is owed:", grounds) == exempting.IMPRACTICABLE
    elif (sealed is not None) == impracticable:
        raise Refused("say either --sealed NUMBER or --impracticable")
    if impracticable:
        reason = asking.maybe(reason, "Why the load cannot be inspected")
        loaded_by = asking.maybe(loaded_by, "Who loaded it")
    else:
        sealed = asking.maybe(sealed, "The seal's number")
        driver_has_key = asking.known(driver_has_key, "Does the driver hold a key to it?")
        exempting.refuse_held_key(driver_has_key)
        ordered_by = asking.maybe(ordered_by, "Who ordered it not to be opened")
        ordered_at = asking.maybe(
            ordered_at, "When, such as 10:31", lambda said: moment(said, desk.now())
        )
    entry = here.recording(
        desk,
        lambda: (
            exempting.exempt_impracticable(desk, found, reason=reason, loaded_by=loaded_by)
            if impracticable
            else exempting.exempt_sealed(
                desk,
                found,
                seal=sealed,
                ordered_by=ordered_by,
                ordered_at=moment(ordered_at, desk.now()),
                driver_has_key=driver_has_key,
            )
        ),
    )
    show([recorded(entry, f"exempt: {entry.body['grounds']}"), LOAD_STAYS_A_DUTY])


COMMANDS = {"exempt": exempt}
