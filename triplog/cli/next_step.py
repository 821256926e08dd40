"""`triplog` alone: how to begin, or the one next step."""

from triplog.cli.face import Face, show
from triplog.desk.due_now import DueNow, due_now
from triplog.journal.store_file import StoreMissing
from triplog.screen import next_due_line

_BY_STATE = {
    "planned": "triplog judge, then triplog depart",
    "loaded": "triplog depart",
    "rolling": 'at the next stop: triplog duty "on duty", then triplog check',
    "stopped": "triplog check, then triplog duty driving; or triplog deliver, triplog release",
    "delivered": "triplog close",
}


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
    show(_lines(found))


def _lines(found: DueNow) -> list[str]:
    offset_min, now = found.reading.offset_min, found.reading.wall
    if not found.trips:
        return ["no trip is open; next: triplog trip new"]
    owed = [(trip.label, check) for trip in found.trips for check in trip.due if check.is_due]
    if owed:
        label, check = min(owed, key=lambda pair: pair[1].due_at or now)
        return [next_due_line(label, check, offset_min, now), "next: triplog check"]
    trip = found.trips[-1]
    return [f"trip {trip.label} is {trip.state}", f"next: {_BY_STATE[trip.state]}"]
