"""From the labels people use to the things they mean."""

from collections.abc import Iterable

from sqlmodel import SQLModel, col, select

from triplog.desk.clashing_labels import Table, called, shown_labels
from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.journal.derived import GearRow, PersonRow, TripRow, VehicleRow
from triplog.journal.things import Thing, thing_from
from triplog.journal.trip import OPEN_STATES, Trip, TripState

_NOUN = {GearRow: "gear", VehicleRow: "vehicle", PersonRow: "person"}
_TABLE: dict[type[SQLModel], Table] = {
    GearRow: "gear",
    VehicleRow: "vehicle",
    PersonRow: "person",
}
_ONE = {GearRow: "gear", VehicleRow: "a vehicle", PersonRow: "a person", TripRow: "a trip"}


def gear_named(desk: Desk, label: str) -> Thing:
    """The gear of that label; Refused, with what there is, where there is none."""
    return _thing(desk, GearRow, label)


def vehicle_named(desk: Desk, label: str | None) -> Thing:
    """The vehicle of that label; without one the only vehicle there is."""
    return _thing(desk, VehicleRow, label)


def person_named(desk: Desk, label: str | None) -> Thing:
    """The person of that label; without one the only person there is."""
    return _thing(desk, PersonRow, label)


def person_label(desk: Desk, person_id: str) -> str:
    """What people call a person; the id itself where there is no card."""
    thing = thing_from(person_id, desk.store.thing_entries(person_id))
    return person_id if thing is None else thing.label


def refuse_label(desk: Desk, model: type[SQLModel], label: str) -> None:
    """Refuse a label that says nothing, or that a thing of that kind has in this store."""
    refuse_empty_label(label)
    if label in labels_taken(desk, model):
        raise Refused(f"there is {_ONE[model]} {label!r} already; give another label")


def refuse_empty_label(label: str) -> None:
    """Refuse a label that says nothing."""
    if not label.strip():
        raise Refused("the label is empty; give a short name to call it by, such as S-1")


def labels_taken(desk: Desk, model: type[SQLModel]) -> frozenset[str]:
    """The labels that things of that kind have in this store."""
    table = SQLModel.metadata.tables[str(model.__tablename__)]
    with desk.session() as session:
        return frozenset(session.connection().execute(select(table.c.label)).scalars())


def the_trip(desk: Desk, label: str | None, states: Iterable[TripState]) -> Trip:
    """The trip of that label, or the only one in one of these states.

    Refused, listing them, where several could be meant, and where the trip stands elsewhere.
    """
    wanted = frozenset(states)
    with desk.session() as session:
        query = select(TripRow.id, TripRow.label, TripRow.state)
        if label is not None:
            query = query.where(col(TripRow.id).in_(called(desk.store, "trip", label)))
        else:
            query = query.where(col(TripRow.state).in_([str(state) for state in wanted]))
        rows = session.exec(query).all()
    if not rows and not labels_taken(desk, TripRow):
        raise Refused("there is no trip yet; `triplog trip new` opens one")
    if not rows:
        told = f"there is no trip {label!r}" if label else f"no trip is {_listed(wanted)}"
        raise Refused(f"{told}; `triplog trip list` shows all")
    if len(rows) > 1:
        clashing = shown_labels(desk.store, "trip")
        named = ", ".join(sorted(clashing.get(one[0], one[1]) for one in rows))
        raise Refused(f"several trips could be meant: {named}. Say which with --trip LABEL")
    trip_id, name, state = rows[0]
    if state not in wanted:
        raise Refused(f"trip {name} is {state}; this needs one that is {_listed(wanted)}")
    return desk.trip(trip_id)


def the_trip_or_last(desk: Desk, label: str | None) -> Trip:
    """The trip of that label, or the only open one; where none is open, the one closed last.

    Refused, listing them, where several are open, and where there is none at all.
    """
    with desk.session() as session:
        query = select(TripRow.label, TripRow.state).order_by(col(TripRow.ended_at).desc())
        rows = session.exec(query).all()
    open_states = {str(state) for state in OPEN_STATES}
    closed = [one for one, state in rows if state == str(TripState.CLOSED)]
    if label is None and closed and not any(state in open_states for _, state in rows):
        label = closed[0]
    return the_trip(desk, label, OPEN_STATES if label is None else TripState)


def next_label(desk: Desk, model: type[SQLModel], prefix: str) -> str:
    """The first free label of the form PREFIX-1, PREFIX-2 ..."""
    taken = labels_taken(desk, model)
    number = 1
    while f"{prefix}-{number}" in taken:
        number += 1
    return f"{prefix}-{number}"


def _thing(desk: Desk, model: type[SQLModel], label: str | None) -> Thing:
    table = _TABLE[model]
    assert desk.tables, "the rows stand"
    rows = desk.store.raw.execute(f"SELECT id, label FROM {table}").fetchall()
    clashing = shown_labels(desk.store, table)
    noun = _NOUN[model]
    if label is None and len(rows) == 1:
        found = {rows[0][0]: rows[0][1]}
    else:
        found = {} if label is None else called(desk.store, table, label)
    if len(found) > 1:
        both = ", ".join(sorted(found.values()))
        raise Refused(f"several could be meant by {label!r}: {both}. Say which, so written")
    if not found:
        there = ", ".join(sorted(clashing.get(one, name) for one, name in rows)) or "none yet"
        asked = f"no {noun} is called {label!r}" if label else f"say which {noun}"
        raise Refused(f"{asked}; there is: {there}")
    (thing_id,) = found
    thing = thing_from(thing_id, desk.store.thing_entries(thing_id))
    assert thing is not None, "a row without a card"
    return thing


def _listed(states: frozenset[TripState]) -> str:
    if states == frozenset(OPEN_STATES):
        return "open"
    return " or ".join(str(state) for state in TripState if state in states)
