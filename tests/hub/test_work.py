"""Workers: as many as wanted, each message once, nothing lost by any that is killed."""

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import psycopg
import pytest

from scheduler.notify import Outcome
from tests.builders import StandingClock, odometer_read, trip_opened
from tests.hub.late_scene import Mouth, attempts, office, outbox, truck
from tests.hub.logs import answered, new_log, pair_log
from tests.hub.scene import HubScene
from triplog.hub.carriers import add_carrier
from triplog.hub.deriving import derive_some
from triplog.hub.hub_log import HubLog
from triplog.hub.outbox import LEFT_ALONE, hand_over_one
from triplog.hub.ways_out import SETTING, WaysOut
from triplog.hub.work import Worker, work, work_once
from triplog.journal.batch import pack_batch

PATIENCE_S = 60.0
ONE, DESK = "eeeeeeeeeeeeeeee", "dddddddddddddddd"
TRIP, SECOND = "t" * 16, "u" * 16


@dataclass(slots=True)
class Lines:
    """What a worker told of itself."""

    told: list[dict[str, object]] = field(default_factory=list)

    def write(self, text: str) -> None:
        """Keep a line."""
        self.told.append(json.loads(text))

    def of(self, what: str) -> list[dict[str, object]]:
        """The lines of one sort."""
        return [one for one in self.told if one["what"] == what]


def a_worker(hub: HubScene, lines: Lines | None = None) -> Worker:
    """A worker in this process."""
    ways = WaysOut(hub.home, hub.clock)
    log = HubLog(hub.clock, None if lines is None else lines.write)
    return Worker(database=hub.database, clock=hub.clock, ways=ways, log=log)


def put_in(hub: HubScene, count: int) -> None:
    """Messages that wait, of the scene's carrier."""
    with hub.database.work("worker") as connection:
        connection.execute(
            "INSERT INTO outbox (carrier, due_key, stage, trip, message, offset_min, written_at,"
            " next_at) SELECT %s, 'due ' || n, 'late', %s, format(E'message %%s\\nof it', n), -360,"
            " %s, %s FROM generate_series(0, %s - 1) AS n",
            (hub.carrier.id, TRIP, hub.clock.wall, hub.clock.wall, count),
        )


def until(holds: Callable[[], bool], what: str) -> None:
    """Wait for a real process or thread, not for ever."""
    over = threading.Event()
    for _ in range(int(PATIENCE_S / 0.05)):
        if holds():
            return
        over.wait(0.05)
    raise AssertionError(f"not within {PATIENCE_S} s: {what}")


@contextmanager
def working(hub: HubScene, lines: Lines, *, pause_s: float) -> Iterator[Worker]:
    """A worker that goes on in this process until the end of the block."""
    ending, worker = threading.Event(), a_worker(hub, lines)
    thread = threading.Thread(
        target=work, args=(worker, hub.dsn, ending), kwargs={"pause_s": pause_s}, daemon=True
    )
    thread.start()
    try:
        yield worker
    finally:
        ending.set()
        thread.join(PATIENCE_S)
    assert not thread.is_alive()


