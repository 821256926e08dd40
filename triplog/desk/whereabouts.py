"""Of a trip in a list: who drives it and how to reach them, on which vehicle, from where to where.

Private values are opened here, for the trips that are shown, and kept nowhere.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import cast

from triplog.checks import vehicle_name
from triplog.desk.desk import Desk
from triplog.journal.entries import Body, Entry
from triplog.journal.folding import in_force
from triplog.journal.trip import text_in


@dataclass(frozen=True, slots=True, kw_only=True)
class Private:
    """A private value: its text; None with `was_told`: it can no longer be read, else not told."""

    text: str | None = None
    was_told: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """A person by label, with the name and how to reach them as far as they were told."""

    label: str
    name: Private
    reach: Private


@dataclass(frozen=True, slots=True, kw_only=True)
class Whereabouts:
    """What tells a trip from its neighbours; `driver`, `vehicle` None: none yet.

    `offset_min`: the local time last entered by, minutes from UTC.
    """

    driver: Person | None
    vehicle: str | None
    origin: Private
    destination: Private
    offset_min: int


def whereabouts_of(desk: Desk, trips: Iterable[str]) -> dict[str, Whereabouts]:
    """Of each of these trips, by id."""
    people: dict[str, Person] = {}
    return {trip: _whereabouts(desk, trip, people) for trip in dict.fromkeys(trips)}


def person_of(desk: Desk, person_id: str) -> Person:
    """A person as their card says; by the id where there is no card."""
    cards = in_force(desk.store.thing_entries(person_id))
    if not cards:
        return Person(label=person_id, name=Private(), reach=Private())
    card = cards[-1].entry
    opened = desk.store.openings(card.hash)
    return Person(
        label=text_in(card.body, "label"),
        name=_private(card, opened, "name"),
        reach=_private(card, opened, "reach"),
    )


def _whereabouts(desk: Desk, trip: str, people: dict[str, Person]) -> Whereabouts:
    assert desk.tables, "the rows stand"
    driver, revision = desk.store.raw.execute(
        "SELECT driver, revision FROM trip WHERE id = ?", (trip,)
    ).fetchone()
    told = dict(
        desk.store.raw.execute(
            "SELECT kind, entry FROM trip_event WHERE trip = ?"
            " AND kind IN ('trip_opened', 'handed_over') ORDER BY event_time, entry_time",
            (trip,),
        )
    )
    if "handed_over" in told:
        driver = text_in(desk.store.entry(told["handed_over"]).body, "to")
    if driver is not None and driver not in people:
        people[driver] = person_of(desk, driver)
    plan = None if revision is None else desk.store.entry(revision).body["document"]
    opened = desk.store.entry(told["trip_opened"]) if "trip_opened" in told else None
    openings = {} if opened is None else desk.store.openings(opened.hash)
    return Whereabouts(
        driver=None if driver is None else people[driver],
        vehicle=None if plan is None else vehicle_name(cast(Body, plan)),
        origin=_private(opened, openings, "origin"),
        destination=_private(opened, openings, "destination"),
        offset_min=_offset_min(desk, trip),
    )


def _offset_min(desk: Desk, trip: str) -> int:
    """The offset of the last duty status, before the first of the opening; 0 without either."""
    row = desk.store.raw.execute(
        "SELECT event_offset_min FROM (SELECT 1 AS rank, event_time, event_offset_min"
        " FROM duty_change WHERE trip = :trip UNION ALL SELECT 0, event_time, event_offset_min"
        " FROM trip_event WHERE trip = :trip AND kind = 'trip_opened')"
        " ORDER BY rank DESC, event_time DESC LIMIT 1",
        {"trip": trip},
    ).fetchone()
    return 0 if row is None else int(row[0])


def _private(entry: Entry | None, opened: dict[str, str], field: str) -> Private:
    was_told = entry is not None and field in entry.private
    return Private(text=opened.get(field), was_told=was_told)
