"""What leaves a big store: one trip's bundle, and all entries as JSON Lines.

The lines are the stored bytes, copied: the floor is a loop that reads and writes each as JSON.
"""

import itertools
import json
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

from exports.json_lines import write_lines
from tests.benchmarks.measure import Figure, by_turns
from tests.builders import bulk_rows, bulk_store
from tests.desk.exported import exported, under_way
from tests.dossier.scene import office
from triplog.journal.store import Store

MANY, LINES = 100_000, 1_000_000


def figures(place: Path) -> list[Figure]:
    """A trip's bundle beside so many other entries, and the lines of a million."""
    store = bulk_store(place / "lines" / "triplog.sqlite3", LINES)
    found = [
        by_turns(
            f"bundle of a trip beside {MANY:,} entries, to alone",
            _bundling(place / "among", others=MANY),
            _bundling(place / "alone", others=0),
            limit=2,
        ),
        by_turns(
            f"JSON Lines of {LINES:,} entries, to the bare json loop",
            _lines_to(store, place / "ours.jsonl"),
            _bare_to(store, place / "bare.jsonl"),
            limit=1.3,
        ),
    ]
    store.close()
    for name in ("lines", "among", "alone"):
        shutil.rmtree(place / name)
    return found


def _bundling(home: Path, *, others: int) -> Callable[[], None]:
    """The bundle of a trip that has departed, in a store with entries of another device."""
    yard = office(home / "home")
    trip = under_way(yard)
    raw = yard.desk.store.raw
    raw.execute("BEGIN IMMEDIATE")
    raw.executemany(
        "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, NULL, ?, ?)", bulk_rows("b" * 16, others)
    )
    raw.execute("COMMIT")
    numbers = itertools.count()

    def act() -> None:
        exported(yard, home / str(next(numbers)), yard.trip(trip.label), "bundle")

    return act


def _lines_to(store: Store, path: Path) -> Callable[[], None]:
    def act() -> None:
        with path.open("wb") as out:
            write_lines((entry for (entry,) in _rows(store)), out)

    return act


def _bare_to(store: Store, path: Path) -> Callable[[], None]:
    def act() -> None:
        with path.open("wb") as out:
            for (data,) in _rows(store):
                out.write(json.dumps(json.loads(data)).encode() + b"\n")

    return act


def _rows(store: Store) -> sqlite3.Cursor:
    return store.raw.execute("SELECT data FROM entry ORDER BY device, seq")
