"""`triplog loaded` and `triplog depart`."""

from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import (
    NextStop,
    NextStopOdometer,
    Note,
    Odometer,
    OfTrip,
    Reason,
    When,
    face,
    leave,
    line_width,
    recorded,
    show,
)
from triplog.securement.quantity import Dimension

if TYPE_CHECKING:
    from triplog.desk.departing import Outlook
    from triplog.wording.amounts import Units


def loaded(
    context: typer.Context,
    over: Annotated[
        bool,
        typer.Option("--looked-over", help="All gear was looked at: no damage, no knots."),
    ] = False,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Record that the load is on and tied as planned."""
    from triplog.desk.departing import record_loading
    from triplog.desk.finding_things import the_trip
    from triplog.journal.trip import OPEN_STATES

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, OPEN_STATES)
    entry = here.recording(desk, lambda: record_loading(desk, found, over=over, note=note))
    show([recorded(entry, f"trip {found.label} is loaded")])


def depart(
    context: typer.Context,
    odometer: Odometer = None,
    driver: Annotated[str | None, typer.Option("--driver", help="Who drives, by label.")] = None,
    top_speed: Annotated[
        str | None,
        typer.Option("--top-speed", help="Top road speed, where the vehicle's card has none."),
    ] = None,
    next_stop: NextStop = None,
    next_stop_odometer: NextStopOdometer = None,
    reason: Reason = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Depart: what is not met or unknown is shown and recorded, never in the way."""
    from triplog.cli import asking, stops
    from triplog.desk import departing
    from triplog.desk.finding_things import person_named, the_trip
    from triplog.desk.odometer import odometer_text
    from triplog.desk.setting_up import units_of
    from triplog.desk.when import moment
    from triplog.screen import CAUTIONS, due_lines

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, departing.BEFORE_DEPARTURE)
    when = moment(at, desk.now())
    outlook = departing.outlook(desk, found)
    _show_outlook(outlook, units_of(desk))
    if not outlook.is_settled:
        reason = asking.maybe(reason, "Why depart all the same")
    if outlook.top_speed is None:
        top_speed = asking.quantity(
            top_speed, "Top road speed of this vehicle, such as 65 mph", Dimension.SPEED
        )
    odometer = asking.maybe(
        odometer, "What the odometer reads", lambda typed: odometer_text(desk, typed)
    )
    next_stop, next_stop_odometer = stops.ask_next_stop(desk, next_stop, next_stop_odometer)
    driver_id = desk.by if driver is None else person_named(desk, driver).id
    departure = here.recording(
        desk,
        lambda: departing.depart(
            desk,
            found,
            driver=driver_id,
            odometer=odometer,
            top_speed=top_speed,
            next_stop=next_stop,
            reason=reason,
            at=when,
            next_stop_odometer=next_stop_odometer,
        ),
    )
    now = desk.now()
    show([recorded(departure.entry, f"trip {found.label} departed")])
    if not outlook.is_settled and reason is None:
        show(["no reason given for what is not met or not known"])
    due, width = departure.due, line_width()
    show(due_lines(found.label, departure.trip.state, due, now.offset_min, now.wall, width=width))
    stops.show_next_stop(desk, departure.trip)
    show(["", *CAUTIONS])
    leave(DONE if outlook.is_settled else FOUND)


def _show_outlook(outlook: "Outlook", units: "Units") -> None:
    """What is not met or not known, and gear on the plan that is out."""
    from triplog.wording.handbook import findings_lines

    unsettled = outlook.judgement.unsettled
    if unsettled:
        show([f"not met or not known, {len(unsettled)} findings:", ""])
        show(findings_lines(unsettled, line_width(), units=units))
        show([""])
    if outlook.gear_out:
        show(["gear on the plan that may not be used:"])
        show(f"  {why}" for why in outlook.gear_out.values())
        show([""])


COMMANDS = {"loaded": loaded, "depart": depart}
