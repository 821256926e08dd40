"""The long-running process, on a clock moved by hand, a frozen one and a real one."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from freezegun import freeze_time

from scheduler.counters import counters
from scheduler.due import DueCheck, State
from scheduler.notify import Attempt, FirstThatWorks, Outcome
from scheduler.progress import DutyStatus, vehicle_duty
from scheduler.prompts import Channel, Prompt, Said
from scheduler.watch import Look, TripWatch, Unfinished, Watch
from scheduler.watch_lock import AlreadyWatching, only_watcher
from tests.scheduler.day import US, Day, minute

ROOT = Path(__file__).parents[2]


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

    def tone(self) -> Outcome:
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
        return self

    def turn(self) -> None:
        assert self.watch.wait_and_look(wait_s=0)

    def jobs(self) -> dict[str, datetime]:
        return {job.id: job.next_run_time for job in self.watch.scheduler.get_jobs()}


def raised(house: Journal) -> list[str]:
    return [idem.removeprefix("trip-1/us-392.9-") for idem in house.raised]


def test_there_is_one_job_for_each_counter_at_its_next_moment() -> None:
    with freeze_time(minute(0)):
        scene = Scene(Day(mph=60)).start()
        assert scene.jobs() == {
            "trip-1/us-392.9-first/e1": minute(40),
            "trip-1/us-392.9-distance/e1": minute(120),
            "trip-1/us-392.9-driving/e1": minute(144),
        }
        (look,) = scene.looks
        assert look.next_at == minute(40)
        assert look.trips[0].label == "T-1"


def test_a_late_job_is_run_and_not_dropped_and_several_at_once_are_one() -> None:
    with freeze_time(minute(0)):
        for job in Scene(Day(mph=60)).start().watch.scheduler.get_jobs():
            assert job.misfire_grace_time is None
            assert job.coalesce
            assert job.max_instances == 1


def test_jobs_are_made_anew_when_anything_was_written() -> None:
    scene = Scene(Day(mph=60)).start()
    scene.clock.pass_minutes(30)
    scene.turn()
    assert scene.house.asked == 1
    scene.day.stop(30)
    scene.day.check(30, 12_030)
    scene.day.drive(30)
    scene.house.touched = True
    scene.turn()
    assert scene.house.asked == 2
    assert scene.jobs() == {
        "trip-1/us-392.9-distance/e4": minute(30 + 120),
        "trip-1/us-392.9-driving/e4": minute(30 + 144),
    }


def test_a_trip_that_stands_has_no_job() -> None:
    scene = Scene(Day(mph=60), begin=1)
    scene.day.stop(0.5)
    assert scene.start().jobs() == {}


def test_the_raise_is_written_before_the_attempt_and_its_outcome_after() -> None:
    scene = Scene(Day(mph=60), begin=50)
    order: list[int] = []
    scene.speaker.before = lambda: order.append(len(scene.house.raised) - len(order))
    scene.start()
    assert raised(scene.house) == ["first/e1/due/tone/1"]
    assert order == [1]
    assert scene.house.outcomes == [
        (
            "trip-1/us-392.9-first/e1/due/tone/1",
            (Attempt(notifier="speaker", outcome=Outcome.ACCEPTED),),
            False,
        )
    ]


def test_what_came_due_while_away_is_raised_once_with_its_true_time() -> None:
    scene = Scene(Day(mph=60), begin=100).start()
    assert raised(scene.house) == ["first/e1/due/tone/1"]
    assert scene.house.checks[0].due_at == minute(50)
    scene.watch.look(minute(101))
    assert scene.speaker.said == ["tone"]


def test_what_another_process_has_written_down_already_is_not_said_again() -> None:
    scene = Scene(Day(mph=60), begin=50)
    house = TakenJournal(scene.day)
    speaker = Speaker()
    Watch(house, scene.clock, FirstThatWorks([speaker])).start(paused=True)
    assert house.asked_for == ["trip-1/us-392.9-first/e1/due/tone/1"]
    assert speaker.said == []
    assert house.outcomes == []


def test_nothing_to_read_is_shown_while_driving_and_it_is_at_the_stop() -> None:
    scene = Scene(Day(mph=60), begin=55).start()
    assert scene.speaker.said == ["tone"]
    scene.day.stop(60)
    scene.house.touched = True
    scene.clock.pass_minutes(5)
    scene.turn()
    assert scene.speaker.said == [
        "tone",
        "check due: us-392.9-first",
        "check due: us-392.9-duty",
    ]


def test_a_clock_set_forward_is_written_down_and_everything_looked_at_again() -> None:
    scene = Scene(Day(mph=60)).start()
    scene.clock.pass_minutes(1)
    scene.clock.set_wall(timedelta(hours=1))
    scene.turn()
    assert scene.house.steps_ms == [3_600_000]
    assert raised(scene.house) == ["first/e1/due/tone/1"]


def test_a_clock_set_back_is_written_down_and_the_jobs_are_made_anew() -> None:
    scene = Scene(Day(mph=60), begin=45).start()
    assert scene.jobs()["trip-1/us-392.9-first/e1"] == minute(50)
    scene.clock.set_wall(timedelta(minutes=-30))
    scene.turn()
    assert scene.house.steps_ms == [-1_800_000]
    assert scene.jobs()["trip-1/us-392.9-first/e1"] == minute(40)


def test_a_drift_of_two_seconds_is_no_step() -> None:
    scene = Scene(Day(mph=60)).start()
    scene.clock.set_wall(timedelta(seconds=2))
    scene.turn()
    scene.clock.set_wall(timedelta(seconds=-2))
    scene.turn()
    assert scene.house.steps_ms == []
    assert scene.house.asked == 1


def test_the_scheduling_library_is_woken_every_15_seconds(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    scene = Scene(Day(mph=60)).start()
    woken: list[int] = []
    monkeypatch.setattr(
        scene.watch.scheduler, "wakeup", lambda: woken.append(scene.clock.passed_ms)
    )
    begin = scene.clock.passed_ms
    for _ in range(30):
        scene.clock.pass_minutes(2 / 60)
        scene.turn()
    assert [passed - begin for passed in woken] == [16_000, 32_000, 48_000]


def unfinished(stage: State, channel: Channel, number: int) -> Unfinished:
    prompt = Prompt(due_key="trip-1/us-392.9-first/e1", stage=stage, channel=channel, number=number)
    return Unfinished(token=prompt.idem, prompt=prompt)


def scene_after_crash(day: Day, left: Unfinished, begin: float) -> Scene:
    """The prompt was raised by an earlier run, which never wrote what came of it."""
    scene = Scene(day, begin=begin)
    scene.house.left = [left]
    scene.house.raised[left.token] = left.prompt
    return scene.start()


def test_a_raise_without_outcome_is_tried_once_more_at_start_and_marked_repeated() -> None:
    left = unfinished(State.DUE, Channel.TONE, 1)
    scene = scene_after_crash(Day(mph=60), left, 55)
    accepted = (Attempt(notifier="speaker", outcome=Outcome.ACCEPTED),)
    assert scene.house.outcomes == [(left.token, accepted, True)]
    assert list(scene.house.raised) == [left.token]
    scene.watch.look(minute(56))
    assert scene.speaker.said == ["tone"]


def test_a_text_left_without_outcome_waits_for_the_time_it_may_be_shown() -> None:
    day = Day(mph=60)
    day.stop(60)
    day.duty(65, DutyStatus.OFF_DUTY)
    left = unfinished(State.DUE, Channel.TEXT, 1)
    scene = scene_after_crash(day, left, 66)
    assert scene.speaker.said == []
    assert scene.house.outcomes == []
    day.stop(600)
    scene.watch.look(minute(600))
    assert "check due: us-392.9-first" in scene.speaker.said
    assert (left.token, (Attempt(notifier="speaker", outcome=Outcome.ACCEPTED),), True) in (
        scene.house.outcomes
    )


def test_a_raise_whose_moment_has_passed_is_left_unknown_and_not_said() -> None:
    left = unfinished(State.COMING_UP, Channel.TONE, 1)
    scene = scene_after_crash(Day(mph=60), left, 55)
    unknown = (Attempt(notifier="none", outcome=Outcome.UNKNOWN),)
    assert scene.house.outcomes[0] == (left.token, unknown, False)
    assert raised(scene.house)[-1] == "first/e1/due/tone/1"
    assert scene.speaker.said == ["tone"]


def test_a_raise_left_for_a_trip_that_is_over_is_left_unknown() -> None:
    day = Day(mph=60)
    day.ended = minute(52)
    scene = scene_after_crash(day, unfinished(State.DUE, Channel.TONE, 1), 55)
    assert scene.house.outcomes[0][1][0].outcome is Outcome.UNKNOWN
    assert scene.speaker.said == []


def test_a_frozen_clock_moved_on_and_a_wakeup_make_the_due_job_speak(tmp_path: Path) -> None:
    house, speaker = Journal(Day(mph=60)), Speaker()
    started = threading.Event()
    with freeze_time(minute(0)) as frozen:
        watch = Watch(
            house, MachineClock(), FirstThatWorks([speaker]), on_look=lambda _look: started.set()
        )
        thread = threading.Thread(target=watch.run, args=(tmp_path / "watch.lock",))
        thread.start()
        assert started.wait(5)
        frozen.move_to(minute(40))
        watch.scheduler.wakeup()
        assert speaker.spoke.wait(5)
        watch.stop()
        thread.join(5)
        assert not thread.is_alive()
    assert raised(house) == ["first/e1/coming up/tone/1"]


def test_in_real_time_a_prompt_comes_when_its_moment_does(tmp_path: Path) -> None:
    """80 % of 50 mi at 60 mph are 40 min: the day began that long ago, less 0.2 s."""
    day = Day(mph=60)
    ago = datetime.now(UTC) - minute(0) - timedelta(minutes=40) + timedelta(seconds=0.2)
    day.shift(ago)
    house, speaker = Journal(day), Speaker()
    watch = Watch(house, MachineClock(), FirstThatWorks([speaker]))
    thread = threading.Thread(target=watch.run, args=(tmp_path / "watch.lock",))
    thread.start()
    assert speaker.spoke.wait(5)
    watch.stop()
    thread.join(5)
    assert not thread.is_alive()
    assert raised(house) == ["first/e1/coming up/tone/1"]
    assert house.steps_ms == []


def test_a_second_watcher_on_the_same_store_says_so_and_leaves(tmp_path: Path) -> None:
    lock_path = tmp_path / "watch.lock"
    with only_watcher(lock_path):
        scene = Scene(Day())
        with pytest.raises(AlreadyWatching, match="another watcher is running here"):
            scene.watch.run(lock_path)
        assert scene.house.asked == 0
    with only_watcher(lock_path):
        pass


def test_a_watcher_that_was_killed_holds_nothing_back(tmp_path: Path) -> None:
    lock_path = tmp_path / "watch.lock"
    program = (
        "import pathlib, sys, time\n"
        "from scheduler.watch_lock import only_watcher\n"
        "with only_watcher(pathlib.Path(sys.argv[1])):\n"
        "    print('held', flush=True)\n"
        "    time.sleep(60)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program, str(lock_path)],
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        with pytest.raises(AlreadyWatching), only_watcher(lock_path):
            pass
        other.kill()
    with only_watcher(lock_path):
        pass


@pytest.mark.skipif(sys.platform == "win32", reason="no signals to send on this system")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_told_to_end_it_stops_cleanly_and_puts_the_old_handlers_back(
    tmp_path: Path, number: signal.Signals
) -> None:
    before = signal.getsignal(number)
    looks: list[Look] = []

    def end_after_the_first(look: Look) -> None:
        looks.append(look)
        os.kill(os.getpid(), number)

    watch = Watch(
        Journal(Day(mph=60)),
        MachineClock(),
        FirstThatWorks([Speaker()]),
        on_look=end_after_the_first,
    )
    watch.run(tmp_path / "watch.lock")
    assert len(looks) == 1
    assert not watch.scheduler.running
    assert signal.getsignal(number) == before


def test_asking_what_is_due_brings_in_neither_the_scheduling_nor_the_desktop_library() -> None:
    program = (
        "import sys, scheduler.due, scheduler.prompts, scheduler.counter, scheduler.watch\n"
        "import scheduler.notify\n"
        "print([name for name in sys.modules if name.split('.')[0] in ('apscheduler', 'plyer')])\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert run.stdout == "[]\n"
