"""A journal in memory, clocks moved by hand, and a speaker: all that a watcher has around it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from scheduler.counter import Counter
from scheduler.counters import counters
from scheduler.due import DueCheck, State
from scheduler.notify import Attempt, Outcome
from scheduler.progress import from_ms, to_ms, vehicle_duty
from scheduler.prompts import Channel, Prompt, Said
from scheduler.recheck_rules import RecheckRule
from scheduler.watch import HouseBusy, TripWatch, Unfinished
from tests.scheduler.simulator.facts import TRIP, Fact, Written, in_time, progress_of
from triplog.desk.trip_clock import clock_behind
from triplog.journal.entries import ClockReading, Entry, event_time_now


class Crash(BaseException):
    """The watcher's process ends here, with whatever it held in memory."""


class Clock:
    """The wall clock, and time as it passes: while the machine is awake, and since its start."""

    def __init__(self, wall_ms: int) -> None:
        self.wall_ms = wall_ms
        self.awake_ms = 7_000
        self.machine, self.machine_ms = 0, 9_000

    def starts_anew(self) -> None:
        """Another start of the machine, or another one: how long it has been on compares with
        nothing written before.
        """
        self.machine, self.machine_ms = self.machine + 1, 18_000_000

    def wall(self) -> datetime:
        return from_ms(self.wall_ms)

    def monotonic_ms(self) -> int:
        return self.awake_ms

    def here(self) -> Written:
        """What something written now is dated by, if the wall clock is right."""
        return Written(self.wall_ms, self.machine, self.machine_ms, self.wall_ms)

    def reading(self) -> ClockReading:
        """The clocks as the product reads them."""
        return ClockReading(
            wall=self.wall(),
            offset_min=0,
            source="machine",
            boot_id=str(self.machine),
            boot_ms=self.machine_ms,
        )


class Jobs:
    """What the watcher asks of its scheduling library, done by hand: jobs run when told to."""

    def __init__(self) -> None:
        self._jobs: dict[str, tuple[datetime, Callable[[], None]]] = {}

    def start(self, paused: bool = False) -> None:
        assert paused

    def shutdown(self, wait: bool = True) -> None:
        assert not wait

    def wakeup(self) -> None:
        """Nothing sleeps here."""

    def remove_all_jobs(self) -> None:
        self._jobs.clear()

    def add_job(
        self,
        func: Callable[..., None],
        trigger: str,
        *,
        args: tuple[object, ...],
        run_date: datetime,
        **more: object,
    ) -> None:
        assert trigger == "date"
        assert more["replace_existing"]
        self._jobs[str(more["id"])] = run_date, lambda: func(*args)

    def run_until(self, now: datetime) -> int:
        """Run what is due by now; how many that were."""
        due = [name for name, (at, _) in self._jobs.items() if at <= now]
        for name in due:
            self._jobs.pop(name)[1]()
        return len(due)


@dataclass(slots=True)
class Message:
    """A message to the office: when it was written down, and each handing over at its end.

    `handed`: by the wall clock, and whether it was marked as repeated.
    """

    written_ms: int
    handed: list[tuple[int, bool]] = field(default_factory=list)
    tried: int = 0
    is_told: bool = False
    repeated: bool = False
    """An attempt was marked as repeated, whatever came of it."""
    cut_off: bool = False
    """The watcher ended between a handing over and its outcome."""


@dataclass(slots=True)
class Raised:
    """A prompt that was written down, and what came of it."""

    prompt: Prompt
    outcomes: list[tuple[bool, Outcome]] = field(default_factory=list)
    """One for each outcome written: whether it is marked as repeated, and what it was."""
    cut_off: bool = False
    """The watcher ended between the raise and its outcome."""


