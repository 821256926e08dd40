"""On the road: `triplog odometer`, `duty`, `event`, `hear`."""

from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import (
    NewInstrument,
    NextStop,
    NextStopOdometer,
    Note,
    OfTrip,
    Place,
    Reason,
    Stopped,
    Sure,
    When,
    face,
    leave,
    line_width,
    recorded,
    show,
)
from triplog.cli.lines import tell
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from datetime import datetime

    from triplog.desk.desk import Desk
    from triplog.journal.entries import Draft
    from triplog.journal.trip import Trip

Driver = Annotated[
    str | None, typer.Option("--driver", help="Which driver, where several are on board.")
]


def odometer(
    context: typer.Context,
    reading: Annotated[str | None, typer.Argument(help="What it reads, such as 24,180 mi.")] = None,
    sure: Sure = False,
    new_instrument: NewInstrument = False,
    stopped: Stopped = None,
    at: When = None,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Record what the odometer reads."""
    from triplog.checks import due_checks_of
    from triplog.cli import asking, stops
    from triplog.desk.finding_things import the_trip
    from triplog.desk.road import read_odometer
    from triplog.desk.when import moment
    from triplog.journal.trip import UNDER_WAY
    from triplog.screen import due_lines

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    stopped = asking.standing(found, stopped)
    when = moment(at, desk.now_on(found))
    typed = asking.text(reading, "What does the odometer read", "READING")
    typed, answered = asking.reading(
        desk, found, typed, sure=sure, new_instrument=new_instrument, at=when
    )
    entry = here.recording(
        desk,
        lambda: read_odometer(
            desk,
            found,
            typed,
            stopped=stopped,
            at=when,
            note=note,
            **answered,
        ),
    )
    show([recorded(entry, f"odometer {entry.body['odometer']}")])
    found = desk.trip(found.id)
    now, state = desk.now_on(found), found.state
    due = due_checks_of(found, now.wall)
    show(due_lines(found.label, state, due, now.offset_min, now.wall, width=line_width()))
    stops.show_next_stop(desk, found)
    leave(FOUND if any(check.calls_for_reason for check in due) else DONE)


def duty(
    context: typer.Context,
    status: Annotated[
        str | None, typer.Argument(help='driving, "on duty", "off duty" or sleeper.')
    ] = None,
    driver: Driver = None,
    next_stop: NextStop = None,
    next_stop_odometer: NextStopOdometer = None,
    place: Place = None,
    reason: Reason = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Record a change of duty status; before driving, what is due is shown."""
    from scheduler.progress import DutyStatus
    from triplog.cli import asking, stops
    from triplog.desk.finding_things import person_named, the_trip
    from triplog.desk.road import change_duty, driver_on
    from triplog.desk.stops import stop_draft
    from triplog.desk.when import moment
    from triplog.journal.trip import UNDER_WAY

    words = [str(word) for word in DutyStatus]
    if status is None and asking.at_terminal():
        status = asking.one_of("Duty status", words)
    if status not in words:
        raise Refused(f"a duty status is one of: {', '.join(words)}; found {status!r}")
    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    when = moment(at, desk.now_on(found))
    who = driver_on(found, None if driver is None else person_named(desk, driver).id)
    planned = None
    if next_stop is not None or next_stop_odometer is not None:
        planned = stop_draft(desk, found, place=next_stop, odometer=next_stop_odometer)
    code = DONE
    if status == "driving":
        reason, code = _told_before_driving(desk, found, planned, when, reason)
    entry, _ = here.recording(
        desk,
        lambda: change_duty(
            desk,
            found,
            DutyStatus(status),
            driver=who,
            at=when,
            place=place,
            reason=reason,
            planned=planned,
        ),
    )
    show([recorded(entry, f"duty status {status}")])
    if status != "driving":
        stops.show_next_stop(desk, desk.trip(found.id))
    leave(code)


def _told_before_driving(
    desk: "Desk", trip: "Trip", planned: "Draft | None", when: "datetime | None", reason: str | None
) -> tuple[str | None, int]:
    """Show what is due, and where a limit comes before the next stop; the reason, the exit code."""
    from triplog.checks import exemption
    from triplog.cli import asking, stops
    from triplog.desk.road import before_driving
    from triplog.desk.stops import stop_from
    from triplog.screen import due_lines, unrevised_line
    from triplog.wording.due import LOAD_STAYS_A_DUTY
    from triplog.wording.happened import LEFT_OPEN

    now = desk.now_on(trip)
    stretch = before_driving(trip, now.wall, at=when)
    owed = [check for check in stretch.due if check.is_due]
    if owed:
        width = line_width()
        show(due_lines(trip.label, trip.state, owed, now.offset_min, now.wall, width=width))
    lifted = exemption(trip.as_it_stood(when))
    show([f"exempt: {lifted.entry.body['grounds']}; {LOAD_STAYS_A_DUTY}"] if lifted else [])
    delivered = [
        one for one in trip.of("article_delivered") if one.original.hash in stretch.unrevised
    ]
    others = len(stretch.unrevised) - len(delivered)
    show([unrevised_line(others)] if others else [])
    show([LEFT_OPEN] if delivered else [])
    next_one = None if planned is None else stop_from(planned, now.wall)
    stops.show_before_driving(desk, trip, next_one)
    if any(check.calls_for_reason for check in owed):
        reason = asking.maybe(reason, "Why was the check not made in time")
    return reason, FOUND if owed or stretch.unrevised else DONE


def event(
    context: typer.Context,
    what: Annotated[
        str | None, typer.Argument(help="hard braking, kerb, rough road, wind, load moved ...")
    ] = None,
    tie_down: Annotated[
        list[str] | None, typer.Option("--tie-down", help="Which one it concerns.")
    ] = None,
    moved: Annotated[str | None, typer.Option("--moved", help="How far the load moved.")] = None,
    stopped: Stopped = None,
    place: Place = None,
    note: Note = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Something happened: a check is due at the next safe place."""
    from triplog.cli import asking
    from triplog.desk.finding_things import the_trip
    from triplog.desk.road import report_event
    from triplog.desk.when import moment
    from triplog.journal.trip import UNDER_WAY
    from triplog.screen import HURT_GEAR, unrevised_line
    from triplog.wording import happened

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    if (what or "").strip().lower() == happened.MOVED and found.is_driven and not stopped:
        tell(happened.STOP_NOW)
    stopped = asking.standing(found, stopped)
    said = asking.numbered(what, "What happened", happened.HAPPENED, "WHAT").strip().lower()
    if said == happened.BROKEN and not tie_down:
        broken = asking.maybe(None, "Which tie-down broke, such as T2")
        tie_down = None if broken is None else [broken]
    if said == happened.MOVED:
        moved = asking.maybe(moved, "How far the load moved, such as 40 mm")
    entry = here.recording(
        desk,
        lambda: report_event(
            desk,
            found,
            said,
            stopped=stopped,
            tie_downs=tie_down or [],
            moved=moved,
            at=moment(at, desk.now_on(found)),
            note=note,
            place=place,
        ),
    )
    show([recorded(entry, said)])
    show(
        happened.LOAD_MOVED if said == happened.MOVED else ["a check is due at the next safe place"]
    )
    if said == happened.BROKEN:
        show([*([HURT_GEAR] if tie_down else []), *happened.STRAP_BROKEN])
    if said in (happened.BROKEN, happened.MOVED):
        show([unrevised_line(1)])


def hear(context: typer.Context, note: Note = None, trip: OfTrip = None) -> None:
    """Say that you have heard what is due; it closes nothing."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.road import hear_prompts
    from triplog.journal.trip import UNDER_WAY

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    entries = here.recording(desk, lambda: hear_prompts(desk, found, note=note))
    show(recorded(entry, "heard; the check itself is still due") for entry in entries)


COMMANDS = {"odometer": odometer, "duty": duty, "event": event, "hear": hear}
