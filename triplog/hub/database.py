"""The hub's database: how it is reached, and in whose name something is done there."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

import psycopg
from psycopg import Connection
from psycopg_pool import ConnectionPool, PoolTimeout

Role: TypeAlias = Literal["pairing", "ingest", "office", "auditor", "worker"]
Open: TypeAlias = Connection[tuple[Any, ...]]
OLDEST = 150000
"""The oldest PostgreSQL, as it numbers itself."""
_PATIENCE_S = 10.0
_APPLICATION = "triplog"


class HubUnusable(OSError):
    """The hub's database cannot be used; the message says why and what to do."""


def connect(dsn: str) -> Open:
    """A connection of its own. Raises HubUnusable."""
    with told_in_words():
        found = psycopg.connect(dsn, application_name=_APPLICATION, connect_timeout=10)
        if found.info.server_version < OLDEST:
            version = found.info.server_version // 10000
            found.close()
            raise HubUnusable(f"the hub needs PostgreSQL 15 or later, and this is {version}")
        return found


@dataclass(slots=True)
class Database:
    """Connections that are kept open; each piece of work takes one and gives it back."""

    pool: "ConnectionPool[Open]"

    @contextmanager
    def work(self, role: Role, carrier: str | None = None) -> Iterator[Open]:
        """One transaction in a role, for one carrier: all of it is kept, or nothing.

        Raises HubUnusable where the database is away or the transaction was lost.
        """
        with told_in_words(), self.pool.connection() as connection, connection.transaction():
            take_role(connection, role, carrier)
            yield connection

    def close(self) -> None:
        """Close all connections."""
        self.pool.close()


def take_role(connection: Open, role: Role, carrier: str | None) -> None:
    """Go on in a role and for a carrier until the transaction ends."""
    connection.execute(f"SET LOCAL ROLE triplog_{role}")
    connection.execute(
        "SELECT set_config('hub.carrier', %s, true), set_config('search_path', 'hub', true)",
        (carrier or "",),
    )


def open_database(dsn: str, *, connections: int = 8) -> Database:
    """The database by its DSN, with up to so many connections. Raises HubUnusable."""
    connect(dsn).close()
    # What it warns of is raised here as HubUnusable, in words.
    logging.getLogger("psycopg.pool").addHandler(logging.NullHandler())
    pool: ConnectionPool[Open] = ConnectionPool(
        dsn,
        min_size=1,
        max_size=connections,
        timeout=_PATIENCE_S,
        kwargs={"application_name": _APPLICATION, "autocommit": True},
        check=ConnectionPool.check_connection,
        open=True,
    )
    return Database(pool)


@contextmanager
def told_in_words() -> Iterator[None]:
    """The database's own errors as HubUnusable, in words."""
    try:
        yield
    except (psycopg.OperationalError, PoolTimeout) as problem:
        said = str(problem).strip().splitlines()
        raise HubUnusable(
            "the hub's database cannot be reached, or broke off: "
            + (said[0] if said else type(problem).__name__)
        ) from problem
    except psycopg.errors.InsufficientPrivilege as problem:
        raise HubUnusable(f"the database does not let this login do that: {_first(problem)}") from (
            problem
        )
    except (psycopg.errors.UndefinedTable, psycopg.errors.InvalidSchemaName) as problem:
        raise HubUnusable("there is no hub in this database yet: triplog hub init") from problem
    except psycopg.ProgrammingError as problem:
        # The DSN itself is refused before any server is asked.
        if problem.sqlstate is not None:
            raise
        raise HubUnusable(f"that names no database: {_first(problem)}") from problem


def _first(problem: Exception) -> str:
    return (str(problem).strip().splitlines() or [""])[0]
