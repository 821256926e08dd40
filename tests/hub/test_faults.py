"""What breaks under the hub: its process, its database, the lines between, the room on the disk.

After each, all that was acknowledged is held, once; what was not is taken when it is brought again.
A place in mid-batch is reached without waiting for luck: the test holds the row the hub locks last.
"""

import http.client
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, TypeAlias

import psycopg
import pytest

from tests.builders import StandingClock, odometer_read, trip_opened
from tests.hub.cluster import Cluster, cluster
from tests.hub.cutting import Cutting, Way, cutting
from tests.hub.faulty import a_device, another_hub, goes_on, whole
from tests.hub.holding import Oracle
from tests.hub.logs import Log, asked
from tests.hub.process import hub_process, post
from tests.hub.scene import HubScene, hub_scene
from tests.hub.served import served
from triplog.hub.schema import bring_up
from triplog.journal.batch import Answer, BatchBroken, Place, answer_in, pack_batch

PATIENCE_S = 30.0
Asking: TypeAlias = "Future[Any]"
CUTS = 14
"""In so many places of the exchange the line is cut, each way, its first and last byte included."""


@contextmanager
def _holding_the_last_lock(hub: HubScene) -> Iterator[Callable[[Asking], None]]:
    """Nobody gets the witness's row; what is yielded waits until somebody asks for it."""
    with (
        psycopg.connect(hub.dsn) as holder,
        psycopg.connect(hub.dsn, autocommit=True) as watcher,
    ):
        holder.execute(
            "SELECT 1 FROM hub.chain WHERE device = %s FOR UPDATE", (hub.carrier.witness,)
        )

        def somebody_waits(asking: Asking) -> None:
            for _ in range(3000):
                if asking.done():
                    raise AssertionError(f"nobody had to wait: {asking.result()!r}")
                waiting = watcher.execute(
                    "SELECT pg_sleep(0.01), count(*) FROM pg_stat_activity WHERE datname ="
                    " current_database() AND wait_event_type = 'Lock'"
                ).fetchone()
                if waiting is not None and waiting[1]:
                    return
            raise AssertionError("nobody came to the last lock")

        yield somebody_waits
        holder.rollback()


def test_the_hub_killed_in_mid_batch(dsn: str, tmp_path: Path) -> None:
    """A process of its own, killed when all of a batch is written and nothing committed."""
    with hub_scene(dsn, tmp_path, StandingClock()) as hub:
        oracle = Oracle(hub.database)
        log, secret = a_device(hub, "killed")
        process, port = hub_process(dsn, tmp_path)
        try:
            with _holding_the_last_lock(hub) as somebody_waits, ThreadPoolExecutor(1) as one:
                asking = one.submit(post, port, secret, pack_batch(log.batch()))
                somebody_waits(asking)
                process.kill()
                process.wait(PATIENCE_S)
                with pytest.raises((OSError, http.client.HTTPException)):
                    asking.result(PATIENCE_S)
        finally:
            process.kill()
            process.wait(PATIENCE_S)
        assert hub.held("killed") == []
        whole(hub, oracle, log, secret)


def test_a_connection_of_the_database_ended_in_mid_batch(hub: HubScene) -> None:
    oracle = Oracle(hub.database)
    log, secret = a_device(hub, "ended")
    with _holding_the_last_lock(hub) as somebody_waits, ThreadPoolExecutor(1) as one:
        asking = one.submit(asked, hub, secret, pack_batch(log.batch()))
        somebody_waits(asking)
        with psycopg.connect(hub.dsn, autocommit=True) as ending:
            ending.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = current_database() AND wait_event_type = 'Lock'"
            )
        status, body = asking.result(PATIENCE_S)
    assert status == 503
    assert b"tried again" in body
    assert hub.held("ended") == []
    whole(hub, oracle, log, secret)


@pytest.fixture
def own_server() -> Iterator[Cluster]:
    """A server of this test alone, for it is going to be stopped as a crash does."""
    with cluster() as running:
        with psycopg.connect(running.dsn(), autocommit=True) as connection:
            bring_up(connection)
        yield running


def test_the_database_stopped_as_by_a_crash_in_mid_traffic(
    own_server: Cluster, tmp_path: Path
) -> None:
    """One batch is caught in its middle for sure, others wherever they are."""
    with hub_scene(own_server.dsn(), tmp_path, StandingClock()) as hub:
        oracle = Oracle(hub.database)
        devices = [a_device(hub, f"crash{number}") for number in range(4)]
        with ThreadPoolExecutor(5) as threads:
            for _ in range(2):
                for log, _ in devices:
                    goes_on(log, 10)
                traffic = _crash(own_server, hub, devices, threads)
                for (log, _), going in zip(devices, traffic, strict=True):
                    answer = going.result(PATIENCE_S * 4)
                    assert answer.outcome == "taken"
                    oracle.took(log.device, log.lines)
                oracle.looks(list(oracle.acknowledged), hub.carrier.witness)
        for log, secret in devices:
            whole(hub, oracle, log, secret)


