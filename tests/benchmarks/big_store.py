"""A store of a million entries: its chain checked, its entries exported."""

import csv
import shutil
from collections.abc import Callable
from pathlib import Path

from exports.csv_sheet import write_csv
from tests.benchmarks.measure import Figure, by_turns, run_python
from tests.builders import bulk_store
from triplog.dossier.tables import ENTRIES
from triplog.journal.store import Store, open_store

MANY = 1_000_000
FEWER = 100_000
MIB = 1024 * 1024
MEMORY_LIMIT_MIB = 100
MEASURED_EXPORT = """
import sys
from pathlib import Path
from tests.benchmarks.big_store import export
export(Path(sys.argv[1]))
status = Path("/proc/self/status").read_text()
print(int(status.split("VmHWM:")[1].split()[0]) * 1024)
"""


def figures(place: Path) -> list[Figure]:
    """Chain and export of a million entries; the export's memory at two sizes."""
    many, fewer = place / "many" / "triplog.sqlite3", place / "fewer" / "triplog.sqlite3"
    bulk_store(many, MANY).close()
    bulk_store(fewer, FEWER).close()
    store = open_store(many)
    found = [
        by_turns(
            f"chain of {MANY:,} entries checked",
            lambda: _held(store),
            lambda: _read_bare(store),
            limit=2.5,
        ),
        by_turns(
            f"CSV of {MANY:,} entries",
            _export_to(store, place / "ours.csv"),
            _bare_csv_to(store, place / "bare.csv"),
            limit=1.5,
        ),
    ]
    store.close()
    found += [_memory(fewer, FEWER), _memory(many, MANY)]
    for path in (many, fewer):
        shutil.rmtree(path.parent)
    return found


def _held(store: Store) -> None:
    assert store.check() == []


def _read_bare(store: Store) -> None:
    for _ in store.raw.execute("SELECT device, seq, hash, data FROM entry"):
        pass


def _export_to(store: Store, path: Path) -> Callable[[], None]:
    def act() -> None:
        with path.open("w", encoding="utf-8", newline="") as out:
            write_csv(ENTRIES.columns, store.raw.execute(ENTRIES.query(one_trip=False)), out)

    return act


def _bare_csv_to(store: Store, path: Path) -> Callable[[], None]:
    def act() -> None:
        with path.open("w", encoding="utf-8", newline="") as out:
            writer = csv.writer(out)
            for row in store.raw.execute(ENTRIES.query(one_trip=False)):
                writer.writerow(row)

    return act


def export(path: Path) -> None:
    """Export the entries of a store beside it, in a process that does nothing else."""
    store = open_store(path, reading_only=True)
    _export_to(store, path.with_suffix(".csv"))()
    store.close()


def _memory(path: Path, count: int) -> Figure:
    """The most memory a process ever held that exported a store, over its limit."""
    peak = int(run_python(["-c", MEASURED_EXPORT, str(path)]).split()[-1])
    return Figure(
        name=f"peak memory, CSV of {count:,} entries",
        ours=peak / MIB,
        floor=MEMORY_LIMIT_MIB,
        unit="MiB",
        limit=1,
    )
