"""Taking in another journal, against putting the same rows into the same table by themselves."""

import itertools
from collections.abc import Callable, Iterable
from contextlib import closing
from pathlib import Path

from tests.benchmarks.measure import Figure, by_turns, run_python
from tests.builders import bulk_rows, bulk_store, tables_of
from triplog.desk.bringing import FromStore
from triplog.journal.derived_tables import DerivedTables
from triplog.journal.device_key import did_sign
from triplog.journal.store import Store, create_store, open_store
from triplog.journal.taking_in import take_in

ENTRIES = 100_000
FEWER = 10_000
MEMORY_LIMIT_MIB = 96
MIB = 1 << 20
MEASURED = (
    "import sys; from pathlib import Path;"
    "from tests.benchmarks.moving import taken_in;"
    "taken_in(Path(sys.argv[1]), Path(sys.argv[2]));"
    "status = open('/proc/self/status').read();"
    "print(int(status.split('VmHWM:')[1].split()[0]) * 1024)"
)


class NoRows:
    """Makes no derived rows: those are measured apart."""

    def remake(self, store: Store, trips: Iterable[str], things: Iterable[str]) -> None:
        """Nothing."""


def figures(folder: Path) -> list[Figure]:
    """Journal rows with all checks, the derived rows, and the memory it takes."""
    many, fewer = folder / "many.sqlite3", folder / "fewer.sqlite3"
    bulk_store(many, ENTRIES).close()
    bulk_store(fewer, FEWER).close()
    numbers = itertools.count()

    def new_store() -> Store:
        return create_store(folder / f"store-{next(numbers)}.sqlite3")

    rows = list(bulk_rows("a" * 16, ENTRIES))
    found = [
        by_turns(
            f"journal rows of {ENTRIES:,} entries taken in, all checks",
            lambda: _take(new_store(), many),
            lambda: _bare(new_store(), rows),
            limit=12,
        ),
    ]
    with closing(new_store()) as store:
        _into(store, many)
        tables = tables_of(store)
        store.rebuild(tables)
        trips = store.ids("trip")
        found.append(
            by_turns(
                f"their derived rows ({len(trips):,} trips), to a rebuilding",
                _remade(store, tables, trips),
                lambda: store.rebuild(tables),
                limit=2,
            )
        )
    return [*found, *(_memory(path, folder) for path in (fewer, many))]


def taken_in(source: Path, target: Path) -> None:
    """Take a journal into an empty one, in a process that does nothing else."""
    _take(create_store(target), source)


def _take(store: Store, source: Path) -> None:
    with closing(store):
        _into(store, source)


def _into(store: Store, source: Path) -> None:
    with closing(open_store(source, reading_only=True)) as other, store._transaction():
        taken = take_in(
            store,
            FromStore(other),
            rows=NoRows(),
            did_sign=did_sign,
            source="store",
            taken_at="2026-05-04T12:00:00.000Z",
            invented=False,
        )
    assert taken.new >= FEWER


def _bare(store: Store, rows: list[tuple[str, int, str, str, str, str, str, bytes]]) -> None:
    with closing(store):
        store.raw.execute("BEGIN IMMEDIATE")
        store.raw.executemany("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, NULL, ?, ?)", rows)
        store.raw.execute("COMMIT")


def _remade(store: Store, tables: DerivedTables, trips: list[str]) -> Callable[[], None]:
    def act() -> None:
        with store._transaction():
            tables.remake(store, trips, ())

    return act


def _memory(path: Path, folder: Path) -> Figure:
    """The most memory a process ever held that took a journal in, over its limit."""
    target = folder / f"memory-{path.name}"
    peak = int(run_python(["-c", MEASURED, str(path), str(target)]).split()[-1])
    return Figure(
        name=f"peak memory, {path.stem} entries taken in",
        ours=peak / MIB,
        floor=MEMORY_LIMIT_MIB,
        unit="MiB",
        limit=1,
    )
