"""What the commands of the hub share: its database, its carrier, what has to be installed."""

from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.lines import tell
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.hub.carriers import Carrier
    from triplog.hub.database import Database

_NOT_HERE = (
    "the hub needs libraries that are not installed; install them with:"
    ' pip install "triplog[fleet]"'
)
Dsn = Annotated[
    str | None,
    typer.Option("--dsn", help="The database, as PostgreSQL names it.", envvar="TRIPLOG_HUB_DSN"),
]
OfCarrier = Annotated[
    str | None, typer.Option("--carrier", help="Which carrier; needed where there are several.")
]


def open_hub(context: typer.Context, dsn: str | None, *, connections: int = 8) -> "Database":
    """The hub's database, closed when the command ends. Raises Refused or HubUnusable, in words."""
    need_libraries()
    from triplog.hub.database import open_database

    found = open_database(dsn_of(dsn), connections=connections)
    context.call_on_close(found.close)
    return found


def dsn_of(dsn: str | None) -> str:
    """Where the database is, as told. Raises Refused."""
    if not dsn:
        raise Refused("where is the hub's database? Set TRIPLOG_HUB_DSN, or say --dsn")
    return dsn


def need_libraries() -> None:
    """Refuse where the extra is not installed."""
    from importlib.util import find_spec

    if not all(find_spec(name) for name in ("psycopg", "psycopg_pool", "starlette", "uvicorn")):
        raise Refused(_NOT_HERE)


def told_carrier(found: "Carrier") -> "Carrier":
    """The carrier, after saying which it is."""
    tell(f"carrier {found.label}")
    return found
