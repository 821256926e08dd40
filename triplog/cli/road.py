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
    local_time,
    recorded,
    show,
)
from triplog.cli.lines import tell
from triplog.cli.stated_time import AsStated, on_the_road, show_doubt, stated
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
    as_stated: AsStated = False,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Record what the odometer reads."""
    from triplog.checks import due_checks_of
    from triplog.cli import asking, stops
    from triplog.desk.finding_things import the_trip
    from triplog.desk.road import read_odometer
    from triplog.desk.time_doubts import time_doubt
    from triplog.screen import due_lines

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, on_the_road(trip))
    stopped = asking.standing(found, stopped)
    when, time_asked = stated(desk, found, at, as_stated=as_stated)
    counts = time_doubt(found, when, desk.now_on(found)) is None
    typed = asking.text(reading, "What does the odometer read", "READING")
    typed, answered = asking.reading(
        desk, found, typed, sure=sure or not counts, new_instrument=new_instrument, at=when
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
            time_asked=time_asked,
            **answered,
        ),
    )
    show([recorded(entry, f"odometer {entry.body['odometer']}")])
    if found.is_driven and when is not None and counts:
        show([f"stopped off the road since {local_time(entry)} too: the reading was taken then"])
    found = desk.trip(found.id)
    now, state = desk.now_on(found), found.state
    due = due_checks_of(found, now.wall)
    show(due_lines(found.label, state, due, now.offset_min, now.wall, width=line_width()))
    code = show_doubt(entry)
    stops.show_next_stop(desk, found)
    leave(FOUND if any(check.calls_for_reason for check in due) else code)


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
    as_stated: AsStated = False,
    trip: OfTrip = None,
) -> None:
    """Record a change of duty status; before driving, what is due is shown."""
    from scheduler.progress import DutyStatus
    from triplog.checks import due_checks_of
    from triplog.cli import asking, stops
    from triplog.desk.finding_things import person_named, the_trip
    from triplog.desk.road import change_duty, driver_on
    from triplog.desk.stops import stop_draft
    from triplog.desk.time_doubts import time_doubt

    words = [str(word) for word in DutyStatus]
    if status is None and asking.at_terminal():
        status = asking.one_of("Duty status", words)
    if status not in words:
        raise Refused(f"a duty status is one of: {', '.join(words)}; found {status!r}")
    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, on_the_road(trip))
    when, time_asked = stated(desk, found, at, as_stated=as_stated)
    named = desk.by if driver is None and found.departure is None else None
    who = driver_on(found, named if driver is None else person_named(desk, driver).id)
    planned = None
    if next_stop is not None or next_stop_odometer is not None:
        planned = stop_draft(desk, found, place=next_stop, odometer=next_stop_odometer)
    code = DONE
    if status == "driving" and time_doubt(found, when, desk.now_on(found)) is None:
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
            time_asked=time_asked,
        ),
    )
    show([recorded(entry, f"duty status {status}")])
    code = max(code, show_doubt(entry))
    if status != "driving":
        found = desk.trip(found.id)
        stops.show_next_stop(desk, found)
        if any(check.is_due for check in due_checks_of(found, desk.now_on(found).wall)):
            show(asking.next_line("triplog check"))
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
        list[str] | None,
        typer.Argument(help="hard braking, kerb, rough road, wind, load moved ..."),
    ] = None,
    tie_down: Annotated[
        list[str] | None, typer.Option("--tie-down", help="Which one it concerns.")
    ] = None,
    moved: Annotated[str | None, typer.Option("--moved", help="How far the load moved.")] = None,
    stopped: Stopped = None,
    place: Place = None,
    note: Note = None,
    at: When = None,
    as_stated: AsStated = False,
    trip: OfTrip = None,
) -> None:
    """Something happened: a check is due at the next safe place."""
    from triplog.cli import asking
    from triplog.desk.finding_things import the_trip
    from triplog.desk.road import report_event
    from triplog.screen import HURT_GEAR, unrevised_line
    from triplog.wording import happened

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, on_the_road(trip))
    typed = None if what is None else happened.as_listed(" ".join(what))
    moving = typed is not None and happened.MOVED in (typed, happened.near(typed))
    if moving and found.is_driven and not stopped:
        tell(happened.STOP_NOW)
    stopped = asking.standing(found, stopped)
    when, time_asked = stated(desk, found, at, as_stated=as_stated)
    said = _meant(asking.numbered(typed, "What happened", happened.HAPPENED, "WHAT"))
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
            at=when,
            note=note,
            place=place,
            time_asked=time_asked,
        ),
    )
    show([recorded(entry, said)])
    code = show_doubt(entry)
    if said == happened.MOVED:
        show(happened.LOAD_MOVED)
    elif code == DONE:
        show(["a check is due at the next safe place"])
    if said == happened.BROKEN:
        show([*([HURT_GEAR] if tie_down else []), *happened.STRAP_BROKEN])
    if said in (happened.BROKEN, happened.MOVED) and code == DONE:
        show([unrevised_line(1)])
    leave(code)


def _meant(typed: str) -> str:
    """The listed word where that was meant: asked at a terminal, told where nobody can be asked."""
    from triplog.cli import asking
    from triplog.wording.happened import as_listed, near

    listed = near(typed)
    if listed is None:
        return as_listed(typed)
    if not asking.at_terminal():
        tell(f"recorded as typed, {typed!r}; the listed word near it is {listed!r}")
        return as_listed(typed)
    return listed if asking.yes(None, f"Is that {listed}?", "WHAT") else as_listed(typed)


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
