"""A hub's lists when there are many trips, and its workers: late checks, the office, two at once.

Two databases with the same trip that is under way and late; the larger has the rows of many more.
"""

import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

import psycopg

from scheduler.notify import Outcome
from tests.benchmarks.measure import ROOT, ROUNDS, Figure, by_turns, seconds
from tests.builders import DRIVER, StandingClock
from tests.dossier.scene import office
from tests.hub.cluster import Cluster
from tests.hub.days import log_of_days
from tests.hub.logs import answered, new_log, pair_log
from tests.hub.office_scene import HubBrowser, OfficeScene, office_scene
from tests.hub.scene import HubScene, hub_scene
from triplog.hub.database import open_database
from triplog.hub.derived import bring_up_derived
from triplog.hub.late import tell_late
from triplog.hub.margins import Margins
from triplog.hub.outbox import hand_over_one
from triplog.hub.schema import bring_up
from triplog.journal.batch import pack_batch
from triplog.journal.entries import Draft

FEW, MANY_LISTED, MANY_UNDER_WAY = 1_000, 100_000, 1_000_000
LATE = 100
"""So many checks are late in both, and their offices were told."""
ASKED_AT_ONCE = 10
DEVICES, DAYS = 20, 10
WAY_S = 0.02
PAGES = {
    "the office's first page": "/office",
    "the office's trips, the newest": "/office/trips",
    "the office's trips, the third page": "/office/trips?page=3",
}
_DERIVING = """
import sys
from tests.builders import StandingClock
from triplog.hub.database import open_database
from triplog.hub.deriving import derive_some
database = open_database(sys.argv[1], connections=1)
clock = StandingClock()
print("ready", flush=True)
sys.stdin.readline()
while derive_some(database, clock, lambda queued, why: sys.exit(f"{queued}: {why}")):
    pass
print("done", flush=True)
"""


def figures(place: Path, server: Cluster) -> list[Figure]:
    """All figures of lists and workers, on databases of their own."""
    with psycopg.connect(server.dsn(), autocommit=True) as connection:
        connection.execute("CREATE DATABASE few")
        with psycopg.connect(server.dsn("few"), autocommit=True) as few:
            bring_up(few)
        connection.execute("CREATE DATABASE busy TEMPLATE few")
        with hub_scene(server.dsn("few"), place / "lists", StandingClock()) as hub:
            desk = _a_late_trip(hub, place)
            _closed_trips(hub, 1, FEW)
            _trips_under_way(hub, 1, FEW)
        connection.execute("CREATE DATABASE many TEMPLATE few")
    with ExitStack() as exits:
        few_hub, many_hub = (
            exits.enter_context(_again(hub, server.dsn(name))) for name in ("few", "many")
        )
        _closed_trips(many_hub, FEW + 1, MANY_LISTED)
        _trips_under_way(many_hub, FEW + 1, MANY_UNDER_WAY)
        found = [
            _looking_for_late(few_hub, many_hub),
            *_office(desk, few_hub, many_hub),
            _handing_over(few_hub),
        ]
    return [*found, _two_workers(server, place)]


@contextmanager
def _again(hub: HubScene, dsn: str) -> Iterator[HubScene]:
    """The hub on a copy of its database."""
    database = open_database(dsn)
    try:
        yield HubScene(dsn, database, hub.home, hub.clock, hub.carrier, hub.app)
    finally:
        database.close()


def _a_late_trip(hub: HubScene, place: Path) -> HubBrowser:
    """A trip that is late and told, a carrier's card with a margin; the office's browser."""
    with office_scene(hub) as scene:
        yard = office(place / "truck")
        yard.departed(yard.judged(yard.loaded(1, 2)))
        scene.bring(yard, "truck-1")
        card = new_log("card")
        body: dict[str, object] = {"units": "us", "paper": "letter", "office_margin": "1 mi"}
        card.append(Draft(kind="carrier_recorded", body=body, by=DRIVER))
        answered(hub, pair_log(hub, card), pack_batch(card.batch()))
        hub.clock.wall = yard.clock.wall
        hub.clock.forward(minutes=900)
        browser = scene.browser()
        assert tell_late(hub.database, hub.clock, Margins()), "the trip is late"
        return browser


def _closed_trips(hub: HubScene, first: int, last: int) -> None:
    """Rows of trips that were closed long ago."""
    put = {
        "id": "'closed-' || n",
        "label": "'C-' || n",
        "state": "'closed'",
        "is_open": "0",
        "opened_at": _moment("2020-01-01"),
        "ended_at": _moment("2020-01-02"),
    }
    _multiply(hub, "trip", "is_open = 1", put, first, last)


def _trips_under_way(hub: HubScene, first: int, last: int) -> None:
    """Rows of counters of other trips: the first of them are late, and that was told."""
    late = f"n <= {LATE}"
    put = {
        "trip": "'way-' || n",
        "due_key": "'way-' || n",
        "due_at": f"CASE WHEN {late} THEN one.due_at ELSE {_moment('2030-01-01')} END",
    }
    _multiply(hub, "due", "due_at IS NOT NULL", put, first, last)
    told = {"due_key": "'way-' || n", "trip": "'way-' || n", "told_at": "written_at"}
    if first <= LATE:
        _multiply(hub, "outbox", "true", told, first, LATE)


def _moment(day: str) -> str:
    return (
        f"to_char(timestamp '{day}' + n * interval '5 minutes',"
        ' \'YYYY-MM-DD"T"HH24:MI:SS.000"Z"\')'
    )


