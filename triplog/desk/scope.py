"""What an export is about: the whole store, or one trip with the cards it points at."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, cast

from triplog.desk.desk import Desk
from triplog.journal.trip import Trip

_STORE_CARDS = "trip IS NULL AND kind IN ('store_begun', 'store_restored', 'carrier_recorded')"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """`trip` None: the whole store. `beside`: hashes of the entries that are not the trip's."""

    desk: Desk
    trip: Trip | None
    beside: tuple[str, ...] = ()

    @property
    def condition(self) -> tuple[str, tuple[str, ...]]:
        """The SQL condition on `entry`, with its values."""
        if self.trip is None:
            return "1", ()
        marks = ", ".join("?" * len(self.beside))
        return f"(trip = ? OR hash IN ({marks}))", (self.trip.id, *self.beside)

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
        for entry in self.desk.store.entries(where, values):
            record = cast(dict[str, Any], json.loads(entry.data))
            record["hash"] = entry.hash
            record["entered_late_by_s"] = int(entry.entered_late_by.total_seconds())
            record["opened"] = self.desk.store.openings(entry.hash)
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


def scope_of(desk: Desk, trip: Trip | None) -> Scope:
    """The scope of a trip, with the cards its entries point at, or of the whole store."""
    if trip is None:
        return Scope(desk=desk, trip=None)
    store = desk.store
    hashes = {
        source["entry"]
        for fact in trip.of("plan_recorded")
        for source in cast(list[dict[str, str]], fact.entry.body["sources"])
    }
    for person in {fact.entry.by for fact in trip.facts} | set(trip.duty_by_driver):
        hashes |= {entry.hash for entry in store.thing_entries(person)}
    hashes |= {entry.hash for entry in store.entries(_STORE_CARDS)}
    return Scope(desk=desk, trip=trip, beside=tuple(sorted(hashes)))
