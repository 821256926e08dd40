"""Every table of the hub, every role: only its own carrier's rows, and no more than was granted.

The cases are made over the database's own catalogue, so that a table that is added without a
policy, or a function that anybody may call, fails here.
"""

import hashlib
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import psycopg
import pytest
from psycopg import Connection, sql

from tests.hub.cluster import Cluster
from triplog.hub.schema import bring_up

Row = dict[str, Any]
ROLES = ("pairing", "ingest", "office", "auditor", "worker")
HELD = ("pairing", "ingest", "office", "auditor")
"""The roles that see one carrier; a worker serves all of them."""
A, B = "carrier-a", "carrier-b"
LOGIN = "an_auditor_of_a"
OWN_ALONE = {"step", "login"}
"""Tables of the owner's, which no role is granted anything on."""
OF_NO_CARRIER = {"worker_turn"}
"""What workers say of themselves; no other role reaches it."""
NEVER_CHANGED = {"entry", "opening", "fork_evidence"}
TABLES = (
    "SELECT c.relname, c.relrowsecurity FROM pg_class AS c"
    " WHERE c.relnamespace = 'hub'::regnamespace AND c.relkind IN ('r', 'p')"
    " AND NOT c.relispartition ORDER BY 1"
)


@pytest.fixture(scope="module")
def rows_dsn(server: Cluster) -> Iterator[str]:
    """A hub's database with a row of two carriers in every table, and an auditor's own login."""
    name = "hub_rows"
    with psycopg.connect(server.dsn(), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
        connection.execute(f"CREATE ROLE {LOGIN} LOGIN IN ROLE triplog_auditor")
        connection.execute("CREATE ROLE a_service LOGIN IN ROLE triplog_service")
        with psycopg.connect(server.dsn(name), autocommit=True) as own:
            bring_up(own)
            own.execute("SELECT hub.make_month('2026-03-01')")
            _fill(own)
            own.execute("INSERT INTO hub.login VALUES (%s, %s)", (LOGIN, A))
        yield server.dsn(name)
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")
        connection.execute(f"DROP ROLE {LOGIN}")
        connection.execute("DROP ROLE a_service")


def _fill(connection: Connection[Any]) -> None:
    """A row of each carrier in every table that roles reach."""
    for table in _tables(connection):
        for carrier in (A, B):
            row = _row(connection, table, carrier)
            with connection.transaction():
                connection.execute("SET LOCAL session_replication_role = replica")
                connection.execute(*_insert(table, row))


def _tables(connection: Connection[Any]) -> list[str]:
    return [name for name, _ in connection.execute(TABLES) if name not in OWN_ALONE | OF_NO_CARRIER]


def _row(connection: Connection[Any], table: str, carrier: str) -> Row:
    """A row that the table's own conditions let through."""
    columns = connection.execute(
        "SELECT column_name, udt_name FROM information_schema.columns WHERE table_schema = 'hub'"
        " AND table_name = %s AND identity_generation IS DISTINCT FROM 'ALWAYS'",
        (table,),
    ).fetchall()
    checks = connection.execute(
        "SELECT pg_get_constraintdef(oid) FROM pg_constraint WHERE contype = 'c'"
        " AND conrelid = ('hub.' || quote_ident(%s))::regclass",
        (table,),
    ).fetchall()
    told = [one for (one,) in checks]
    return {
        name: carrier if name == _of(table) else _value(name, kind, carrier, told)
        for name, kind in columns
    }


def _of(table: str) -> str:
    return "id" if table == "carrier" else "carrier"


def _value(name: str, kind: str, carrier: str, checks: list[str]) -> Any:
    own = [one for one in checks if re.search(rf"\W{name}\W", one)]
    for one in own:
        if word := re.search(rf"\(?{name} = ANY \(ARRAY\['([^']*)'", one):
            return word[1]
        if re.search(rf"\(?{name} = ANY \(ARRAY\[\(?\d", one):
            return 1
        if length := re.search(rf"length\({name}\) = (\d+)", one):
            digest = hashlib.sha256(f"{carrier} {name}".encode())
            return digest.digest() if kind == "bytea" else digest.hexdigest()[: int(length[1])]
    match kind:
        case "text":
            return f"{name} of {carrier}"
        case "bytea":
            return f"{name} of {carrier}".encode()
        case "bool":
            return False
        case "date":
            return "2026-03-01"
        case "timestamptz" | "timestamp":
            return "2026-03-01T12:00Z"
        case "json" | "jsonb":
            return "{}"
        case "_text":
            return []
        case _:
            return 1 if carrier == A else 2


def _insert(table: str, row: Row) -> tuple[sql.Composed, list[Any]]:
    query = sql.SQL("INSERT INTO hub.{} ({}) VALUES ({})").format(
        sql.Identifier(table),
        sql.SQL(", ").join(map(sql.Identifier, row)),
        sql.SQL(", ").join([sql.Placeholder()] * len(row)),
    )
    return query, list(row.values())


@contextmanager
def seat(dsn: str, role: str, carrier: str | None = A) -> Iterator[Connection[Any]]:
    """A transaction as the hub's service has it in a role; nothing of it stays."""
    user = LOGIN if role == LOGIN else "a_service"
    with psycopg.connect(re.sub("user=.*", f"user={user}", dsn)) as connection:
        if role != LOGIN:
            connection.execute(sql.SQL("SET ROLE {}").format(sql.Identifier(f"triplog_{role}")))
        connection.execute("SELECT set_config('hub.carrier', %s, false)", (carrier or "",))
        connection.commit()
        yield connection
        connection.rollback()


def _owner(dsn: str) -> Connection[Any]:
    return psycopg.connect(dsn, autocommit=True)


def _privileges(connection: Connection[Any], role: str) -> set[tuple[str, str]]:
    """What a role may do with which table, with some of its columns at least."""
    rows = connection.execute(
        "SELECT c.relname, p FROM pg_class AS c,"
        " unnest(ARRAY['SELECT', 'INSERT', 'UPDATE']) AS p"
        " WHERE c.relnamespace = 'hub'::regnamespace AND c.relkind IN ('r', 'p', 'v', 'm')"
        " AND has_any_column_privilege(%(role)s, c.oid, p)"
        " UNION ALL SELECT c.relname, p FROM pg_class AS c,"
        " unnest(ARRAY['DELETE', 'TRUNCATE']) AS p"
        " WHERE c.relnamespace = 'hub'::regnamespace AND c.relkind IN ('r', 'p', 'v', 'm')"
        " AND has_table_privilege(%(role)s, c.oid, p)",
        {"role": role},
    )
    return set(rows.fetchall())


def test_every_table_that_a_role_reaches_is_guarded_row_by_row(rows_dsn: str) -> None:
    with _owner(rows_dsn) as connection:
        guarded = {name for name, is_guarded in connection.execute(TABLES) if is_guarded}
        for role in ROLES:
            reached = {table for table, _ in _privileges(connection, f"triplog_{role}")}
            assert reached <= guarded, (role, reached - guarded)
            policies = connection.execute(
                "SELECT tablename, policyname, qual, with_check FROM pg_policies WHERE"
                " schemaname = 'hub' AND permissive = 'PERMISSIVE'"
                " AND ('public' = ANY(roles) OR %s = ANY(roles))",
                (f"triplog_{role}",),
            ).fetchall()
            assert reached <= {table for table, *_ in policies}, role
            if role in HELD:
                for table, name, *conditions in policies:
                    for one in filter(None, conditions):
                        assert "carrier_here()" in one, (role, table, name, one)


def test_a_table_without_a_policy_would_be_found(rows_dsn: str) -> None:
    with _owner(rows_dsn) as connection, connection.transaction(force_rollback=True):
        connection.execute("CREATE TABLE hub.strange (carrier text)")
        connection.execute("GRANT SELECT ON hub.strange TO triplog_office")
        guarded = {name for name, is_guarded in connection.execute(TABLES) if is_guarded}
        reached = {table for table, _ in _privileges(connection, "triplog_office")}
        assert reached - guarded == {"strange"}


def test_the_owner_s_own_tables_are_nobody_else_s(rows_dsn: str) -> None:
    with _owner(rows_dsn) as connection:
        for role in (*(f"triplog_{one}" for one in ROLES), LOGIN, "a_service"):
            reached = {table for table, _ in _privileges(connection, role)}
            assert reached.isdisjoint(OWN_ALONE), role


def test_what_is_of_no_carrier_is_reached_by_workers_alone(rows_dsn: str) -> None:
    with _owner(rows_dsn) as connection:
        for role in (*(f"triplog_{one}" for one in HELD), LOGIN):
            reached = {table for table, _ in _privileges(connection, role)}
            assert reached.isdisjoint(OF_NO_CARRIER), role
        reached = {table for table, _ in _privileges(connection, "triplog_worker")}
        assert reached >= OF_NO_CARRIER


def test_no_month_s_table_is_reached_by_itself(rows_dsn: str) -> None:
    with _owner(rows_dsn) as connection:
        parts = {
            name
            for (name,) in connection.execute(
                "SELECT relname FROM pg_class WHERE relispartition"
                " AND relnamespace = 'hub'::regnamespace AND relkind = 'r'"
            )
        }
        assert parts
        for role in (*(f"triplog_{one}" for one in ROLES), LOGIN):
            reached = {table for table, _ in _privileges(connection, role)}
            assert reached.isdisjoint(parts), role


@pytest.mark.parametrize("role", [*HELD, LOGIN])
def test_it_sees_the_rows_of_its_own_carrier_alone(rows_dsn: str, role: str) -> None:
    with _owner(rows_dsn) as owner, seat(rows_dsn, role) as connection:
        granted = _privileges(owner, LOGIN if role == LOGIN else f"triplog_{role}")
        seen = 0
        for table in _tables(owner):
            column = sql.Identifier(_of(table))
            query = sql.SQL("SELECT {} FROM hub.{}").format(column, sql.Identifier(table))
            assert {one for (one,) in owner.execute(query)} == {A, B}, f"{table} is filled"
            if (table, "SELECT") not in granted:
                with pytest.raises(psycopg.errors.InsufficientPrivilege):
                    connection.execute(query)
                connection.rollback()
                continue
            assert {one for (one,) in connection.execute(query)} == {A}, table
            seen += 1
        assert seen


@pytest.mark.parametrize("role", HELD)
def test_without_a_carrier_it_sees_nothing(rows_dsn: str, role: str) -> None:
    with _owner(rows_dsn) as owner, seat(rows_dsn, role, None) as connection:
        granted = _privileges(owner, f"triplog_{role}")
        for table in _tables(owner):
            if (table, "SELECT") in granted:
                query = sql.SQL("SELECT {} FROM hub.{}").format(
                    sql.Identifier(_of(table)), sql.Identifier(table)
                )
                assert connection.execute(query).fetchall() == [], table


@pytest.mark.parametrize("role", [*HELD, LOGIN])
def test_it_writes_nothing_of_another_carrier(rows_dsn: str, role: str) -> None:
    with _owner(rows_dsn) as owner, seat(rows_dsn, role) as connection:
        for table in _tables(owner):
            of, name = sql.Identifier(_of(table)), sql.Identifier(table)
            row = _row(owner, table, B)
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                connection.execute(*_insert(table, row))
            connection.rollback()
            for column in row:
                query = sql.SQL("UPDATE hub.{} SET {c} = {c} WHERE {} = %s").format(
                    name, of, c=sql.Identifier(column)
                )
                assert _touched(connection, query, B) == 0, (table, column)
            move = sql.SQL("UPDATE hub.{} SET {c} = %s").format(name, c=of)
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                connection.execute(move, (B,))
            connection.rollback()
            query = sql.SQL("DELETE FROM hub.{} WHERE {} = %s").format(name, of)
            assert _touched(connection, query, B) == 0, table


def _touched(connection: Connection[Any], query: sql.Composed, carrier: str) -> int:
    """How many rows it changed; none where it may not."""
    try:
        return connection.execute(query, (carrier,)).rowcount
    except psycopg.errors.InsufficientPrivilege:
        return 0
    finally:
        connection.rollback()


@pytest.mark.parametrize("role", ROLES)
def test_what_is_recorded_is_changed_and_removed_by_no_role(rows_dsn: str, role: str) -> None:
    with _owner(rows_dsn) as owner:
        granted = _privileges(owner, f"triplog_{role}")
    for table in NEVER_CHANGED:
        assert {what for one, what in granted if one == table} <= {"SELECT", "INSERT"}, table


def test_what_is_recorded_is_not_changed_by_the_owner_either(rows_dsn: str) -> None:
    with _owner(rows_dsn) as owner:
        for act in (
            "UPDATE hub.entry SET kind = kind",
            "DELETE FROM hub.entry",
            "UPDATE hub.fork_evidence SET seq = seq",
            "DELETE FROM hub.fork_evidence",
            "UPDATE hub.opening SET salt = salt",
        ):
            with pytest.raises(psycopg.errors.RaiseException, match="never changed"):
                owner.execute(act)


@pytest.mark.parametrize("role", ["auditor", LOGIN])
def test_an_auditor_writes_nothing_at_all(rows_dsn: str, role: str) -> None:
    name = LOGIN if role == LOGIN else "triplog_auditor"
    with _owner(rows_dsn) as owner:
        assert {what for _, what in _privileges(owner, name)} == {"SELECT"}
        (may_make,) = owner.execute(
            "SELECT has_schema_privilege(%s, 'hub', 'CREATE')", (name,)
        ).fetchone() or (None,)
        assert may_make is False


def test_an_auditor_s_login_stays_with_its_carrier_whatever_it_sets(rows_dsn: str) -> None:
    for act in (
        "SELECT set_config('hub.carrier', %(b)s, false)",
        "SET ROLE triplog_auditor; SELECT set_config('hub.carrier', 'carrier-b', false)",
    ):
        with seat(rows_dsn, LOGIN) as connection:
            for part in act.split("; "):
                connection.execute(part, {"b": B})
            rows = connection.execute("SELECT DISTINCT carrier FROM hub.entry").fetchall()
            assert rows == [(A,)]
    for role in ("triplog_office", "triplog_service", "triplog_worker", "owner"):
        with seat(rows_dsn, LOGIN) as connection:
            with pytest.raises(psycopg.errors.InsufficientPrivilege):
                connection.execute(sql.SQL("SET ROLE {}").format(sql.Identifier(role)))
            connection.rollback()
    with seat(rows_dsn, LOGIN) as connection, pytest.raises(psycopg.errors.InsufficientPrivilege):
        connection.execute("SELECT secret FROM hub.device")


def test_functions_are_called_by_those_they_are_meant_for(rows_dsn: str) -> None:
    with _owner(rows_dsn) as owner:
        found = owner.execute(
            "SELECT p.oid::regprocedure::text, p.oid, p.prosecdef, p.proconfig,"
            " EXISTS (SELECT FROM aclexplode(coalesce(p.proacl, acldefault('f', p.proowner)))"
            " AS a WHERE a.grantee = 0) FROM pg_proc AS p"
            " WHERE p.pronamespace = 'hub'::regnamespace AND p.prorettype <> 'trigger'::regtype"
        ).fetchall()
        assert found
        for name, oid, as_owner, settings, anybody in found:
            assert not anybody, f"anybody may call {name}"
            if as_owner:
                assert settings, f"{name} runs as the owner, so its search path is its own"
                assert any(one.startswith("search_path=hub") for one in settings), name
            (may,) = owner.execute(
                "SELECT has_function_privilege(%s, %s::oid, 'EXECUTE')", (LOGIN, oid)
            ).fetchone() or (None,)
            assert may == (name in ("carrier_here()", "hub.carrier_here()")), name
