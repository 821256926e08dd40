"""`triplog` alone: how to begin, or the one next step."""

from collections.abc import Mapping

from scheduler.due import DueCheck, in_order
from triplog.cli.face import Face, show
from triplog.desk.due_now import DueNow, TripDue, due_now
from triplog.desk.finding_things import the_trip
from triplog.desk.road import unrevised
from triplog.desk.swaps import damaged_tie_downs, swaps_without_cause
from triplog.journal.store_file import StoreMissing
from triplog.journal.trip import OPEN_STATES, Trip, text_in
from triplog.screen import next_due_line
from triplog.wording.due import where_to_stop
from triplog.wording.happened import MOVED

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
    show([*_lines(here, found), *_held(here)])


def _lines(here: Face, found: DueNow) -> list[str]:
    offset_min, now = found.reading.offset_min, found.reading.wall
    if not found.trips:
        return [f"no trip is open; next: {_before_a_trip(here)}"]
    worst = _most_pressing(found)
    if worst is not None:
        trip = next(trip for trip in found.trips if worst in trip.due)
        line = next_due_line(trip.label, worst, offset_min, now)
        return [line, f"next: {_of_owed(here, trip, worst)}"]
    trip = found.trips[-1]
    running = [next_due_line(trip.label, check, offset_min, now) for check in trip.due[:1]]
    return [f"trip {trip.label} is {trip.state}", *running, f"next: {_of_trip(here, trip)}"]


def _held(here: Face) -> list[str]:
    """The trips that nothing may go of, open or not; no line without any."""
    raw = here.desk(reading_only=True).store.raw
    rows = raw.execute("SELECT label FROM trip WHERE holds > 0 ORDER BY opened_at").fetchall()
    return [f"under an evidence hold: trip {', '.join(label for (label,) in rows)}"] if rows else []


def _before_a_trip(here: Face) -> str:
    """What a store without an open trip waits for: a vehicle, gear, then a trip."""
    raw = here.desk(reading_only=True).store.raw
    for table, step in (("vehicle", "triplog vehicle add"), ("gear", "triplog gear add")):
        if not raw.execute(f"SELECT EXISTS (SELECT * FROM {table})").fetchone()[0]:
            return step
    return "triplog trip new"


def _most_pressing(found: DueNow) -> DueCheck | None:
    """The check that is named where any is due: of a load that has moved before all others."""
    owed = in_order(check for trip in found.trips for check in trip.due if check.is_due)
    return next((check for check in owed if check.counter.what == MOVED), next(iter(owed), None))


def _of_owed(here: Face, due: TripDue, check: DueCheck) -> str:
    """Where a check is owed: the check; before it what is broken, or what is about to come off."""
    if due.state == "rolling":
        return f"at {where_to_stop(check)}, once it stands: triplog check"
    trip = the_trip(here.desk(reading_only=True), due.label, OPEN_STATES)
    if letting_off := _letting_off(trip):
        return f"{letting_off}; or, before driving on: triplog check"
    asking = unrevised(trip)
    if asking and not _is_left_by_delivery(trip, asking):
        return f"{_mending(trip, asking)}; then triplog check"
    return "triplog check; or, before anything is let off: triplog release"


def _letting_off(trip: Trip) -> str | None:
    """What follows the release list where that is the last thing recorded; None: it is not."""
    released = trip.of(*_LETTING_OFF)[-1:]
    if not released or released[0].original.kind != "released":
        return None
    if released[0].entry.body["ready"]:
        return "triplog deliver, once it is off"
    return "do not release; put right what was a no or not known, then triplog release again"


def _is_left_by_delivery(trip: Trip, asking: tuple[str, ...]) -> bool:
    return {fact.original.hash for fact in trip.of("article_delivered")}.issuperset(asking)


def _mending(trip: Trip, asking: tuple[str, ...]) -> str:
    """What a broken strap, a moved load or what a delivery left open waits for.

    `asking`: the entries that ask for a new plan.
    """
    if _is_left_by_delivery(trip, asking):
        return (
            "triplog judge --unsettled shows what is open in what is left; plan it anew (triplog"
            " tie-down add, triplog article change), or go on with that on record: triplog duty"
            " driving"
        )
    swapped, hurt = swaps_without_cause(trip), damaged_tie_downs(trip)
    if swapped and not hurt:
        (tie_down, *_) = (text_in(fact.entry.body, "tie_down") for fact in swapped)
        return (
            f"triplog cause {tie_down}, once it is known; or change the plan; or another person's"
            " look: triplog second-look --by LABEL"
        )
    if hurt:
        return f"add before you release: triplog replace {hurt[0]}, or change the plan"
    return (
        "plan it anew before rolling, once it is held: triplog replace TIE-DOWN, triplog tie-down"
        " add, triplog article change; then triplog judge"
    )


def _of_trip(here: Face, due: TripDue) -> str:
    """What a trip on which nothing is due waits for."""
    if due.state not in ("planned", "stopped"):
        return _BY_STATE[due.state]
    trip = the_trip(here.desk(reading_only=True), due.label, OPEN_STATES)
    if due.state == "planned":
        return of_plan(trip.document or {})
    if asking := unrevised(trip):
        return _mending(trip, asking)
    return _letting_off(trip) or _BY_STATE[due.state]


def of_plan(plan: Mapping[str, object]) -> str:
    """What a plan before departure waits for: a command, and why."""
    if "vehicle" not in plan:
        return "triplog plan vehicle LABEL, which triplog vehicle add made"
    if not plan.get("article"):
        return "triplog article add"
    if not plan.get("tie_down"):
        return "triplog tie-down add, for each; triplog gear add takes gear into stock"
    return "triplog judge, then triplog loaded, then triplog depart"
