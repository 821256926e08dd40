"""A watcher's surroundings for the tests: clocks, a speaker, a journal."""

import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from scheduler.counters import counters
from scheduler.due import DueCheck, State
from scheduler.notify import Attempt, FirstThatWorks, Outcome
from scheduler.progress import vehicle_duty
from scheduler.prompts import Prompt, Said
from scheduler.watch import Look, TripWatch, Unfinished, Watch
from tests.scheduler.day import US, Day, minute


class HandClock:
    """A clock moved by hand: the time as it passes, and the wall clock that can also be set."""

    def __init__(self) -> None:
        self.now = minute(0)
        self.passed_ms = 5_000

    def wall(self) -> datetime:
        return self.now

    def monotonic_ms(self) -> int:
        return self.passed_ms

    def pass_minutes(self, number: float) -> None:
        self.now += timedelta(minutes=number)
        self.passed_ms += round(number * 60_000)

    def set_wall(self, by: timedelta) -> None:
        self.now += by


class MachineClock:
    """The machine's own clocks."""

    def wall(self) -> datetime:
        return datetime.now(UTC)

    def monotonic_ms(self) -> int:
        return time.monotonic_ns() // 1_000_000


class Speaker:
    """A notifier that keeps what it was told to say."""

    name = "speaker"

    def __init__(self) -> None:
        self.said: list[str] = []
        self.spoke = threading.Event()
        self.before: Callable[[], None] = lambda: None

    def tone(self, _stage: State, /) -> Outcome:
        return self._say("tone")

    def text(self, title: str, message: str) -> Outcome:
        return self._say(f"{title}: {message}")

    def _say(self, what: str) -> Outcome:
        self.before()
        self.said.append(what)
        self.spoke.set()
        return Outcome.ACCEPTED


class Journal:
    """A house over one invented day; everything written down is kept in order."""

    def __init__(self, day: Day) -> None:
        self.day = day
        self.raised: dict[str, Prompt] = {}
        self.checks: list[DueCheck] = []
        self.outcomes: list[tuple[str, tuple[Attempt, ...], bool]] = []
        self.left: list[Unfinished] = []
        self.steps_ms: list[int] = []
        self.touched = False
        self.asked = 0

    def changed(self) -> bool:
        touched, self.touched = self.touched, False
        return touched

    def open_trips(self) -> list[TripWatch]:
        self.asked += 1
        said = tuple(
            Said(
                due_key=prompt.due_key,
                stage=prompt.stage,
                channel=prompt.channel,
                number=prompt.number,
                outcome=None,
            )
            for prompt in self.raised.values()
        )
        trip = TripWatch(
            trip="trip-1",
            label="T-1",
            counters=counters(US, self.day.progress()),
            said=said,
            duty=vehicle_duty(self.day.duties),
        )
        return [trip]

    def raise_prompt(self, prompt: Prompt, due_check: DueCheck) -> str | None:
        if prompt.idem in self.raised:
            return None
        self.raised[prompt.idem] = prompt
        self.checks.append(due_check)
        return prompt.idem

    def record_outcome(self, token: str, attempts: tuple[Attempt, ...], *, repeated: bool) -> None:
        self.outcomes.append((token, attempts, repeated))

    def unfinished(self) -> list[Unfinished]:
        return self.left

    def clock_stepped(self, step_ms: int) -> None:
        self.steps_ms.append(step_ms)

    def say(self, prompt: Prompt, due_check: DueCheck) -> tuple[str, str]:
        return f"check {prompt.stage}", due_check.counter.rule_id


class TakenJournal(Journal):
    """Another process always writes the raise down a moment earlier."""

    def __init__(self, day: Day) -> None:
        super().__init__(day)
        self.asked_for: list[str] = []

    def raise_prompt(self, prompt: Prompt, due_check: DueCheck) -> str | None:
        super().raise_prompt(prompt, due_check)
        self.asked_for.append(prompt.idem)
        return None


RUNNING: list[Watch] = []
"""The watchers a test has started on a paused scheduler; ended when the test is."""


class Scene:
    """A watcher with its house, clock and speaker, started on a paused scheduler."""

    def __init__(self, day: Day, *, begin: float = 0) -> None:
        self.day = day
        self.house = Journal(day)
        self.clock = HandClock()
        self.clock.pass_minutes(begin)
        self.speaker = Speaker()
        self.looks: list[Look] = []
        self.watch = Watch(
            self.house, self.clock, FirstThatWorks([self.speaker]), on_look=self.looks.append
        )

    def start(self) -> "Scene":
        self.watch.start(paused=True)
        RUNNING.append(self.watch)
        return self

    def turn(self) -> None:
        assert self.watch.wait_and_look(wait_s=0)

    def jobs(self) -> dict[str, datetime]:
        return {job.id: job.next_run_time for job in self.watch.scheduler.get_jobs()}


def raised(house: Journal) -> list[str]:
    return [idem.removeprefix("trip-1/us-392.9-") for idem in house.raised]
