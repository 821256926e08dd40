"""The long-running process: it looks when something may have changed, and says what is due.

Every decision is made by the pure modules; the scheduling library only wakes the loop. The house
(the caller's journal) is asked and told from one thread alone, the one that runs `run`.
"""

import contextlib
import signal
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from functools import partial
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING, Protocol

from scheduler.counter import Counter
from scheduler.due import DueCheck, at, in_order, next_moment
from scheduler.notify import Attempt, FirstThatWorks, Outcome
from scheduler.progress import DutyStatus, to_ms
from scheduler.prompts import Channel, Prompt, Said, may_be_said, prompts, still_wanted
from scheduler.watch_lock import only_watcher

if TYPE_CHECKING:
    from apscheduler.schedulers.background import BackgroundScheduler

CHANGE_LOOK_S = 2
"""How often the house is asked whether anything was written."""

WAKE_MS = 15_000
"""How often, at least, the scheduling library has to look at the time: it sleeps by a clock that
stands still while the computer does."""

STEP_MS = 2_000
"""A wall clock that moves this much more or less than the monotonic one was set, or slept."""

NOT_TRIED = "none"
"""The notifier named in the outcome of a prompt that can no longer be said."""


class HouseBusy(OSError):
    """The house cannot be read or written just now; the watcher asks again at its next look."""


