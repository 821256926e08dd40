"""A hub is put back from a back-up, as DEVELOPERS.md says: devices go on, and bring what it lacks.

pg_dump, pg_dumpall, pg_restore and pg_basebackup are the server's own (PostgreSQL's manual, chapter
*Backup and Restore*). What the hub and its devices do then is our design.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.dossier.scene import Office
from tests.hub.cluster import Cluster, cluster
from tests.hub.scene import HubScene, lines_of
from tests.hub.served import Served, device
from triplog.desk.hub_push import push
from triplog.desk.hub_status import status_of
from triplog.hub import own_log
from triplog.hub.app import Hub, application
from triplog.hub.carriers import carrier_named
from triplog.hub.database import connect, open_database
from triplog.hub.device_list import device_rows
from triplog.hub.health import health
from triplog.hub.office.devices import devices_of
from triplog.hub.schema import bring_up
from triplog.hub.state import standing
from triplog.journal.batch import Batch, pack_batch
from triplog.journal.entries import Draft, Entry, entry_of
from triplog.journal.store import Store


@dataclass(slots=True)
class Fleet:
    """A hub that is served, and two trucks; `name`: of its database."""

    server: Cluster
    hub: HubScene
    served: Served
    trucks: list[Office]
    name: str

    def pushed(self) -> None:
        """Both trucks bring everything."""
        assert [push(truck.desk).is_whole for truck in self.trucks] == [True, True]


@pytest.fixture
def fleet(server: Cluster, hub: HubScene, tmp_path: Path) -> Iterator[Fleet]:
    """A hub that has all of both trucks' logs, and a hold that both trucks know."""
    with closing_served(Served(hub)) as one:
        trucks = [device(tmp_path / f"truck-{number}") for number in (1, 2)]
        for number, truck in enumerate(trucks, 1):
            one.paired(truck, f"truck-{number}")
        made = Fleet(server, hub, one, trucks, hub.dsn.partition("dbname=")[2].split()[0])
        made.pushed()
        _held(hub, trucks[0])
        made.pushed()
        yield made


@contextmanager
def closing_served(one: Served) -> Iterator[Served]:
    """Served until the block ends, whatever it is served over by then."""
    one.start()
    try:
        yield one
    finally:
        one.stop()


def _held(hub: HubScene, truck: Office) -> Entry:
    """A hold that the office places on the truck's trip, on the hub's own page."""
    draft = Draft(
        kind="hold_placed",
        body={},
        by="nobody",
        via="typed",
        trip=truck.trip("T-1").id,
        private={"reason": "an inquiry"},
    )
    carrier = hub.carrier
    hub.clock.forward(minutes=1)
    with hub.database.work("office", carrier.id) as connection:
        return own_log.append(connection, carrier.id, carrier.office, draft, hub.clock.read())


def _dumped(fleet: Fleet) -> Callable[[Cluster], None]:
    """A dump of the database and of the roles; what puts them into an empty server."""
    dump, roles = fleet.server.folder / "hub.dump", fleet.server.folder / "roles.sql"
    fleet.server.run("pg_dump", "--format=custom", f"--file={dump}", fleet.server.dsn(fleet.name))
    fleet.server.run(
        "pg_dumpall",
        "--roles-only",
        "--no-role-passwords",
        f"--file={roles}",
        f"--dbname={fleet.server.dsn()}",
    )

    def put_back(empty: Cluster) -> None:
        empty.run("psql", "--quiet", f"--file={roles}", empty.dsn())
        empty.run("psql", "--quiet", f"--command=CREATE DATABASE {fleet.name}", empty.dsn())
        database = f"--dbname={empty.dsn(fleet.name)}"
        empty.run("pg_restore", "--exit-on-error", "--single-transaction", database, str(dump))

    return put_back


@contextmanager
def _from_dump(fleet: Fleet) -> Iterator[Callable[[], Iterator[Cluster]]]:
    put_back = _dumped(fleet)

    def again() -> Iterator[Cluster]:
        with cluster() as empty:
            put_back(empty)
            yield empty

    yield again


