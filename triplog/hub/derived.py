"""The derived tables of the hub: those of a device, of the same classes, beside the carrier.

They are made with the hub's tables, and made anew where their version is another one; then all
trips and things are queued again. Integers are 64 bits wide, as in a device's file, and U+0000,
which a text of PostgreSQL cannot hold, is U+FFFD here. The journal keeps every byte.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from typing import Any

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    ClauseElement,
    Column,
    Dialect,
    Float,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    bindparam,
    delete,
    select,
    text,
)
from sqlalchemy.dialects.postgresql import insert
from sqlalchemy.dialects.postgresql.psycopg import PGDialect_psycopg
from sqlalchemy.schema import CreateIndex, CreateTable
from sqlalchemy.types import TypeEngine
from sqlmodel import SQLModel

from triplog.checks import due_rows
from triplog.hub.database import Open
from triplog.journal import derived
from triplog.journal.derived_rows import Row, rows_of_thing
from triplog.journal.derived_sets import (
    OF_THING,
    OF_TRIP,
    Cells,
    by_table,
    in_columns,
    own_row,
    rows_of_due,
    rows_of_facts,
)
from triplog.journal.entries import Entry
from triplog.journal.store_file import PROJECTION_VERSION
from triplog.journal.things import thing_from
from triplog.journal.trip import trip_of

_LAYOUT = 2
VERSION = f"{PROJECTION_VERSION}.{_LAYOUT}"
"""Of the rows, and of how the tables are laid out here. It stands in the comment of `hub.trip`."""
_DIALECT: Dialect = PGDialect_psycopg(paramstyle="format")  # type: ignore[no-untyped-call]
_OF_TRIP: tuple[tuple[type[SQLModel], str], ...] = (
    *((model, "trip") for model in OF_TRIP),
    (derived.TripRow, "id"),
    (derived.DueRow, "trip"),
)
_READERS = ("office", "auditor")


def bring_up_derived(connection: Open) -> bool:
    """Make the tables where they are missing or of another version; whether that was done.

    In the caller's transaction, as the owner.
    """
    if standing_version(connection) == VERSION:
        return False
    for table in _tables().values():
        connection.execute(f"DROP TABLE IF EXISTS hub.{table.name}")
        connection.execute(_text(CreateTable(table)))
        for index in sorted(table.indexes, key=lambda one: str(one.name)):
            connection.execute(_text(CreateIndex(index)))
        connection.execute(f"ALTER TABLE hub.{table.name} ENABLE ROW LEVEL SECURITY")
        connection.execute(
            f"CREATE POLICY own_carrier ON hub.{table.name}"
            " USING (carrier = (SELECT hub.carrier_here()))"
        )
        connection.execute(
            f"CREATE POLICY every_carrier ON hub.{table.name} TO triplog_worker USING (true)"
        )
        for role in _READERS:
            connection.execute(f"GRANT SELECT ON hub.{table.name} TO triplog_{role}")
        connection.execute(
            f"GRANT SELECT, INSERT, UPDATE, DELETE ON hub.{table.name} TO triplog_worker"
        )
    connection.execute(f"COMMENT ON TABLE hub.trip IS 'derived, version {VERSION}'")
    for what in ("trip", "thing"):
        connection.execute(
            f"INSERT INTO hub.to_derive (carrier, what, about) SELECT DISTINCT carrier, '{what}',"
            f" {what} FROM hub.entry WHERE {what} IS NOT NULL"
        )
    return True


def standing_version(connection: Open) -> str | None:
    """The version of the tables as they stand in the database; None: there are none."""
    (told,) = connection.execute(
        "SELECT obj_description(to_regclass('hub.trip'), 'pg_class')"
    ).fetchone() or (None,)
    return None if told is None else str(told).rpartition(" ")[2]


def write_trip(connection: Open, carrier: str, trip_id: str, entries: Iterable[Entry]) -> None:
    """Make a trip's rows those its entries give, in the caller's transaction."""
    trip = trip_of(trip_id, entries)
    rows = [*rows_of_facts(trip), *own_row(trip), *rows_of_due(trip, due_rows)]
    _keep(connection, carrier, _OF_TRIP, trip_id, rows)


def write_thing(connection: Open, carrier: str, thing_id: str, entries: Iterable[Entry]) -> None:
    """Make the rows of a piece of gear, a vehicle or a person those its entries give."""
    thing = thing_from(thing_id, entries)
    _keep(connection, carrier, OF_THING, thing_id, [] if thing is None else rows_of_thing(thing))


def _keep(
    connection: Open,
    carrier: str,
    models: Sequence[tuple[type[SQLModel], str]],
    about: str,
    rows: Iterable[Row],
) -> None:
    """Make these the only rows about it; of those that stand only what differs is written."""
    wanted = by_table(rows)
    with connection.pipeline():
        standing = [
            connection.execute(_read(_table(model), column), (carrier, about))
            for model, column in models
        ]
    for (model, _), cursor in zip(models, standing, strict=True):
        table = _table(model)
        key_of = _key(table)
        its_rows = {key_of(row): row for row in _cells(table, carrier, wanted[model])}
        found = {key_of(row): row for row in cursor}
        gone = [key for key in found if key not in its_rows]
        new = [row for key, row in its_rows.items() if found.get(key) != row]
        with connection.cursor() as writing:
            if gone:
                writing.executemany(_remove(table), gone)
            if new:
                writing.executemany(_put(table), new)


def _cells(table: Table, carrier: str, rows: Iterable[Mapping[str, object]]) -> list[Cells]:
    return [
        (carrier, *(one.replace("\0", "\ufffd") if isinstance(one, str) else one for one in row))
        for row in in_columns(_names(table)[1:], rows)
    ]


@cache
def _tables() -> dict[str, Table]:
    """The tables by name, each made of the device's with the carrier before its key."""
    metadata = MetaData(schema="hub")
    models = (*(model for model, _ in _OF_TRIP), *(model for model, _ in OF_THING))
    found = [SQLModel.metadata.tables[str(model.__tablename__)] for model in models]
    return {table.name: _with_carrier(table, metadata) for table in found}


