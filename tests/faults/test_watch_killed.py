"""`triplog watch` killed without a word, again and again: nothing is lost, nothing twice.

Each round the driver drives on and stops again without a check, so that prompts are owed at the
new stop; a watcher is killed while it raises them, and the next one has to finish the work.
Where a case names no source, what it holds is our reading.
"""

import contextlib
import random
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.due import at, in_order
from scheduler.progress import DutyStatus
from scheduler.prompts import prompts
from tests.builders import DRIVER, TRIP
from tests.desk.watched import departed_some_time_ago
from tests.faults.watch_and_die import AFTER, AT_MS, BEFORE, NEVER
from triplog.checks import counters_of, duty_of, said_on, unfinished_prompts
from triplog.cli.machine_clock import MachineClock
from triplog.desk.desk import Desk, open_desk
from triplog.desk.due_now import due_now
from triplog.desk.road import change_duty

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no fork on this system")

ROOT = Path(__file__).parents[2]
ACCEPTED = [{"by": "desktop", "came": "accepted"}]


class Rounds:
    """A home, its driver, and the process that runs the watchers."""

    def __init__(self, home: Path, watchers: "subprocess.Popen[str]") -> None:
        self.home = home
        self.first_stop = datetime.now(UTC) - timedelta(minutes=70)
        self._watchers = watchers

    def watch(self, dies: str, number: int = 0) -> str:
        """Run one watcher; how it ended."""
        assert self._watchers.stdin is not None
        assert self._watchers.stdout is not None
        self._watchers.stdin.write(f"{dies} {number}\n")
        self._watchers.stdin.flush()
        return self._watchers.stdout.readline().strip()

    def drive_and_stop(self, number: int) -> None:
        """The driver goes on for ten seconds and stops, some time ago and without a check."""
        stop = self.first_stop + timedelta(seconds=20 * number)
        if number > 0:
            self._duty(DutyStatus.DRIVING, stop - timedelta(seconds=10))
        self._duty(DutyStatus.ON_DUTY, stop)

    def _duty(self, status: DutyStatus, moment: datetime) -> None:
        with self.desk() as desk:
            trip = desk.trip(TRIP)
            change_duty(desk, trip, status, driver=DRIVER, at=moment, place=None, reason=None)

    @contextlib.contextmanager
    def desk(self) -> Iterator[Desk]:
        """A desk at the journal, as every command opens it."""
        desk = open_desk(self.home, MachineClock())
        try:
            yield desk
        finally:
            desk.store.close()

    def unfinished(self) -> set[str]:
        """The raises that have no outcome."""
        with self.desk() as desk:
            return {fact.original.hash for fact in unfinished_prompts(desk.trip(TRIP))}

    def said(self) -> list[str]:
        """What the driver was told, in order."""
        said = self.home / "said.txt"
        return said.read_text("utf-8").splitlines() if said.exists() else []


@contextlib.contextmanager
def rounds(home: Path) -> Iterator[Rounds]:
    """A trip that drove for 50 min, 54 mi at its stated top speed, and then stopped at times."""
    departed_some_time_ago(home, datetime.now(UTC), minutes=120)
    with subprocess.Popen(
        [sys.executable, "-m", "tests.faults.watch_and_die", str(home)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as watchers:
        yield Rounds(home, watchers)
        assert watchers.stdin is not None
        watchers.stdin.close()


def test_killed_before_the_attempt_it_is_made_by_the_next_watcher(tmp_path: Path) -> None:
    with rounds(tmp_path) as scene:
        scene.drive_and_stop(0)
        assert scene.watch(BEFORE, 1) == "killed"
        assert len(scene.unfinished()) == 1
        assert scene.said() == []
        assert scene.watch(NEVER) == "0"
        assert scene.unfinished() == set()
        assert scene.said() == ["tone", "Load check due, trip T-1", "Load check due, trip T-1"]


@pytest.mark.parametrize(
    "count", [pytest.param(20, id="20"), pytest.param(60, id="60", marks=pytest.mark.long)]
)
def test_killed_again_and_again_no_prompt_is_lost_and_none_recorded_twice(
    tmp_path: Path, count: int
) -> None:
    chance = random.Random(392)
    killed = 0
    repeated: set[str] = set()
    with rounds(tmp_path) as scene:
        for number in range(count):
            scene.drive_and_stop(number)
            dies = (BEFORE, AFTER, AT_MS)[number % 3]
            ended = scene.watch(dies, chance.randint(1, 60) if dies == AT_MS else 1 + number % 2)
            assert ended in ("killed", "0")
            killed += ended == "killed"
            assert due_now(tmp_path, MachineClock()).trips[0].state == "stopped"
            repeated |= scene.unfinished()
            assert scene.watch(NEVER) == "0"
            assert_all_is_said_once(scene, repeated)
    assert killed > count // 2
    assert repeated


def assert_all_is_said_once(scene: Rounds, repeated: set[str]) -> None:
    """The journal holds; every prompt owed was raised once and has one outcome; all were said."""
    with scene.desk() as desk:
        assert desk.store.check() == []
        trip = desk.trip(TRIP)
        now = datetime.now(UTC)
        checks = in_order(at(counter, now) for counter in counters_of(trip))
        assert prompts(checks, said_on(trip), duty_of(trip)) == ()
        raised = [fact.entry for fact in trip.of("prompt_raised")]
        outcomes = [fact.entry.body for fact in trip.of("prompt_outcome")]
    assert max(Counter(entry.idem for entry in raised).values()) == 1
    of_raise = Counter(body["raised"] for body in outcomes)
    assert of_raise == dict.fromkeys((entry.hash for entry in raised), 1)
    assert {body["raised"] for body in outcomes if body.get("repeated")} == repeated
    by_watcher = [body for body in outcomes if body["outcomes"] == ACCEPTED]
    assert len(by_watcher) <= len(scene.said()) <= len(by_watcher) + len(repeated)
