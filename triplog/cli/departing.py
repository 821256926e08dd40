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
    SoftLoad,
    When,
    face,
    leave,
    line_width,
    local_time,
    recorded,
    show,
)
from triplog.cli.lines import tell
from triplog.desk.refused import Refused
from triplog.securement.quantity import Dimension

if TYPE_CHECKING:
    from datetime import datetime

    from scheduler.rules_combined import Combined
    from triplog.desk.departing import Departure, Outlook
    from triplog.desk.desk import Desk
    from triplog.journal.trip import Trip
    from triplog.wording.amounts import Units

Through = Annotated[
    list[str] | None,
    typer.Option("--through", help="A country the trip touches: US, CA, AU, NZ, GB, EU ..."),
]


LOOKED_OVER = "All gear looked at, no damage and no knots?"
CARRIED = "Carried a load like this before, tied like this?"
CarriedBefore = Annotated[
    bool | None,
    typer.Option("--carried-before/--first-time", help="Was a load like this carried before?"),
]


def loaded(
    context: typer.Context,
    over: Annotated[
        bool,
        typer.Option("--looked-over", help="All gear was looked at: no damage, no knots."),
    ] = False,
    carried_before: CarriedBefore = None,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Record that the load is on and tied as planned."""
    from triplog.cli import asking
    from triplog.desk.departing import record_loading
    from triplog.desk.finding_things import the_trip
    from triplog.journal.trip import OPEN_STATES
    from triplog.wording.happened import SECOND_LOOK_ASKED

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, OPEN_STATES)
    carried = asking.known(carried_before, CARRIED)
    over = over or bool(asking.known(None, LOOKED_OVER))
    entry = here.recording(
        desk,
        lambda: record_loading(desk, found, over=over, note=note, carried_before=carried),
    )
    show([recorded(entry, f"trip {found.label} is loaded")])
    if carried is False:
        show([SECOND_LOOK_ASKED])
    show(asking.next_line("triplog depart, or triplog advise where something is short"))


def depart(
    context: typer.Context,
    odometer: Odometer = None,
    driver: Annotated[str | None, typer.Option("--driver", help="Who drives, by label.")] = None,
    top_speed: Annotated[
        str | None,
        typer.Option("--top-speed", help="Top road speed, where the vehicle's card has none."),
    ] = None,
    carried_before: CarriedBefore = None,
    next_stop: NextStop = None,
    next_stop_odometer: NextStopOdometer = None,
    through: Through = None,
    soft_load: SoftLoad = False,
    reason: Reason = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Depart: what is not met or unknown is shown and recorded, never in the way."""
    from triplog.cli import asking, stops
    from triplog.desk import departing, second_look
    from triplog.desk.finding_things import person_named, the_trip
    from triplog.desk.odometer import odometer_text
    from triplog.desk.setting_up import units_of
    from triplog.desk.when import moment

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, departing.BEFORE_DEPARTURE)
    when = moment(at, desk.now_on(found))
    _ask_about_time(found, when)
    driver_id = desk.by if driver is None else person_named(desk, driver).id
    if second_look.carried_before(found) is None:
        carried_before = asking.known(carried_before, CARRIED)
    outlook = departing.outlook(desk, found, driver=driver_id, carried_before=carried_before)
    _show_outlook(outlook, units_of(desk))
    reason, top_speed = _ask_about(outlook, reason, top_speed)
    odometer = asking.maybe(
        odometer, "What the odometer reads", lambda typed: odometer_text(desk, typed)
    )
    through = _countries(through, outlook)
    rules = departing.rules_ahead(desk, outlook, through, soft_load=soft_load, at=when)
    _show_rules(rules, None if odometer is None else odometer_text(desk, odometer))
    next_stop, next_stop_odometer = stops.ask_next_stop(desk, next_stop, next_stop_odometer)
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
            through=through,
            soft_load=soft_load,
            at=when,
            next_stop_odometer=next_stop_odometer,
            carried_before=carried_before,
        ),
    )
    show([recorded(departure.entry, f"trip {found.label} departed")])
    if not outlook.is_settled and reason is None:
        show(["no reason given for what is not met or not known"])
    _show_departure(desk, departure)
    leave(DONE if outlook.is_settled else FOUND)


def _ask_about_time(trip: "Trip", when: "datetime | None") -> None:
    """A departure told to be before the plan that left with it: asked about, and said in words."""
    from triplog.cli import asking

    plan = trip.plan
    if when is None or plan is None or when >= plan.entry.event_time:
        return
    told = f"the plan it leaves with was recorded at {local_time(plan.entry)}, after that"
    if not asking.at_terminal():
        tell(f"{told}; both times stay in the record")
    elif not asking.yes(None, f"{told}. Is the time right all the same?", "--at"):
        raise Refused("say with --at when the wheels rolled")


def _ask_about(
    outlook: "Outlook", reason: str | None, top_speed: str | None
) -> tuple[str | None, str | None]:
    """Why it departs though something is open, and the top speed where no card has it."""
    from triplog.cli import asking

    if not outlook.is_settled:
        reason = asking.maybe(reason, "Why depart all the same", empty="no reason given")
    if outlook.top_speed is None:
        question = "Top road speed of this vehicle, such as 65 mph"
        top_speed = asking.quantity(top_speed, question, Dimension.SPEED)
    return reason, top_speed


def _countries(through: "list[str] | None", outlook: "Outlook") -> list[str]:
    """The countries the trip touches, whose re-check rules it takes."""
    from triplog.cli import asking
    from triplog.desk.recheck_rules import kept_rules

    question = "Countries the trip touches, such as US CA"
    return asking.words(through, question, usual=outlook.countries, reads=kept_rules)


def _show_rules(rules: "Combined", odometer: str | None) -> None:
    """What is looked at before rolling, and by which reading first after: then a stop is named."""
    from triplog.cli import asking
    from triplog.wording.recheck_rules import first_lines, told_lines

    show(told_lines(rules, line_width()))
    if asking.at_terminal():
        show(first_lines(rules.running, odometer, line_width()))


def _show_departure(desk: "Desk", departure: "Departure") -> None:
    """What the trip owes from here, and the usual cautions."""
    from triplog.cli import asking, stops
    from triplog.screen import CAUTIONS, due_lines
    from triplog.wording.photos import count_line

    trip = departure.trip
    now = desk.now_on(trip)
    state, width = trip.state, line_width()
    show(due_lines(trip.label, state, departure.due, now.offset_min, now.wall, width=width))
    stops.show_next_stop(desk, trip)
    photos = [fact.entry.body for fact in trip.of("photo_added")]
    show([count_line(photos)] if photos else [])
    show(["", *CAUTIONS])
    show(asking.next_line('at the next stop: triplog duty "on duty", then triplog check'))


def _show_outlook(outlook: "Outlook", units: "Units") -> None:
    """What is not met or not known, and gear on the plan that is out."""
    from triplog.cli.judging import open_findings
    from triplog.wording.happened import SECOND_LOOK_ASKED

    unsettled = outlook.judgement.unsettled
    if unsettled:
        show([f"not met or not known, {len(unsettled)} findings:", ""])
        show(open_findings(unsettled, units))
        show([""])
    if outlook.gear_out:
        show(["gear on the plan that may not be used:"])
        show(f"  {why}" for why in outlook.gear_out.values())
        show([""])
    if outlook.second_look:
        show([f"carried for the first time, and {outlook.second_look}:", f"  {SECOND_LOOK_ASKED}"])
        show([""])


COMMANDS = {"loaded": loaded, "depart": depart}
