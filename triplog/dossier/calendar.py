"""The planned checks of a trip as calendar events; times are estimates and say so."""

from datetime import datetime, timedelta

from exports.calendar_file import Event
from scheduler.due import DueCheck, State
from triplog.journal.trip import Trip
from triplog.wording.due import by_odometer, by_when, count_text, rule_text, title

_PLANNED = (State.NOTHING_DUE, State.COMING_UP)


def check_events(
    trip: Trip,
    due: tuple[DueCheck, ...],
    offset_min: int,
    now: datetime,
    *,
    invented: bool = False,
) -> list[Event]:
    """An event for each check whose time can be told while the driving goes on as now.

    The limit in distance stands in the title, and its alarm is a sound when the check is coming
    up, so that a stop can be found: nothing is shown that somebody might read while driving.
    `invented`: the trip is a demonstration's; each event says so.
    """
    return [
        Event(
            uid=f"{check.due_key}@triplog",
            start_utc=check.due_at,
            duration=timedelta(minutes=15),
            title=_title(trip, check, invented=invented),
            description="\n".join(
                part
                for part in (
                    by_when(check, offset_min, now),
                    count_text(check),
                    rule_text(check),
                    "At the next safe place; nothing while driving.",
                )
                if part
            ),
            estimated=True,
            alarm_before=_alarm_before(check.coming_up_at, check.due_at, now),
            alarm_sounds=True,
        )
        for check in due
        if check.state in _PLANNED and check.due_at is not None and check.due_at > now
    ]


def _title(trip: Trip, check: DueCheck, *, invented: bool) -> str:
    what = ", ".join(part for part in (title(check), by_odometer(check)) if part)
    return f"{'Invented: ' if invented else ''}Trip {trip.label}: {what}"


def _alarm_before(coming_up: datetime | None, due: datetime, now: datetime) -> timedelta:
    """How long before it is due: from when it is coming up, or at once where that is behind."""
    if coming_up is None or coming_up <= now:
        return timedelta(0)
    return due - coming_up
