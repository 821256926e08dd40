"""Stopping and driving on, the odometer, something that happened, a prompt heard, a late reason."""

from collections.abc import Mapping

from scheduler.progress import DutyStatus
from triplog.checks import due_checks_of
from triplog.desk import road
from triplog.desk.desk import Desk
from triplog.desk.late_reasons import give_late_reason, late_without_reason
from triplog.desk.refused import Refused
from triplog.desk.stops import stop_draft
from triplog.journal.trip import UNDER_WAY, Trip, records_in
from triplog.page.cab.act import Act, Said
from triplog.page.forms import Form, reading_told
from triplog.page.shown.due_said import all_said
from triplog.screen import HURT_GEAR, unrevised_line
from triplog.wording import happened
from triplog.wording.due import Say

STATUSES = tuple(str(status) for status in DutyStatus)


def _driver(desk: Desk, trip: Trip) -> str:
    """Whose duty status it is: that of the person at the page if on board, else the only one."""
    return road.driver_on(trip, desk.by if desk.by in trip.duty_by_driver else None)


def _stopped(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    if trip.state not in UNDER_WAY:
        raise Refused(say("This trip is not under way."))
    at = form.happened_at(desk.now_on(trip).wall)
    driving = [who for who, status in trip.duty_by_driver.items() if status == "driving"]
    driver = driving[0] if driving else _driver(desk, trip)
    entry, _ = road.change_duty(
        desk, trip, DutyStatus.ON_DUTY, driver=driver, at=at, place=form.text("place"), reason=None
    )
    return Said(entry, (say("Stopped off the road."),))


def _duty_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    now = desk.now_on(trip)
    stretch = road.before_driving(trip, now.wall)
    owed = [check for check in stretch.due if check.is_due]
    return {
        "owed": all_said(owed, now.offset_min, now.wall, say),
        "asks_reason": any(check.calls_for_reason for check in owed),
        "is_unrevised": bool(stretch.unrevised),
        "statuses": [one for one in STATUSES if one != "driving"],
    }


def _duty(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    status = form.one_of("status", DutyStatus, STATUSES)
    at = form.happened_at(desk.now_on(trip).wall)
    planned = None
    place, there = form.text("next_stop"), form.text("next_stop_odometer")
    if status is DutyStatus.DRIVING and (place or there):
        planned = stop_draft(desk, trip, place=place, odometer=there)
    entry, _ = road.change_duty(
        desk,
        trip,
        status,
        driver=_driver(desk, trip),
        at=at,
        place=form.text("place"),
        reason=form.text("reason"),
        planned=planned,
    )
    return Said(entry, (say("Duty status: {status}.").format(status=say(str(status))),))


def _odometer(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    at = form.happened_at(desk.now_on(trip).wall)
    typed = form.text("odometer")
    if typed is None:
        raise Refused(say("Type what the odometer reads."))
    told = reading_told(desk, trip, form, at)
    entry = road.read_odometer(
        desk,
        trip,
        typed,
        stopped=True,
        at=at,
        note=form.text("note"),
        sure=told.get("sure", False),
        new_instrument=told.get("new_instrument", False),
        typed_first=told.get("typed_first"),
    )
    reading = str(entry.body["odometer"])
    return Said(entry, (say("Odometer {reading}.").format(reading=reading),))


def _event_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    del desk, say
    names = [one["id"] for one in records_in(trip.document or {}, "tie_down")]
    plain = [one for one in happened.HAPPENED if one not in (happened.BROKEN, happened.MOVED)]
    return {"tie_downs": names, "plain": plain, "broken": happened.BROKEN, "moved": happened.MOVED}


def _event(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    what = form.text("what")
    if what is None:
        raise Refused(say("Say what happened."))
    what = happened.as_listed(what)
    broken = form.texts("tie_down") if what == happened.BROKEN else []
    moved = form.text("moved") if what == happened.MOVED else None
    entry = road.report_event(
        desk,
        trip,
        what,
        stopped=True,
        tie_downs=broken,
        moved=moved,
        at=form.happened_at(desk.now_on(trip).wall),
        note=form.text("note"),
        place=form.text("place"),
    )
    lines = [say("Recorded: {what}.").format(what=say(what))]
    if what == happened.MOVED:
        lines += [say(one) for one in happened.LOAD_MOVED]
    else:
        lines.append(say("A check is due at the next safe place."))
    if what == happened.BROKEN:
        lines += [say(HURT_GEAR)] if broken else []
        lines.append(
            say("Add the new one first, then take the broken one off: Exchange a tie-down.")
        )
        lines.append(say(happened.STRAP_BROKEN[1]))
    if what in (happened.BROKEN, happened.MOVED):
        lines.append(say(unrevised_line(1)))
    return Said(entry, tuple(lines))


def _hear(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    entries = road.hear_prompts(desk, trip, note=form.text("note"))
    return Said(entries[0], (say("Heard. The check itself is still due."),))


def _late_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    del say
    now = desk.now_on(trip).wall
    late = [check for check in due_checks_of(trip, now) if check.calls_for_reason]
    return {"count": len(late_without_reason(desk, trip)), "is_late_now": bool(late)}


def _late_reason(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    entries = give_late_reason(desk, trip, form.text("reason") or "")
    return Said(entries[0], (say("The reason is recorded."),))


ACTS = {
    "stopped": Act(template="cab/stopped.html", record=_stopped, while_driven=True),
    "duty": Act(template="cab/duty.html", record=_duty, shown=_duty_shown),
    "odometer": Act(template="cab/odometer.html", record=_odometer),
    "event": Act(template="cab/event.html", record=_event, shown=_event_shown),
    "heard": Act(template="cab/heard.html", record=_hear),
    "late-reason": Act(template="cab/late-reason.html", record=_late_reason, shown=_late_shown),
}
