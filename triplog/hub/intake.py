"""A batch on its way in: each entry against the one before it, each signed head against the tree.

One transaction: the chain's row is locked first, then the sender's, and the carrier's own log last,
so that any number of hubs may take in at once and two never wait for each other in a circle.
"""

from collections.abc import Sequence
from datetime import UTC

from triplog.hub.carriers import Carrier
from triplog.hub.chain import Chain, NotTaken, hash_at
from triplog.hub.database import Open
from triplog.hub.putting_in import keep_fork, put_in, put_in_openings
from triplog.hub.witness import bear_witness
from triplog.journal.batch import Answer, Batch, Place
from triplog.journal.device_key import DeviceKey
from triplog.journal.entries import ClockReading, Entry
from triplog.journal.peaks import Peaks, peaks_in

_EARLIER_MAX = 40


def take(
    connection: Open,
    carrier: Carrier,
    sender: str,
    batch: Batch,
    key: DeviceKey,
    reading: ClockReading,
) -> Answer:
    """Take a batch that a paired device brings, in the caller's transaction as *ingest*.

    Raises NotTaken, in words; then the transaction is to be rolled back. The same batch again
    changes nothing, in whatever order batches come.
    """
    received_ms = int(reading.wall.timestamp() * 1000)
    ahead_ms = batch.sent_ms - received_ms
    if batch.entries:
        # Before any table of entries is touched: two that both make the first of a month would
        # wait for each other.
        connection.execute("SELECT make_month(%s)", (reading.wall.astimezone(UTC).date(),))
    chain = _chain(connection, carrier, sender, batch)
    held = chain.head
    outcome, fresh = _fresh(connection, chain, batch)
    _note_contact(connection, sender, batch, ahead_ms, outcome, reading)
    opened = [one for one in batch.openings if carrier.opens(one.field)]
    new: list[Entry] = []
    begin = 0
    if outcome == "forked":
        begin = (-1 if batch.after is None else batch.after.seq) + 1
        begin += len(batch.entries) - len(fresh)
        keep_fork(connection, carrier, chain, fresh, begin, sender, reading)
    elif outcome == "taken":
        new = put_in(connection, carrier, chain, fresh, reading)
        put_in_openings(connection, carrier, opened, new)
    note = None
    if new:
        note = bear_witness(connection, carrier, chain, new, sender, ahead_ms, key, reading)
    return Answer(
        outcome=outcome,
        head=chain.head if outcome == "taken" else held,
        received_ms=received_ms,
        earlier=() if outcome == "taken" else _earlier(connection, chain.device, held, begin),
        signed_note=note,
        opened=carrier.opened,
    )


def _chain(connection: Open, carrier: Carrier, sender: str, batch: Batch) -> Chain:
    """The chain, locked; begun where its first entries come.

    A paired device's own is brought by nobody else.
    """
    device = batch.device
    if device in (*carrier.witnesses, *carrier.offices):
        raise NotTaken("the hub's own log is written by the hub alone")
    (of,) = connection.execute("SELECT carrier_of_chain(%s)", (device,)).fetchone() or (None,)
    if of not in (None, carrier.id):
        raise NotTaken("this log belongs to another carrier")
    own = connection.execute(
        "SELECT key FROM device WHERE id = %s AND unpaired_at IS NULL", (device,)
    ).fetchone()
    if device != sender and own is not None:
        raise NotTaken(f"the log of device {device} is brought by that device itself")
    if batch.entries and batch.after is None:
        connection.execute(
            "INSERT INTO chain (device, carrier, brought_by) VALUES (%s, %s, %s)"
            " ON CONFLICT (device) DO NOTHING",
            (device, carrier.id, sender),
        )
    row = connection.execute(
        "SELECT seq, hash, peaks, key FROM chain WHERE device = %s FOR UPDATE", (device,)
    ).fetchone()
    if row is None:
        return Chain(device=device, head=None, peaks=Peaks(), key=None)
    seq, last, peaks, key = row
    return Chain(
        device=device,
        head=None if last is None else Place(seq, last),
        peaks=peaks_in(bytes(peaks)),
        key=key,
    )


