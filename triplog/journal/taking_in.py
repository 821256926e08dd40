"""Taking in what other devices recorded: each chain byte for byte, beside our own.

Everything is looked at first and laid ready in a table of its own; then it is put in, checked
against the tree and the signatures, and its rows are made: all in one transaction of the caller.
Nothing is held in memory but a line for each device.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Protocol

from triplog.journal.checkpoint import Check, CheckpointBroken, key_of, log_name, signed_of
from triplog.journal.entries import Entry, EntryBroken, commitment, time_text
from triplog.journal.forks import Evidence, keep, make_room
from triplog.journal.kinds import KINDS, thing_of
from triplog.journal.store import Store
from triplog.journal.stored_tree import StoredTree
from triplog.journal.strict_reading import strict_entry_of

OpeningRow = tuple[str, str, str, str]
_READY = """
CREATE TEMP TABLE coming (
    device TEXT NOT NULL,
    seq INTEGER NOT NULL,
    hash TEXT NOT NULL,
    idem TEXT NOT NULL,
    kind TEXT NOT NULL,
    trip TEXT,
    trip_prev TEXT,
    thing TEXT,
    follows TEXT,
    entry_time TEXT NOT NULL,
    data BLOB NOT NULL,
    PRIMARY KEY (device, seq)
) WITHOUT ROWID;
CREATE UNIQUE INDEX temp.coming_hash ON coming (hash);
CREATE UNIQUE INDEX temp.coming_idem ON coming (idem);
CREATE INDEX temp.coming_follows ON coming (follows) WHERE thing IS NULL AND follows IS NOT NULL;
CREATE TEMP TABLE closed (
    entry TEXT NOT NULL, field TEXT NOT NULL, commitment TEXT NOT NULL, PRIMARY KEY (entry, field)
) WITHOUT ROWID;
"""


class NotTaken(ValueError):
    """What was brought cannot be taken in; the message says why, and nothing was put in."""


class OwnLaterEntries(NotTaken):
    """What was brought knows entries of this very device that this journal has lost."""


class Incoming(Protocol):
    """What was brought, to be read once each, in this order."""

    def lines(self) -> Iterable[bytes]:
        """The stored bytes of each entry; within a device in the order of seq."""

    def openings(self) -> Iterable[OpeningRow]:
        """(entry, field, salt, value) of what may be read of them."""

    def evidence(self) -> Iterable[Evidence]:
        """What the other installation kept of forks."""


class Remaking(Protocol):
    """What makes the derived rows of whole trips and things anew."""

    def remake(self, store: Store, trips: Iterable[str], things: Iterable[str]) -> None:
        """Make the rows of these trips and things anew, from the journal."""


@dataclass(slots=True, kw_only=True)
class Received:
    """One device's chain as it was brought.

    `held`: the last number here before; `seq`, `hash`: the last entry brought; `new`: how many
    were put in. `fork_seq`, `fork_held`, `fork_other`: where it parts from the one here, and the
    hashes there, None: nowhere. `evidence`: how many of its entries are newly kept as that.
    """

    held: int
    seq: int = -1
    hash: str | None = None
    new: int = 0
    fork_seq: int | None = None
    fork_held: str | None = None
    fork_other: str | None = None
    evidence: int = 0


@dataclass(slots=True, kw_only=True)
class Taken:
    """What came of it: each device's chain, how many openings, and trips and things it is about."""

    devices: dict[str, Received] = field(default_factory=dict)
    openings: int = 0
    told_evidence: int = 0

    @property
    def new(self) -> int:
        """How many entries are new here."""
        return sum(one.new for one in self.devices.values())

    @property
    def new_evidence(self) -> int:
        """How many entries of other histories are newly kept."""
        return self.told_evidence + sum(one.evidence for one in self.devices.values())


def take_in(
    store: Store,
    incoming: Incoming,
    *,
    rows: Remaking,
    did_sign: Check,
    source: str,
    taken_at: str,
    invented: bool,
) -> Taken:
    """Put in what is new of what was brought, in a transaction of the caller.

    `source`: what it came in, in a word; `invented`: whether this journal holds invented data.
    Raises NotTaken, in words; then the caller's transaction is to be rolled back.
    """
    make_room(store)
    for statement in _READY.split(";\n"):
        store.raw.execute(statement)
    taken = Taken()
    try:
        reading = _Reading(store, taken, source, taken_at, invented)
        for line in incoming.lines():
            reading.take(line)
        if not taken.devices:
            raise NotTaken("there is no entry in it")
        for one in incoming.evidence():
            entry = _read(one.data)
            if entry.hash != one.hash or (entry.device, entry.seq) != (one.device, one.seq):
                raise NotTaken("what it kept of a fork does not fit its own hash")
            taken.told_evidence += keep(store, one, entry.trip)
        _name_things(store)
        _put_in(store)
        _put_in_openings(store, incoming, taken)
        for device, received in taken.devices.items():
            if received.new:
                _check_signed(store, device, received, did_sign)
        _make_rows(store, rows)
    finally:
        if store.raw.in_transaction:
            store.raw.execute("DROP TABLE temp.coming")
            store.raw.execute("DROP TABLE temp.closed")
    return taken


