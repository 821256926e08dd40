"""What of a file belongs to a trip, is new, and fits what people read themselves."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TypeAlias

from scheduler.feeds.duty_file import DutyFile
from scheduler.feeds.readings import Aside, DutyReading, Fix, Noted, Reading
from scheduler.feeds.way import Way
from scheduler.progress import to_ms
from triplog.checks import odometer_mm, top_speed_mm_per_h
from triplog.desk.desk import Desk
from triplog.desk.feeds import Feed
from triplog.desk.refused import Refused
from triplog.journal.entries import Entry, to_milliseconds
from triplog.journal.imported import NEAR
from triplog.journal.imported_ways import imported_ways
from triplog.journal.trip import Trip, text_in
from triplog.wording.feeds import BEFORE_DEPARTURE

Row: TypeAlias = tuple[datetime, object]
"""What tells an imported row from others: its moment, and its status or odometer figure."""
MILE_MM = 1_609_344
FUTURE = "in the future by the clock of this machine"
_DAY_BEFORE = timedelta(days=1)
"""So much of what a file tells from before the departure is kept with the trip (our own figure)."""
NO_FIT = "does not fit the odometer that was read"
_AHEAD_ALLOWED = timedelta(minutes=2)
_FASTEST_MM_PER_H = 200_000_000
"""Where no top road speed is stated: faster than any truck (our own figure, no source)."""
_HOUR_MS = 3_600_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The time of a trip, from its departure to its close or to now; a little ahead is allowed."""

    begin: datetime
    end: datetime
    now: datetime

    def holds(self, at: datetime) -> bool:
        """Whether a moment belongs to the trip."""
        return self.begin <= at <= self.end

    def is_just_before(self, at: datetime) -> bool:
        """Whether a moment lies in the day before the departure."""
        return self.begin - _DAY_BEFORE <= at < self.begin

    def is_ahead(self, at: datetime) -> bool:
        """Whether a moment has not come yet."""
        return at > self.now + _AHEAD_ALLOWED


@dataclass(slots=True, kw_only=True)
class Taken:
    """What of a file belongs to a trip and is new.

    `elsewhere`: rows of another time. `known`: rows that were recorded from a file before.
    `superseded`: entries from an earlier file that this one tells are changed. `way` None: no
    fixes of the trip's time.
    """

    feed: Feed
    readings: list[Reading] = field(default_factory=list)
    duty: list[DutyReading] = field(default_factory=list)
    superseded: list[Entry] = field(default_factory=list)
    aside: list[Aside] = field(default_factory=list)
    noted: list[Noted] = field(default_factory=list)
    way: Way | None = None
    unit: str | None = None
    elsewhere: int = 0
    known: int = 0

    @property
    def is_new(self) -> bool:
        """Whether anything of it counts that was not recorded before."""
        return bool(self.readings or self.duty or self.superseded or self.way)

    @property
    def counts(self) -> dict[str, int]:
        """How many rows went where."""
        return {
            "readings": len(self.readings),
            "duty": len(self.duty),
            "superseded": len(self.superseded),
            "aside": len(self.aside),
            "noted": len(self.noted),
            "elsewhere": self.elsewhere,
            "known": self.known,
        }


def take(desk: Desk, trip: Trip, feed: Feed, *, driver: str, unit: str | None = None) -> Taken:
    """What of a file belongs to a trip. `driver`: whose duty a duty-record file tells.

    `unit`: the number of the power unit of the trip, where the file tells of several. Refused
    before departure, and where the unit is not told.
    """
    taken = Taken(feed=feed, noted=list(feed.noted))
    span = span_of(desk, trip)
    if feed.duty_file is None:
        _take_way(desk, trip, span, taken)
        return taken
    told = feed.duty_file
    taken.unit = _the_unit(told, unit)
    before = _from_these_bytes(desk, trip, feed)
    _take_duty(trip, span, told, taken, driver, before)
    _take_readings(trip, span, told, taken, before)
    _take_aside(span, told, taken)
    taken.superseded = _superseded(trip, told, driver)
    return taken


