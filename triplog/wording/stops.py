"""Planned stops in words. English. Limits are rounded down, ways to go up: to the cautious side."""

from fractions import Fraction

from scheduler.recheck_rules import COUNT_PER_UNIT
from triplog.securement.quantity import Rounding, decimal_text
from triplog.wording.due import odometer

NO_STOP = (
    'no next stop was named; `triplog stops add "PLACE" --odometer READING` says where you will'
    " look"
)


def next_stop_lines(
    *,
    place: str | None,
    at_mm: int | None,
    unit: str,
    limit_mm: int | None,
    limited_by: str | None,
    check_before: bool,
) -> list[str]:
    """A planned stop with a reading against the limit in distance: within, at it, or beyond."""
    name = stop_name(place, at_mm, unit)
    after = " after a check at the stop before" if check_before else ""
    if limit_mm is None or at_mm is None:
        return [f"planned stop: {name}"]
    limit = f"the {limited_by} limit{after}, {odometer(limit_mm, unit)}"
    if at_mm > limit_mm:
        way = way_text(at_mm - limit_mm, unit, "up")
        return [
            f"the check is due by odometer {odometer(limit_mm, unit)}{after} ({limited_by});",
            f"your planned stop, {name}, is {way} beyond it: look before rolling or stop earlier",
        ]
    if at_mm == limit_mm:
        return [f"planned stop: {name}, just at {limit}"]
    return [f"planned stop: {name}, {way_text(limit_mm - at_mm, unit, 'down')} before {limit}"]


def driving_time_line(
    *, timed_by: str, mean_speed_mm_per_h: int, unit: str, top_speed_is_less: bool
) -> str:
    """Below which mean speed a limit of driving time comes before the stop."""
    speed = decimal_text(Fraction(mean_speed_mm_per_h, COUNT_PER_UNIT[unit]), 0, "up")
    per_hour = "km/h" if unit == "km" else "mph"
    if top_speed_is_less:
        return (
            f"the {timed_by} of driving come before the planned stop, even at the stated top speed:"
            " look before rolling or stop earlier"
        )
    return f"driven below {speed} {per_hour} on the whole, the {timed_by} of driving come first"


def cannot_tell_line(place: str | None, at_mm: int | None, unit: str) -> str:
    """What is missing to compare a planned stop with the limits."""
    name = stop_name(place, at_mm, unit)
    missing = (
        "say what the odometer will read there: `triplog stops add`"
        if at_mm is None
        else "record what the odometer reads now: `triplog odometer`"
    )
    return f"planned stop: {name}; cannot tell whether a limit comes before it; {missing}"


def stop_name(place: str | None, at_mm: int | None, unit: str) -> str:
    """The place, the reading there, or both."""
    reading = None if at_mm is None else f"odometer {odometer(at_mm, unit)}"
    return ", ".join(part for part in (place, reading) if part) or "place withheld"


def way_text(way_mm: int, unit: str, rounding: Rounding) -> str:
    """A way in whole miles or kilometres."""
    return f"{decimal_text(Fraction(way_mm, COUNT_PER_UNIT[unit]), 0, rounding)} {unit}"
