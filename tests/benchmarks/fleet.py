"""What a hub can take, on a PostgreSQL of its own: taking in, nothing new, memory, lists, workers.

Taking in is held against COPY of the same rows into a like table with like indexes, in the same
batches, each durable before the next; derived rows are not in it, for workers make them.
"""

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import psycopg

from tests.benchmarks import fleet_lists
from tests.benchmarks.measure import ROUNDS, Figure, by_turns, run_python
from tests.builders import StandingClock, bulk_store
from tests.hub.cluster import Cluster, cluster
from tests.hub.cutting import HERE, cutting
from tests.hub.days import log_of_days
from tests.hub.logs import Log, pair_log
from tests.hub.process import hub_process, post
from tests.hub.scene import HubScene, hub_scene
from triplog.desk.desk import open_desk
from triplog.desk.hub_pairing import pair
from triplog.hub.carriers import carrier_of, draw_code, hub_key
from triplog.hub.intake import take
from triplog.hub.schema import bring_up
from triplog.journal.batch import Place, batch_in, pack_batch
from triplog.journal.device_key import make_key
from triplog.journal.entries import entry_of

DAYS = 100
BATCH = 2_000
"""As many as may travel at once, as a device does that has much to bring."""
NOTHING_NEW_BYTES = 2_000
MEMORY_DEVICES = 12
BROUGHT_FEW, BROUGHT_MANY = 4_000, 40_000
MEASURED_PUSH = """
import sys
from pathlib import Path
from tests.builders import StandingClock
from triplog.desk.desk import open_desk
from triplog.desk.hub_push import push
brought = push(open_desk(Path(sys.argv[1]), StandingClock())).own
assert brought.outcome == "taken" and brought.sent > int(sys.argv[2])
status = Path("/proc/self/status").read_text()
print(int(status.split("VmHWM:")[1].split()[0]))
"""


def figures(place: Path) -> list[Figure]:
    """All figures of the hub."""
    with cluster() as server:
        with psycopg.connect(server.dsn(), autocommit=True) as connection:
            bring_up(connection)
        with hub_scene(server.dsn(), place / "hub", StandingClock(), opened=()) as hub:
            found = [_taking_in(hub), *_by_the_line(server, hub), _device_memory(hub, place)]
        return [*found, *fleet_lists.figures(place, server)]


def _taking_in(hub: HubScene) -> Figure:
    """Each round a device's log of a hundred days, in batches."""
    logs = [log_of_days(f"truck{number}", DAYS) for number in range(ROUNDS)]
    for log in logs:
        pair_log(hub, log)
    waiting = iter([(log.device, _packed(log)) for log in logs])
    key = hub_key(hub.home, hub.carrier.id, hub.carrier.witness)
    came: list[str] = []

    def ours() -> None:
        device, batches = next(waiting)
        for packed in batches:
            with hub.database.work("ingest", hub.carrier.id) as connection:
                carrier = carrier_of(connection, hub.carrier.id)
                answer = take(connection, carrier, device, batch_in(packed), key, hub.clock.read())
                assert answer.outcome == "taken"
        came.append(device)

    with psycopg.connect(hub.dsn, autocommit=True) as bare:
        bare.execute("CREATE TABLE bare (LIKE hub.entry INCLUDING ALL)")
        rows = iter([list(_rows_to_copy(hub, log)) for log in logs])

        def floor() -> None:
            for part in next(rows):
                with bare.cursor().copy("COPY bare FROM STDIN") as copy:
                    copy.write(part)

        return by_turns(
            f"taking in {DAYS * 40} entries, all checks, against COPY", ours, floor, limit=3
        )


def _packed(log: Log) -> list[bytes]:
    return [
        pack_batch(log.batch(begin, begin + BATCH)) for begin in range(0, len(log.lines), BATCH)
    ]


