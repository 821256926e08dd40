"""The hub's own logs: a chain that says what was received, and one of what the office does here.

They are chains like any device's, in the same bytes, one pair for each carrier. Their heads are
signed with the hub's own key, which lies beside no database.
"""

import secrets
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC

from triplog.hub.database import Open
from triplog.journal.entries import (
    ClockReading,
    Draft,
    Entry,
    commitment,
    entry_bytes,
    entry_of,
    time_text,
)
from triplog.journal.kinds import assert_fits_kind, thing_of
from triplog.journal.peaks import Peaks, peaks_in


def append(
    connection: Open, carrier: str, device: str, draft: Draft, reading: ClockReading
) -> Entry:
    """Put an entry on the end of one of the carrier's own chains, in the caller's transaction.

    The chain's row is locked until that ends, so it comes last of what locks rows.
    """
    kind = assert_fits_kind(draft)
    row = connection.execute(
        "SELECT seq, hash, peaks, make_month(%s) FROM chain WHERE device = %s FOR UPDATE",
        (reading.wall.astimezone(UTC).date(), device),
    ).fetchone()
    assert row is not None, "the carrier's own chains were begun with it"
    seq, prev, peaks = row[0] + 1, row[1], peaks_in(bytes(row[2]))
    salts = {name: secrets.token_hex(16) for name in sorted(draft.private)}
    data = entry_bytes(
        draft,
        device=device,
        seq=seq,
        prev=prev,
        trip_prev=_trip_prev(connection, device, draft.trip),
        version=kind.version,
        reading=reading,
        commitments={n: commitment(salt, n, draft.private[n]) for n, salt in salts.items()},
        idem=draft.idem or secrets.token_hex(10),
    )
    entry = entry_of(data)
    _insert(connection, carrier, entry, reading)
    _open(connection, carrier, entry, salts, draft.private)
    peaks.add(data)
    connection.execute(
        "UPDATE chain SET seq = %s, hash = %s, peaks = %s WHERE device = %s",
        (seq, entry.hash, peaks.raw, device),
    )
    return entry


def begin(
    connection: Open,
    carrier: str,
    device: str,
    key: str,
    reading: ClockReading,
    program: str,
) -> None:
    """Begin an own chain: what it is, and which key signs it."""
    connection.execute(
        "INSERT INTO chain (device, carrier, brought_by, key, peaks) VALUES (%s, %s, %s, %s, %s)",
        (device, carrier, device, key, Peaks().raw),
    )
    invented = reading.source == "demo"
    body: dict[str, object] = {"format": 1, "invented": invented, "program": program}
    for kind, told in (("store_begun", body), ("key_recorded", {"key": key, "why": "set up"})):
        append(connection, carrier, device, by_itself(kind, told), reading)


def by_itself(kind: str, body: Mapping[str, object], *, trip: str | None = None) -> Draft:
    """What the hub records without anybody."""
    return Draft(kind=kind, body=dict(body), by="nobody", via="program", trip=trip)


def as_told(reading: ClockReading, invented: bool) -> ClockReading:
    """The clock's reading as it stands in the log of a carrier whose data are invented, or not."""
    return replace(reading, source="demo" if invented else "machine")


def _trip_prev(connection: Open, device: str, trip: str | None) -> str | None:
    if trip is None:
        return None
    row = connection.execute(
        "SELECT hash FROM entry WHERE trip = %s AND device = %s ORDER BY seq DESC LIMIT 1",
        (trip, device),
    ).fetchone()
    return None if row is None else str(row[0])


def _insert(connection: Open, carrier: str, entry: Entry, reading: ClockReading) -> None:
    followed = connection.execute(
        "SELECT thing FROM entry WHERE hash = %s", (entry.follows,)
    ).fetchone()
    thing = thing_of(entry.kind, entry.body) or (followed[0] if followed else None)
    connection.execute(
        "INSERT INTO entry (carrier, device, seq, hash, kind, trip, thing, entry_time, received_on,"
        " data) VALUES (%s, %s, %s, %s, %s, %s, %s, %s, %s, %s)",
        (
            carrier,
            entry.device,
            entry.seq,
            entry.hash,
            entry.kind,
            entry.trip,
            thing,
            time_text(entry.entry_time),
            reading.wall.astimezone(UTC).date(),
            entry.data,
        ),
    )
    for what, about in (("trip", entry.trip), ("thing", thing)):
        if about is not None:
            connection.execute(
                "INSERT INTO to_derive (carrier, what, about) VALUES (%s, %s, %s)",
                (carrier, what, about),
            )


def _open(
    connection: Open,
    carrier: str,
    entry: Entry,
    salts: Mapping[str, str],
    values: Mapping[str, str],
) -> None:
    for name, salt in salts.items():
        connection.execute(
            "INSERT INTO opening (carrier, entry, field, salt, value) VALUES (%s, %s, %s, %s, %s)",
            (carrier, entry.hash, name, salt, values[name].encode()),
        )
