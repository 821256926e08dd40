"""Evidence holds placed and lifted on the hub's page: entries of the office's own chain.

They go to every device; until a device has said that it has them, they are pending there.
"""

from collections.abc import Iterator
from typing import TypeAlias

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.hub import own_log
from triplog.hub.carriers import Carrier
from triplog.hub.database import Database, Open
from triplog.hub.office.browsers import Visitor
from triplog.journal.entries import ClockReading, Draft, Entry, entry_of
from triplog.journal.folding import holds_in, in_force

Pending: TypeAlias = dict[str, tuple[str, ...]]
"""By the hash of a hold, the labels of the devices that have not taken it in yet."""


def place(
    database: Database,
    who: Visitor,
    trip: str,
    reason: str | None,
    key: str,
    reading: ClockReading,
) -> None:
    """Put a trip under a hold, however it stands. Raises Refused without a reason or a trip."""
    _record(database, who, trip, "hold_placed", {}, reason, key, reading)


def lift(
    database: Database,
    who: Visitor,
    trip: str,
    hold: str,
    reason: str | None,
    key: str,
    reading: ClockReading,
) -> None:
    """Lift one hold of a trip, by its hash. Raises Refused where it does not stand."""
    _record(database, who, trip, "hold_lifted", {"hold": hold}, reason, key, reading)


def _record(
    database: Database,
    who: Visitor,
    trip: str,
    kind: str,
    body: dict[str, object],
    reason: str | None,
    key: str,
    reading: ClockReading,
) -> None:
    carrier = who.carrier
    if reason is None:
        raise Refused("a hold is placed and lifted with a reason")
    with database.work("office", carrier.id) as connection:
        connection.execute("SELECT 1 FROM chain WHERE device = %s FOR UPDATE", (carrier.office,))
        entries = list(_entries(connection, trip))
        if not entries:
            raise Refused("there is no such trip")
        if any(one.idem == key for one in entries):
            return
        standing = {hold.original.hash for hold in holds_in(in_force(entries))}
        if kind == "hold_lifted" and body["hold"] not in standing:
            raise Refused("that hold does not stand any more; look at the trip again")
        draft = Draft(
            kind=kind,
            body=body,
            by=who.person,
            via="page",
            trip=trip,
            private={"reason": reason},
            idem=key,
        )
        told = own_log.as_told(reading, carrier.invented)
        own_log.append(connection, carrier.id, carrier.office, draft, told)


def pending_on(connection: Open, carrier: Carrier, desk: Desk, trip: str) -> Pending:
    """Of the holds of the office's chains, the devices of a trip that do not have them yet."""
    found: Pending = {}
    for entry in desk.store.entries("trip = ? AND kind = 'hold_placed'", (trip,)):
        rows = connection.execute(
            "SELECT device.label FROM device LEFT JOIN contact"
            " ON contact.device = device.id AND contact.chain = %(chain)s"
            " WHERE device.unpaired_at IS NULL AND device.id <> %(chain)s"
            " AND device.id = ANY(%(devices)s) AND coalesce(contact.seq, -1) < %(seq)s"
            " AND (%(chain)s = ANY(%(offices)s) OR EXISTS (SELECT FROM device AS o"
            " WHERE o.id = %(chain)s AND o.is_office)) ORDER BY device.label",
            {
                "chain": entry.device,
                "seq": entry.seq,
                "offices": list(carrier.offices),
                "devices": desk.store.devices(),
            },
        )
        found[entry.hash] = tuple(label for (label,) in rows)
    return found


def _entries(connection: Open, trip: str) -> Iterator[Entry]:
    rows = connection.execute("SELECT data FROM entry WHERE trip = %s", (trip,))
    return (entry_of(bytes(data)) for (data,) in rows)
