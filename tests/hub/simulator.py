"""`python -m tests.hub.simulator [--devices N] [--days N] [--seed N]`: a fleet and its hub.

Each device lives days of the trip simulator, recorded in entries of the real kinds, and brings them
to one of two hubs on one database over a line that loses, repeats, delays and cuts. Their clocks
are up to half a day off. Some are restored from an old copy, which is brought and then goes on.
Workers make the lists meanwhile. In the end: all that was acknowledged is held, once; each log
equals the hub's copy byte for byte; each clock's difference is known; the lists equal a rebuild.
Everything is invented; a seed always makes the same days. 1,000 devices and 30 days unless told.
"""

import argparse
import hashlib
import sys
import tempfile
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from random import Random

import psycopg
from sqlmodel import SQLModel

from tests.builders import START, StandingClock, begun
from tests.hub.cluster import cluster
from tests.hub.days_lived import live_day
from tests.hub.logs import Log, new_log, pair_log
from tests.hub.scene import HubScene, hub_scene
from triplog.hub.carriers import carrier_of, hub_key
from triplog.hub.database import Database, open_database
from triplog.hub.deriving import derive_some
from triplog.hub.intake import take
from triplog.hub.schema import bring_up
from triplog.journal.batch import Answer, batch_in
from triplog.journal.chain import breaks

THREADS = 4
_OFF_H_MAX = 12


class ClaimBroken(AssertionError):
    """Something that has to hold does not; the message names the device by its seed."""


@dataclass(slots=True)
class Told:
    """What a run came to. `acknowledged`: of each device how many, their digest, its clock's ms."""

    entries: int = 0
    batches: int = 0
    forks: int = 0
    off_by_hours: int = 0
    acknowledged: dict[str, tuple[int, str, int]] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)


@dataclass(slots=True)
class Line:
    """A device's line to two hubs, and all that goes wrong on it. `late`: what is still on its way.

    `head`: up to where the device was told that the hub has it.
    """

    hubs: tuple[HubScene, HubScene]
    log: Log
    rng: Random
    told: Told
    ahead: timedelta
    late: list[bytes] = field(default_factory=list)
    head: int = -1

    def send(self, packed: bytes) -> Answer | None:
        """Bring a batch; None: it or its answer was lost."""
        rng = self.rng
        if rng.random() < 0.05:
            self.late.append(packed)
            return None
        answer = self.bring(packed)
        if rng.random() < 0.05:
            self.bring(packed)
        if self.late and rng.random() < 0.2:
            self.bring(self.late.pop(rng.randrange(len(self.late))))
        return None if rng.random() < 0.05 else answer

    def bring(self, packed: bytes) -> Answer:
        """Bring a batch to one of the hubs; its answer."""
        hub = self.rng.choice(self.hubs)
        with hub.database.work("ingest", hub.carrier.id) as connection:
            carrier = carrier_of(connection, hub.carrier.id)
            key = hub_key(hub.home, carrier.id, carrier.witness)
            answer = take(
                connection, carrier, self.log.device, batch_in(packed), key, hub.clock.read()
            )
        with self.told.lock:
            self.told.batches += 1
        return answer

    def push(self, log: Log, tries: int) -> Answer | None:
        """Push as a device does, a few tries; what was acknowledged of the log itself is noted."""
        at = None if self.head < 0 or log is not self.log else log.place(self.head)
        for _ in range(tries):
            shows = self.hubs[0].clock.wall + self.ahead
            answer = log.push(
                self.send,
                lambda left: self.rng.randint(1, left),
                at,
                sent_ms=int(shows.timestamp() * 1000),
            )
            if answer is not None:
                if log is self.log and answer.outcome == "taken" and answer.head is not None:
                    self.head = max(self.head, answer.head.seq)
                return answer
        return None


def live(hubs: tuple[HubScene, HubScene], seed: int, days: int, told: Told) -> None:
    """A device's days, from its pairing on; in the end all of it is with the hub."""
    rng = Random(seed)
    log = new_log(f"truck{seed}")
    pair_log(hubs[0], log)
    ahead = timedelta(minutes=rng.choice((0, rng.randint(-60 * _OFF_H_MAX, 60 * _OFF_H_MAX))))
    line = Line(hubs, log, rng, told, ahead)
    forks = 0
    for day in range(days):
        live_day(log, day, trip_seed=seed * 1000 + day, ahead=ahead)
        if rng.random() < 0.8:
            line.push(log, 2)
        if day and rng.random() < 0.02:
            forks += _goes_another_way(line, rng, day)
    answer = line.push(log, 60)
    for packed in line.late:
        line.bring(packed)
    if answer is None or answer.outcome != "taken" or line.head != len(log.lines) - 1:
        raise ClaimBroken(f"device {seed}: not all of it is with the hub: {answer}")
    with told.lock:
        told.entries += len(log.lines)
        told.forks += forks
        told.off_by_hours += abs(ahead) >= timedelta(hours=1)
        told.acknowledged[log.device] = (
            len(log.lines),
            _digest(log.lines),
            ahead // timedelta(milliseconds=1),
        )


def _goes_another_way(line: Line, rng: Random, day: int) -> int:
    """An old copy of the device is brought, goes on by itself, and is brought again."""
    held = line.head
    if held < 3:
        return 0
    copy = line.log.copy(f"copy{day}", rng.randint(2, held))
    answer = line.push(copy, 60)
    if answer is None or answer.outcome != "behind":
        raise ClaimBroken(f"{copy.device}: an old copy was not told from what is held: {answer}")
    copy.append(begun())
    answer = line.push(copy, 60)
    if answer is None or answer.outcome != "forked":
        raise ClaimBroken(f"{copy.device}: another history was not told from its own: {answer}")
    return 1


