"""The journal in its file: append, read, check at load.

With `store_file` the only place that opens the database for writing.
"""

import base64
import secrets
import sqlite3
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from typing import Literal, Protocol

from triplog.journal.chain import breaks
from triplog.journal.entries import (
    ClockReading,
    Draft,
    Entry,
    commitment,
    entry_bytes,
    entry_of,
    event_time_now,
    time_text,
)
from triplog.journal.kinds import assert_fits_kind, assert_follows, thing_of
from triplog.journal.repeats import AlreadyRecorded, AskedAgain
from triplog.journal.store_file import (
    StoreMissing,
    StoreUnusable,
    connect,
    new_file,
    refuse_strangers,
    told_in_words,
)
from triplog.journal.withheld import NOTHING_WITHHELD, Withheld

_CHECKED_AT_LOAD = 100
_REPEAT_WINDOW = timedelta(minutes=2)


class Projection(Protocol):
    """What keeps the derived tables in step with the journal, inside its transactions."""

    version: str

    def rebuild(self, store: "Store") -> None:
        """Drop the derived tables and make them anew from the journal."""

    def add(self, store: "Store", entry: Entry) -> None:
        """Bring the derived tables up to a new entry."""


@dataclass(slots=True)
class Store:
    """An open journal: `device` its own chain, `raw` the one connection, `withheld` not opened."""

    path: Path
    raw: sqlite3.Connection
    device: str
    writable: bool
    withheld: Withheld = NOTHING_WITHHELD
    _trip_cache: dict[str, list[Entry]] = field(default_factory=dict)
    _cache_version: int = -1

    def close(self) -> None:
        """Close the file; the store cannot be used any more."""
        self.raw.close()

    @contextmanager
    def writing(self, reading: ClockReading, projection: Projection) -> Iterator["Writing"]:
        """One transaction: everything appended in it becomes durable together, or nothing.

        Raises StoreUnusable (locked, read-only, full), AlreadyRecorded, AskedAgain.
        """
        with self._transaction():
            yield Writing(store=self, reading=reading, projection=projection)

    def rebuild(self, projection: Projection) -> None:
        """Make the derived tables anew from the journal, in one transaction."""
        with self._transaction():
            projection.rebuild(self)
            self.set_fact("projection", projection.version)

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        with told_in_words(self.path):
            self.raw.execute("BEGIN IMMEDIATE")
            try:
                yield
                self.raw.execute("COMMIT")
            except BaseException:
                if self.raw.in_transaction:
                    self.raw.execute("ROLLBACK")
                self._trip_cache.clear()
                raise

    def entries(self, where: str = "1", values: Sequence[object] = ()) -> Iterator[Entry]:
        """Entries that match an SQL condition over the table's columns, by device and seq."""
        rows = self.raw.execute(
            f"SELECT data FROM entry WHERE {where} ORDER BY device, seq", tuple(values)
        )
        for (data,) in rows:
            yield entry_of(data)

    def trip_entries(self, trip_id: str) -> list[Entry]:
        """All entries of one trip; kept in memory until another process writes."""
        version = self.data_version()
        if version != self._cache_version:
            self._trip_cache.clear()
            self._cache_version = version
        if trip_id not in self._trip_cache:
            self._trip_cache[trip_id] = list(self.entries("trip = ?", (trip_id,)))
        return self._trip_cache[trip_id]

    def thing_entries(self, thing_id: str) -> list[Entry]:
        """All entries about one piece of gear, vehicle or person."""
        return list(self.entries("thing = ?", (thing_id,)))

    def thing_of(self, entry: Entry) -> str | None:
        """The gear, vehicle or person an entry is about, withdrawals of such entries included."""
        row = self.raw.execute("SELECT thing FROM entry WHERE hash = ?", (entry.hash,)).fetchone()
        return None if row is None else row[0]

    def ids(self, column: Literal["trip", "thing"]) -> list[str]:
        """The ids of all trips, or of all things, that entries are about."""
        query = f"SELECT DISTINCT {column} FROM entry WHERE {column} IS NOT NULL ORDER BY {column}"
        return [one for (one,) in self.raw.execute(query)]

    def entry(self, hash_start: str) -> Entry:
        """The one entry whose hash starts so; LookupError, in words, for none or several."""
        start = hash_start.lower()
        rows = self.raw.execute(
            "SELECT data FROM entry WHERE hash >= ? AND hash < ? LIMIT 3", (start, start + "g")
        ).fetchall()
        if not rows:
            raise LookupError(f"there is no entry {hash_start!r}; `triplog entries` lists them")
        if len(rows) > 1:
            raise LookupError(f"several entries start with {hash_start!r}; give more of it")
        return entry_of(rows[0][0])

    def with_idem(self, idem: str) -> Entry | None:
        """The entry recorded under an idempotency key; None: the key is new."""
        row = self.raw.execute("SELECT data FROM entry WHERE idem = ?", (idem,)).fetchone()
        return None if row is None else entry_of(row[0])

    def openings(self, entry_hash: str) -> dict[str, str]:
        """The private values of an entry that can still be opened; *withheld* for one that is."""
        rows = self.raw.execute("SELECT field, value FROM opening WHERE entry = ?", (entry_hash,))
        return self.withheld.shown(entry_hash, dict(rows.fetchall()))

    def opening_rows(
        self, where: str = "1", values: Sequence[object] = ()
    ) -> Iterator[tuple[str, str, str, str]]:
        """(entry, field, salt, value) of what is open of the entries that match a condition."""
        rows = self.raw.execute(
            "SELECT o.entry, o.field, o.salt, o.value FROM entry JOIN opening o ON o.entry = hash"
            f" WHERE {where} ORDER BY device, seq, o.field",
            tuple(values),
        )
        return (row for row in rows if not self.withheld.hides(row[0], row[1]))

    def devices(self) -> list[str]:
        """Every device with a chain here, by the ends of the chains alone."""
        rows = self.raw.execute(
            "WITH RECURSIVE chain(device) AS (SELECT min(device) FROM entry UNION ALL"
            " SELECT (SELECT min(device) FROM entry WHERE device > chain.device) FROM chain"
            " WHERE device IS NOT NULL) SELECT device FROM chain WHERE device IS NOT NULL"
        )
        return [device for (device,) in rows]

    def heads(self) -> dict[str, tuple[int, str]]:
        """The last seq and hash of every device's chain."""
        return {device: head for device in self.devices() if (head := self.head(device))}

    def head(self, device: str) -> tuple[int, str] | None:
        """The last seq and hash of a device's chain; None: it has none."""
        query = "SELECT seq, hash FROM entry WHERE device = ? ORDER BY seq DESC LIMIT 1"
        row: tuple[int, str] | None = self.raw.execute(query, (device,)).fetchone()
        return row

    def trip_heads(self, trip_id: str) -> dict[str, str]:
        """The hash of the last entry of a trip, for each device that wrote one."""
        rows = self.raw.execute(
            "SELECT device, max(seq), hash FROM entry WHERE trip = ? GROUP BY device", (trip_id,)
        )
        return {device: head for device, _, head in rows}

    def fact(self, name: str) -> str | None:
        """A fact about the store itself, which is no journal entry."""
        row = self.raw.execute("SELECT value FROM store_fact WHERE name = ?", (name,)).fetchone()
        return None if row is None else str(row[0])

    def set_fact(self, name: str, value: str) -> None:
        """Keep a fact about the store itself; inside a transaction of the caller."""
        self.raw.execute("INSERT OR REPLACE INTO store_fact VALUES (?, ?)", (name, value))

    def data_version(self) -> int:
        """A number that changes when another connection has written."""
        (version,) = self.raw.execute("PRAGMA data_version").fetchone()
        return int(version)

    def check(self, last: int | None = None) -> list[str]:
        """Sentences about every place where the chains do not hold; empty: they hold.

        `last` looks only at that many last entries of this device.
        """
        found: list[str] = []
        for device in self.devices() if last is None else [self.device]:
            rows = self.raw.execute(
                "SELECT seq, hash, data FROM entry WHERE device = ?"
                " AND seq > (SELECT max(seq) FROM entry WHERE device = ?) - ? ORDER BY seq",
                (device, device, sys.maxsize if last is None else last),
            )
            found += [f"{device}, entry {one.seq}: {one.sentence}" for one in breaks(rows)]
        return found