class MemoryHouse:
    """A `scheduler.watch.House`: the facts of one trip, and what the watcher wrote."""

    def __init__(
        self, rules: tuple[RecheckRule, ...], top: int | None, first: list[Fact], clock: Clock
    ) -> None:
        self.rules, self.top, self._clock = rules, top, clock
        self.recorded = first
        self.facts = in_time(first)
        self.written: list[Written] = []
        """Everything written down on the trip, by whomever, in order of writing."""
        self._entries: list[Entry] = []
        for fact in first:
            self._enter(fact.at_ms)
        self.outbox: dict[str, Message] = {}
        """The messages to the office, by due check."""
        self.under_way: str | None = None
        """The message that is being handed over."""
        self.raised: dict[str, Raised] = {}
        self.version = 0
        self.busy = 0
        """Which of the next calls find it busy: the ones among its bits, lowest first."""
        self.crash: str | None = None
        self.slip_in: Callable[[], None] | None = None
        self.on_asked: Callable[[], None] = lambda: None
        self.on_raise: Callable[[Prompt], None] = lambda _prompt: None
        self.on_tell: Callable[[str], None] = lambda _due_key: None
        self.stepped_ms = 0
        """All steps of the clock that the watcher has written down."""
        self._seen = -1
        self.decided_on = -1
        """What the last look was made of."""
        self._counted: tuple[int, tuple[Counter, ...]] = (-1, ())

    def now_ms(self) -> int:
        """What something that happens now is dated, as the product dates it."""
        return to_ms(event_time_now(self._entries, self._clock.reading()))

    def write(self, recorded: list[Fact], *, at_ms: int) -> None:
        """What people have recorded by now; the watcher sees it at its next look."""
        self._enter(at_ms)
        self.recorded = recorded
        self.facts = in_time(recorded)
        self.version += 1

    def counters(self) -> tuple[Counter, ...]:
        """The counters as the product counts them from the facts."""
        if self._counted[0] != self.version:
            found = counters(self.rules, progress_of(self.facts, self.top))
            self._counted = self.version, found
        return self._counted[1]

    @property
    def is_seen(self) -> bool:
        """Whether the watcher has asked since the last writing."""
        return self._seen == self.version

    def changed(self) -> bool:
        self._may_be_busy()
        seen, self._seen = self._seen, self.version
        return seen != self.version

    def open_trips(self) -> list[TripWatch]:
        self._may_be_busy()
        self.on_asked()
        self.decided_on = self.version
        said = tuple(
            Said(
                due_key=one.prompt.due_key,
                stage=one.prompt.stage,
                channel=one.prompt.channel,
                number=one.prompt.number,
                outcome=None,
            )
            for one in self.raised.values()
        )
        duty = vehicle_duty(progress_of(self.facts, self.top).duty)
        behind = clock_behind(self.counters(), self._entries, self._clock.reading())
        return [
            TripWatch(
                trip=TRIP,
                label="T-1",
                counters=self.counters(),
                said=said,
                duty=duty,
                clock_behind=behind,
                office_told=frozenset(self.outbox),
            )
        ]

    def raise_prompt(self, prompt: Prompt, due_check: DueCheck) -> str | None:
        self._may_be_busy()
        assert due_check.due_key == prompt.due_key
        if self.slip_in is not None:
            self.slip_in()
        if self.version != self.decided_on:
            return None
        self.on_raise(prompt)
        self.raised[prompt.idem] = Raised(prompt)
        self._enter(self.now_ms())
        if self.crash == "raised":
            raise Crash
        return prompt.idem

    def record_outcome(self, token: str, attempts: tuple[Attempt, ...], *, repeated: bool) -> None:
        self._may_be_busy()
        assert attempts
        self._enter(self.now_ms())
        self.raised[token].outcomes.append((repeated, attempts[0].outcome))

    def unfinished(self) -> list[Unfinished]:
        self._may_be_busy()
        return [
            Unfinished(token=token, prompt=one.prompt)
            for token, one in self.raised.items()
            if not one.outcomes
        ]

    def clock_stepped(self, step_ms: int) -> None:
        self._may_be_busy()
        self.stepped_ms += step_ms

    def say(self, prompt: Prompt, due_check: DueCheck) -> tuple[str, str]:
        return str(prompt.stage), due_check.due_key

    def tell_office(self, due_key: str, at: datetime) -> None:
        """Write a message down; not where something was written since the trips were asked for."""
        self._may_be_busy()
        if self.version != self.decided_on:
            return
        self.on_tell(due_key)
        self.outbox[due_key] = Message(to_ms(at))
        self._enter(self.now_ms())

    def _enter(self, at_ms: int) -> None:
        here = self._clock.here()
        self.written.append(here._replace(at_ms=at_ms))
        self._entries.append(_entry(at_ms, here))

    def _may_be_busy(self) -> None:
        self.busy, is_busy = divmod(self.busy, 2)
        if is_busy:
            raise HouseBusy("another program is writing")


class Mouth:
    """A notifier that accepts everything, and tells on which channel it spoke."""

    name = "mouth"

    def __init__(self, house: MemoryHouse, on_speech: Callable[[Channel], None]) -> None:
        self._house, self._on_speech = house, on_speech

    def tone(self, _stage: State, /) -> Outcome:
        return self._speak(Channel.TONE)

    def text(self, title: str, message: str) -> Outcome:
        assert title
        assert message
        return self._speak(Channel.TEXT)

    def _speak(self, channel: Channel) -> Outcome:
        if self._house.crash == "saying":
            raise Crash
        self._on_speech(channel)
        if self._house.crash == "said":
            raise Crash
        return Outcome.ACCEPTED


def _entry(at_ms: int, here: Written) -> Entry:
    """An entry of the journal, of which only the times count."""
    return Entry(
        device="device-1",
        seq=0,
        prev=None,
        trip_prev=None,
        kind="prompt_heard",
        v=1,
        event_time=from_ms(at_ms),
        event_offset_min=0,
        entry_time=from_ms(here.at_ms),
        clock_source="machine",
        boot_id=str(here.machine),
        boot_ms=here.passed_ms,
        by="driver-1",
        via="typed",
        trip=TRIP,
        body={},
        private={},
        follows=None,
        idem="",
        data=b"",
        hash="",
    )
