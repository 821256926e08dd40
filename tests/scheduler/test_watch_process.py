"""The long-running process as a whole: frozen and real time, the lock, being told to end.

Where a case names no source, what it holds is our reading.
"""

import os
import signal
import subprocess
import sys
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from freezegun import freeze_time

from scheduler.notify import FirstThatWorks
from scheduler.watch import Look, Watch
from scheduler.watch_lock import AlreadyWatching, only_watcher
from tests.scheduler.day import Day, minute
from tests.scheduler.scene import (
    Journal,
    MachineClock,
    Scene,
    Speaker,
    raised,
)

ROOT = Path(__file__).parents[2]


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