def _digest(lines: list[bytes]) -> str:
    return hashlib.sha256(b"\n".join(lines)).hexdigest()


def run(dsn: str, home: Path, devices: int, days: int, first: int = 0) -> Told:
    """Live a fleet on a database without a hub. Raises ClaimBroken."""
    with psycopg.connect(dsn, autocommit=True) as connection:
        bring_up(connection)
    told = Told()
    clock = StandingClock(wall=START + timedelta(days=days))
    with (
        hub_scene(dsn, home, clock, opened=()) as hub,
        closing(open_database(dsn)) as other,
        ThreadPoolExecutor(THREADS + 2) as threads,
    ):
        second = HubScene(dsn, other, home, clock, hub.carrier, hub.app)
        over = threading.Event()
        workers = [threads.submit(_work, one, clock, over) for one in (hub.database, other)]
        going = [
            threads.submit(live, (hub, second), first + number, days, told)
            for number in range(devices)
        ]
        try:
            for one in going:
                one.result()
        finally:
            for one in going:
                one.cancel()
            over.set()
        for worker in workers:
            worker.result()
        _look(hub, told)
        _look_at_lists(hub, clock)
    return told


def _refuse(queued: object, why: str) -> None:
    raise ClaimBroken(f"no rows can be made of {queued}: {why}")


def _work(database: Database, clock: StandingClock, over: threading.Event) -> None:
    """Make rows until it is over and nothing waits."""
    while True:
        was_over = over.is_set()
        if not derive_some(database, clock, _refuse):
            if was_over:
                return
            over.wait(0.05)


def _look(hub: HubScene, told: Told) -> None:
    """Every log as its device had it when it ended; nothing lost, nothing twice."""
    witness = hub.carrier.witness
    with psycopg.connect(hub.dsn) as connection:
        for device, (count, digest, ahead_ms) in told.acknowledged.items():
            rows = connection.execute(
                "SELECT seq, hash, data FROM hub.entry WHERE device = %s ORDER BY seq", (device,)
            ).fetchall()
            lines = [bytes(data) for _, _, data in rows]
            if (len(lines), _digest(lines)) != (count, digest):
                raise ClaimBroken(f"{device}: {count} entries there, {len(lines)} here, or others")
            known = connection.execute(
                "SELECT clock_ahead_ms FROM hub.device WHERE id = %s", (device,)
            ).fetchone()
            if known != (ahead_ms,):
                raise ClaimBroken(f"{device}: its clock is {ahead_ms} ms ahead, not {known}")
        rows = connection.execute(
            "SELECT seq, hash, data FROM hub.entry WHERE device = %s ORDER BY seq", (witness,)
        ).fetchall()
        if list(breaks([(seq, own_hash, bytes(data)) for seq, own_hash, data in rows])):
            raise ClaimBroken("the witness's own chain does not hold")
        found = connection.execute(
            "SELECT count(DISTINCT (device, seq)), count(*) FROM hub.entry"
        ).fetchone()
        if found is None or found[0] != found[1]:
            raise ClaimBroken(f"entries are here twice: {found}")
        evidence = connection.execute("SELECT count(*) FROM hub.fork_evidence").fetchone()
        if evidence is None or evidence[0] < told.forks:
            raise ClaimBroken(f"{told.forks} other histories, and evidence of {evidence}")


def _look_at_lists(hub: HubScene, clock: StandingClock) -> None:
    """The lists made while it all came, against lists made of it all at once."""
    tables = sorted(SQLModel.metadata.tables)
    with psycopg.connect(hub.dsn, autocommit=True) as connection:
        connection.execute("CREATE SCHEMA before")
        for table in tables:
            connection.execute(f"CREATE TABLE before.{table} AS TABLE hub.{table}")
            connection.execute(f"TRUNCATE hub.{table}")
        if connection.execute("SELECT FROM before.trip LIMIT 1").fetchone() is None:
            raise ClaimBroken("no list was made at all")
        connection.execute(
            "INSERT INTO hub.to_derive (carrier, what, about)"
            " SELECT DISTINCT carrier, 'trip', trip FROM hub.entry WHERE trip IS NOT NULL"
            " UNION SELECT DISTINCT carrier, 'thing', thing FROM hub.entry WHERE thing IS NOT NULL"
        )
        while derive_some(hub.database, clock, _refuse):
            pass
        for table in tables:
            one, other = f"TABLE before.{table}", f"TABLE hub.{table}"
            odd = connection.execute(
                f"({one} EXCEPT ALL {other}) UNION ALL ({other} EXCEPT ALL {one}) LIMIT 2"
            ).fetchall()
            if odd:
                raise ClaimBroken(f"the list {table} is another when it is made anew: {odd}")


def main(arguments: list[str]) -> int:
    """Live the fleet asked for."""
    asked = argparse.ArgumentParser(prog="python -m tests.hub.simulator")
    asked.add_argument("--devices", type=int, default=1000)
    asked.add_argument("--days", type=int, default=30)
    asked.add_argument("--seed", type=int, default=0)
    given = asked.parse_args(arguments)
    began = time.monotonic()
    with cluster() as server, tempfile.TemporaryDirectory() as home:
        try:
            told = run(server.dsn(), Path(home), given.devices, given.days, given.seed)
        except ClaimBroken as broken:
            print(broken)
            return 1
    took = time.monotonic() - began
    print(
        f"{given.devices} devices, {given.days} days: {told.entries} entries in {told.batches}"
        f" batches, {told.forks} other histories, {told.off_by_hours} clocks an hour off or more;"
        f" every claim holds; {took:.0f} s"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