def span_of(desk: Desk, trip: Trip) -> Span:
    """The time of a trip; Refused before its departure."""
    if trip.departure is None:
        raise Refused(f"trip {trip.label} is {trip.state}; `triplog depart` comes first")
    now = desk.now().wall
    closed = trip.first("trip_closed")
    end = now + _AHEAD_ALLOWED if closed is None else closed.entry.event_time
    return Span(begin=trip.departure.entry.event_time, end=end, now=now)


def last_sample(desk: Desk, trip: Trip, name: str) -> datetime | None:
    """The last moment that was recorded from a source of this name; None: nothing was."""
    ends = [
        way.samples[-1][0]
        for way in imported_ways(trip)
        if desk.store.openings(way.entries[0]).get("name") == name
    ]
    return max(ends, default=None)


def miles_text(reading: Reading) -> str:
    """An odometer figure of a duty-record file as it stands there, with its unit."""
    return f"{reading.odometer_mm // MILE_MM} mi"


def _take_way(desk: Desk, trip: Trip, span: Span, taken: Taken) -> None:
    since, way = last_sample(desk, trip, taken.feed.name), Way()
    new: list[Fix] = []
    ahead = 0
    for fix in taken.feed.fixes:
        if not span.holds(fix.at):
            ahead += span.is_ahead(fix.at)
            taken.elsewhere += 1
        elif since is not None and fix.at <= since:
            taken.known += 1
        else:
            new.append(fix)
    way.add(new)
    way.end()
    taken.way = way if way.samples else None
    for count, what in (
        (ahead, f"{FUTURE}; not counted"),
        (way.out_of_order, "no later than the one before; left out"),
        (way.jumps, "where no vehicle gets to so fast; left out"),
    ):
        if count:
            fixes = "fix" if count == 1 else "fixes"
            taken.noted.append(Noted(row=None, what=f"{count:,} {fixes} {what}"))


def _the_unit(told: DutyFile, unit: str | None) -> str | None:
    """The power unit of the trip; None where the file names none."""
    if unit is not None and unit not in told.units:
        there = ", ".join(told.units) or "none"
        raise Refused(f"the file does not tell of power unit {unit!r}; it names: {there}")
    if unit is None and len(set(told.units)) > 1:
        there = ", ".join(told.units)
        raise Refused(f"the file tells of several power units: {there}. Say which with --unit")
    return unit or next(iter(told.units), None)


def _from_these_bytes(desk: Desk, trip: Trip, feed: Feed) -> set[Row]:
    """The rows recorded from the very same bytes before, those taken back since among them."""
    about = {
        fact.entry.hash
        for fact in trip.of("readings_imported")
        if fact.entry.body["digest"] == feed.digest
    }
    return {
        (entry.event_time, entry.body.get("status", entry.body.get("odometer")))
        for entry in desk.store.trip_entries(trip.id)
        if entry.body.get("import") in about
    }


def _take_duty(
    trip: Trip, span: Span, told: DutyFile, taken: Taken, driver: str, before: set[Row]
) -> None:
    known = before | {
        (fact.entry.event_time, text_in(fact.entry.body, "status"))
        for fact in trip.of("duty_imported")
        if fact.entry.body["driver"] == driver
    }
    for duty in told.duty:
        if span.holds(duty.at):
            if (to_milliseconds(duty.at), str(duty.status)) in known:
                taken.known += 1
            else:
                taken.duty.append(duty)
        else:
            _of_another_time(taken, span, duty.row, duty.at, str(duty.status))