@contextmanager
def process(hub: HubScene, *more: str) -> Iterator["subprocess.Popen[str]"]:
    """`triplog hub work` as a process of its own; killed, and what it ran, where it goes on."""
    running = subprocess.Popen(
        [sys.executable, "-m", "triplog", "hub", "work", "--dsn", hub.dsn, *more],
        env=os.environ | {"TRIPLOG_HOME": str(hub.home)},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        yield running
    finally:
        if running.poll() is None:
            os.killpg(running.pid, signal.SIGKILL)
        running.communicate(timeout=PATIENCE_S)


def trips(hub: HubScene) -> list[str]:
    """The trips there are rows of."""
    with hub.database.work("worker") as connection:
        return [one for (one,) in connection.execute("SELECT label FROM trip ORDER BY label")]


def bring_a_trip(hub: HubScene, device: str = ONE, trip: str = TRIP, label: str = "T-1") -> None:
    """A device is paired and brings the first entry of a trip; no rows are made of it."""
    log = new_log(device)
    secret = pair_log(hub, log)
    log.append(trip_opened(trip, label=label))
    assert answered(hub, secret, pack_batch(log.batch())).outcome == "taken"


def test_many_threads_take_each_message_once(hub: HubScene) -> None:
    put_in(hub, 60)
    mouth = Mouth([])

    def all_there_are() -> int:
        count = 0
        while hand_over_one(hub.database, hub.clock, {hub.carrier.id: mouth}) is not None:
            count += 1
        return count

    with ThreadPoolExecutor(6) as all_of_them:
        counts = [one.result() for one in [all_of_them.submit(all_there_are) for _ in range(6)]]
    assert sum(counts) == 60
    assert len({name for name, _ in mouth.given}) == len(mouth.given) == 60


def test_many_processes_take_each_message_once(hub: HubScene, tmp_path: Path) -> None:
    put_in(hub, 20)
    there = tmp_path / "there"
    there.mkdir()
    script = f'cat > "$(mktemp -p {there})"'
    WaysOut(hub.home, hub.clock).set(hub.carrier, command=["sh", "-c", script])
    with process(hub, "--once") as one, process(hub, "--once") as two:
        for each in (one, two):
            assert each.wait(PATIENCE_S) == 0, each.stderr
    texts = [path.read_text("utf-8") for path in there.iterdir()]
    assert sorted(text.split("\n")[0] for text in texts) == sorted(
        f"message {number}" for number in range(20)
    )
    assert [came for _, came, _ in attempts(hub)] == ["accepted"] * 20


def test_a_worker_killed_in_the_middle_of_a_message_loses_nothing(
    hub: HubScene, tmp_path: Path
) -> None:
    put_in(hub, 1)
    begun = tmp_path / "begun"
    script = f"cat > {begun}; exec sleep 600"
    WaysOut(hub.home, hub.clock).set(hub.carrier, command=["sh", "-c", script])
    with process(hub) as worker:
        until(lambda: begun.exists() and begun.read_text() != "", "the command is run")
        os.killpg(worker.pid, signal.SIGKILL)
        assert worker.wait(PATIENCE_S) == -signal.SIGKILL
    assert attempts(hub) == [(1, None, False)]
    mouth = Mouth([])
    ways = {hub.carrier.id: mouth}
    clock = StandingClock(wall=datetime.now(UTC))
    assert hand_over_one(hub.database, clock, ways) is None, "it may be under way still"
    clock.wall += LEFT_ALONE
    assert hand_over_one(hub.database, clock, ways) is not None
    assert hand_over_one(hub.database, clock, ways) is None
    ((_, text),) = mouth.given
    assert text.startswith("Repeated: this may have reached you before.\nmessage 0\n")
    assert attempts(hub) == [(1, "cut off", False), (2, "accepted", True)]


def test_a_worker_killed_while_it_holds_rows_of_the_queue_has_done_nothing(hub: HubScene) -> None:
    bring_a_trip(hub)
    holding = (
        "import sys; from triplog.hub.database import open_database\n"
        "from triplog.hub.deriving import _taken\n"
        "with open_database(sys.argv[1]).work('worker') as connection:\n"
        "    print(len(_taken(connection)), flush=True); sys.stdin.read()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", holding, hub.dsn],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "1\n"
        assert derive_some(hub.database, hub.clock, lambda *_: None) == 0
        assert trips(hub) == []
        holder.kill()
        holder.wait(PATIENCE_S)
    until(
        lambda: derive_some(hub.database, hub.clock, lambda *_: None) == 1,
        "the database lets go of what a lost line held",
    )
    assert trips(hub) == ["T-1"]


def test_what_failed_is_tried_again_after_longer_and_longer(hub: HubScene) -> None:
    put_in(hub, 1)
    mouth = Mouth([], Outcome.FAILED)
    ways = {hub.carrier.id: mouth}
    for minutes in (1, 2, 4, 8):
        assert hand_over_one(hub.database, hub.clock, ways) is not None
        hub.clock.forward(minutes=minutes, seconds=-1)
        assert hand_over_one(hub.database, hub.clock, ways) is None
        hub.clock.forward(seconds=1)
    mouth.came = Outcome.ACCEPTED
    assert hand_over_one(hub.database, hub.clock, ways) is not None
    hub.clock.forward(minutes=60 * 24)
    assert hand_over_one(hub.database, hub.clock, ways) is None
    assert [came for _, came, _ in attempts(hub)] == ["failed"] * 4 + ["accepted"]
    assert not any(repeated for *_, repeated in attempts(hub)), "nobody has had it before"


def test_after_one_whose_outcome_nobody_knows_each_says_that_it_may_have_come(
    hub: HubScene,
) -> None:
    put_in(hub, 1)
    mouth = Mouth([], Outcome.TIMED_OUT)
    for came in (Outcome.TIMED_OUT, Outcome.FAILED, Outcome.ACCEPTED):
        mouth.came = came
        assert hand_over_one(hub.database, hub.clock, {hub.carrier.id: mouth}) is not None
        hub.clock.forward(minutes=60)
    assert [repeated for *_, repeated in attempts(hub)] == [False, True, True]
    assert len({name for name, _ in mouth.given}) == 1, "by one name each time"


def test_a_way_that_raises_against_its_contract_has_failed(hub: HubScene) -> None:
    put_in(hub, 1)

    class Broken(Mouth):
        def hand_over(self, name: str, message: str, /) -> Outcome:
            raise RuntimeError(name + message)

    assert hand_over_one(hub.database, hub.clock, {hub.carrier.id: Broken([])}) is not None
    assert attempts(hub) == [(1, "failed", False)]


def test_a_way_that_takes_nothing_keeps_no_other_carrier_waiting(
    hub: HubScene, tmp_path: Path
) -> None:
    made = add_carrier(hub.database, hub.home, "carrier-2", [], hub.clock.read())
    put_in(hub, 3)
    put_in(replace(hub, carrier=made), 3)
    there = tmp_path / "there"
    there.mkdir()
    ways = WaysOut(hub.home, hub.clock)
    ways.set(hub.carrier, command=["false"])
    ways.set(made, folder=there)
    lines = Lines()
    worker = a_worker(hub, lines)
    assert sorted(worker.hand_over()) == ["accepted"] * 3 + ["failed"]
    assert len(list(there.iterdir())) == 3
    assert {one["came"] for one in lines.of("message to an office")} == {"accepted", "failed"}


def test_without_a_way_out_messages_wait_and_a_broken_setting_is_told_once(hub: HubScene) -> None:
    put_in(hub, 1)
    lines = Lines()
    worker = a_worker(hub, lines)
    assert worker.hand_over() == []
    assert lines.told == []
    (hub.home / SETTING).write_text("{", "utf-8")
    assert worker.hand_over() == worker.hand_over() == []
    assert len(lines.of("the ways out cannot be read")) == 1
    assert attempts(hub) == []


def test_what_comes_is_found_without_a_hint(hub: HubScene) -> None:
    with psycopg.connect(hub.dsn) as connection:
        connection.execute("ALTER TABLE hub.to_derive DISABLE TRIGGER it_waits")
    with working(hub, Lines(), pause_s=0.3):
        bring_a_trip(hub)
        until(lambda: trips(hub) == ["T-1"], "rows are made of it")


def test_a_hint_makes_it_sooner(hub: HubScene) -> None:
    with working(hub, Lines(), pause_s=100 * PATIENCE_S):
        until(lambda: _listens(hub), "the worker listens")
        bring_a_trip(hub)
        until(lambda: trips(hub) == ["T-1"], "rows are made of it")


def test_a_database_that_goes_away_is_told_of_and_waited_for(hub: HubScene) -> None:
    name = psycopg.conninfo.conninfo_to_dict(hub.dsn)["dbname"]
    other = hub.dsn.replace(f"dbname={name}", "dbname=postgres")
    lines = Lines()
    hub.database.pool.timeout = 0.5
    with psycopg.connect(other, autocommit=True) as server, working(hub, lines, pause_s=0.2):
        bring_a_trip(hub)
        until(lambda: trips(hub) == ["T-1"], "the worker works")
        server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false")
        server.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", (name,)
        )
        until(lambda: bool(lines.of("the database is away")), "it is told")
        server.execute(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true")
        hub.database.pool.timeout = PATIENCE_S
        bring_a_trip(hub, "ffffffffffffffff", SECOND, "T-2")
        until(lambda: trips(hub) == ["T-1", "T-2"], "it goes on")


def test_told_to_end_a_worker_ends_what_is_under_way(hub: HubScene, tmp_path: Path) -> None:
    put_in(hub, 1)
    begun, going = tmp_path / "begun", tmp_path / "going"
    os.mkfifo(going)
    script = f"cat > {begun}; read line < {going}"
    WaysOut(hub.home, hub.clock).set(hub.carrier, command=["sh", "-c", script])
    with process(hub) as worker:
        until(lambda: begun.exists() and begun.read_text() != "", "the command is run")
        worker.send_signal(signal.SIGTERM)
        going.write_text("on\n", "utf-8")
        told, log = worker.communicate(timeout=PATIENCE_S)
    assert worker.returncode == 0
    assert told.endswith("the worker has ended\n")
    whats = [json.loads(line)["what"] for line in log.splitlines()]
    assert whats == ["working", "message to an office", "worked to the end"]
    assert [came for _, came, _ in attempts(hub)] == ["accepted"]


def test_what_is_late_is_looked_for_while_much_comes_in(
    hub: HubScene, monkeypatch: pytest.MonkeyPatch
) -> None:
    office(hub, DESK)
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.record(odometer_read("24190 mi", TRIP))
    log = new_log("ffffffffffffffff")
    secret = pair_log(hub, log)
    for number in range(40):
        log.append(trip_opened(f"{number:016}", label=f"T-{number}"))
    answered(hub, secret, pack_batch(log.batch()))
    monkeypatch.setattr("triplog.hub.work._ROUNDS", 1)
    done = a_worker(hub).turn()
    assert (done.derived, done.late) == (16, 1)


def test_one_run_does_all_that_waits_and_says_what(hub: HubScene, tmp_path: Path) -> None:
    office(hub, DESK)
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.record(odometer_read("24190 mi", TRIP))
    bring_a_trip(hub, "ffffffffffffffff", SECOND, "T-2")
    WaysOut(hub.home, hub.clock).set(hub.carrier, folder=tmp_path)
    done = work_once(a_worker(hub))
    assert (done.derived, done.late, done.put_aside) == (1, 1, 0)
    assert done.tried == (Outcome.ACCEPTED,)
    assert len(outbox(hub)) == 1
    (file,) = tmp_path.glob("*.txt")
    assert "Trip T-1: a load check is late." in file.read_text("utf-8")


def test_a_worker_was_heard_of_when_it_turned_and_is_forgotten_a_day_later(hub: HubScene) -> None:
    first, second = a_worker(hub), a_worker(hub)
    bring_a_trip(hub)
    first.turn()
    assert _heard(hub) == [(first.name, hub.clock.wall, 1)]
    hub.clock.forward(minutes=5)
    first.turn()
    assert _heard(hub) == [(first.name, hub.clock.wall, 1)]
    hub.clock.wall += timedelta(days=1, seconds=1)
    second.turn()
    assert _heard(hub) == [(second.name, hub.clock.wall, 0)]


def _heard(hub: HubScene) -> list[tuple[object, ...]]:
    with hub.database.work("worker") as connection:
        return connection.execute("SELECT worker, turned_at, derived FROM worker_turn").fetchall()


def _listens(hub: HubScene) -> bool:
    with hub.database.work("worker") as connection:
        connection.execute("RESET ROLE")
        (found,) = connection.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()"
            " AND query = 'LISTEN hub_to_derive'"
        ).fetchone() or (0,)
    return bool(found)
