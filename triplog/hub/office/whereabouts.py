"""Of the trips of a list: who drives and how to reach them, on which vehicle, from where to where.

Private values are opened here, as far as they have travelled, for the trips that are shown.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from triplog.desk.whereabouts import Person, Private, Whereabouts
from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.journal.entries import Entry, entry_of
from triplog.journal.folding import in_force


def whereabouts_at_hub(
    connection: Open, carrier: Carrier, trips: Iterable[str], offset_min: int
) -> dict[str, Whereabouts]:
    """Of each of these trips, by id. `offset_min`: the local time of whoever reads."""
    asked = sorted(set(trips))
    rows = connection.execute(
        "SELECT trip.id, trip.driver, vehicle.label FROM trip LEFT JOIN vehicle"
        " ON vehicle.carrier = trip.carrier AND vehicle.id = trip.vehicle"
        " WHERE trip.carrier = %s AND trip.id = ANY(%s)",
        (carrier.id, asked),
    ).fetchall()
    opened, took_over = _told(connection, carrier, asked)
    drivers = {trip: took_over.get(trip, driver) for trip, driver, _ in rows}
    people = _people(connection, {one for one in drivers.values() if one is not None})
    openings = _openings(connection, [one.hash for one in opened.values()])
    return {
        trip: Whereabouts(
            driver=people.get(drivers[trip] or ""),
            vehicle=vehicle,
            origin=_private(opened.get(trip), openings, "origin"),
            destination=_private(opened.get(trip), openings, "destination"),
            offset_min=offset_min,
        )
        for trip, _, vehicle in rows
    }


def _told(
    connection: Open, carrier: Carrier, trips: Sequence[str]
) -> tuple[dict[str, Entry], dict[str, str]]:
    """By trip the entry that opened it, and the id of whoever took over last."""
    rows = connection.execute(
        "SELECT e.data FROM trip_event AS t JOIN entry AS e ON e.hash = t.entry"
        " WHERE t.carrier = %s AND t.trip = ANY(%s) AND t.kind IN ('trip_opened', 'handed_over')"
        " ORDER BY t.event_time, t.entry_time",
        (carrier.id, list(trips)),
    )
    opened: dict[str, Entry] = {}
    took_over: dict[str, str] = {}
    for entry in (entry_of(bytes(data)) for (data,) in rows):
        trip = entry.trip or ""
        if entry.kind == "trip_opened":
            opened[trip] = entry
        else:
            took_over[trip] = str(entry.body["to"])
    return opened, took_over


def _people(connection: Open, ids: set[str]) -> dict[str, Person]:
    rows = connection.execute(
        "SELECT thing, data FROM entry WHERE thing = ANY(%s) AND trip IS NULL"
        " AND kind IN ('person_recorded', 'entry_withdrawn') ORDER BY device, seq",
        (sorted(ids),),
    )
    of: defaultdict[str, list[Entry]] = defaultdict(list)
    for thing, data in rows:
        of[thing].append(entry_of(bytes(data)))
    cards = {thing: facts[-1].entry for thing, one in of.items() if (facts := in_force(one))}
    openings = _openings(connection, [card.hash for card in cards.values()])
    found = {thing: Person(label=thing, name=Private(), reach=Private()) for thing in ids}
    for thing, card in cards.items():
        found[thing] = Person(
            label=str(card.body["label"]),
            name=_private(card, openings, "name"),
            reach=_private(card, openings, "reach"),
        )
    return found


def _openings(connection: Open, entries: Sequence[str]) -> dict[tuple[str, str], str]:
    rows = connection.execute(
        "SELECT entry, field, value FROM opening WHERE entry = ANY(%s)", (list(entries),)
    )
    return {(entry, field): bytes(value).decode() for entry, field, value in rows}


def _private(entry: Entry | None, openings: dict[tuple[str, str], str], field: str) -> Private:
    if entry is None or field not in entry.private:
        return Private()
    return Private(text=openings.get((entry.hash, field)), was_told=True)