class _Reading:
    """The lines on their way in: each against the one before it and against what is held."""

    def __init__(
        self, store: Store, taken: Taken, source: str, taken_at: str, invented: bool
    ) -> None:
        self._store = store
        self._raw = store.raw
        self._taken = taken
        self._source = source
        self._taken_at = taken_at
        self._invented = invented

    def take(self, line: bytes) -> None:
        """Lay an entry ready, or see that it is here, or keep it as evidence of a fork."""
        entry = _read(line)
        self._refuse_kind(entry)
        received = self._taken.devices.get(entry.device)
        if received is None:
            head = self._store.head(entry.device)
            received = Received(held=-1 if head is None else head[0])
            self._taken.devices[entry.device] = received
        self._refuse_link(entry, received)
        received.seq, received.hash = entry.seq, entry.hash
        if received.fork_seq is None and entry.seq <= received.held:
            held = self._held(entry)
            if held == entry.hash:
                return
            received.fork_seq, received.fork_held = entry.seq, held
            received.fork_other = entry.hash
        if received.fork_seq is not None:
            other = Evidence(
                device=entry.device,
                seq=entry.seq,
                hash=entry.hash,
                data=line,
                taken_at=self._taken_at,
                source=self._source,
            )
            received.evidence += keep(self._store, other, entry.trip)
            return
        if entry.device == self._store.device:
            raise OwnLaterEntries(
                f"it holds entry {entry.seq} of this very device, and this journal ends at"
                f" {received.held}: this journal is an old copy"
            )
        self._lay_ready(entry)
        received.new += 1

    def _refuse_kind(self, entry: Entry) -> None:
        if (entry.clock_source == "demo") != self._invented:
            theirs, ours = ("real", "invented") if self._invented else ("invented", "real")
            raise NotTaken(
                f"{_where(entry)} is {theirs} and this journal holds {ours} data; the two are"
                " never mixed"
            )
        kind = KINDS.get(entry.kind)
        if kind is None or entry.v > kind.version:
            raise NotTaken(
                f"{_where(entry)} is of a kind this program does not know ({entry.kind}, version"
                f" {entry.v}): a newer triplog wrote it. Take a newer one here first"
            )

    def _refuse_link(self, entry: Entry, received: Received) -> None:
        if received.seq == -1 and entry.seq == 0:
            fits = entry.prev is None
        elif received.seq == -1:
            before = self._raw.execute(
                "SELECT hash FROM entry WHERE device = ? AND seq = ?",
                (entry.device, entry.seq - 1),
            ).fetchone()
            if before is None:
                raise NotTaken(
                    f"of device {entry.device} it begins with entry {entry.seq}, and the ones"
                    " before are not here: bring the whole of it"
                )
            fits = entry.prev == before[0]
        elif entry.seq != received.seq + 1:
            raise NotTaken(
                f"of device {entry.device}, entry {entry.seq} comes after {received.seq}: there"
                " is a gap, or the order is not that of the numbers"
            )
        else:
            fits = entry.prev == received.hash
        if not fits:
            raise NotTaken(f"{_where(entry)} does not name the hash of the entry before it")

    def _held(self, entry: Entry) -> str:
        (held,) = self._raw.execute(
            "SELECT hash FROM entry WHERE device = ? AND seq = ?", (entry.device, entry.seq)
        ).fetchone()
        return str(held)

    def _lay_ready(self, entry: Entry) -> None:
        # Two devices may have used one key, as for a prompt that both raised: the column is for
        # looking up what was recorded here, the entry's own bytes keep what it was.
        self._raw.execute(
            "INSERT INTO temp.coming VALUES (?1, ?2, ?3, CASE WHEN EXISTS"
            " (SELECT 1 FROM entry WHERE idem = ?4) OR EXISTS (SELECT 1 FROM temp.coming WHERE"
            " idem = ?4) THEN ?4 || ' ' || ?3 ELSE ?4 END, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
            (
                entry.device,
                entry.seq,
                entry.hash,
                entry.idem,
                entry.kind,
                entry.trip,
                entry.trip_prev,
                thing_of(entry.kind, entry.body),
                entry.follows,
                time_text(entry.entry_time),
                entry.data,
            ),
        )
        if entry.private:
            self._raw.executemany(
                "INSERT INTO temp.closed VALUES (?, ?, ?)",
                [(entry.hash, name, value) for name, value in entry.private.items()],
            )


