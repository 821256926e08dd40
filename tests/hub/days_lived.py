"""A day of the trip simulator, recorded in entries of the real kinds."""

from datetime import datetime, timedelta

from tests.builders import (
    DRIVER,
    START,
    check_completed,
    departed,
    duty_changed,
    odometer_read,
    plan_recorded,
    trip_opened,
    withdrawn,
)
from tests.hub.logs import Log
from tests.scheduler.simulator.printed import MILE_MM
from tests.scheduler.simulator.trips import Act, Do, trip_of
from triplog.journal.entries import Draft, Entry


def live_day(log: Log, day: int, *, trip_seed: int, ahead: timedelta = timedelta()) -> None:
    """Live the trip of a seed on a day of a log, by a clock that is so far ahead.

    What happens to the computer is left to others.
    """
    trip = f"{log.device}day{day}"
    lived = trip_of(trip_seed)
    morning = START + ahead + timedelta(days=day)
    _at(log, morning)
    log.append(trip_opened(trip, label=f"T-{day}"))
    plan = log.append(plan_recorded(trip))
    log.append(departed(plan.hash, trip))
    log.sign()
    made: dict[int, Entry] = {}
    for number, act in enumerate(lived.acts):
        draft = _draft(act, trip, plan, made)
        if draft is not None:
            _at(log, morning + timedelta(hours=1, milliseconds=act.at_ms))
            made[number] = log.append(draft)
    log.sign()


def _at(log: Log, moment: datetime) -> None:
    """Put the clock there, unless it is later already, as days that go on into the next are."""
    log.clock.wall = max(log.clock.wall, moment)


def _draft(act: Act, trip: str, plan: Entry, made: dict[int, Entry]) -> Draft | None:
    miles = None if act.odometer_mm is None else f"{act.odometer_mm // MILE_MM} mi"
    match act.do:
        case Do.DUTY:
            return duty_changed(act.word, trip, driver=act.who)
        case Do.READING if miles is not None:
            return odometer_read(miles, trip)
        case Do.CHECK:
            return check_completed(plan.hash, trip, odometer=miles or "24131 mi")
        case Do.EVENT:
            return Draft(kind="event_reported", trip=trip, body={"what": act.word}, by=DRIVER)
        case Do.START:
            body: dict[str, object] = {"revision": plan.hash}
            return Draft(kind="loading_recorded", trip=trip, body=body, by=DRIVER)
        case Do.EXEMPT:
            exempt: dict[str, object] = {"grounds": "sealed", "seal": "7", "driver_has_key": False}
            return Draft(kind="checks_exempted", trip=trip, body=exempt, by=DRIVER)
        case Do.CORRECT if miles is not None and act.of in made:
            return odometer_read(miles, trip, follows=made[act.of].hash)
        case Do.END:
            ended: dict[str, object] = {"answers": {}, "ready": True}
            return Draft(kind="released", trip=trip, body=ended, by=DRIVER)
        case Do.STEP if made:
            return withdrawn(list(made.values())[-1])
        case _:
            return None