def _rows_to_copy(hub: HubScene, log: Log) -> Iterator[bytes]:
    """The rows as COPY reads them, in the same batches, from a hub's tables they were put in."""
    with psycopg.connect(hub.dsn) as connection:
        connection.execute("CREATE TEMP TABLE laid (LIKE hub.entry) ON COMMIT DROP")
        with connection.cursor() as cursor:
            cursor.executemany(
                "INSERT INTO laid VALUES (%s, %s, %s, %s, 'odometer_read', %s, NULL,"
                " '2026-03-02T13:00:00.000Z', '2026-03-02', %s)",
                [
                    (hub.carrier.id, log.device, seq, own_hash, f"{log.device}day{seq // 40}", line)
                    for seq, (own_hash, line) in enumerate(zip(log.hashes, log.lines, strict=True))
                ],
            )
        for begin in range(0, len(log.lines), BATCH):
            query = f"SELECT * FROM laid WHERE seq >= {begin} AND seq < {begin + BATCH}"
            with connection.cursor().copy(f"COPY ({query}) TO STDOUT") as copy:
                yield b"".join(bytes(part) for part in copy)


def _by_the_line(server: Cluster, hub: HubScene) -> list[Figure]:
    """A hub in a process of its own: what a push of nothing new weighs, and its memory."""
    logs = [log_of_days(f"line{number}", DAYS // 2) for number in range(MEMORY_DEVICES)]
    secrets = [pair_log(hub, log) for log in logs]
    with _running(server.dsn(), hub.home) as (process, port):
        memory = []
        for log, secret in zip(logs, secrets, strict=True):
            for packed in _packed(log):
                post(port, secret, packed)
            memory.append(_memory_kb(process))
        office = entry_of(hub.held(hub.carrier.office)[-1])
        bare = logs[0].batch(len(logs[0].lines))
        known = {office.device: Place(office.seq, office.hash)}
        nothing = pack_batch(replace(bare, known=known))
        with cutting(port) as line:
            post(line.port, secrets[0], nothing)
            weight = sum(line.passed.values())
    return [
        Figure(
            name="a push of nothing new, both ways with its heads",
            ours=weight,
            floor=NOTHING_NEW_BYTES,
            unit="B",
            limit=1,
        ),
        Figure(
            name=f"memory of a hub after {MEMORY_DEVICES} logs, against after 2",
            ours=memory[-1],
            floor=memory[1],
            unit="kB",
            limit=1.15,
        ),
    ]


def _device_memory(hub: HubScene, place: Path) -> Figure:
    """The most a device's process holds that brings all it has, by how much that is."""
    with _running(hub.dsn, hub.home) as (_, port):
        few, many = (_pushed_kb(hub, port, place, count) for count in (BROUGHT_FEW, BROUGHT_MANY))
    return Figure(
        name=f"memory of a device that brings {BROUGHT_MANY:,}, against {BROUGHT_FEW:,}",
        ours=many,
        floor=few,
        unit="kB",
        limit=1.15,
    )


def _pushed_kb(hub: HubScene, port: int, place: Path, count: int) -> int:
    folder = place / f"brings-{count}"
    folder.mkdir()
    store = bulk_store(folder / "triplog.sqlite3", count)
    make_key(folder, store.device)
    store.close()
    desk = open_desk(folder, hub.clock)
    now = datetime.now(UTC)
    code = draw_code(hub.database, hub.carrier, str(count), is_office=False, now=now)
    pair(desk, f"http://{HERE}:{port}", code, None)
    desk.store.close()
    return int(run_python(["-c", MEASURED_PUSH, str(folder), str(count)]).split()[-1])


@contextmanager
def _running(dsn: str, home: Path) -> Iterator[tuple["subprocess.Popen[bytes]", int]]:
    process, port = hub_process(dsn, home)
    try:
        yield process, port
    finally:
        process.terminate()
        process.wait(30)


def _memory_kb(process: "subprocess.Popen[bytes]") -> int:
    """The most it has held so far (VmHWM)."""
    status = Path(f"/proc/{process.pid}/status").read_text("utf-8")
    (line,) = (one for one in status.splitlines() if one.startswith("VmHWM"))
    return int(line.split()[1])