class Clock(Protocol):
    """What time it is, twice: as people say it, and as it passes."""

    def wall(self) -> datetime:
        """Now, aware."""

    def monotonic_ms(self) -> int:
        """Milliseconds that never go backwards, from any beginning."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TripWatch:
    """One open trip, as the house hands it over.

    `duty`: the status that decides what may be said in the vehicle; None: not known.
    `clock_behind`: the wall clock was set back behind the trip's last event, and the trip's time is
    later than it by so much.
    `office_told`: the due checks the office has a message about.
    """

    trip: str
    label: str
    counters: tuple[Counter, ...]
    said: tuple[Said, ...]
    duty: DutyStatus | None
    clock_behind: timedelta = timedelta(0)
    office_told: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfinished:
    """A prompt that was raised, by the token it got, and has no outcome: a crash came between."""

    token: str
    prompt: Prompt


class House(Protocol):
    """What the watcher needs of the journal. Only called from the thread that runs `run`.

    Each call may raise HouseBusy: nothing was written then, and the watcher comes back to it.
    Whatever else a call raises ends the watcher.
    """

    def changed(self) -> bool:
        """Whether anything was written since this was last asked, by whatever process."""

    def open_trips(self) -> Sequence[TripWatch]:
        """The trips under way, as they stand now."""

    def raise_prompt(self, prompt: Prompt, due_check: DueCheck) -> str | None:
        """Write down that this is about to be said; durable on return. The token names it.

        None: nothing is to be said. It is written down already, by whoever, or something was
        written since the open trips were asked for, and the next look decides anew.
        """

    def record_outcome(self, token: str, attempts: tuple[Attempt, ...], *, repeated: bool) -> None:
        """Write down what came of it. `repeated`: said once more after a restart."""

    def unfinished(self) -> Sequence[Unfinished]:
        """What was raised and has no outcome; asked once, at the start."""

    def clock_stepped(self, step_ms: int) -> None:
        """Write down that the clock was set, or the computer slept; forward is positive."""

    def say(self, prompt: Prompt, due_check: DueCheck) -> tuple[str, str]:
        """Title and message of a text."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TripLook:
    """What one look found for one trip at its time: its due checks, worst first.

    `duty` as in TripWatch; `at` is the trip's own time, where the clock was set back a later one.
    """

    trip: str
    label: str
    at: datetime
    duty: DutyStatus | None
    due_checks: tuple[DueCheck, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One look at everything. `next_at` None: nothing changes until something is recorded."""

    at: datetime
    trips: tuple[TripLook, ...]
    next_at: datetime | None


class Office(Protocol):
    """Who else is told of what is late. Only called from the thread that runs `run`; what it
    raises is as with House.
    """

    def looked(self, trips: Sequence[TripWatch], look: Look) -> datetime | None:
        """After each look, with its moment: the next moment it wants another; None: none."""

    def turn(self, passed_ms: int) -> None:
        """Every turn: hand on what waits, without waiting for it. `passed_ms`: monotonic."""

    def end(self) -> None:
        """The watcher ends: write down what is still under way, if it ends soon."""


class _Call(StrEnum):
    LOOK = "look"
    STOP = "stop"


class Watch:
    """The watcher. `on_look` is called after each look, `on_busy` where the house is busy and the
    look is put off to the next; both in the thread that runs `run`.
    """

    def __init__(
        self,
        house: House,
        clock: Clock,
        notifier: FirstThatWorks,
        *,
        office: Office | None = None,
        on_look: Callable[[Look], None] | None = None,
        on_busy: Callable[[HouseBusy], None] | None = None,
    ) -> None:
        self._house = house
        self._clock = clock
        self._notifier = notifier
        self._office = office
        self._on_look = on_look
        self._on_busy = on_busy
        # Safe to put into from a signal handler and from any thread, unlike an Event.
        self._calls: SimpleQueue[_Call] = SimpleQueue()
        self.scheduler: BackgroundScheduler = _new_scheduler()
        self._is_owed = True
        self._to_write: list[Callable[[], None]] = []
        self._unfinished: list[Unfinished] | None = None
        self._seen_wall_ms = 0
        self._seen_ms = 0
        self._woken_ms = 0

    def run(self, lock_path: Path) -> None:
        """Watch until `stop` is called, or the process is told to end (SIGINT, SIGTERM).

        Raises AlreadyWatching when another watcher holds the lock.
        """
        with only_watcher(lock_path), _ending_on_signals(self.stop):
            self.start()
            try:
                while self.wait_and_look():
                    pass
            finally:
                self.scheduler.shutdown(wait=False)
            if self._office is not None:
                self._office.end()

    def stop(self) -> None:
        """End `run` soon; from any thread, or a signal handler."""
        self._calls.put(_Call.STOP)

    def start(self, *, paused: bool = False) -> None:
        """Start the scheduling library and take the first look: what came due while away."""
        self.scheduler.start(paused=paused)
        self._note_time()
        self._woken_ms = self._seen_ms
        self._look_if_owed()

    def wait_and_look(self, wait_s: float = CHANGE_LOOK_S) -> bool:
        """Wait for a call, at most so long, and look if anything may have changed.

        False: it was the call to stop.
        """
        try:
            call = self._calls.get(timeout=wait_s)
        except Empty:
            call = None
        if call is _Call.STOP:
            return False
        step_ms = self._note_time()
        if self._seen_ms - self._woken_ms >= WAKE_MS:
            self._woken_ms = self._seen_ms
            self.scheduler.wakeup()
        stepped = abs(step_ms) > STEP_MS
        if stepped:
            self._to_write.append(partial(self._house.clock_stepped, step_ms))
        self._is_owed = self._is_owed or call is _Call.LOOK or stepped
        self._look_if_owed()
        return True

    def _look_if_owed(self) -> None:
        """Look if anything may have changed; while the house is busy, the look stays owed."""
        try:
            # Asked first: what is written while the look goes on calls for another.
            self._is_owed = self._house.changed() or self._is_owed
            if self._is_owed:
                self.look(self._clock.wall())
                self._is_owed = False
            if self._office is not None:
                self._office.turn(self._seen_ms)
        except HouseBusy as busy:
            if self._on_busy is not None:
                self._on_busy(busy)

    def look(self, now: datetime) -> Look:
        """One full look: say what is owed, and put the next moments into the scheduler.

        Raises HouseBusy; what was said by then is kept, and written down at the next look.
        """
        self._write_down()
        if self._unfinished is None:
            self._unfinished = list(self._house.unfinished())
        trips = tuple(self._house.open_trips())
        found = tuple(
            TripLook(
                trip=trip.trip,
                label=trip.label,
                at=now + trip.clock_behind,
                duty=trip.duty,
                due_checks=in_order(
                    at(counter, now + trip.clock_behind) for counter in trip.counters
                ),
            )
            for trip in trips
        )
        checks = {check.due_key: check for one in found for check in one.due_checks}
        duties = {counter.due_key: trip.duty for trip in trips for counter in trip.counters}
        self._finish(self._unfinished, checks, duties)
        for trip, one in zip(trips, found, strict=True):
            for prompt in prompts(one.due_checks, trip.said, trip.duty):
                self._raise(prompt, checks[prompt.due_key])
        moments = _moments(trips, now)
        look = Look(at=now, trips=found, next_at=min(moments.values(), default=None))
        if self._office is not None:
            next_telling = self._office.looked(trips, look)
            if next_telling is not None:
                moments["the office"] = next_telling
        self._plan(moments)
        if self._on_look is not None:
            self._on_look(look)
        return look

    def _raise(self, prompt: Prompt, check: DueCheck) -> None:
        """Write it down, say it, write down what came of it."""
        token = self._house.raise_prompt(prompt, check)
        if token is not None:
            self._came_of(token, self._say(prompt, check), repeated=False)
            self._write_down()

    def _say(self, prompt: Prompt, check: DueCheck) -> tuple[Attempt, ...]:
        if prompt.channel is Channel.TONE:
            return self._notifier.tone(prompt.stage)
        return self._notifier.text(*self._house.say(prompt, check))

    def _came_of(self, token: str, attempts: tuple[Attempt, ...], *, repeated: bool) -> None:
        """Keep what came of it until it is written down: it is not said again for that."""
        self._to_write.append(
            partial(self._house.record_outcome, token, attempts, repeated=repeated)
        )

    def _write_down(self) -> None:
        """Write down what is kept, each once, in order."""
        while self._to_write:
            self._to_write[0]()
            del self._to_write[0]

    def _finish(
        self,
        unfinished: list[Unfinished],
        checks: dict[str, DueCheck],
        duties: dict[str, DutyStatus | None],
    ) -> None:
        """Try once more what an earlier run raised and never finished, and take it off the list.

        It waits while its channel may not be used; if its moment has passed, what came of it is
        unknown, and stays so.
        """
        for one in tuple(unfinished):
            check = checks.get(one.prompt.due_key)
            if check is None or not still_wanted(one.prompt, check):
                not_tried = Attempt(notifier=NOT_TRIED, outcome=Outcome.UNKNOWN)
                self._came_of(one.token, (not_tried,), repeated=False)
            elif may_be_said(one.prompt.channel, duties[one.prompt.due_key]):
                self._came_of(one.token, self._say(one.prompt, check), repeated=True)
            else:
                continue
            unfinished.remove(one)
            self._write_down()

    def _plan(self, moments: Mapping[str, datetime]) -> None:
        """One job for each moment, under its name; nothing else is left in the scheduler."""
        self.scheduler.remove_all_jobs()
        for name, moment in moments.items():
            self.scheduler.add_job(
                self._calls.put,
                "date",
                args=(_Call.LOOK,),
                run_date=moment,
                id=name,
                replace_existing=True,
            )

    def _note_time(self) -> int:
        """By how much the wall clock moved more than the monotonic one since last noted."""
        wall_ms, ms = to_ms(self._clock.wall()), self._clock.monotonic_ms()
        step_ms = (wall_ms - self._seen_wall_ms) - (ms - self._seen_ms)
        self._seen_wall_ms, self._seen_ms = wall_ms, ms
        return step_ms


def _moments(trips: Sequence[TripWatch], now: datetime) -> dict[str, datetime]:
    """By the wall clock, the next moment of each counter that has one, under its name."""
    found = {
        counter.due_key: (next_moment((counter,), now + trip.clock_behind), trip.clock_behind)
        for trip in trips
        for counter in trip.counters
    }
    return {name: moment - behind for name, (moment, behind) in found.items() if moment}


def _new_scheduler() -> "BackgroundScheduler":
    """A scheduler that keeps its jobs in memory and runs a late one instead of dropping it."""
    from apscheduler.schedulers.background import BackgroundScheduler

    return BackgroundScheduler(
        timezone=UTC,
        job_defaults={"misfire_grace_time": None, "coalesce": True, "max_instances": 1},
    )


@contextlib.contextmanager
def _ending_on_signals(stop: Callable[[], None]) -> Iterator[None]:
    """Call `stop` on SIGINT and SIGTERM while the block runs; only the main thread gets them."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    signals = (signal.SIGINT, signal.SIGTERM)
    before = [signal.signal(number, lambda _number, _frame: stop()) for number in signals]
    try:
        yield
    finally:
        for number, handler in zip(signals, before, strict=True):
            signal.signal(number, handler)
