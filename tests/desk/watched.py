"""A watcher over a real journal, and a driver at another desk of the same; time moved by hand."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from scheduler.due import State
from scheduler.notify import FirstThatWorks, Notifier, Outcome
from scheduler.progress import DutyStatus
from scheduler.watch import HouseBusy, Look, Office, Watch
from tests.builders import DRIVER, OFFSET_MIN, START, TRIP, StandingClock, depart, new_journal
from triplog.desk.checking import Found, Line, record_check, tie_downs_of
from triplog.desk.desk import Desk, open_desk
from triplog.desk.road import change_duty, read_odometer
from triplog.desk.watching import JournalHouse
from triplog.journal.entries import ClockReading, Entry
from triplog.journal.store import open_store
from triplog.journal.store_file import STORE_NAME

DEPARTED = START + timedelta(minutes=2)
"""When the trip of `depart` leaves; 65 mph are then 40 mi after 37 min and 50 mi after 47."""


class HandClock:
    """A clock moved by hand, whose wall time can be set apart from the time that passes."""

    def __init__(self, now: datetime) -> None:
        self.now = now
        # As the clock of `new_journal` and `depart` has come to by then.
        self.passed_ms = 180_000

    def read(self) -> ClockReading:
        return ClockReading(
            wall=self.now,
            offset_min=OFFSET_MIN,
            source="machine",
            boot_id="first start",
            boot_ms=self.passed_ms,
        )

    def wall(self) -> datetime:
        return self.now

    def monotonic_ms(self) -> int:
        return self.passed_ms

    def go_on_to(self, moment: datetime) -> None:
        self.passed_ms += (moment - self.now) // timedelta(milliseconds=1)
        self.now = moment

    def set_wall(self, by: timedelta) -> None:
        self.now += by


class Speaker:
    """A notifier that keeps what it was told; `before` is called with each attempt."""

    name = "speaker"

    def __init__(self) -> None:
        self.said: list[str] = []
        self.before: Callable[[], None] = lambda: None

    def tone(self, _stage: State, /) -> Outcome:
        return self._say("tone")

    def text(self, title: str, message: str) -> Outcome:
        return self._say(f"{title}: {message}")

    def _say(self, what: str) -> Outcome:
        self.before()
        self.said.append(what)
        return Outcome.ACCEPTED

    def new(self) -> list[str]:
        """What was said since this was last asked: tones, and of texts the title."""
        said, self.said = self.said, []
        return [what.partition(":")[0] for what in said]


@dataclass(frozen=True, slots=True)
class Raised:
    """A prompt as the journal has it, with what came of it."""

    name: str
    entry: Entry
    outcomes: tuple[Entry, ...]


class Watched:
    """A departed trip, its driver at one desk and a watcher at another; both on one file."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.path = home / STORE_NAME
        journal = new_journal(self.path)
        depart(journal)
        journal.close()
        self.clock = HandClock(DEPARTED)
        self.driver = open_desk(home, self.clock)
        self.speaker = Speaker()
        self.looks: list[Look] = []
        self.busy: list[HouseBusy] = []
        self._open: list[Desk] = [self.driver]
        self._others: list[sqlite3.Connection] = []
        self._watches: list[Watch] = []

    def watch(self, *notifiers: Notifier) -> Watch:
        """Start a watcher on a paused scheduler: its jobs are run by `forward`."""
        watch = self.watch_with(self.house(), *notifiers)
        watch.start(paused=True)
        return watch

    def watch_with(
        self, house: JournalHouse, *notifiers: Notifier, office: Office | None = None
    ) -> Watch:
        """A watcher that has not been started."""
        watch = Watch(
            house,
            self.clock,
            FirstThatWorks(notifiers or [self.speaker]),
            office=office,
            on_look=self.looks.append,
            on_busy=self.busy.append,
        )
        self._watches.append(watch)
        return watch

    def house(self) -> JournalHouse:
        """The journal as a watcher sees it, over a connection of its own."""
        desk = open_desk(self.home, self.clock)
        self._open.append(desk)
        house = JournalHouse(desk)
        desk.store.raw.execute("PRAGMA busy_timeout = 10")
        return house

    def forward(self, minutes: float) -> None:
        """Let time pass; at each moment the scheduler has a job for, it is run."""
        until = self.clock.now + timedelta(minutes=minutes)
        watch = self._watches[-1]
        while True:
            jobs = [job for job in watch.scheduler.get_jobs() if job.next_run_time <= until]
            if not jobs:
                break
            job = min(jobs, key=lambda one: one.next_run_time)
            self.clock.go_on_to(max(self.clock.now, job.next_run_time))
            watch.scheduler.remove_job(job.id)
            job.func(*job.args)
            self.turn()
        self.clock.go_on_to(until)
        self.turn()

    def turn(self) -> None:
        """One turn of the watcher, as every 2 s."""
        assert self._watches[-1].wait_and_look(wait_s=0)

    def duty(self, status: DutyStatus) -> None:
        """The driver records a duty status at another desk; the watcher has its turn after."""
        desk = self.driver
        trip = desk.trip(TRIP)
        change_duty(desk, trip, status, driver=DRIVER, at=None, place=None, reason=None)
        self.turn()

    def odometer(self, reading: str) -> None:
        """The driver, stopped, records a reading."""
        read_odometer(self.driver, self.driver.trip(TRIP), reading, stopped=True)
        self.turn()

    def check(self) -> None:
        """The driver, stopped, has looked at every tie-down."""
        trip = self.driver.trip(TRIP)
        lines = [Line(tie_down=name, found=Found.FINE) for name in tie_downs_of(trip)]
        record_check(self.driver, trip, lines=lines, looked_at=(), stopped=True)
        self.turn()

    def raised(self) -> list[Raised]:
        """Every prompt in the journal, named by kind of check, stage, channel and number."""
        entries = self.entries()
        return [
            Raised(
                name=prompt_name(entry.idem),
                entry=entry,
                outcomes=tuple(
                    one
                    for one in entries
                    if one.kind == "prompt_outcome" and one.body["raised"] == entry.hash
                ),
            )
            for entry in entries
            if entry.kind == "prompt_raised"
        ]

    def names(self) -> list[str]:
        """Every prompt in the journal, by its name."""
        return [one.name for one in self.raised()]

    def prompt_rows(self) -> dict[str, tuple[object, ...]]:
        """The derived rows: entry -> (stage, channel, number, repeated, outcome)."""
        rows = self.another_program().execute(
            "SELECT entry, stage, channel, number, repeated, outcome FROM prompt"
        )
        return {entry: tuple(rest) for entry, *rest in rows}

    def steps(self) -> list[object]:
        """The clock's steps in the journal, in seconds."""
        return [one.body["seconds"] for one in self.entries() if one.kind == "clock_stepped"]

    def entries(self) -> list[Entry]:
        """The whole journal, read anew."""
        store = open_store(self.path, reading_only=True)
        try:
            assert store.check() == []
            return list(store.entries())
        finally:
            store.close()

    def another_program(self) -> sqlite3.Connection:
        """A connection of some other program to the file."""
        other = sqlite3.connect(self.path, isolation_level=None, timeout=0)
        self._others.append(other)
        return other

    def close(self) -> None:
        for watch in self._watches:
            if watch.scheduler.running:
                watch.scheduler.shutdown(wait=False)
        for desk in self._open:
            desk.store.close()
        for other in self._others:
            other.close()


@contextmanager
def watched(home: Path) -> Iterator[Watched]:
    """A trip that has just departed, not watched yet; everything is closed afterwards."""
    day = Watched(home)
    try:
        yield day
    finally:
        day.close()


def departed_some_time_ago(home: Path, now: datetime, *, minutes: float) -> None:
    """A home whose one trip left so many minutes ago, for watchers that run in real time."""
    journal = new_journal(home / STORE_NAME)
    journal.clock = StandingClock(wall=now - timedelta(minutes=minutes + 2))
    depart(journal)
    journal.close()


def prompt_name(idem: str) -> str:
    """first/due/tone/1 for the idem of a prompt."""
    _, rule, _, stage, channel, number = idem.split("/")
    kind = rule.removeprefix("us-392.9-")
    return f"{kind}/{stage}/{channel}/{number}"
