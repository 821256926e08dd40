"""The planned checks of a trip as calendar events; times are estimates and say so."""

from datetime import datetime, timedelta

from exports.calendar_file import Event
from scheduler.due import DueCheck, State
from triplog.journal.trip import Trip
from triplog.wording.due import by_when, count_text, rule_text, title

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

    `invented`: the trip is a demonstration's; each event says so.
    """
    return [
        Event(
            uid=f"{check.due_key}@triplog",
            start_utc=check.due_at,
            duration=timedelta(minutes=15),
            title=f"{'Invented: ' if invented else ''}Trip {trip.label}: {title(check)}",
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
            alarm_before=None,
        )
        for check in due
        if check.state in _PLANNED and check.due_at is not None and check.due_at > now
    ]
