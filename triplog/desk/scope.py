"""What an export is about: the whole store, or one trip with the cards of what took part in it."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, cast

from triplog.desk.desk import Desk
from triplog.journal.entries import time_of
from triplog.journal.trip import Trip, records_in

NAMING = ("driver", "vehicle", "from", "to", "by_whom")
"""The fields of a body that name a person or a vehicle."""
_OF_TRIP = "(trip = ? OR hash IN (SELECT value FROM json_each(?)))"
_CARDS = (
    "SELECT hash FROM entry WHERE trip IS NULL AND thing IN (SELECT value FROM json_each(?))"
    " UNION SELECT hash FROM entry WHERE trip IS NULL AND thing IS NULL"
    " AND kind IN ('store_begun', 'store_restored', 'carrier_recorded', 'key_recorded',"
    " 'openings_destroyed') ORDER BY 1"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """`trip` None: the whole store.

    `things`: the people, gear and vehicles that took part in the trip. `beside`: the hashes of the
    entries about them and about the store, which are not the trip's own.
    """

    desk: Desk
    trip: Trip | None
    things: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()

    @property
    def condition(self) -> tuple[str, tuple[str, ...]]:
        """The SQL condition on `entry`, with its values."""
        if self.trip is None:
            return "1", ()
        return _OF_TRIP, (self.trip.id, json.dumps(self.beside))

    @property
    def parameters(self) -> dict[str, str]:
        """The parameters of the queries of the CSV tables."""
        if self.trip is None:
            return {}
        lists = {"beside": json.dumps(self.beside), "things": json.dumps(self.things)}
        return {"trip": self.trip.id, **lists}

    @property
    def beside_digest(self) -> str:
        """What stands for the list of entries beside the trip: the SHA-256 of its lines."""
        return hashlib.sha256("".join(f"{one}\n" for one in self.beside).encode()).hexdigest()

    def raw_entries(self) -> Iterator[bytes]:
        """The stored bytes, by device and seq."""
        where, values = self.condition
        query = f"SELECT data FROM entry WHERE {where} ORDER BY device, seq"
        for (data,) in self.desk.store.raw.execute(query, values):
            yield data

    def openings(self) -> Iterator[bytes]:
        """A line for each private value that can be opened, in the order of the entries."""
        where, values = self.condition
        for entry, field, salt, value in self.desk.store.opening_rows(where, values):
            line = {"entry": entry, "field": field, "salt": salt, "value": value}
            yield json.dumps(line, ensure_ascii=False, sort_keys=True).encode()

    def records(self) -> Iterator[dict[str, Any]]:
        """Each entry as a record with its hash and its opened private values."""
        where, values = self.condition
        query = f"SELECT hash, data FROM entry WHERE {where} ORDER BY device, seq"
        for own_hash, data in self.desk.store.raw.execute(query, values):
            record = cast(dict[str, Any], json.loads(data))
            late = time_of(record["entry_time"]) - time_of(record["event_time"])
            record["hash"] = own_hash
            record["entered_late_by_s"] = max(0, int(late.total_seconds()))
            opened = self.desk.store.openings(own_hash)
            hidden = [one for one in opened if self.desk.store.withheld.hides(own_hash, one)]
            record["opened"] = {one: value for one, value in opened.items() if one not in hidden}
            if hidden:
                record["withheld"] = hidden
            yield record

    def heads(self) -> dict[str, dict[str, object]]:
        """For each device the last entry of the scope's own chain and how many it has."""
        where, values = ("1", ()) if self.trip is None else ("trip = ?", (self.trip.id,))
        rows = self.desk.store.raw.execute(
            "SELECT device, max(seq), hash, count(*) FROM entry"
            f" WHERE {where} GROUP BY device ORDER BY device",
            values,
        )
        return {
            device: {"seq": seq, "hash": head, "entries": count}
            for device, seq, head, count in rows
        }


def scope_of(desk: Desk, trip: Trip | None, *, also: tuple[str, ...] = ()) -> Scope:
    """The scope of a trip, with the cards of what took part in it, or of the whole store.

    `also`: ids of people who take part by what is about to be recorded.
    """
    if trip is None:
        return Scope(desk=desk, trip=None)
    things: set[str] = set(also)
    # Entries that were corrected or taken back are part of the trail, and so is what they name.
    for entry in desk.store.trip_entries(trip.id):
        named = (entry.by, *(entry.body.get(name) for name in NAMING))
        things |= {one for one in named if isinstance(one, str)}
        things |= {source["thing"] for source in records_in(entry.body, "sources")}
    ids = tuple(sorted(things))
    cards = desk.store.raw.execute(_CARDS, (json.dumps(ids),))
    return Scope(desk=desk, trip=trip, things=ids, beside=tuple(one for (one,) in cards))
