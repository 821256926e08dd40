"""Keeping the derived tables in step with the journal, inside its transactions.

Written by SQLAlchemy Core over the store's own connection, so that an entry and its rows are one
transaction. An entry that follows another makes its trip's rows anew; any other adds its own. Of
rows made anew only those that differ are written: each page touched costs the person a wait.
"""

from collections.abc import Callable, Iterable
from functools import cache

from sqlalchemy import (
    ClauseElement,
    Connection,
    Table,
    bindparam,
    create_engine,
    delete,
    select,
)
from sqlalchemy.dialects import sqlite
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.pool import StaticPool
from sqlmodel import SQLModel

from triplog.journal import derived
from triplog.journal.derived_rows import Row, may_change_trip_row, rows_of_fact, rows_of_thing
from triplog.journal.derived_sets import (
    OF_THING,
    OF_TRIP,
    Cells,
    DueRows,
    by_table,
    in_columns,
    own_row,
    rows_of_due,
    rows_of_facts,
)
from triplog.journal.entries import Entry
from triplog.journal.kinds import thing_of
from triplog.journal.store import Store
from triplog.journal.things import thing_from
from triplog.journal.trip import Trip, trip_of


class DerivedTables:
    """The projection of a store into its tables; `due_rows` makes a trip's rows in `due`."""

    def __init__(self, store: Store, due_rows: DueRows, version: str) -> None:
        self.version = version
        self._due_rows = due_rows
        self._folded: dict[str, tuple[list[Entry], int, Trip]] = {}
        self._raw = store.raw
        self.connection = _connection_over(store)

    def add(self, store: Store, entry: Entry) -> None:
        """Bring the tables up to a new entry."""
        if entry.trip is not None:
            trip = self._trip_with(store, entry.trip, entry)
            if entry.follows is not None:
                self._keep(OF_TRIP, "trip", trip.id, rows_of_facts(trip))
            else:
                about = entry.body["raised"] if entry.kind == "prompt_outcome" else entry.hash
                for fact in (*trip.facts, *trip.doubtful):
                    if fact.original.hash == about:
                        self._write(rows_of_fact(trip, fact))
            if entry.follows is not None or may_change_trip_row(trip, entry.kind):
                self._write_trip(trip)
            self._write_due(trip)
        thing = thing_of(entry.kind, entry.body) if entry.follows is None else store.thing_of(entry)
        if thing is not None:
            self._write_thing(store, thing)

    def rebuild(self, store: Store) -> None:
        """Drop the tables and make them anew from the journal."""
        SQLModel.metadata.drop_all(self.connection)
        SQLModel.metadata.create_all(self.connection)
        for trip_id in store.ids("trip"):
            trip = trip_of(trip_id, store.entries("trip = ?", (trip_id,)))
            self._write(rows_of_facts(trip))
            self._write_trip(trip)
            self._write_due(trip)
        for thing_id in store.ids("thing"):
            self._write_thing(store, thing_id)

    def remake(self, store: Store, trips: Iterable[str], things: Iterable[str]) -> None:
        """Make the rows of these trips and things anew, whatever was written before."""
        for trip_id in trips:
            trip = trip_of(trip_id, store.entries("trip = ?", (trip_id,)))
            self._keep(OF_TRIP, "trip", trip.id, rows_of_facts(trip))
            self._write_trip(trip)
            self._write_due(trip)
        for thing_id in things:
            self._write_thing(store, thing_id)

    def _trip_with(self, store: Store, trip_id: str, entry: Entry) -> Trip:
        """The trip with its new entry: folded on from the fold before where that is possible.

        It is while the store still holds the very list the fold before was made of, one longer.
        """
        entries = store.trip_entries(trip_id)
        before, count, trip = self._folded.get(trip_id, (None, 0, None))
        if trip is None or before is not entries or count + 1 != len(entries) or entry.follows:
            trip = trip_of(trip_id, entries)
        else:
            trip = trip.having(entry)
        self._folded[trip_id] = entries, len(entries), trip
        return trip

    def _write_trip(self, trip: Trip) -> None:
        self._keep((derived.TripRow,), "id", trip.id, own_row(trip))

    def _write_due(self, trip: Trip) -> None:
        self._keep((derived.DueRow,), "trip", trip.id, rows_of_due(trip, self._due_rows))

    def _write_thing(self, store: Store, thing_id: str) -> None:
        thing = thing_from(thing_id, store.thing_entries(thing_id))
        rows = [] if thing is None else list(rows_of_thing(thing))
        for table, column in OF_THING:
            its_rows = [row for row in rows if row[0] is table]
            self._keep((table,), column, thing_id, its_rows)

    def _keep(
        self, models: Iterable[type[SQLModel]], column: str, value: str, rows: Iterable[Row]
    ) -> None:
        """Make these the only rows of the tables that have the value in the column."""
        wanted = by_table(rows)
        for model in models:
            table = _table(model)
            key_of = _key(table)
            its_rows = {key_of(row): row for row in in_columns(_names(table), wanted[model])}
            standing = self._raw.execute(_read(table, column), (value,))
            found = {key_of(row): row for row in standing}
            gone = [key for key in found if key not in its_rows]
            if gone:
                self._raw.executemany(_remove(table), gone)
            self._put(table, [row for key, row in its_rows.items() if found.get(key) != row])

    def _write(self, rows: Iterable[Row]) -> None:
        for model, its_rows in by_table(rows).items():
            table = _table(model)
            self._put(table, in_columns(_names(table), its_rows))

    def _put(self, table: Table, rows: list[Cells]) -> None:
        if rows:
            self._raw.executemany(_put(table), rows)


def _table(model: type[SQLModel]) -> Table:
    return SQLModel.metadata.tables[str(model.__tablename__)]


@cache
def _names(table: Table) -> list[str]:
    return [column.name for column in table.c]


@cache
def _key(table: Table) -> Callable[[Cells], Cells]:
    places = [_names(table).index(column.name) for column in table.primary_key]
    return lambda row: tuple([row[place] for place in places])


# A statement is worked out once as text, its values in the order of the columns: at every entry
# only the values differ.


@cache
def _read(table: Table, column: str) -> str:
    return _text(select(table).where(table.c[column] == bindparam(column)))


@cache
def _remove(table: Table) -> str:
    return _text(delete(table).where(*(one == bindparam(one.name) for one in table.primary_key)))


@cache
def _put(table: Table) -> str:
    """Insert a row, or bring the one with its key up to it."""
    statement = insert(table)
    beside_the_key = [column.name for column in table.c if not column.primary_key]
    return _text(
        statement.on_conflict_do_update(
            index_elements=list(table.primary_key),
            set_={name: statement.excluded[name] for name in beside_the_key},
        )
    )


def _text(statement: ClauseElement) -> str:
    return str(statement.compile(dialect=sqlite.dialect()))


def _connection_over(store: Store) -> Connection:
    """A SQLAlchemy connection over the store's own, whose transactions stay the store's."""
    engine = create_engine(
        "sqlite://",
        creator=lambda: store.raw,
        poolclass=StaticPool,
        isolation_level="AUTOCOMMIT",
        pool_reset_on_return=None,
    )
    return engine.connect()
