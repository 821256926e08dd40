"""An auditor's own login to the database: it reads one carrier's rows, and writes nothing."""

import re

import psycopg
from psycopg import sql

from triplog.desk.refused import Refused
from triplog.hub.carriers import Carrier
from triplog.hub.database import Database

_NAME = re.compile(r"[a-z][a-z0-9_]{0,40}")


def make_login(database: Database, carrier: Carrier, name: str) -> None:
    """Make a login that may read this carrier's rows. Raises Refused; it has no password yet.

    The login the hub itself uses has to be one that may make others.
    """
    if not _NAME.fullmatch(name):
        raise Refused(f"a login's name is small letters, digits and _, found {name[:60]!r}")
    made = sql.SQL("CREATE ROLE {} LOGIN IN ROLE triplog_auditor").format(sql.Identifier(name))
    with database.work("office", carrier.id) as connection:
        connection.execute("RESET ROLE")
        try:
            connection.execute(made)
        except psycopg.errors.DuplicateObject:
            raise Refused(f"the database has a role {name!r} already; give another name") from None
        connection.execute(
            "INSERT INTO hub.login (name, carrier) VALUES (%s, %s)", (name, carrier.id)
        )
