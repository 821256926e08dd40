"""The worker: it makes rows of what came in, looks for what is late, and hands messages over.

As many may run as are wanted, on any machines. What waits stands in the database, and is looked for
every few seconds; a hint that something came only makes that sooner.
"""

import contextlib
import random
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import timedelta

import psycopg

from scheduler.notify import Outcome
from scheduler.office_hook import LIMIT_S, Hook
from triplog.desk.refused import Refused
from triplog.hub.database import Database, HubUnusable, Open, connect
from triplog.hub.deriving import Queued, derive_some
from triplog.hub.hub_log import HubLog, short
from triplog.hub.late import tell_late
from triplog.hub.margins import Margins
from triplog.hub.outbox import hand_over_one
from triplog.hub.ways_out import WaysOut
from triplog.journal.entries import Clock
from triplog.journal.store import new_id
from triplog.journal.store_file import StoreUnusable

PAUSE_S = 5.0
"""How long nothing is looked for, at most."""
LONGEST_PAUSE_S = 60.0
"""How long a database that is away is left alone, at most."""
_SLICE_S = 1.0
_ROUNDS = 20
_FORGOTTEN = timedelta(days=1)
Over = Callable[[], bool]
"""Whether the worker is to end; asked between one piece of work and the next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """What was done: rows made of so many trips and things, so many messages written down.

    `put_aside`: of how many no rows could be made; `tried`: what came of each attempt.
    """

    derived: int
    late: int
    put_aside: int = 0
    tried: tuple[Outcome, ...] = ()

    @property
    def is_nothing(self) -> bool:
        """Whether nothing waited."""
        return not self.derived + self.late


@dataclass(slots=True, kw_only=True)
class Worker:
    """One worker over a hub's database; it takes whatever waits and no other worker has."""

    database: Database
    clock: Clock
    ways: WaysOut
    log: HubLog
    name: str = field(default_factory=new_id)
    put_aside: int = 0
    _margins: Margins = field(default_factory=Margins)
    _no_way: str | None = None

    def turn(self, is_over: Over = lambda: False) -> Done:
        """Make rows of some of what waits, then look for what is late. Raises HubUnusable.

        Not of all: while much comes in, what is late is looked for all the same.
        """
        derived = 0
        for _ in range(_ROUNDS):
            count = 0 if is_over() else derive_some(self.database, self.clock, self._put_aside)
            derived += count
            if not count:
                break
        late = tell_late(self.database, self.clock, self._margins)
        self._was_here(derived)
        if late:
            self.log.tell("late checks written down", count=late)
        return Done(derived=derived, late=late)

    def hand_over(self, is_over: Over = lambda: False) -> list[Outcome]:
        """Try each message that is to be tried now; what came of them. Raises HubUnusable.

        A carrier's way that takes nothing rests until this is called again, so that it keeps no
        other carrier's messages waiting.
        """
        ways, found = self._ways(), []
        while not is_over():
            attempt = hand_over_one(self.database, self.clock, ways)
            if attempt is None:
                break
            found.append(attempt.came)
            if attempt.came is not Outcome.ACCEPTED:
                del ways[attempt.carrier]
            self.log.tell(
                "message to an office", carrier=short(attempt.carrier), came=str(attempt.came)
            )
        return found

    def _ways(self) -> dict[str, Hook]:
        """The ways out as they are set now; none where that cannot be read, which is told once."""
        try:
            ways, trouble = self.ways.by_carrier(), None
        except (Refused, StoreUnusable) as problem:
            ways, trouble = {}, problem
        told = None if trouble is None else str(trouble)
        if trouble is not None and told != self._no_way:
            self.log.fault("the ways out cannot be read", trouble)
        self._no_way = told
        return ways

    def _put_aside(self, one: Queued, reason: str) -> None:
        self.put_aside += 1
        self.log.tell("put aside", of=one.what, about=short(one.about), why=reason)

    def _was_here(self, derived: int) -> None:
        now = self.clock.read().wall
        with self.database.work("worker") as connection:
            connection.execute(
                "INSERT INTO worker_turn AS w (worker, began_at, turned_at, derived)"
                " VALUES (%s, %s, %s, %s) ON CONFLICT (worker) DO UPDATE SET"
                " turned_at = excluded.turned_at, derived = w.derived + excluded.derived",
                (self.name, now, now, derived),
            )
            connection.execute(
                "DELETE FROM worker_turn WHERE turned_at < %s AND worker <> %s",
                (now - _FORGOTTEN, self.name),
            )


