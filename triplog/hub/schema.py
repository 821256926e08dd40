"""The hub's tables, made by numbered steps that can be run again: each is done once.

The journal's tables come by SQL files in `steps/`. The derived tables are made from the same
classes as on a device, beside the carrier's id, and are made anew where their version changed.
"""

import hashlib
from collections.abc import Iterator
from importlib.resources import files
from typing import NamedTuple

import psycopg
from psycopg import sql

from triplog.hub.database import HubUnusable, Open, told_in_words
from triplog.hub.derived import bring_up_derived

_ROLES = ("pairing", "ingest", "office", "auditor", "worker")
_ONE_AT_A_TIME = 0x7472_6C67


class Step(NamedTuple):
    """A step: its number, its name and the SQL that does it."""

    number: int
    name: str
    text: str

    @property
    def digest(self) -> str:
        """SHA-256 of the SQL."""
        return hashlib.sha256(self.text.encode()).hexdigest()


def steps() -> list[Step]:
    """All steps there are, in their order."""
    found = sorted(one.name for one in files("triplog.hub").joinpath("steps").iterdir())
    return [
        Step(
            int(name[:4]),
            name[5:].removesuffix(".sql"),
            files("triplog.hub").joinpath("steps", name).read_text("utf-8"),
        )
        for name in found
        if name.endswith(".sql")
    ]


def bring_up(connection: Open, *, up_to: int | None = None) -> list[Step]:
    """Do the steps that are not done yet, all or none; which they were.

    `up_to`: stop after that step. Raises HubUnusable where the database is a newer program's, or
    where a step that was done is another one now.
    """
    with told_in_words(), connection.transaction():
        connection.execute("SELECT pg_advisory_xact_lock(%s)", (_ONE_AT_A_TIME,))
        _make_roles(connection)
        connection.execute("CREATE SCHEMA IF NOT EXISTS hub")
        connection.execute("SELECT set_config('search_path', 'hub', true)")
        connection.execute(
            "CREATE TABLE IF NOT EXISTS step (number int PRIMARY KEY, name text NOT NULL,"
            " digest text NOT NULL, done_at timestamptz NOT NULL DEFAULT now())"
        )
        done = list(_not_done(connection, up_to))
        for step in done:
            connection.execute(step.text)
            connection.execute(
                "INSERT INTO step (number, name, digest) VALUES (%s, %s, %s)",
                (step.number, step.name, step.digest),
            )
        if up_to is None:
            bring_up_derived(connection)
    return done


def _not_done(connection: Open, up_to: int | None) -> Iterator[Step]:
    rows = connection.execute("SELECT number, digest FROM step ORDER BY number").fetchall()
    known = {step.number: step for step in steps()}
    for number, digest in rows:
        if number not in known:
            raise HubUnusable(f"step {number} of this database is a newer triplog's; take that one")
        if known[number].digest != digest:
            raise HubUnusable(f"step {number} was done here in another form than it has now")
    last = max((number for number, _ in rows), default=0)
    for number, step in sorted(known.items()):
        if number > last and (up_to is None or number <= up_to):
            yield step


def _make_roles(connection: Open) -> None:
    """The roles of the cluster: the service may take each of the others, and who asks is one."""
    for role in ("service", *_ROLES):
        name = sql.Identifier(f"triplog_{role}")
        try:
            with connection.transaction():
                connection.execute(sql.SQL("CREATE ROLE {} NOLOGIN").format(name))
        except (psycopg.errors.DuplicateObject, psycopg.errors.UniqueViolation):
            continue
    for role in _ROLES:
        connection.execute(
            sql.SQL("GRANT {} TO triplog_service").format(sql.Identifier(f"triplog_{role}"))
        )
    (may_take,) = connection.execute(
        "SELECT pg_has_role('triplog_service', 'MEMBER')"
    ).fetchone() or (False,)
    if not may_take:
        # A login that is no superuser only gets there by a grant, even where it made the roles.
        connection.execute("GRANT triplog_service TO CURRENT_USER")