def _fresh(connection: Open, chain: Chain, batch: Batch) -> tuple[str, Sequence[bytes]]:
    """What is to be done, and the entries it is to be done with."""
    head, after = chain.head, batch.after
    have = -1 if head is None else head.seq
    if after is not None and after.seq > have:
        return "resume", ()
    if after is not None and hash_at(connection, chain, after.seq) != after.hash:
        return "resume", ()
    begin = 0 if after is None else after.seq + 1
    overlap = have + 1 - begin
    if not batch.entries:
        return ("taken" if overlap <= 0 else "behind"), ()
    if overlap <= 0:
        return "taken", batch.entries
    rows = connection.execute(
        "SELECT data FROM entry WHERE device = %s AND seq >= %s AND seq < %s ORDER BY seq",
        (chain.device, begin, begin + len(batch.entries)),
    ).fetchall()
    for place, (data,) in enumerate(rows):
        if bytes(data) != batch.entries[place]:
            return "forked", batch.entries[place:]
    if len(batch.entries) <= overlap:
        # All of it is here. A copy that ends before what is held is an old one, unless its batch
        # came late: then the next one says so.
        return ("taken" if len(batch.entries) == overlap else "behind"), ()
    return "taken", batch.entries[overlap:]


def _note_contact(
    connection: Open,
    sender: str,
    batch: Batch,
    ahead_ms: int,
    outcome: str,
    reading: ClockReading,
) -> None:
    """When the device was heard of, its clock, and what it has of the office's chains."""
    connection.execute(
        "UPDATE device SET seen_at = %s, clock_ahead_ms = %s, is_behind = is_behind AND %s OR %s"
        " WHERE id = %s",
        (reading.wall, ahead_ms, outcome != "taken", outcome == "behind", sender),
    )
    if batch.known:
        connection.execute(
            "INSERT INTO contact (carrier, device, chain, seq, is_other)"
            " SELECT carrier, %s, device, CASE WHEN is_other THEN -1 ELSE seq END, is_other"
            " FROM (SELECT chain.carrier, chain.device, told.seq, CASE WHEN told.seq = chain.seq"
            " THEN told.hash <> chain.hash ELSE NOT EXISTS (SELECT FROM entry WHERE"
            " entry.device = chain.device AND entry.seq = told.seq AND entry.hash = told.hash)"
            " END AS is_other FROM unnest(%s::text[], %s::bigint[], %s::text[])"
            " AS told (chain, seq, hash) JOIN chain ON chain.device = told.chain) AS found"
            " ON CONFLICT (device, chain) DO UPDATE SET is_other = excluded.is_other,"
            " seq = CASE WHEN excluded.is_other THEN contact.seq ELSE excluded.seq END"
            " WHERE (contact.seq, contact.is_other)"
            " IS DISTINCT FROM (excluded.seq, excluded.is_other)",
            (
                sender,
                list(batch.known),
                [one.seq for one in batch.known.values()],
                [one.hash for one in batch.known.values()],
            ),
        )


def _earlier(connection: Open, device: str, held: Place | None, parted: int) -> tuple[Place, ...]:
    """Places in the chain that is held, the last first, each twice as far back.

    `parted`: the number where another history begins, which is among them; 0: nowhere.
    """
    if held is None:
        return ()
    steps = [0, *(1 << power for power in range(_EARLIER_MAX))]
    wanted = [held.seq - back for back in steps if back <= held.seq]
    rows = connection.execute(
        "SELECT seq, hash FROM entry WHERE device = %s AND seq = ANY(%s) ORDER BY seq DESC",
        (device, [*wanted, 0, parted]),
    )
    return tuple(Place(seq, own_hash) for seq, own_hash in rows)
