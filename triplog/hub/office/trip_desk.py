"""A desk over one trip, in memory: its entries and those about what it names, to be looked at.

Nothing is recorded at it; between its entries the chains have gaps.
"""

import json
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.desk.scope import NAMING
from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.hub.extract import ToldClock
from triplog.journal.entries import Clock
from triplog.journal.store import Store
from triplog.journal.store_file import in_memory
from triplog.journal.trip import records_in

_COLUMNS = "device, seq, hash, kind, trip, thing, entry_time, data"


@contextmanager
def trip_desk(
    connection: Open, home: Path, carrier: Carrier, trip: str, clock: Clock
) -> Iterator[Desk]:
    """The desk of a trip by its id. Raises Refused where no entry of such a trip has arrived."""
    rows = _rows(connection, "trip = %s", (trip,))
    if not rows:
        raise Refused("there is no such trip")
    rows += _rows(connection, "thing = ANY(%s) AND trip IS NULL", (sorted(_named(rows)),))
    devices = sorted({row[0] for row in rows} | {*carrier.offices})
    rows += _rows(connection, "kind = 'carrier_recorded' AND device = ANY(%s)", (devices,))
    with closing(in_memory(carrier.witness)) as raw:
        # What is told apart by its key was told apart where it was recorded.
        raw.executemany(
            "INSERT OR IGNORE INTO entry (device, seq, hash, kind, trip, thing, entry_time, data,"
            " idem) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            [(*row, row[2]) for row in rows],
        )
        raw.executemany(
            "INSERT INTO opening VALUES (?, ?, ?, ?)", _openings(connection, [r[2] for r in rows])
        )
        invented = "yes" if carrier.invented else "no"
        raw.execute("INSERT INTO store_fact VALUES ('invented', ?)", (invented,))
        store = Store(path=Path(":memory:"), raw=raw, device=carrier.witness, writable=False)
        told = ToldClock(clock=clock, invented=carrier.invented)
        desk = Desk(home=home, store=store, clock=told, via="page")
        assert desk.tables, "the rows stand"
        raw.execute("PRAGMA query_only = ON")
        yield desk


def _rows(connection: Open, where: str, values: tuple[object, ...]) -> list[tuple[Any, ...]]:
    found = connection.execute(
        f"SELECT {_COLUMNS} FROM entry WHERE {where} ORDER BY device, seq", values
    )
    return [(*row[:-1], bytes(row[-1])) for row in found]


def _named(rows: Iterable[tuple[Any, ...]]) -> set[str]:
    """The people, gear and vehicles that entries name."""
    found: set[str] = set()
    for row in rows:
        entry = json.loads(row[-1])
        body = entry["body"]
        named = (entry["by"], row[5], *(body.get(name) for name in NAMING))
        found |= {one for one in named if isinstance(one, str)}
        found |= {source["thing"] for source in records_in(body, "sources")}
    return found


def _openings(connection: Open, hashes: list[str]) -> list[tuple[str, str, str, str]]:
    rows = connection.execute(
        "SELECT entry, field, salt, value FROM opening WHERE entry = ANY(%s)", (hashes,)
    )
    return [(entry, field, salt, bytes(value).decode()) for entry, field, salt, value in rows]