def _crash(
    server: Cluster,
    hub: HubScene,
    devices: list[tuple[Log, str]],
    threads: ThreadPoolExecutor,
) -> list["Future[Answer]"]:
    with suppress(psycopg.OperationalError), _holding_the_last_lock(hub) as somebody_waits:
        traffic = [threads.submit(_until_taken, hub, log, secret) for log, secret in devices]
        somebody_waits(traffic[0])
        server.stop("immediate")
    server.start()
    return traffic


def _until_taken(hub: HubScene, log: Log, secret: str) -> Answer:
    """Push, two entries at once, until all is there, however often the hub cannot."""

    def send(packed: bytes) -> Answer | None:
        status, body = asked(hub, secret, packed)
        assert status in (200, 503), body
        return answer_in(body) if status == 200 else None

    for _ in range(200):
        heard = log.push(send, lambda left: min(left, 2))
        if heard is not None:
            return heard
    raise AssertionError("the hub did not come back")


@pytest.mark.parametrize("way", ["up", "down"])
def test_the_line_to_the_hub_cut_at_every_step(hub: HubScene, way: Way) -> None:
    oracle = Oracle(hub.database)
    log, secret = a_device(hub, "cut")
    taken_unheard = 0
    with served(hub) as serving, cutting(serving.port) as line:
        for place in _places(line, way, lambda: post(line.port, secret, _news(log))):
            line.arm(way, place)
            before = len(hub.held("cut"))
            with pytest.raises((OSError, http.client.HTTPException, BatchBroken)):
                post(line.port, secret, _news(log))
            line.arm()
            oracle.looks(["cut"], hub.carrier.witness)
            taken_unheard += len(hub.held("cut")) > before
            whole(hub, oracle, log, secret)
    # Cut on its way up a batch is not there; on the way back it is, and nobody was told.
    assert (taken_unheard > CUTS // 2) if way == "down" else (taken_unheard <= 1)


@pytest.mark.parametrize("way", ["up", "down"])
def test_the_line_to_the_database_cut_at_every_step(hub: HubScene, way: Way) -> None:
    oracle = Oracle(hub.database)
    log, secret = a_device(hub, "cut")
    port = int(dict(one.split("=") for one in hub.dsn.split())["port"])
    statuses = []
    with cutting(port) as line:
        dsn = hub.dsn.replace(f"port={port}", f"port={line.port}")
        with another_hub(hub, dsn) as other:
            for place in _places(line, way, lambda: asked(other, secret, _news(log))):
                line.arm(way, place)
                status, body = asked(other, secret, _news(log))
                assert status in (200, 503), body
                statuses.append(status)
                line.arm()
                oracle.looks(["cut"], hub.carrier.witness)
                whole(other, oracle, log, secret)
    assert statuses.count(503) > CUTS // 2


def _news(log: Log) -> bytes:
    """A batch with an entry that is new, and the one before it."""
    log.append(odometer_read(trip=f"trip{log.device}"))
    return pack_batch(log.batch(0))


def _places(line: Cutting, way: Way, exchange: Callable[[], object]) -> list[int]:
    """Places in an exchange, by its length when nothing is cut; the last is just before its end.

    An exchange is a few bytes longer or shorter than another.
    """
    exchange()
    line.arm()
    exchange()
    length = line.passed[way]
    assert length > CUTS
    return [(length - 8) * number // (CUTS - 1) for number in range(CUTS)]


@pytest.mark.parametrize(
    ("table", "when"),
    [
        ("entry", "INSERT"),
        ("opening", "INSERT"),
        ("to_derive", "INSERT"),
        ("contact", "INSERT"),
        ("chain", "UPDATE"),
        ("device", "UPDATE"),
    ],
)
def test_no_room_at_any_table_keeps_nothing_by_halves(hub: HubScene, table: str, when: str) -> None:
    """A full tablespace, played: a trigger raises the server's own *disk_full* (SQLSTATE 53100).

    A small file system of its own cannot be mounted by a user without rights, as the tests are.
    """
    oracle = Oracle(hub.database)
    log, secret = a_device(hub, "full")
    whole(hub, oracle, log, secret)
    log.append(trip_opened("another"))
    told = log.batch(len(log.lines) - 1)
    told.known[hub.carrier.office] = Place(0, "0" * 64)
    with psycopg.connect(hub.dsn, autocommit=True) as owner:
        owner.execute(
            "CREATE FUNCTION hub.no_room() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE"
            " EXCEPTION 'could not extend file: No space left on device'"
            " USING ERRCODE = 'disk_full'; END $$"
        )
        owner.execute(
            f"CREATE TRIGGER no_room BEFORE {when} ON hub.{table} FOR EACH ROW"
            " EXECUTE FUNCTION hub.no_room()"
        )
        status, body = asked(hub, secret, pack_batch(told))
        assert status == 503, body
        assert b"tried again" in body
        oracle.looks(["full"], hub.carrier.witness)
        assert hub.held("full") == log.lines[:-1]
        owner.execute(f"DROP TRIGGER no_room ON hub.{table}")
    whole(hub, oracle, log, secret)


def test_the_hub_serves_again_without_being_started_anew(hub: HubScene) -> None:
    """Every connection it had is gone at once; the next request takes a new one."""
    oracle = Oracle(hub.database)
    log, secret = a_device(hub, "again")
    with psycopg.connect(hub.dsn, autocommit=True) as ending:
        ending.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    whole(hub, oracle, log, secret)