@dataclass(frozen=True, slots=True)
class Writing:
    """An open transaction on a store."""

    store: Store
    reading: ClockReading
    projection: Projection

    def append(self, draft: Draft, *, repeat_asked: bool = False) -> Entry:
        """Put an entry on the end of this device's chain.

        `repeat_asked`: raise AskedAgain where the same person recorded the same within 2 minutes.
        """
        kind = assert_fits_kind(draft)
        store = self.store
        draft = self._never_before_the_last(draft)
        idem = draft.idem or secrets.token_hex(10)
        known = store.with_idem(idem)
        if known is not None:
            raise AlreadyRecorded(known)
        if draft.follows is not None:
            assert_follows(draft, store.entry(draft.follows))
        if repeat_asked:
            self._refuse_repeat(draft)
        seq, prev = store.head(store.device) or (-1, None)
        trip_prev = self._trip_head(draft.trip)
        salts = {name: secrets.token_hex(16) for name in sorted(draft.private)}
        data = entry_bytes(
            draft,
            device=store.device,
            seq=seq + 1,
            prev=prev,
            trip_prev=trip_prev,
            version=kind.version,
            reading=self.reading,
            commitments={
                name: commitment(salt, name, draft.private[name]) for name, salt in salts.items()
            },
            idem=idem,
        )
        entry = entry_of(data)
        self._insert(entry, draft.private, salts)
        self.projection.add(store, entry)
        return entry

    def _insert(self, entry: Entry, private: Mapping[str, str], salts: Mapping[str, str]) -> None:
        raw = self.store.raw
        raw.execute(
            "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?,"
            " coalesce(?, (SELECT thing FROM entry WHERE hash = ?)), ?, ?)",
            (
                entry.device,
                entry.seq,
                entry.hash,
                entry.idem,
                entry.kind,
                entry.trip,
                thing_of(entry.kind, entry.body),
                entry.follows,
                time_text(entry.entry_time),
                entry.data,
            ),
        )
        raw.executemany(
            "INSERT INTO opening VALUES (?, ?, ?, ?)",
            [(entry.hash, name, salts[name], value) for name, value in sorted(private.items())],
        )
        cached = self.store._trip_cache.get(entry.trip or "")
        if cached is not None:
            cached.append(entry)

    def _never_before_the_last(self, draft: Draft) -> Draft:
        """The draft as it is, unless the clock was set back since the trip's last event.

        The entry time stays the clock's, so that the step shows.
        """
        if draft.trip is None or draft.event_time is not None:
            return draft
        now = event_time_now(self.store.trip_entries(draft.trip), self.reading)
        return draft if now == self.reading.wall else replace(draft, event_time=now)

    def _trip_head(self, trip: str | None) -> str | None:
        row = self.store.raw.execute(
            "SELECT hash FROM entry WHERE trip = ? AND device = ? ORDER BY seq DESC LIMIT 1",
            (trip, self.store.device),
        ).fetchone()
        return None if row is None else str(row[0])

    def _refuse_repeat(self, draft: Draft) -> None:
        rows = self.store.raw.execute(
            "SELECT data FROM entry WHERE device = ? AND kind = ? AND trip IS ?"
            " ORDER BY seq DESC LIMIT 20",
            (self.store.device, draft.kind, draft.trip),
        )
        for (data,) in rows:
            entry = entry_of(data)
            if not timedelta(0) <= self.reading.wall - entry.entry_time <= _REPEAT_WINDOW:
                continue
            same = (
                entry.by == draft.by
                and entry.body == draft.body
                and entry.follows == draft.follows
                and self.store.openings(entry.hash) == dict(draft.private)
                and (draft.event_time is None or draft.event_time == entry.event_time)
            )
            if same:
                raise AskedAgain(entry)


