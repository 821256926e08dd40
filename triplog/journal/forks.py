"""What a fork left: entries of another history under numbers that are taken here, kept as evidence.

They are in no chain of this store and count for nothing. They are never changed or removed.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass

from triplog.journal.store import Store

_TABLE = """
CREATE TABLE IF NOT EXISTS fork_evidence (
    device TEXT NOT NULL,
    seq INTEGER NOT NULL,
    hash TEXT NOT NULL CHECK (length(hash) = 64),
    trip TEXT,
    data BLOB NOT NULL,
    taken_at TEXT NOT NULL,
    source TEXT NOT NULL,
    PRIMARY KEY (device, seq, hash)
) STRICT, WITHOUT ROWID
"""
_GUARDS = tuple(
    f"CREATE TRIGGER IF NOT EXISTS fork_evidence_is_never_{what} BEFORE {act} ON fork_evidence"
    f" BEGIN SELECT RAISE(ABORT, 'evidence of a fork is never {what}'); END"
    for what, act in (("changed", "UPDATE"), ("removed", "DELETE"))
)
_COLUMNS = "device, seq, hash, data, taken_at, source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """An entry of another history. `source`: what it was found in; `taken_at`: when, RFC 3339."""

    device: str
    seq: int
    hash: str
    data: bytes
    taken_at: str
    source: str

    @property
    def line(self) -> bytes:
        """As a line of a bundle's `forks.jsonl`, without its line feed."""
        told = {
            "device": self.device,
            "entry": self.data.decode(),
            "hash": self.hash,
            "seq": self.seq,
            "source": self.source,
            "taken_at": self.taken_at,
        }
        return json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


@dataclass(frozen=True, slots=True, kw_only=True)
class Fork:
    """A device with two histories: the first entry of the other one, and how many there are."""

    device: str
    seq: int
    held: str
    other: str
    entries: int


def make_room(store: Store) -> None:
    """Make the table and its guards where they are missing; inside a transaction."""
    for statement in (_TABLE, *_GUARDS):
        store.raw.execute(statement)


def keep(store: Store, one: Evidence, trip: str | None) -> bool:
    """Keep an entry as evidence; False: it is kept already, or stands in the chain here."""
    added = store.raw.execute(
        f"INSERT INTO fork_evidence ({_COLUMNS}, trip) SELECT ?, ?, ?, ?, ?, ?, ? WHERE NOT EXISTS"
        " (SELECT 1 FROM fork_evidence WHERE device = ?1 AND seq = ?2 AND hash = ?3)"
        " AND NOT EXISTS (SELECT 1 FROM entry WHERE hash = ?3)",
        (one.device, one.seq, one.hash, one.data, one.taken_at, one.source, trip),
    )
    return added.rowcount > 0


def evidence(store: Store, trip: str | None = None) -> Iterator[Evidence]:
    """What is kept of forks, by device and number; of one trip where it is named."""
    if not has_evidence(store):
        return
    where, values = ("1", ()) if trip is None else ("trip = ?", (trip,))
    rows = store.raw.execute(
        f"SELECT {_COLUMNS} FROM fork_evidence WHERE {where} ORDER BY device, seq, hash", values
    )
    for device, seq, own_hash, data, taken_at, source in rows:
        yield Evidence(
            device=device, seq=seq, hash=own_hash, data=data, taken_at=taken_at, source=source
        )


def forks(store: Store) -> list[Fork]:
    """The devices that have two histories here, each with where the two part."""
    if not has_evidence(store):
        return []
    rows = store.raw.execute(
        "SELECT f.device, f.seq, f.hash, f.entries, e.hash FROM (SELECT device, min(seq) AS seq,"
        " hash, count(*) AS entries FROM fork_evidence GROUP BY device) AS f"
        " JOIN entry AS e ON e.device = f.device AND e.seq = f.seq ORDER BY f.device"
    )
    return [
        Fork(device=device, seq=seq, held=held, other=other, entries=count)
        for device, seq, other, count, held in rows
    ]


def has_evidence(store: Store) -> bool:
    """Whether anything of a fork was ever kept here."""
    query = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'fork_evidence'"
    return store.raw.execute(query).fetchone() is not None
