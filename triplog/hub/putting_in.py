"""Writing what came into the hub's tables: entries, private values, and other histories."""

from collections.abc import Iterable, Sequence
from datetime import UTC

from triplog.hub import own_log
from triplog.hub.carriers import Carrier
from triplog.hub.chain import Chain, NotTaken, checked, hash_at, read, refuse_loose_trips, where
from triplog.hub.database import Open
from triplog.journal.batch import Opened
from triplog.journal.entries import ClockReading, Entry, commitment, time_text
from triplog.journal.kinds import thing_of

EVIDENCE_MAX = 20_000
EVIDENCE_BYTES_MAX = 64 << 20
"""How much of other histories is kept of one device; more shows nothing more."""
_PART = 250
"""So many entries are put in while the next are checked."""


def put_in(
    connection: Open,
    carrier: Carrier,
    chain: Chain,
    lines: Sequence[bytes],
    reading: ClockReading,
) -> list[Entry]:
    """Check the lines and put them on the end of the chain; their entries.

    The database puts in one part while the next is checked, for that is most of the work.
    """
    new: list[Entry] = []
    things: dict[str, str | None] = {}
    with connection.pipeline():
        for begin in range(0, len(lines), _PART):
            part = checked(chain, lines[begin : begin + _PART], carrier)
            _name_things(connection, part, things)
            _put_in_part(connection, carrier, part, things, reading)
            new += part
        _bring_on(connection, carrier, chain, new, set(things.values()))
    refuse_loose_trips(connection, chain)
    return new


def _put_in_part(
    connection: Open,
    carrier: Carrier,
    new: Sequence[Entry],
    things: dict[str, str | None],
    reading: ClockReading,
) -> None:
    day = reading.wall.astimezone(UTC).date()
    connection.execute(
        "INSERT INTO entry (carrier, device, seq, hash, kind, trip, thing, entry_time, received_on,"
        " data) SELECT %s, %s, %s + place - 1, hash, kind, trip, thing, entry_time, %s, data"
        " FROM unnest(%t::text[], %t::text[], %b::text[], %b::text[], %t::text[], %b::bytea[])"
        " WITH ORDINALITY AS came (hash, kind, trip, thing, entry_time, data, place)",
        (
            carrier.id,
            new[0].device,
            new[0].seq,
            day,
            _array(one.hash for one in new),
            _array(one.kind for one in new),
            [one.trip for one in new],
            [things[one.hash] for one in new],
            _array(time_text(one.entry_time) for one in new),
            [one.data for one in new],
        ),
        binary=True,
    )
    _keep_loose(connection, carrier, [one for one in new if things[one.hash] is None])


def _array(words: Iterable[str]) -> str:
    """An array of words that need no quoting, as PostgreSQL reads it: quicker than a list is."""
    return "{" + ",".join(words) + "}"


def _bring_on(
    connection: Open,
    carrier: Carrier,
    chain: Chain,
    new: Sequence[Entry],
    things: set[str | None],
) -> None:
    """The head as it is now, and what is to be derived of what came."""
    if chain.head is None:
        return
    about = sorted(
        {("trip", one.trip) for one in new if one.trip}
        | {("thing", thing) for thing in things if thing}
    )
    connection.execute(
        "INSERT INTO to_derive (carrier, what, about) SELECT %s, what, about"
        " FROM unnest(%s::text[], %s::text[]) AS came (what, about)",
        (carrier.id, [what for what, _ in about], [one for _, one in about]),
    )
    connection.execute(
        "UPDATE chain SET seq = %s, hash = %s, peaks = %s, key = %s WHERE device = %s",
        (chain.head.seq, chain.head.hash, chain.peaks.raw, chain.key, chain.device),
    )


