"""`triplog` alone: how to begin, or the one next step."""

from collections.abc import Mapping

from triplog.cli.face import Face, show
from triplog.desk.due_now import DueNow, TripDue, due_now
from triplog.desk.finding_things import the_trip
from triplog.desk.road import unrevised
from triplog.journal.store_file import StoreMissing
from triplog.journal.trip import OPEN_STATES
from triplog.screen import next_due_line
from triplog.wording.due import where_to_stop

_BY_STATE = {
    "loaded": "triplog depart",
    "rolling": 'at the next stop: triplog duty "on duty", then triplog check',
    "stopped": "triplog duty driving; or, before anything is let off: triplog release, then"
    " triplog deliver",
    "delivered": "triplog close",
}

_LETTING_OFF = ("released", "article_delivered", "duty_changed")
"""What tells whether the last thing asked was the release list."""


def say_next_step(here: Face) -> None:
    """Say the one next step."""
    try:
        found = due_now(here.home, here.clock)
    except StoreMissing:
        show(
            [
                f"there is no journal yet at {here.home}",
                "triplog begin    makes one: the carrier, and who types here",
                "triplog demo     shows a whole invented day in a folder of its own",
                "triplog --help   lists every command",
            ]
        )
        return
    show(_lines(here, found))


def _lines(here: Face, found: DueNow) -> list[str]:
    offset_min, now = found.reading.offset_min, found.reading.wall
    if not found.trips:
        return ["no trip is open; next: triplog trip new"]
    owed = [(trip.label, check) for trip in found.trips for check in trip.due if check.is_due]
    if owed:
        label, check = min(owed, key=lambda pair: pair[1].due_at or now)
        rolling = any(trip.label == label and trip.state == "rolling" for trip in found.trips)
        where = f"at {where_to_stop(check)}, once it stands: " if rolling else ""
        return [next_due_line(label, check, offset_min, now), f"next: {where}triplog check"]
    trip = found.trips[-1]
    running = [next_due_line(trip.label, check, offset_min, now) for check in trip.due[:1]]
    return [f"trip {trip.label} is {trip.state}", *running, f"next: {_of_trip(here, trip)}"]


def _of_trip(here: Face, due: TripDue) -> str:
    """What a trip on which nothing is due waits for."""
    if due.state not in ("planned", "stopped"):
        return _BY_STATE[due.state]
    trip = the_trip(here.desk(reading_only=True), due.label, OPEN_STATES)
    if due.state == "planned":
        return of_plan(trip.document or {})
    if unrevised(trip):
        return (
            "add before you release: triplog replace TIE-DOWN, or change the plan; where that is"
            " done and no cause was found, another person's look: triplog second-look --by LABEL"
        )
    released = trip.of(*_LETTING_OFF)[-1:]
    if released and released[0].original.kind == "released":
        if released[0].entry.body["ready"]:
            return "triplog deliver, once it is off"
        return "do not release; put right what was a no or not known, then triplog release again"
    return _BY_STATE[due.state]


def of_plan(plan: Mapping[str, object]) -> str:
    """What a plan before departure waits for: a command, and why."""
    if "vehicle" not in plan:
        return "triplog plan vehicle LABEL, which triplog vehicle add made"
    if not plan.get("article"):
        return "triplog article add"
    if not plan.get("tie_down"):
        return "triplog tie-down add, for each; triplog gear add takes gear into stock"
    return "triplog judge, then triplog loaded, then triplog depart"
