"""Recording what another instrument wrote: once, and never as our own observation.

Every entry says *imported* and names the entry about the file it came from. That one holds the
file's SHA-256, what did not count and why, and, as private fields, its name and the report. Places
are kept only where the carrier has switched that on.
"""

from dataclasses import replace

from scheduler.feeds.readings import Aside, DutyReading, Reading
from scheduler.feeds.way import Way
from triplog.desk.desk import Desk, present
from triplog.desk.feeds import Feed
from triplog.desk.fitting import MILE_MM, Taken, miles_text
from triplog.desk.refused import Refused
from triplog.desk.setting_up import positions_kept
from triplog.journal.entries import Body, Draft, Entry, time_text
from triplog.journal.store import new_id
from triplog.journal.trip import Trip, TripState

DEPARTED = (TripState.ROLLING, TripState.STOPPED, TripState.DELIVERED)
_SUPERSEDED = "changed, by a file read later"
_ROWS_MAX = 2000
_KEPT_MAX = 1000


def read_before(trip: Trip, feed: Feed) -> Entry | None:
    """The entry about the very same bytes, if they were read for this trip; else None.

    A file whose entry was taken back may be read again; so may one of which more counts by now.
    """
    for fact in trip.of("readings_imported"):
        if fact.entry.body["digest"] == feed.digest:
            return fact.entry
    return None


def refuse_by_the_driver(desk: Desk, trip: Trip) -> None:
    """Refuse an import by somebody who is recorded as driving: it can wait for a stop."""
    if trip.duty_by_driver.get(desk.by) == "driving":
        raise Refused(
            "your duty status is driving: stop off the road at the next safe place first, then"
            ' record the stop with `triplog duty "on duty"`; or let the office read the file, or'
            " start --follow before you roll"
        )


def record_taken(desk: Desk, trip: Trip, taken: Taken, *, driver: str) -> Entry:
    """Record what was taken from a file, in one transaction; the entry about the file.

    The places of its way are kept too, as a private field, where the carrier has switched that on.
    Of more than a thousand rows put aside or told about, the first thousand are kept; the counts
    are whole.
    """
    refuse_by_the_driver(desk, trip)
    feed, way = taken.feed, taken.way
    rows = len(taken.readings) + len(taken.duty)
    if rows > _ROWS_MAX:
        raise Refused(
            f"{feed.name} has {rows:,} rows in the time of trip {trip.label}; up to {_ROWS_MAX:,}"
            " are taken. Cut the file to the days of the trip"
        )
    body = present(
        source=str(feed.source),
        feed=new_id(),
        digest=feed.digest,
        bytes=feed.size,
        counts=taken.counts,
        driver=None if feed.duty_file is None else driver,
        unit=taken.unit,
        aside=[_aside_body(one) for one in taken.aside[:_KEPT_MAX]] or None,
    )
    if way is not None:
        body |= way_fields(way)
    private = {
        "name": feed.name,
        "report": "\n".join(map(str, taken.noted[:_KEPT_MAX])) or None,
        "positions": positions_text(way) if way is not None and positions_kept(desk) else None,
    }
    about = desk.draft("readings_imported", body, trip=trip.id, private=private)
    with desk.writing() as writing:
        entry = writing.append(imported(about))
        for reading in taken.readings:
            writing.append(_reading_draft(desk, trip, reading, entry))
        for duty in taken.duty:
            writing.append(_duty_draft(desk, trip, duty, entry, driver))
        for old in taken.superseded:
            back = desk.draft(
                "entry_withdrawn",
                {},
                trip=trip.id,
                private={"reason": _SUPERSEDED},
                follows=old.hash,
            )
            writing.append(imported(back))
    return entry


def imported(draft: Draft) -> Draft:
    """The draft as something that was imported."""
    return replace(draft, via="imported")


def way_fields(way: Way, *, samples_since: int = 0, gaps_since: int = 0) -> Body:
    """What an entry holds of a way: times and whole metres, no places."""
    gaps = [
        {
            "begin": time_text(one.begin),
            "end": time_text(one.end),
            "metres": round(one.straight_m),
        }
        for one in way.gaps[gaps_since:]
    ]
    samples = [
        {"at": time_text(one.at), "metres": round(one.along_m)}
        for one in way.samples[samples_since:]
    ]
    return present(way=samples, gaps=gaps or None)


def positions_text(way: Way, *, samples_since: int = 0) -> str:
    """The places of a way's samples, a line for each: time, latitude, longitude."""
    return "\n".join(
        f"{time_text(one.at)} {one.fix.lat_deg:.5f} {one.fix.lon_deg:.5f}"
        for one in way.samples[samples_since:]
    )


def _reading_draft(desk: Desk, trip: Trip, reading: Reading, about: Entry) -> Draft:
    body: Body = {
        "odometer": miles_text(reading),
        "below": _miles(reading.below_mm),
        "above": _miles(reading.above_mm),
        "import": about.hash,
        "row": reading.row,
    }
    return imported(desk.draft("odometer_read", body, trip=trip.id, at=reading.at))


def _duty_draft(desk: Desk, trip: Trip, duty: DutyReading, about: Entry, driver: str) -> Draft:
    body: Body = {
        "driver": driver,
        "status": str(duty.status),
        "import": about.hash,
        "row": duty.row,
        "made_by": duty.made_by,
    }
    return imported(desk.draft("duty_imported", body, trip=trip.id, at=duty.at))


def _aside_body(one: Aside) -> Body:
    at = None if one.at is None else time_text(one.at)
    return present(row=one.row, at=at, what=one.what, why=one.why)


def _miles(amount_mm: int) -> str:
    """An amount of whole or half miles as a quantity."""
    halves = amount_mm * 2 // MILE_MM
    return f"{halves // 2}.5 mi" if halves % 2 else f"{halves // 2} mi"
