"""A chain of the hub as it is brought on, entry by entry: what is refused, and why."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.journal.batch import Place
from triplog.journal.checkpoint import CheckpointBroken, Signed, key_of, log_name, signed_of
from triplog.journal.device_key import did_sign
from triplog.journal.entries import Entry, EntryBroken
from triplog.journal.kinds import KINDS, thing_of
from triplog.journal.peaks import Peaks
from triplog.journal.strict_reading import strict_entry_of

_NAME_MAX = 200
"""How long the name of a trip or a thing may be; the tables are looked through by them."""


class NotTaken(ValueError):
    """A batch that cannot be taken; the message says why, and nothing of it was kept."""


@dataclass(slots=True, kw_only=True)
class Chain:
    """A chain as it is held, brought on entry by entry. `key`: what its heads are signed with.

    `trips`: the last entry of each trip that came; `first_of_trips`: the first one that did.
    """

    device: str
    head: Place | None
    peaks: Peaks
    key: str | None
    key_changed: bool = False
    signed: Signed | None = None
    trips: dict[str, str] = field(default_factory=dict)
    first_of_trips: dict[str, Entry] = field(default_factory=dict)


def checked(chain: Chain, lines: Sequence[bytes], carrier: Carrier) -> list[Entry]:
    """The entries of the lines, each checked; the chain is brought on with them.

    What the first entry of each trip names is asked of the database, by `refuse_loose_trips`.
    """
    new = [read(line) for line in lines]
    for entry in new:
        _refuse_names(entry)
        _refuse_strange(entry, chain, carrier)
        if entry.kind == "key_recorded":
            _take_key(entry, chain)
        elif entry.kind == "checkpoint_signed":
            _check_head(entry, chain)
        if entry.trip is not None:
            if entry.trip not in chain.trips:
                chain.first_of_trips[entry.trip] = entry
            elif entry.trip_prev != chain.trips[entry.trip]:
                raise _loose(entry)
            chain.trips[entry.trip] = entry.hash
        chain.peaks.add(entry.data)
        chain.head = Place(entry.seq, entry.hash)
    return new


def read(line: bytes) -> Entry:
    """The entry that a line holds. Raises NotTaken."""
    try:
        return strict_entry_of(line)
    except EntryBroken as problem:
        raise NotTaken(str(problem)) from problem


def _refuse_names(entry: Entry) -> None:
    for name in (entry.trip, thing_of(entry.kind, entry.body)):
        if name is not None and not (0 < len(name) <= _NAME_MAX and name.isprintable()):
            raise NotTaken(
                f"{where(entry)} names a trip or a thing by what is no name: that has 1 to"
                f" {_NAME_MAX} letters in one line"
            )


def _refuse_strange(entry: Entry, chain: Chain, carrier: Carrier) -> None:
    if entry.device != chain.device:
        raise NotTaken(f"{where(entry)} stands in a batch of device {chain.device}")
    head = chain.head
    wanted = (0, None) if head is None else (head.seq + 1, head.hash)
    if (entry.seq, entry.prev) != wanted:
        raise NotTaken(f"{where(entry)} does not come after the entry before it")
    kind = KINDS.get(entry.kind)
    if kind is None or entry.v > kind.version:
        raise NotTaken(
            f"{where(entry)} is of a kind this hub does not know ({entry.kind[:40]}, version"
            f" {entry.v}): a newer triplog wrote it. The hub has to be brought up to that first"
        )
    if (entry.clock_source == "demo") != carrier.invented:
        theirs, ours = ("real", "invented") if carrier.invented else ("invented", "real")
        raise NotTaken(f"{where(entry)} is {theirs} and this carrier's data are {ours}")


def _take_key(entry: Entry, chain: Chain) -> None:
    """The key the log says it is signed with from now on."""
    told = str(entry.body.get("key"))
    try:
        name, _ = key_of(told)
    except CheckpointBroken as problem:
        raise NotTaken(f"{where(entry)}: {problem}") from problem
    if name != log_name(chain.device):
        raise NotTaken(f"{where(entry)} records a key of another log")
    if chain.key is not None and chain.key != told:
        if entry.body.get("before") != chain.key:
            raise NotTaken(f"{where(entry)} replaces a key that was not in force")
        chain.key_changed = True
    chain.key = told


def _check_head(entry: Entry, chain: Chain) -> None:
    try:
        signed = signed_of(str(entry.body.get("signed_note")))
        head = signed.checkpoint
        if (head.origin, head.size) != (log_name(chain.device), entry.seq):
            raise NotTaken(f"{where(entry)} holds a head that is not of what comes before it")
        if head.root != chain.peaks.root:
            raise NotTaken(f"{where(entry)}: the entries before do not give the root it signs")
        if chain.key is None or not signed.is_signed_by(*key_of(chain.key), did_sign):
            raise NotTaken(f"{where(entry)}: its head is not signed with the key of its log")
    except CheckpointBroken as problem:
        raise NotTaken(f"{where(entry)}: {problem}") from problem
    chain.signed = signed


def where(entry: Entry) -> str:
    """An entry as a person is told of it."""
    return f"entry {entry.seq} of device {entry.device}"


def refuse_loose_trips(connection: Open, chain: Chain) -> None:
    """NotTaken unless the first entry of each trip that came names the one held before it."""
    if not chain.first_of_trips:
        return
    rows = connection.execute(
        "SELECT trip, (SELECT hash FROM entry WHERE trip = came.trip AND device = %s"
        " AND seq < came.seq ORDER BY seq DESC LIMIT 1)"
        " FROM unnest(%s::text[], %s::bigint[]) AS came (trip, seq)",
        (
            chain.device,
            list(chain.first_of_trips),
            [one.seq for one in chain.first_of_trips.values()],
        ),
    )
    for trip, last in rows:
        if chain.first_of_trips[trip].trip_prev != last:
            raise _loose(chain.first_of_trips[trip])


def _loose(entry: Entry) -> NotTaken:
    return NotTaken(f"{where(entry)} does not name the entry of its trip before it")


def hash_at(connection: Open, chain: Chain, seq: int) -> str | None:
    """The hash of the entry with that number; None: there is none."""
    if chain.head is not None and chain.head.seq == seq:
        return chain.head.hash
    row = connection.execute(
        "SELECT hash FROM entry WHERE device = %s AND seq = %s", (chain.device, seq)
    ).fetchone()
    return None if row is None else str(row[0])