def _name_things(connection: Open, new: Sequence[Entry], things: dict[str, str | None]) -> None:
    """The gear, vehicle or person each entry is about, also by way of the one it follows."""
    followed = [one.follows for one in new if one.follows is not None]
    if followed:
        rows = connection.execute(
            "SELECT hash, thing FROM entry WHERE hash = ANY(%s)", (followed,)
        ).fetchall()
        things |= dict(rows)
    for one in new:
        things[one.hash] = thing_of(one.kind, one.body) or things.get(one.follows or "")


def _keep_loose(connection: Open, carrier: Carrier, of_no_thing: Sequence[Entry]) -> None:
    """Note what follows an entry of another device that may come only now, and may be of a thing.

    What such an entry follows may be here, and be one of these itself.
    """
    loose = [one for one in of_no_thing if one.follows is not None and one.trip is None]
    if loose:
        connection.execute(
            "INSERT INTO loose_follower (carrier, followed, hash)"
            " SELECT %s, followed, hash FROM unnest(%s::text[], %s::text[]) AS came"
            " (followed, hash)",
            (carrier.id, [one.follows for one in loose], [one.hash for one in loose]),
        )


def put_in_openings(
    connection: Open, carrier: Carrier, openings: Iterable[Opened], new: Sequence[Entry]
) -> None:
    """The private values that belong to entries that just came."""
    came = {one.hash: one for one in new}
    rows = {}
    for one in openings:
        entry = came.get(one.entry)
        if entry is None:
            continue
        if entry.private.get(one.field) != commitment(one.salt, one.field, one.value):
            raise NotTaken(f"a private value ({one.field}) is not what {where(entry)} stands for")
        value = one.value.encode()
        rows[one.entry, one.field] = (carrier.id, one.entry, one.field, one.salt, value)
    if rows:
        with connection.cursor() as cursor:
            cursor.executemany(
                "INSERT INTO opening (carrier, entry, field, salt, value)"
                " VALUES (%s, %s, %s, %s, %s)",
                list(rows.values()),
            )


def keep_fork(
    connection: Open,
    carrier: Carrier,
    chain: Chain,
    lines: Sequence[bytes],
    begin: int,
    sender: str,
    reading: ClockReading,
) -> None:
    """Keep what tells another history as evidence, and say so once in the carrier's own log.

    `begin`: the number of the first of its entries; up to there it is the history that is held.
    """
    found = [read(line) for line in lines]
    last, before = begin - 1, hash_at(connection, chain, begin - 1)
    for one in found:
        # What only does not hold together is no other history, and accuses nobody.
        if (one.device, one.seq, one.prev) != (chain.device, last + 1, before):
            raise NotTaken(f"{where(one)} does not come after the entry before it")
        last, before = one.seq, one.hash
    kept, kept_bytes = connection.execute(
        "SELECT count(*), coalesce(sum(length(data)), 0) FROM fork_evidence WHERE device = %s",
        (chain.device,),
    ).fetchone() or (0, 0)
    fits = kept_bytes + sum(map(len, lines)) <= EVIDENCE_BYTES_MAX
    rows = [
        (carrier.id, one.device, one.seq, one.hash, one.data, sender, reading.wall)
        for one in found[: max(EVIDENCE_MAX - kept, 0) if fits else 0]
    ]
    held = hash_at(connection, chain, found[0].seq)
    is_known = connection.execute(
        "SELECT 1 FROM fork_evidence WHERE device = %s AND seq = %s AND hash = %s",
        (chain.device, found[0].seq, found[0].hash),
    ).fetchone()
    with connection.cursor() as cursor:
        cursor.executemany(
            "INSERT INTO fork_evidence (carrier, device, seq, hash, data, brought_by, taken_at)"
            " VALUES (%s, %s, %s, %s, %s, %s, %s) ON CONFLICT DO NOTHING",
            rows,
        )
    if is_known is None and rows:
        body = {"of": chain.device, "seq": found[0].seq, "held": held, "other": found[0].hash}
        draft = own_log.by_itself("fork_found", {**body, "source": "pushed"})
        told = own_log.as_told(reading, carrier.invented)
        own_log.append(connection, carrier.id, carrier.witness, draft, told)