def _read(line: bytes) -> Entry:
    try:
        return strict_entry_of(line)
    except EntryBroken as problem:
        raise NotTaken(str(problem)) from problem


def _where(entry: Entry) -> str:
    return f"entry {entry.seq} of device {entry.device}"


def _name_things(store: Store) -> None:
    """Give each entry that follows one about a thing that thing, as far as it is known."""
    while (
        store.raw.execute(
            "UPDATE temp.coming SET thing = found.thing FROM (SELECT hash, thing FROM entry"
            " WHERE thing IS NOT NULL UNION ALL SELECT hash, thing FROM temp.coming"
            " WHERE thing IS NOT NULL) AS found"
            " WHERE found.hash = coming.follows AND coming.thing IS NULL"
            " AND coming.follows IS NOT NULL"
        ).rowcount
        > 0
    ):
        continue


def _put_in(store: Store) -> None:
    raw = store.raw
    raw.execute(
        "INSERT INTO entry SELECT device, seq, hash, idem, kind, trip, thing, entry_time, data"
        " FROM temp.coming ORDER BY device, seq"
    )
    wrong = raw.execute(
        "SELECT device, seq FROM temp.coming AS c WHERE trip_prev IS NOT (SELECT hash FROM entry"
        " AS e WHERE e.trip = c.trip AND e.device = c.device AND e.seq < c.seq"
        " ORDER BY e.seq DESC LIMIT 1) LIMIT 1"
    ).fetchone()
    if wrong is not None:
        raise NotTaken(
            f"entry {wrong[1]} of device {wrong[0]} does not name the entry of its trip before it"
        )


def _put_in_openings(store: Store, incoming: Incoming, taken: Taken) -> None:
    """Those of entries that are new; one that was destroyed here does not come back."""
    raw = store.raw
    for entry, name, salt, value in incoming.openings():
        row = raw.execute(
            "SELECT commitment FROM temp.closed WHERE entry = ? AND field = ?", (entry, name)
        ).fetchone()
        if row is None:
            known = raw.execute(
                "SELECT 1 FROM entry WHERE hash = ?1 AND NOT EXISTS (SELECT 1 FROM temp.coming"
                " WHERE hash = ?1) UNION ALL SELECT 1 FROM fork_evidence WHERE hash = ?1",
                (entry,),
            ).fetchone()
            if known is None:
                raise NotTaken(f"a private value ({name}) belongs to no entry that is in it")
            continue
        if commitment(salt, name, value) != row[0]:
            raise NotTaken(f"a private value ({name}) is not what entry {entry[:8]} stands for")
        raw.execute(
            "INSERT INTO opening SELECT ?1, ?2, ?3, ?4 WHERE NOT EXISTS"
            " (SELECT 1 FROM opening WHERE entry = ?1 AND field = ?2)",
            (entry, name, salt, value),
        )
        taken.openings += 1


def _check_signed(store: Store, device: str, received: Received, did_sign: Check) -> None:
    """The signed heads that are new of a device: its tree gives their root, its key signed them."""
    tree = StoredTree(store, device)
    tree.grow()
    key: tuple[str, bytes] | None = None
    kinds = "kind IN ('key_recorded', 'checkpoint_signed') AND device = ?"
    for entry in store.entries(kinds, (device,)):
        where = _where(entry)
        try:
            if entry.kind == "key_recorded":
                key = key_of(str(entry.body.get("key")))
                continue
            if entry.seq <= received.held:
                continue
            head = signed_of(str(entry.body.get("signed_note")))
            if head.checkpoint.origin != log_name(device) or head.checkpoint.size != entry.seq:
                raise NotTaken(f"{where} holds a signed head that is not of what comes before it")
            if tree.checkpoint(entry.seq) != head.checkpoint:
                raise NotTaken(f"{where}: the entries before do not give the root that was signed")
            if key is None or not head.is_signed_by(*key, did_sign):
                raise NotTaken(f"{where}: the head is not signed with the key its log has recorded")
        except CheckpointBroken as problem:
            raise NotTaken(f"{where}: {problem}") from problem


def _make_rows(store: Store, rows: Remaking) -> None:
    store._trip_cache.clear()
    try:
        rows.remake(store, list(_about(store, "trip")), list(_about(store, "thing")))
    except (AssertionError, LookupError, TypeError, ValueError, AttributeError) as problem:
        raise NotTaken(
            "its entries hold together, but what they say cannot be read as a trip or a card"
            f" ({type(problem).__name__}: {problem})"
        ) from problem


def _about(store: Store, column: str) -> Iterator[str]:
    query = f"SELECT DISTINCT {column} FROM temp.coming WHERE {column} IS NOT NULL ORDER BY 1"
    return (one for (one,) in store.raw.execute(query))
