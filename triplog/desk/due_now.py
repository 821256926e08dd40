"""What is due: answered from the rows in `due` with the standard library's database driver alone.

It is the one command a driver asks again and again, so it imports no heavy library.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from scheduler.counter import Counter, counter_from_row
from scheduler.due import DueCheck, at, in_order
from triplog.desk.clashing_labels import called, shown_labels
from triplog.desk.refused import Refused
from triplog.journal.entries import Clock, ClockReading, time_text
from triplog.journal.store import Store, open_store
from triplog.journal.store_file import PROJECTION_VERSION, STORE_NAME

_UNDER_WAY = ("rolling", "stopped")
# The database counts no further.
_MOST_ROWS = 2**63 - 1
_LAST_FEW = (
    "trip = ? AND device = ? AND seq >= (SELECT min(seq) FROM"
    " (SELECT seq FROM entry WHERE trip = ? AND device = ? ORDER BY seq DESC LIMIT 8))"
)
"""So many that one of them was made as it happened."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TripDue:
    """An open trip and its due checks, worst first; none before departure."""

    label: str
    state: str
    due: tuple[DueCheck, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DueNow:
    """What is due on every open trip at one moment."""

    reading: ClockReading
    invented: bool
    trips: tuple[TripDue, ...]
    rebuilt: bool

    @property
    def worst(self) -> DueCheck | None:
        """The worst due check of all; None: none runs."""
        all_checks = [check for trip in self.trips for check in trip.due]
        return in_order(all_checks)[0] if all_checks else None


@dataclass(frozen=True, slots=True, kw_only=True)
class DueFirst:
    """The checks due first on all open trips, each with the label of its trip."""

    reading: ClockReading
    invented: bool
    checks: tuple[tuple[str, DueCheck], ...]
    rebuilt: bool


def due_now(home: Path, clock: Clock, trip: str | None = None) -> DueNow:
    """What is due on the open trips, or on the one of that label; Refused where there is none."""
    with _store_up_to_date(home, clock) as (store, rebuilt):
        reading = clock.read()
        return DueNow(
            reading=reading,
            invented=store.fact("invented") == "yes",
            trips=tuple(_trips(store, reading, trip)),
            rebuilt=rebuilt,
        )


def due_first(home: Path, clock: Clock, count: int) -> DueFirst:
    """Of all open trips the checks that are due first, at most `count`."""
    with _store_up_to_date(home, clock) as (store, rebuilt):
        reading = clock.read()
        return DueFirst(
            reading=reading,
            invented=store.fact("invented") == "yes",
            checks=first_due(store, reading, count),
            rebuilt=rebuilt,
        )


@contextmanager
def _store_up_to_date(home: Path, clock: Clock) -> Iterator[tuple[Store, bool]]:
    """The store, and whether its lists had to be made anew before they could be read."""
    rebuilt = False
    store = open_store(home / STORE_NAME, reading_only=True)
    if store.fact("projection") != PROJECTION_VERSION:
        from triplog.desk.desk import open_desk

        store.close()
        desk = open_desk(home, clock)
        desk.store.rebuild(desk.tables)
        store, rebuilt = desk.store, True
    try:
        yield store, rebuilt
    finally:
        store.close()


def first_due(store: Store, reading: ClockReading, count: int) -> tuple[tuple[str, DueCheck], ...]:
    """Of all open trips the checks that are due first, longest due before those to come.

    At most `count`, each with the label of its trip. What stands still, cannot be told or is lifted
    is not among them.
    """
    return tuple((label, check) for _, label, check in first_due_on(store, reading, count))


def first_due_on(
    store: Store, reading: ClockReading, count: int, *, until: datetime | None = None
) -> Iterator[tuple[str, str, DueCheck]]:
    """The same, each with the id and the label of its trip; `until`: only what is due by then."""
    cursor = store.raw.cursor()
    cursor.row_factory = sqlite3.Row
    rows = cursor.execute(
        "SELECT due.*, trip.label FROM due JOIN trip ON trip.id = due.trip"
        " WHERE due_at IS NOT NULL AND due_at <= ? ORDER BY due_at LIMIT ?",
        ("9999" if until is None else time_text(until), min(count, _MOST_ROWS)),
    )
    found = [(row["label"], counter_from_row(dict(row))) for row in rows]
    for label, counter in found:
        now = _now_on(store, counter.trip, [counter], reading)
        yield counter.trip, label, at(counter, now)


def _trips(store: Store, reading: ClockReading, wanted: str | None) -> list[TripDue]:
    query = "SELECT id, label, state FROM trip WHERE is_open = 1 ORDER BY opened_at, label"
    trips = store.raw.execute(query).fetchall()
    if wanted is not None:
        named = called(store, "trip", wanted)
        trips = [trip for trip in trips if trip[0] in named]
    clashing = shown_labels(store, "trip", "is_open = 1")
    if wanted is not None and not trips:
        raise Refused(f"no open trip is called {wanted!r}; `triplog trip list` shows all")
    return [
        TripDue(
            label=clashing.get(trip_id, label),
            state=state,
            due=_due_of(store, trip_id, reading) if state in _UNDER_WAY else (),
        )
        for trip_id, label, state in trips
    ]


def _due_of(store: Store, trip_id: str, reading: ClockReading) -> tuple[DueCheck, ...]:
    cursor = store.raw.cursor()
    cursor.row_factory = sqlite3.Row
    rows = cursor.execute("SELECT * FROM due WHERE trip = ?", (trip_id,))
    counters = [counter_from_row(dict(row)) for row in rows]
    now = _now_on(store, trip_id, counters, reading)
    return in_order(at(counter, now) for counter in counters)


def _now_on(store: Store, trip_id: str, counters: list[Counter], reading: ClockReading) -> datetime:
    """Now by the time of a trip: where the wall clock stands before what was counted last, its
    whole journal is read to tell, else the last few entries.
    """
    from triplog.desk.trip_clock import clock_behind

    if all(counter.as_of <= reading.wall for counter in counters):
        own = (trip_id, store.device)
        entries = list(store.entries(_LAST_FEW, (*own, *own)))
    else:
        entries = store.trip_entries(trip_id)
    return reading.wall + clock_behind(counters, entries, reading)
