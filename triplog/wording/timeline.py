"""The picture of checks against distance and driving time in words. English."""

from datetime import datetime, timedelta, timezone

from scheduler.counter import Basis
from scheduler.due import DueCheck, State
from scheduler.recheck_rules import Kind
from triplog.wording.due import measure, state_text

LEGEND = (
    "filled bar: known; dashed: estimated, the most it can be; hatched: past the limit; thick line:"
    " the limit; ring with a dot: all was looked at; open ring: looked at in part; square:"
    " ended, by a delivery or the end of the trip; arrow: still runs"
)
DISTANCE = "distance since the last look, or since setting out with this load"
DRIVING_TIME = "driving time since the last look, or since setting out with this load"
WORK_TIME = "time at work since the last look"
PART_DELIVERY = "part delivery: another load from here"
_WHAT_FOR = {
    Kind.FIRST_TIME: ", first check",
    Kind.DRIVING_BREAK: ", with the break",
    Kind.WORK_TIME: ", with the break",
    Kind.OBSERVED_LOSS: ", tension was found lost",
}
"""What a limit is for, where several in one part of the picture are for different things."""


def timeline_title(label: str, departed: datetime, offset_min: int, *, invented: bool) -> str:
    """The title of the picture, with the day of departure and what its times are."""
    local = departed.astimezone(timezone(timedelta(minutes=offset_min)))
    day, zone = local.strftime("%Y-%m-%d"), local.strftime("%Z")
    return f"{'Invented: ' if invented else ''}Checks of trip {label}, departed {day}; times {zone}"


def time_text(moment: datetime, departed: datetime, offset_min: int) -> str:
    """The local time, with month and day where it is another day than the departure's."""
    zone = timezone(timedelta(minutes=offset_min))
    local, first = moment.astimezone(zone), departed.astimezone(zone)
    return local.strftime("%H:%M" if local.date() == first.date() else "%m-%d %H:%M")


def told(check: DueCheck, *, looked: bool, ended: bool) -> str:
    """How one limit stood: "50 mi: looked at after 24.0 mi", "50 mi: late by 8.0 mi"."""
    counter = check.counter
    what_for = _WHAT_FOR.get(counter.kind, "")
    limit = f"{counter.printed_limit} {counter.printed_unit}{what_for}"
    estimated = "" if check.basis is Basis.KNOWN else f" ({check.basis})"
    so_far = f"{measure(check, check.value, 'up')}{estimated}"
    match check.state:
        case State.EXEMPT:
            return f"{limit}: exempt, {counter.exempt_reason}"
        case State.CANNOT_TELL:
            return f"{limit}: cannot tell, at least {measure(check, check.value, 'down')}"
        case State.LATE | State.DUE:
            return f"{limit}: {state_text(check)}{_how(looked=looked, ended=ended)}"
        case _:
            if looked or ended:
                return f"{limit}: {'looked at' if looked else 'ended'} after {so_far}"
            return f"{limit}: {so_far} so far"


def at_once(check: DueCheck, when: str, what: str) -> str:
    """A check that is due without a limit, a change of duty status or an event, at a look."""
    return f"{when}: {what}: {state_text(check)}"


def _how(*, looked: bool, ended: bool) -> str:
    if looked:
        return ", looked at"
    return ", ended without a look" if ended else ""
