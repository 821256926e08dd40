"""`triplog stops`: where the next stops are planned; and what other commands say about them."""

from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli import asking
from triplog.cli.face import AsJson, Note, OfTrip, face, recorded, show, show_json

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.desk.stops import PlannedStop, StopOutlook
    from triplog.journal.trip import Trip

app = typer.Typer(help="The stops that are planned on the way.", no_args_is_help=True)


@app.command("add")
def add(
    context: typer.Context,
    place: Annotated[str | None, typer.Argument(help="Where; kept private.")] = None,
    odometer: Annotated[
        str | None, typer.Option("--odometer", help="What it will read there, or +42 mi from here.")
    ] = None,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Plan a stop; whether a limit comes before it is told at once."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.stops import plan_stop
    from triplog.journal.trip import UNDER_WAY

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    if place is None and odometer is None:
        place, odometer = ask_next_stop(desk, place, odometer)
    entry = here.recording(
        desk, lambda: plan_stop(desk, found, place=place, odometer=odometer, note=note)
    )
    there = entry.body.get("at_odometer")
    show([recorded(entry, f"stop planned{f' at odometer {there}' if there else ''}")])
    show_stops(desk, desk.trip(found.id))


@app.command("list")
def listed(context: typer.Context, trip: OfTrip = None, as_json: AsJson = False) -> None:
    """List the stops that are ahead, each with whether a limit comes before it."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.stops import outlooks, planned_stops
    from triplog.journal.trip import UNDER_WAY

    desk = face(context).desk()
    found = the_trip(desk, trip, UNDER_WAY)
    if not as_json:
        return show_stops(desk, found)
    stops = planned_stops(desk, found)
    told = outlooks(found, stops, desk.now_on(found).wall)
    before = dict(zip(stops, (str(one.before) for one in told), strict=bool(told)))
    return show_json(
        [
            {"place": one.place, "at_odometer": one.at, "limit_before_it": before.get(one)}
            for one in stops
        ]
    )


def ask_next_stop(
    desk: "Desk", place: str | None, odometer: str | None
) -> tuple[str | None, str | None]:
    """Where the next stop is, given or asked for at a terminal; its reading where it has a place.

    What does not hold by itself is told when it is recorded.
    """
    from triplog.desk.odometer import odometer_text

    if odometer is None:
        place = asking.maybe(place, "Where you will stop next to look")
    if place is not None:
        question = "What the odometer will read there, or +42 mi from here"
        odometer = asking.maybe(
            odometer, question, lambda typed: odometer_text(desk, typed.strip().lstrip("+"))
        )
    return place, odometer


def show_next_stop(desk: "Desk", trip: "Trip") -> None:
    """Say how the next planned stop stands to the next limit; nothing where none is planned."""
    from triplog.desk.stops import next_outlook
    from triplog.journal.trip import UNDER_WAY

    found = next_outlook(desk, trip) if trip.state in UNDER_WAY else None
    if found is not None:
        show(_outlook_lines(found))


def show_stops(desk: "Desk", trip: "Trip") -> None:
    """Say of every planned stop how it stands to the limits before it."""
    from triplog.desk.stops import outlooks, planned_stops
    from triplog.wording.stops import NO_STOP, stop_name

    stops = planned_stops(desk, trip)
    told = outlooks(trip, stops, desk.now_on(trip).wall)
    if not stops:
        show([NO_STOP])
    elif not told:
        show(f"planned stop: {stop_name(one.place, one.at_mm, one.unit)}" for one in stops)
    for one in told:
        show(_outlook_lines(one))


def show_before_driving(desk: "Desk", trip: "Trip", planned: "PlannedStop | None") -> None:
    """Say of the next stop, or of one about to be recorded, where a limit comes before it."""
    from triplog.desk.stops import Before, outlooks, planned_stops

    stops = (planned,) if planned is not None else planned_stops(desk, trip)[:1]
    for found in outlooks(trip, stops, desk.now_on(trip).wall):
        if planned is not None or found.before is Before.YES:
            show(_outlook_lines(found))


def _outlook_lines(found: "StopOutlook") -> list[str]:
    from triplog.desk.stops import Before
    from triplog.wording import stops as wording

    stop = found.stop
    if found.before is Before.CANNOT_TELL:
        return [wording.cannot_tell_line(stop.place, stop.at_mm, stop.unit)]
    lines = wording.next_stop_lines(
        place=stop.place,
        at_mm=stop.at_mm,
        unit=stop.unit,
        limit_mm=found.limit_mm,
        limited_by=found.limited_by,
        check_before=found.check_before,
    )
    speed = found.mean_speed_mm_per_h_min
    if found.time_matters and found.timed_by is not None and speed is not None:
        lines.append(
            wording.driving_time_line(
                timed_by=found.timed_by,
                mean_speed_mm_per_h=speed,
                unit=stop.unit,
                top_speed_is_less=found.top_speed_is_less,
            )
        )
    return lines


COMMANDS = {"stops": app}