def _multiply(
    hub: HubScene, table: str, of: str, put: dict[str, str], first: int, last: int
) -> None:
    """Rows like one there is, with some columns their own."""
    with psycopg.connect(hub.dsn, autocommit=True) as connection:
        connection.execute("SET search_path = hub")
        names = [
            f'"{name}"'
            for (name,) in connection.execute(
                "SELECT column_name FROM information_schema.columns WHERE table_schema = 'hub'"
                " AND table_name = %s AND is_identity = 'NO' ORDER BY ordinal_position",
                (table,),
            )
        ]
        told = ", ".join(put.get(name.strip('"'), f"one.{name}") for name in names)
        connection.execute(
            f"INSERT INTO {table} ({', '.join(names)})"
            f" SELECT {told} FROM (SELECT * FROM {table} WHERE {of} LIMIT 1) AS one,"
            f" generate_series({first}, {last}) AS n"
        )
        connection.execute(f"VACUUM ANALYZE {table}")


def _looking_for_late(few: HubScene, many: HubScene) -> Figure:
    """One look of a worker, as it does every few seconds."""

    def look(hub: HubScene) -> Callable[[], None]:
        margins = Margins()

        def act() -> None:
            for _ in range(ASKED_AT_ONCE):
                assert tell_late(hub.database, hub.clock, margins) == 0

        act()
        return act

    return by_turns(
        f"a look for late checks, {MANY_UNDER_WAY:,} trips against {FEW:,}",
        look(many),
        look(few),
        limit=1.5,
    )


def _office(desk: HubBrowser, few: HubScene, many: HubScene) -> Iterator[Figure]:
    with office_scene(few) as here, office_scene(many) as there:
        for name, address in PAGES.items():
            yield by_turns(
                f"{name}, {MANY_LISTED:,} trips against {FEW:,}",
                _opening(there, desk, address),
                _opening(here, desk, address),
                limit=2,
            )


def _opening(scene: OfficeScene, desk: HubBrowser, address: str) -> Callable[[], object]:
    browser = HubBrowser(scene.app, dict(desk.cookies))
    browser.text(address)
    return lambda: [browser.text(address) for _ in range(ASKED_AT_ONCE)]


@dataclass(frozen=True, slots=True)
class _SlowWay:
    """A way out that takes as long as a server on the next floor."""

    name: str = "address"

    def hand_over(self, name: str, message: str, /) -> Outcome:
        """Wait, as for an answer."""
        assert name and message
        threading.Event().wait(WAY_S)
        return Outcome.ACCEPTED


def _handing_over(hub: HubScene) -> Figure:
    """The same messages handed over by two workers and by one, as `hub work` does."""

    def by(workers: int) -> float:
        with psycopg.connect(hub.dsn, autocommit=True) as connection:
            connection.execute("DELETE FROM hub.outbox_attempt")
            connection.execute("UPDATE hub.outbox SET told_at = NULL, tries = 0, next_at = now()")
        hub.clock.wall = datetime.now(UTC) + timedelta(minutes=1)
        ways = {hub.carrier.id: _SlowWay()}

        def work() -> None:
            while hand_over_one(hub.database, hub.clock, ways) is not None:
                pass

        def all_of_them() -> None:
            threads = [threading.Thread(target=work) for _ in range(workers)]
            for one in threads:
                one.start()
            for one in threads:
                one.join()

        return seconds(all_of_them)

    return _two_against_one(f"{LATE} messages, by two workers against one", by)


def _two_workers(server: Cluster, place: Path) -> Figure:
    """The same rows made by two processes and by one, from when they are up."""
    with hub_scene(server.dsn("busy"), place / "busy", StandingClock()) as hub:
        for number in range(DEVICES):
            log = log_of_days(f"busy{number}", DAYS)
            answered(hub, pair_log(hub, log), pack_batch(log.batch()))

    def by(workers: int) -> float:
        with psycopg.connect(hub.dsn, autocommit=True) as connection:
            connection.execute("COMMENT ON TABLE hub.trip IS 'derived, version 0'")
            assert bring_up_derived(connection), "all trips wait again"
            connection.execute("VACUUM ANALYZE")
        with ExitStack() as exits:
            going = [exits.enter_context(_deriving(hub.dsn)) for _ in range(workers)]
            return seconds(lambda: _let_go(going))

    return _two_against_one(f"rows of {DEVICES * DAYS} trips, by two workers against one", by)


@contextmanager
def _deriving(dsn: str) -> Iterator["subprocess.Popen[str]"]:
    """A worker's process that is up and waits to be let go."""
    process = subprocess.Popen(
        [sys.executable, "-c", _DERIVING, dsn],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert _said(process) == "ready"
        yield process
    finally:
        process.communicate(timeout=30)


def _let_go(processes: list["subprocess.Popen[str]"]) -> None:
    for one in processes:
        assert one.stdin is not None
        print(file=one.stdin, flush=True)
    assert {_said(one) for one in processes} == {"done"}


def _said(process: "subprocess.Popen[str]") -> str:
    assert process.stdout is not None
    return process.stdout.readline().strip()


def _two_against_one(name: str, by: Callable[[int], float]) -> Figure:
    """By turns, the medians; two are to be 1.6 times as quick."""
    taken = [(by(1), by(2)) for _ in range(ROUNDS)]
    return Figure(
        name=name,
        ours=median(two for _, two in taken) * 1000,
        floor=median(one for one, _ in taken) * 1000,
        unit="ms",
        limit=1 / 1.6,
    )
