"""Imports in words: what of a file was taken, and what a trip has beside its own records."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta, timezone
from typing import Protocol, TypeVar

from scheduler.feeds.readings import Aside, DutyReading, Noted, Reading
from scheduler.feeds.way import Way
from triplog.journal.imported import Difference
from triplog.journal.imported_ways import Beside, ImportedWay

Row = TypeVar("Row")
_M_PER = {"mi": 1609.344, "km": 1000.0}
_SHOWN = 12
_SOURCES = {"gpx": "GPX track", "nmea": "satellite receiver"}
NOT_OURS = "imported from {name}, not our observation"
NO_PLACES = "positions are not kept, only distances and times"
PLACES_KEPT = "positions are kept, private; no export holds them unless told --with-positions"
READ_BEFORE = "{name} was read before, at {when}; nothing was recorded again"
MORE_COUNTS = "{name} was read before, at {when}; more of it counts for the trip by now"
BEFORE_DEPARTURE = "before the trip departed"


class TakenRows(Protocol):
    """What of a file belongs to a trip, as it is shown."""

    readings: list[Reading]
    duty: list[DutyReading]
    aside: list[Aside]
    noted: list[Noted]
    way: Way | None
    elsewhere: int
    known: int


def taken_lines(
    taken: TakenRows, name: str, digest: str, *, unit: str, offset_min: int
) -> Iterator[str]:
    """What of a file belongs to a trip, and everything there is to say about the rest."""
    yield f"{NOT_OURS.format(name=name)}; SHA-256 {digest[:16]}..."
    for duty in _first(taken.duty):
        yield f"  {_clock(duty.at, offset_min)}  {duty.status}, written {duty.made_by}"
    yield from _more(taken.duty, "duty statuses")
    if taken.readings:
        low, high = taken.readings[0], taken.readings[-1]
        yield (
            f"  {_count(len(taken.readings), 'odometer reading')}, {_odometer(low)} at"
            f" {_clock(low.at, offset_min)} to {_odometer(high)} at {_clock(high.at, offset_min)};"
            " whole miles, each counted from half a mile below to a mile above or more"
        )
    if taken.way is not None:
        yield f"  {_way_of_file(taken.way, unit, offset_min)}"
    if not (taken.duty or taken.readings or taken.way):
        yield "  nothing new of this trip"
    if taken.known:
        yield f"  {_count(taken.known, 'row')} known from a file read before"
    if taken.elsewhere:
        yield f"  {_count(taken.elsewhere, 'row')} of another time or vehicle; not taken"
    if taken.aside:
        yield f"  kept and not counted: {len(taken.aside)}"
        yield from _aside_lines(taken.aside, offset_min)
    if taken.noted:
        yield f"  to be looked at: {len(taken.noted)}"
        yield from (f"    {one}" for one in _first(taken.noted))
        yield from _more(taken.noted, "lines; the entry keeps them")


def _aside_lines(rows: Sequence[Aside], offset_min: int) -> Iterator[str]:
    """What is kept and not counted, one by one; what was before the departure in one line."""
    told = [one for one in rows if one.why != BEFORE_DEPARTURE]
    for aside in _first(told):
        when = "" if aside.at is None else f"{_clock(aside.at, offset_min)}  "
        yield f"    row {aside.row}  {when}{aside.what}: {aside.why}"
    yield from _more(told, "rows")
    before = sorted(one.at for one in rows if one.why == BEFORE_DEPARTURE and one.at is not None)
    if before:
        when = f"{_clock(before[0], offset_min)} to {_clock(before[-1], offset_min)}"
        yield f"    {_count(len(before), 'row')} {BEFORE_DEPARTURE}, {when}"


def difference_lines(
    differences: Iterable[Difference], names: dict[str, str], offset_min: int
) -> Iterator[str]:
    """Where what was typed and what was imported are not the same; both are kept."""
    for one in differences:
        end = "on" if one.end is None else f"to {_clock(one.end, offset_min)}"
        yield (
            f"  duty of {names.get(one.driver, one.driver)} from"
            f" {_clock(one.begin, offset_min)} {end}: typed {one.typed}, imported {one.imported};"
            " both are kept"
        )


def way_lines(
    way: ImportedWay, beside: Beside | None, name: str | None, *, unit: str, offset_min: int
) -> Iterator[str]:
    """A way that was imported, and the odometer beside it; neither corrects the other."""
    begin, end = way.samples[0][0], way.samples[-1][0]
    metres = way.samples[-1][1] - way.samples[0][1]
    yield (
        f"  way by {_SOURCES[way.source]}, {NOT_OURS.format(name=name or 'a file')}:"
        f" {_way(metres, unit)}, {_clock(begin, offset_min)} to {_clock(end, offset_min)}"
        f"{_gaps([(one[0], one[1], one[2]) for one in way.gaps], unit)}"
    )
    if beside is not None:
        yield (
            f"    {_clock(beside.begin, offset_min)} to {_clock(beside.end, offset_min)}:"
            f" odometer {_way(beside.odometer_m, unit)},"
            f" {_SOURCES[way.source]} {_way(beside.way_m, unit)};"
            " neither corrects the other"
        )


def _way_of_file(way: Way, unit: str, offset_min: int) -> str:
    begin, end = way.samples[0], way.samples[-1]
    gaps = [(one.begin, one.end, one.straight_m) for one in way.gaps]
    return (
        f"way {_way(end.along_m, unit)}, {_clock(begin.at, offset_min)} to"
        f" {_clock(end.at, offset_min)}{_gaps(gaps, unit)}; shown beside the odometer"
    )


def _gaps(gaps: Sequence[tuple[datetime, datetime, float]], unit: str) -> str:
    if not gaps:
        return ""
    lasting = sum((end - begin for begin, end, _ in gaps), timedelta(0))
    across = sum(metres for _, _, metres in gaps)
    return (
        f"; {_count(len(gaps), 'gap')} of {int(lasting.total_seconds() // 60)} min together,"
        f" {_way(across, unit)} in straight lines: the least it can have been"
    )


def _first(rows: Sequence[Row]) -> Sequence[Row]:
    return rows[:_SHOWN]


def _more(rows: Sequence[object], what: str) -> Iterator[str]:
    if len(rows) > _SHOWN:
        yield f"    and {len(rows) - _SHOWN} more {what}"


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"


def _odometer(reading: Reading) -> str:
    return f"{reading.odometer_mm / 1_609_344:,.0f} mi"


def _way(metres: float, unit: str) -> str:
    return f"{metres / _M_PER[unit]:,.1f} {unit}"


def _clock(at: datetime, offset_min: int) -> str:
    """Local date and time, to the minute."""
    return at.astimezone(timezone(timedelta(minutes=offset_min))).strftime("%Y-%m-%d %H:%M")