@contextmanager
def _from_base_backup(fleet: Fleet) -> Iterator[Callable[[], Iterator[Cluster]]]:
    """The whole server's files, with the log of changes that makes them one state."""
    kept = fleet.server.folder / f"base-{fleet.name}"
    where = f"--dbname={fleet.server.dsn()}"
    fleet.server.run(
        "pg_basebackup", f"--pgdata={kept}", "--wal-method=stream", "--checkpoint=fast", where
    )

    def fill(made: Cluster) -> None:
        made.run("pg_verifybackup", str(kept))
        shutil.copytree(kept, made.data)
        made.data.chmod(0o700)
        if os.geteuid() == 0:
            for path in (made.data, *made.data.rglob("*")):
                shutil.chown(path, "postgres")

    def again() -> Iterator[Cluster]:
        with cluster(fill) as started:
            yield started

    yield again


WAYS = {"pg_dump": _from_dump, "pg_basebackup": _from_base_backup}


@contextmanager
def _put_back(
    fleet: Fleet, again: Callable[[], Iterator[Cluster]], home: Path, *, says_so: bool = True
) -> Iterator[HubScene]:
    """The hub on another server, reached where it was before."""
    fleet.served.stop()
    with contextmanager(again)() as other:
        dsn = other.dsn(fleet.name)
        with connect(dsn) as connection:
            connection.autocommit = True
            assert bring_up(connection) == [], "the steps stand in the back-up"
        if says_so:
            _command(home, "hub", "put-back", "--dsn", dsn)
        database = open_database(dsn)
        try:
            carrier = carrier_named(database, None)
            app = application(Hub(database=database, home=home, clock=fleet.hub.clock))
            scene = HubScene(dsn, database, home, fleet.hub.clock, carrier, app)
            fleet.served.scene = scene
            fleet.served.start()
            yield scene
            fleet.served.stop()
        finally:
            database.close()


def _command(home: Path, *words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "triplog", *words],
        env=os.environ | {"TRIPLOG_HOME": str(home)},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def _forks(store: Store) -> list[Entry]:
    return list(store.entries("kind = 'fork_found'"))


@pytest.mark.parametrize("way", WAYS)
def test_a_hub_put_back_is_brought_what_it_lacks_and_goes_on(
    fleet: Fleet, tmp_path: Path, way: str
) -> None:
    first, second = fleet.trucks
    home = tmp_path / "hub's folder, kept"
    with WAYS[way](fleet) as again:
        shutil.copytree(fleet.hub.home, home)
        at_backup = {truck.desk.store.device: lines_of(truck.desk.store) for truck in fleet.trucks}
        first.checked(first.trip("T-1"), minutes=10)
        push(first.desk)
        lost = _held(fleet.hub, first)
        push(first.desk)
        before = fleet.hub.carrier
        with _put_back(fleet, again, home) as hub:
            assert all(hub.held(one) == lines for one, lines in at_backup.items())
            told = push(first.desk)
            assert told.own.outcome == "taken"
            (said,) = told.trouble
            assert "was set back" in said
            assert not _plain_trouble(second)
            for truck in fleet.trucks:
                assert push(truck.desk).is_whole, "it is told once"
                assert hub.held(truck.desk.store.device) == lines_of(truck.desk.store)
            new = _held(hub, first)
            for truck in fleet.trucks:
                assert push(truck.desk).is_whole
            holds = {one.hash for one in first.desk.store.entries("kind = 'hold_placed'")}
            assert {lost.hash, new.hash} <= holds, "what only a device has stays there"
            theirs = {one.hash for one in second.desk.store.entries("kind = 'hold_placed'")}
            assert theirs == holds - {lost.hash}
            assert not [*_forks(first.desk.store), *_forks(second.desk.store)]
            status = status_of(first.desk)
            assert status is not None and status.outcome == "taken"
            _is_one_history(hub, before.witness, before.office)
            _newcomer_has_all(fleet, hub, tmp_path / "truck-3", new)


def _plain_trouble(truck: Office) -> list[str]:
    """What a truck is told that brought nothing after the back-up."""
    return push(truck.desk).trouble