def _with_carrier(of: Table, metadata: MetaData) -> Table:
    table = Table(of.name, metadata, Column("carrier", Text, primary_key=True))
    for column in of.columns:
        table.append_column(
            Column(
                column.name,
                _type(column),
                primary_key=column.primary_key,
                nullable=column.nullable,
                autoincrement=False,
            )
        )
    for check in of.constraints:
        if isinstance(check, CheckConstraint):
            table.append_constraint(CheckConstraint(text(str(check.sqltext))))
    for index in of.indexes:
        where = index.dialect_options["sqlite"]["where"]
        names = ("carrier", *(column.name for column in index.columns))
        Index(index.name, *(table.c[name] for name in names), postgresql_where=where)
    if of.name == derived.TripRow.__tablename__:
        # The office's list of trips, the newest first, costs a page and not all there ever were.
        Index("trip_by_opening", table.c.carrier, table.c.opened_at, table.c.id)
    if of.name == derived.DueRow.__tablename__:
        # Late checks are looked for in all carriers at once.
        Index("due_of_all", table.c.due_at, postgresql_where=table.c.due_at.is_not(None))
    return table


def _type(column: "Column[Any]") -> TypeEngine[Any]:
    """Keys are joined with the journal's; any other text goes in the order it has on a device."""
    if isinstance(column.type, Integer):
        return BigInteger()
    if isinstance(column.type, Float):
        return column.type
    return Text() if column.primary_key else Text(collation="C")


def _table(model: type[SQLModel]) -> Table:
    return _tables()[str(model.__tablename__)]


@cache
def _names(table: Table) -> list[str]:
    return [column.name for column in table.c]


@cache
def _key(table: Table) -> Callable[[Cells], Cells]:
    places = [_names(table).index(column.name) for column in table.primary_key]
    return lambda row: tuple([row[place] for place in places])


@cache
def _read(table: Table, column: str) -> str:
    return _text(
        select(table).where(
            table.c.carrier == bindparam("carrier"), table.c[column] == bindparam(column)
        )
    )


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
    return str(statement.compile(dialect=_DIALECT))
