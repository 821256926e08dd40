"""The hub's tables come by steps: each once, from any of them on, all or none."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psycopg
import pytest

from tests.builders import StandingClock
from tests.hub.cluster import Cluster, cluster
from tests.hub.logs import answered, new_log, pair_log
from tests.hub.scene import hub_scene
from triplog.hub.database import HubUnusable, connect
from triplog.hub.schema import bring_up, steps
from triplog.journal.batch import pack_batch

NUMBERS = [step.number for step in steps()]


@pytest.fixture
def empty(server: Cluster, request: pytest.FixtureRequest) -> Iterator[str]:
    """A database without a hub."""
    name = f"empty_{abs(hash(request.node.nodeid)) % 10**12}"
    with psycopg.connect(server.dsn(), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
        yield server.dsn(name)
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def _shape(dsn: str) -> list[tuple[object, ...]]:
    """Tables, columns, indexes, policies, grants and functions of the hub."""
    asked = (
        "SELECT 'column', table_name, column_name, data_type, is_nullable"
        " FROM information_schema.columns WHERE table_schema = 'hub'",
        "SELECT 'index', tablename, indexname, indexdef, '' FROM pg_indexes"
        " WHERE schemaname = 'hub'",
        "SELECT 'policy', tablename, policyname, roles::text, qual FROM pg_policies"
        " WHERE schemaname = 'hub'",
        "SELECT 'grant', table_name, grantee, privilege_type, ''"
        " FROM information_schema.role_table_grants WHERE table_schema = 'hub'",
        "SELECT 'function', proname, pg_get_function_arguments(oid), prosrc, '' FROM pg_proc"
        " WHERE pronamespace = 'hub'::regnamespace",
    )
    with connect(dsn) as connection:
        rows = [row for query in asked for row in connection.execute(query).fetchall()]
    return sorted(rows, key=repr)


def _put_a_carrier_in(dsn: str) -> None:
    """A carrier, a chain and an entry as the first step's tables hold them."""
    with connect(dsn) as connection:
        connection.execute("SET search_path = hub")
        connection.execute(
            "INSERT INTO carrier (id, label, witness, office, invented, made_at)"
            " VALUES ('c1', 'carrier-1', 'w1', 'o1', false, '2026-03-02T13:00Z')"
        )
        connection.execute(
            "INSERT INTO chain (device, carrier, brought_by) VALUES ('d', 'c1', 'd')"
        )
        connection.execute(
            "INSERT INTO entry (carrier, device, seq, hash, kind, trip, entry_time, received_on,"
            " data) VALUES ('c1', 'd', 0, repeat('0', 64), 'trip_opened', 't1',"
            " '2026-03-02T13:00:00.000Z', '2026-03-02', '{}')"
        )


def _rows(dsn: str) -> list[tuple[object, ...]]:
    with connect(dsn) as connection:
        return connection.execute(
            "SELECT carrier.label, device, seq, data FROM hub.entry JOIN hub.carrier ON"
            " carrier.id = entry.carrier"
        ).fetchall()


def test_once_more_does_nothing(empty: str) -> None:
    with connect(empty) as connection:
        assert [step.number for step in bring_up(connection)] == NUMBERS
    before = _shape(empty)
    with connect(empty) as connection:
        assert bring_up(connection) == []
    assert _shape(empty) == before


@pytest.mark.parametrize("number", NUMBERS)
def test_from_every_step_with_data_in_it(empty: str, server: Cluster, number: int) -> None:
    with connect(empty) as connection:
        done = bring_up(connection, up_to=number)
    assert [step.number for step in done] == [one for one in NUMBERS if one <= number]
    _put_a_carrier_in(empty)
    with connect(empty) as connection:
        done = bring_up(connection)
    assert [step.number for step in done] == [one for one in NUMBERS if one > number]
    assert _rows(empty) == [("carrier-1", "d", 0, b"{}")]
    assert _shape(empty) == _shape(server.dsn("hub_template"))


def test_numbers_are_given_once_and_without_gaps() -> None:
    assert list(range(1, len(NUMBERS) + 1)) == NUMBERS


def test_a_step_that_is_another_one_now_is_refused(empty: str) -> None:
    with connect(empty) as connection:
        bring_up(connection)
        connection.execute("UPDATE hub.step SET digest = repeat('0', 64) WHERE number = 1")
    with connect(empty) as connection, pytest.raises(HubUnusable, match="step 1 was done here"):
        bring_up(connection)


def test_a_newer_database_is_refused(empty: str) -> None:
    with connect(empty) as connection:
        bring_up(connection)
        connection.execute(
            "INSERT INTO hub.step (number, name, digest) VALUES (9999, 'later', repeat('0', 64))"
        )
    with connect(empty) as connection, pytest.raises(HubUnusable, match=r"step 9999 .* newer"):
        bring_up(connection)


def test_a_step_that_breaks_leaves_nothing(empty: str, monkeypatch: pytest.MonkeyPatch) -> None:
    broken = [steps()[0], steps()[0]._replace(number=2, name="broken", text="SELECT 1 / 0")]
    monkeypatch.setattr("triplog.hub.schema.steps", lambda: broken)
    with connect(empty) as connection, pytest.raises(psycopg.errors.DivisionByZero):
        bring_up(connection)
    with connect(empty) as connection:
        (schema,) = connection.execute("SELECT to_regnamespace('hub')").fetchone() or (None,)
    assert schema is None


def test_two_at_once_do_each_step_once(empty: str) -> None:
    def brought() -> list[int]:
        with connect(empty) as connection:
            return [step.number for step in bring_up(connection)]

    with ThreadPoolExecutor(2) as both:
        first, second = (both.submit(brought) for _ in range(2))
        assert sorted([first.result(), second.result()]) == [[], NUMBERS]


def test_a_login_that_is_no_superuser_brings_a_hub_up_and_serves_it(tmp_path: Path) -> None:
    """On a server of its own: elsewhere the roles are there already, made by a superuser."""
    with cluster() as alone:
        with psycopg.connect(alone.dsn(), autocommit=True) as connection:
            connection.execute("CREATE ROLE plain LOGIN CREATEROLE")
            connection.execute("CREATE DATABASE plain OWNER plain")
        dsn = alone.dsn("plain", user="plain")
        with psycopg.connect(dsn, autocommit=True) as connection:
            bring_up(connection)
            assert bring_up(connection) == []
        with hub_scene(dsn, tmp_path / "hub", StandingClock()) as scene:
            log = new_log("truck1")
            secret = pair_log(scene, log)
            packed = pack_batch(log.batch())
            assert answered(scene, secret, packed).outcome == "taken"
            assert scene.held(log.device) == log.lines