def new_id() -> str:
    """A random 80-bit id in 16 base32 letters, lower case."""
    return base64.b32encode(secrets.token_bytes(10)).decode().lower()


def create_store(path: Path) -> Store:
    """Make an empty journal; refuses an existing file. The caller appends the first entry."""
    new_file(path, new_id())
    return open_store(path)


def open_store(path: Path, *, reading_only: bool = False) -> Store:
    """Open a journal and check its file, its triggers and its last entries.

    Raises StoreMissing or StoreUnusable: locked, foreign, newer, truncated or broken.
    """
    if not path.exists():
        raise StoreMissing(f"there is no journal at {path}; `triplog begin` makes one")
    with told_in_words(path):
        raw = connect(path)
        try:
            refuse_strangers(path, raw)
            device = raw.execute("SELECT value FROM store_fact WHERE name = 'device'").fetchone()[0]
            if reading_only:
                raw.execute("PRAGMA query_only = ON")
            store = Store(path=path, raw=raw, device=device, writable=not reading_only)
            broken = store.check(last=_CHECKED_AT_LOAD)
            if broken:
                raise StoreUnusable(
                    f"the journal {path} does not hold together: {broken[0]}. Nothing was changed;"
                    " keep the file as it is and look at `triplog entries --check`"
                )
        except BaseException:
            raw.close()
            raise
    return store
