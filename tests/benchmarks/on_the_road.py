"""A hundred thousand open trips: which check is due first, all of them asked, one planned anew.

The trips are copies of one that was recorded and departed: their rows in the derived tables are
put in directly, because so many journals would take hours to write. What is measured reads or
writes those tables only, and the entries of the one real trip.
"""

import sqlite3
from datetime import datetime, timedelta
from pathlib import Path

from scheduler.counter import Counter, counter_from_row
from scheduler.due import at
from scheduler.progress import to_ms
from tests.benchmarks.measure import Figure, by_turns, run_python
from tests.benchmarks.starting import SMALLEST, TRIPLOG
from tests.builders import START, TRIP, Journal, depart, new_journal, odometer_read
from triplog.desk.due_now import first_due
from triplog.journal.entries import time_text

MANY, FEW = 100_000, 100
HOUR_MS = 3_600_000


def figures(place: Path) -> list[Figure]:
    """Next due, due recomputed, and re-planning after an entry."""
    many, few = open_trips(place / "many", MANY), open_trips(place / "few", FEW)
    found = [_next_due(many), _recomputed(many), _replanned(many, few)]
    found.append(_command("triplog due --first 5", place / "many", "due", "--first", "5"))
    raw = many.store.raw
    raw.execute("DELETE FROM due WHERE trip <> ?", (TRIP,))
    raw.execute("UPDATE trip SET is_open = 0, state = 'closed' WHERE id <> ?", (TRIP,))
    found.append(_command("triplog due, one open", place / "many", "due"))
    many.close()
    few.close()
    return found


def _command(name: str, home: Path, *words: str) -> Figure:
    """A whole command against the smallest program, as a person waits for it."""
    return by_turns(
        f"{name}, {MANY:,} trips in the store",
        lambda: run_python(["-c", TRIPLOG, *words], TRIPLOG_HOME=str(home)),
        lambda: run_python(["-c", SMALLEST]),
        limit=1.4,
        rounds=9,
    )


def _next_due(journal: Journal) -> Figure:
    store, reading = journal.store, journal.clock.forward(minutes=60)
    query = "SELECT trip, due_key, due_at FROM due WHERE due_at IS NOT NULL ORDER BY due_at LIMIT 1"

    def ours() -> None:
        for _ in range(100):
            assert len(first_due(store, reading, 1)) == 1

    def bare() -> None:
        for _ in range(100):
            assert len(store.raw.execute(query).fetchall()) == 1

    return by_turns(f"100 x the check due first of {MANY:,} open trips", ours, bare, limit=20)


def _recomputed(journal: Journal) -> Figure:
    cursor = journal.store.raw.cursor()
    cursor.row_factory = sqlite3.Row
    rows = cursor.execute("SELECT * FROM due")
    running = [counter_from_row(dict(row)) for row in rows]
    now = START + timedelta(hours=1)

    def ours() -> None:
        for counter in running:
            at(counter, now)

    def bare() -> None:
        for counter in running:
            _bare_state(counter, now)

    return by_turns(f"due of {MANY:,} open trips, {len(running):,} checks", ours, bare, limit=15)


def _bare_state(counter: Counter, now: datetime) -> tuple[str, int, int | None]:
    """The least a loop over the same counters has to do to tell how each stands."""
    limit, known, bound, rate = counter.limit, counter.known, counter.estimate, counter.rate_per_h
    gone_ms = to_ms(now) - to_ms(counter.as_of)
    if gone_ms > 0 and counter.goes_on is not False and bound is not None and rate is not None:
        bound -= -rate * gone_ms // HOUR_MS
        if rate == HOUR_MS:
            known += gone_ms
    if counter.exempt_reason is not None:
        return "exempt", known, bound
    if limit is None:
        return "due" if counter.resumed_at is None else "late", known, bound
    if known >= limit:
        return "late" if known > limit else "due", known, bound
    if bound is None:
        return "cannot tell", known, bound
    if bound >= limit:
        return "due", known, bound
    return "coming up" if bound * 5 >= limit * 4 else "nothing due", known, bound


def _replanned(many: Journal, few: Journal) -> Figure:
    """An entry on one trip, its rows and those in `due`; the disk is not waited for."""
    tenths = iter(range(1, 10_000))

    def enter(journal: Journal) -> None:
        for _ in range(5):
            journal.record(odometer_read(f"24140.{next(tenths)} mi"), minutes=1 / 60)

    for journal in (many, few):
        journal.store.raw.execute("PRAGMA synchronous = OFF")
        enter(journal)
    return by_turns(
        f"5 entries among {MANY:,} open trips and among {FEW}",
        lambda: enter(many),
        lambda: enter(few),
        limit=1.5,
        rounds=21,
    )


def open_trips(folder: Path, count: int) -> Journal:
    """A journal with one real trip and the rows of so many more."""
    folder.mkdir()
    journal = new_journal(folder / "triplog.sqlite3")
    depart(journal)
    raw = journal.store.raw
    raw.execute("PRAGMA synchronous = OFF")
    raw.execute("BEGIN")
    for table in ("trip", "due"):
        cursor = raw.execute(f"SELECT * FROM {table}")
        names = [column[0] for column in cursor.description]
        rows = [dict(zip(names, row, strict=True)) for row in cursor]
        places = ", ".join(f":{name}" for name in names)
        raw.executemany(
            f"INSERT INTO {table} VALUES ({places})",
            (_copy(row, number) for number in range(count) for row in rows),
        )
    raw.execute("COMMIT")
    return journal


def _copy(row: dict[str, object], number: int) -> dict[str, object]:
    """A row for another trip that departed a moment later."""
    other = f"copy{number:012d}"
    copied = {
        name: value.replace(TRIP, other) if isinstance(value, str) else value
        for name, value in row.items()
    }
    if "label" in copied:
        copied["label"] = f"{copied['label']}-{number}"
    for name in ("due_at", "counted_since", "as_of"):
        if isinstance(copied.get(name), str):
            moment = datetime.fromisoformat(str(copied[name])) + timedelta(milliseconds=number)
            copied[name] = time_text(moment)
    return copied
