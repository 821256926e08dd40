"""A bundle that another machine made, laid beside the journal here.

Nothing is put from one into the other: each chain is its own device's.
"""

from dataclasses import asdict
from pathlib import Path

from exports.verify import entry_lines
from triplog.desk.desk import Desk
from triplog.journal.beside import Beside, beside
from triplog.journal.entries import Entry, EntryBroken, entry_of
from triplog.journal.trip import trip_of


def lay_beside(desk: Desk, bundle: Path) -> tuple[Beside, dict[str, str]]:
    """How a bundle and the journal here stand to each other, and the trips' labels by id.

    The trips the bundle tells of are compared, and what else it holds. What is no entry in it is
    left to the check of the bundle itself. UnreadableBundle where it is none.
    """
    there = _entries_in(bundle)
    trips = dict.fromkeys(one.trip for one in there if one.trip is not None)
    of_trips = [entry for trip in trips for entry in desk.store.trip_entries(trip)]
    numbered = [
        entry
        for one in there
        for entry in desk.store.entries("device = ? AND seq = ?", (one.device, one.seq))
    ]
    labels = {
        trip: trip_of(
            trip, [*desk.store.trip_entries(trip)] or [one for one in there if one.trip == trip]
        ).label
        for trip in trips
    }
    return beside([*of_trips, *numbered], there), labels


def beside_record(found: Beside, labels: dict[str, str]) -> dict[str, object]:
    """The same as a record; entries by their hashes."""
    return {
        "devices": [asdict(one) for one in found.devices],
        "trips": [
            {
                "trip": labels[one.trip],
                "only_there": [entry.hash for entry in one.there],
                "only_here": [entry.hash for entry in one.here],
            }
            for one in found.trips
        ],
        "have_parted": found.have_parted,
    }


def _entries_in(bundle: Path) -> list[Entry]:
    found = []
    for data in entry_lines(bundle):
        try:
            found.append(entry_of(data))
        except EntryBroken:
            continue
    return found