def work_once(worker: Worker) -> Done:
    """Do all that waits now, and try each message once. Raises HubUnusable."""
    derived = late = 0
    while not (done := worker.turn()).is_nothing:
        derived, late = derived + done.derived, late + done.late
    tried = tuple(worker.hand_over())
    return Done(derived=derived, late=late, put_aside=worker.put_aside, tried=tried)


def work(worker: Worker, dsn: str, ending: threading.Event, *, pause_s: float = PAUSE_S) -> None:
    """Work until `ending` is set; what is under way then is finished first.

    A database that is away is told of, and tried again. Messages are handed over beside the rest:
    a way out may take its time.
    """
    worker.log.tell("working", worker=short(worker.name))
    handing = threading.Thread(
        target=_again_and_again,
        args=(worker, lambda: bool(worker.hand_over(ending.is_set)), ending),
        kwargs={"wait": lambda: ending.wait(pause_s)},
        name="messages",
        daemon=True,
    )
    handing.start()
    with contextlib.closing(_Hints(dsn, pause_s)) as hints:
        _again_and_again(
            worker,
            lambda: not worker.turn(ending.is_set).is_nothing,
            ending,
            wait=lambda: hints.wait(ending),
        )
    # What takes longer is tried again by the next worker, which says so.
    handing.join(2 * LIMIT_S)
    worker.log.tell("worked to the end", worker=short(worker.name))


def _again_and_again(
    worker: Worker,
    act: Callable[[], bool],
    ending: threading.Event,
    *,
    wait: Callable[[], object],
) -> None:
    """Act until the end: at once where something was done, else after a wait."""
    failures = 0
    while not ending.is_set():
        try:
            if not act():
                wait()
            failures = 0
        except Exception as problem:
            # One who ended here would leave every truck unwatched.
            is_away = isinstance(problem, HubUnusable)
            what = "the database is away" if is_away else "something went wrong"
            worker.log.fault(what, problem, failures=failures + 1)
            ending.wait(_pause_s(failures))
            failures += 1


def _pause_s(failures: int) -> float:
    """1 s, 2, 4 ... a minute, none of two workers after the same."""
    return min(2.0 ** min(failures, 6), LONGEST_PAUSE_S) * random.uniform(0.5, 1.0)


class _Hints:
    """Waits a while, or until the database says that something came; that may fail to arrive."""

    def __init__(self, dsn: str, pause_s: float) -> None:
        self._dsn = dsn
        self._pause_s = pause_s
        self._connection: Open | None = None

    def wait(self, ending: threading.Event) -> None:
        """Wait for a hint, the end, or as long as nothing is looked for at most."""
        left_s = self._pause_s
        while left_s > 0 and not ending.is_set():
            slice_s = min(_SLICE_S, left_s)
            left_s -= slice_s
            try:
                if any(self._hints(slice_s)):
                    return
            except (HubUnusable, psycopg.Error):
                self.close()
                ending.wait(slice_s)

    def close(self) -> None:
        """Listen no more."""
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def _hints(self, slice_s: float) -> Iterator[object]:
        if self._connection is None:
            self._connection = connect(self._dsn)
            self._connection.autocommit = True
            self._connection.execute("LISTEN hub_to_derive")
        yield from self._connection.notifies(timeout=slice_s, stop_after=1)