def _take_readings(trip: Trip, span: Span, told: DutyFile, taken: Taken, before: set[Row]) -> None:
    known = before | {
        (fact.entry.event_time, fact.entry.body["odometer"])
        for fact in trip.of("odometer_read")
        if fact.entry.via == "imported"
    }
    new: list[Reading] = []
    for reading in told.readings:
        if reading.unit not in (taken.unit, None):
            taken.elsewhere += 1
        elif not span.holds(reading.at):
            _of_another_time(taken, span, reading.row, reading.at, _total(reading))
        elif (to_milliseconds(reading.at), miles_text(reading)) in known:
            taken.known += 1
        else:
            new.append(reading)
    why = _why_no_fit(trip, new)
    if why is None:
        taken.readings = new
        return
    taken.noted.append(Noted(row=None, what=why))
    taken.aside += [Aside(row=one.row, at=one.at, what=_total(one), why=NO_FIT) for one in new]


def _take_aside(span: Span, told: DutyFile, taken: Taken) -> None:
    """Keep what the file itself does not count, as far as it is of the trip's time or of none."""
    for one in told.aside:
        if one.at is None or span.holds(one.at) or span.is_ahead(one.at):
            taken.aside.append(one)
        else:
            taken.elsewhere += 1


def _of_another_time(taken: Taken, span: Span, row: int, at: datetime, what: str) -> None:
    """Keep what has not come yet by our clock, and the day before; count what is further away."""
    if span.is_ahead(at):
        taken.aside.append(Aside(row=row, at=at, what=what, why=FUTURE))
    elif span.is_just_before(at):
        taken.aside.append(Aside(row=row, at=at, what=what, why=BEFORE_DEPARTURE))
    else:
        taken.elsewhere += 1


def _superseded(trip: Trip, told: DutyFile, driver: str) -> list[Entry]:
    """Duty statuses from an earlier file that this one tells are changed."""
    changed = {(one.at, one.what) for one in told.aside if one.why.startswith("superseded")}
    return [
        fact.entry
        for fact in trip.of("duty_imported")
        if fact.entry.body["driver"] == driver
        and (fact.entry.event_time, fact.entry.body["status"]) in changed
    ]


def _why_no_fit(trip: Trip, readings: list[Reading]) -> str | None:
    """Why the file's miles cannot be those of the odometer people read; None: they can be."""
    typed = [
        (fact.entry.event_time, odometer_mm(str(fact.entry.body["odometer"])))
        for fact in trip.facts
        if "odometer" in fact.entry.body
        and isinstance(fact.entry.body["odometer"], str)
        and fact.entry.via != "imported"
    ]
    speed_mm_per_h = top_speed_mm_per_h(trip) or _FASTEST_MM_PER_H
    if all(_fits(one, *read, speed_mm_per_h) for one in readings for read in typed):
        return None
    if all(_fits(_as_km(one), *read, speed_mm_per_h) for one in readings for read in typed):
        return "the file's total miles fit the odometer only if they are kilometres; not counted"
    return (
        "the file's total miles do not fit the odometer that was read: another instrument, or"
        " another vehicle; not counted"
    )


def _fits(reading: Reading, at: datetime, read_mm: int, speed_mm_per_h: int) -> bool:
    """Whether an imported figure can belong to the same odometer as one that was read.

    A mile either way for how it was read, ten minutes for the clocks.
    """
    apart_ms = abs(to_ms(reading.at) - to_ms(at)) + NEAR // timedelta(milliseconds=1)
    most_mm = speed_mm_per_h * apart_ms // _HOUR_MS + MILE_MM
    least_mm, highest_mm = reading.least_mm - MILE_MM, reading.most_mm + MILE_MM
    if reading.at >= at + NEAR and highest_mm < read_mm:
        return False
    if reading.at <= at - NEAR and least_mm > read_mm:
        return False
    return least_mm - most_mm <= read_mm <= highest_mm + most_mm


def _as_km(reading: Reading) -> Reading:
    """The same figure in kilometres."""
    count = reading.odometer_mm // MILE_MM
    return Reading(
        row=reading.row,
        at=reading.at,
        odometer_mm=count * 1_000_000,
        below_mm=500_000,
        above_mm=1_000_000,
    )


def _total(reading: Reading) -> str:
    return f"total miles {reading.odometer_mm // MILE_MM:,}"