def _is_one_history(hub: HubScene, *former: str) -> None:
    """No chain of the hub's own is written on after the back-up; those that are name them."""
    assert not {*former} & {hub.carrier.witness, hub.carrier.office}
    for chain, before in zip((hub.carrier.witness, hub.carrier.office), former, strict=True):
        (entry,) = [one for one in _entries(hub, chain) if one.kind == "store_restored"]
        assert entry.body["from_heads"] == {before: _entries(hub, before)[-1].hash}
    with connect(hub.dsn) as connection:
        assert connection.execute("SELECT count(*) FROM hub.fork_evidence").fetchone() == (0,)


def _newcomer_has_all(fleet: Fleet, hub: HubScene, home: Path, new: Entry) -> None:
    """A device paired now has both office chains, and writes into neither."""
    third = device(home)
    fleet.served.paired(third, "truck-3")
    assert push(third.desk).is_whole
    placed = {one.hash for one in third.desk.store.entries("kind = 'hold_placed'")}
    assert new.hash in placed and len(placed) == 2
    paired = hub.pair(device(home.with_name("truck-4")).desk.store, "truck-4")
    for chain in (*hub.carrier.witnesses, *hub.carrier.offices):
        status, body = hub.send(paired, pack_batch(Batch(device=chain, after=None, sent_ms=0)))
        assert (status, b"by the hub alone" in body) == (422, True)


def _entries(hub: HubScene, chain: str) -> list[Entry]:
    return [entry_of(line) for line in hub.held(chain)]


def test_why_it_has_to_be_said_that_a_hub_was_put_back(fleet: Fleet) -> None:
    """Unsaid, the office's next hold gets a number that was given, and a truck never has it."""
    first, second = fleet.trucks
    with WAYS["pg_dump"](fleet) as again:
        lost = _held(fleet.hub, first)
        push(first.desk)
        with _put_back(fleet, again, fleet.hub.home, says_so=False) as hub:
            new = _held(hub, first)
            assert (new.device, new.seq) == (lost.device, lost.seq)
            for truck in fleet.trucks:
                push(truck.desk)
    assert not list(first.desk.store.entries("hash = ?", (new.hash,)))
    assert list(second.desk.store.entries("hash = ?", (new.hash,)))


@pytest.mark.parametrize("goes_on", [0, 1, 2])
def test_a_hub_that_was_put_back_and_not_told_so_finds_it_by_its_devices(
    fleet: Fleet, goes_on: int
) -> None:
    """On the list, in `hub devices` and at /health, however much the office writes meanwhile.

    What it writes counts as not arrived at the truck that has something else there.
    """
    first, second = fleet.trucks
    with WAYS["pg_dump"](fleet) as again:
        _held(fleet.hub, first)
        push(first.desk)
        with _put_back(fleet, again, fleet.hub.home, says_so=False) as hub:
            push(second.desk)
            assert (_ahead(hub), _trouble(hub)) == ([], [])
            for _ in range(goes_on):
                _held(hub, first)
            for truck in (first, second, first):
                push(truck.desk)
            assert _ahead(hub) == ["truck-1"]
            assert _pending(hub) == {"truck-1": goes_on, "truck-2": 0}
            (told,) = _trouble(hub)
            assert "triplog hub put-back" in told
            _command(fleet.hub.home, "hub", "put-back", "--dsn", hub.dsn)
            hub.carrier = carrier_named(hub.database, None)
            assert (_ahead(hub), _trouble(hub)) == ([], [])
            push(first.desk)
            assert (_ahead(hub), _trouble(hub)) == ([], [])


def _ahead(hub: HubScene) -> list[object]:
    """The devices that have more of the office's log than the hub, as they are listed."""
    rows = device_rows(hub.database, hub.carrier, hub.clock)
    return [row["label"] for row in rows if "hub put-back" in str(row["odd"])]


def _pending(hub: HubScene) -> dict[str, int]:
    """How many of the office's entries each truck lacks, as far as the hub was told."""
    with hub.database.work("office", hub.carrier.id) as connection:
        return {one.label: one.pending for one in devices_of(connection, hub.carrier)}


def _trouble(hub: HubScene) -> list[str]:
    """What /health tells of it."""
    told = health(standing(hub.database, hub.clock.wall), has_key=True)["trouble"]
    assert isinstance(told, list)
    return [one for one in told if "put back" in one]
