"""Entries of days on the road in their usual kinds, for what only needs many of them."""

from tests.builders import (
    check_completed,
    departed,
    duty_changed,
    odometer_read,
    plan_recorded,
    trip_opened,
)
from tests.hub.logs import Log, new_log

A_DAY = 40
"""So many entries a truck records on a day."""


def live_a_day(log: Log, day: int) -> None:
    """A trip of a day: planned, departed, signed; readings, duty changes, checks; signed again."""
    trip = f"{log.device}day{day}"
    begin = len(log.lines)
    log.append(trip_opened(trip, label=f"T-{day}"))
    plan = log.append(plan_recorded(trip))
    log.append(departed(plan.hash, trip))
    log.sign()
    miles = 24130
    while len(log.lines) - begin < A_DAY - 1:
        miles += 9
        match len(log.lines) % 6:
            case 0:
                log.append(duty_changed("on duty", trip))
            case 1:
                log.append(check_completed(plan.hash, trip, odometer=f"{miles} mi"))
            case 2:
                log.append(duty_changed("driving", trip))
            case _:
                log.append(odometer_read(f"{miles} mi", trip))
    log.sign()


def log_of_days(device: str, days: int) -> Log:
    """A log of so many days."""
    log = new_log(device)
    for day in range(days):
        live_a_day(log, day)
    return log
