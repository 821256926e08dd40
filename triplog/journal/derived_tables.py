"""Keeping the derived tables in step with the journal, inside its transactions.

Written by SQLAlchemy Core over the store's own connection, so that an entry and its rows are one
transaction. An entry that corrects or completes another makes its trip's rows anew; any other
adds its own rows.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator

from sqlalchemy import Connection, Table, create_engine, delete, insert
from sqlalchemy.pool import StaticPool
from sqlmodel import SQLModel

from triplog.journal import derived
from triplog.journal.derived_rows import Row, row_of_trip, rows_of_fact, rows_of_thing
from triplog.journal.entries import Entry
from triplog.journal.store import Store
from triplog.journal.things import thing_from
from triplog.journal.trip import Trip, trip_of

TABLES_VERSION = "1"
_TRIP_TABLES: tuple[type[SQLModel], ...] = (
    derived.PlanRow,
    derived.ArticleRow,
    derived.TieDownRow,
    derived.FindingRow,
    derived.ReadingRow,
    derived.DutyRow,
    derived.CheckRow,
    derived.CheckLineRow,
    derived.PromptRow,
    derived.TripEventRow,
)
_COMPLETES_ANOTHER = frozenset({"prompt_outcome", "entry_withdrawn"})
DueRows = Callable[[Trip], Iterable[dict[str, object]]]


class DerivedTables:
    """The projection of a store into its tables; `due_rows` makes a trip's rows in `due`."""

    def __init__(self, store: Store, due_rows: DueRows, due_version: str) -> None:
        self.version = f"{TABLES_VERSION}/{due_version}"
        self._due_rows = due_rows
        self.connection = _connection_over(store)

    def add(self, store: Store, entry: Entry) -> None:
        """Bring the tables up to a new entry."""
        if entry.trip is not None:
            trip = trip_of(entry.trip, store.trip_entries(entry.trip))
            if entry.follows is not None or entry.kind in _COMPLETES_ANOTHER:
                for table in _TRIP_TABLES:
                    self._forget(table, "trip", trip.id)
                self._write(_rows_of_trip(trip))
            else:
                fact = next(fact for fact in trip.facts if fact.original.hash == entry.hash)
                self._write(rows_of_fact(trip, fact))
            self._write_summary(trip)
        thing = store.thing_of(entry)
        if thing is not None:
            self._write_thing(store, thing)

    def rebuild(self, store: Store) -> None:
        """Drop the tables and make them anew from the journal."""
        SQLModel.metadata.drop_all(self.connection)
        SQLModel.metadata.create_all(self.connection)
        for trip_id in store.ids("trip"):
            trip = trip_of(trip_id, store.entries("trip = ?", (trip_id,)))
            self._write(_rows_of_trip(trip))
            self._write_summary(trip)
        for thing_id in store.ids("thing"):
            self._write_thing(store, thing_id)

    def _write_summary(self, trip: Trip) -> None:
        self._forget(derived.TripRow, "id", trip.id)
        self._forget(derived.DueRow, "trip", trip.id)
        self._write([(derived.TripRow, row_of_trip(trip))] if trip.facts else [])
        self._write((derived.DueRow, row) for row in self._due_rows(trip))

    def _write_thing(self, store: Store, thing_id: str) -> None:
        for table in (derived.GearRow, derived.VehicleRow, derived.PersonRow):
            self._forget(table, "id", thing_id)
        self._forget(derived.AnchorRow, "vehicle", thing_id)
        thing = thing_from(thing_id, store.thing_entries(thing_id))
        if thing is not None:
            self._write(rows_of_thing(thing))

    def _forget(self, model: type[SQLModel], column: str, value: str) -> None:
        table = _table(model)
        self.connection.execute(delete(table).where(table.c[column] == value))

    def _write(self, rows: Iterable[Row]) -> None:
        by_table: defaultdict[type[SQLModel], list[dict[str, object]]] = defaultdict(list)
        for table, row in rows:
            by_table[table].append(row)
        for table, its_rows in by_table.items():
            self.connection.execute(insert(_table(table)), its_rows)


def _table(model: type[SQLModel]) -> Table:
    return SQLModel.metadata.tables[str(model.__tablename__)]


def _rows_of_trip(trip: Trip) -> Iterator[Row]:
    for fact in trip.facts:
        yield from rows_of_fact(trip, fact)


def _connection_over(store: Store) -> Connection:
    """A SQLAlchemy connection over the store's own, whose transactions stay the store's."""
    engine = create_engine(
        "sqlite://",
        creator=lambda: store.raw,
        poolclass=StaticPool,
        isolation_level="AUTOCOMMIT",
    )
    return engine.connect()
