"""What `triplog watch` costs while nothing happens: a share of the time it stands for, and memory.

An idle wake is the turn of the watcher every two seconds: a look at the clocks and at the journal's
version, every eighth one a wake-up of the scheduling library as well.
"""

import time
import tracemalloc
from datetime import timedelta
from pathlib import Path

from scheduler.progress import DutyStatus
from scheduler.watch import CHANGE_LOOK_S, Watch
from tests.benchmarks.measure import Figure
from tests.desk.watched import Watched, watched
from triplog.desk.office import JournalOffice
from triplog.desk.setting_up import record_carrier

WAKES = 1_000
SHARE_MAX = 0.005
MEMORY_MAX = 1.02
"""The last thousand wakes may leave so much of what was held before them; it is to be flat."""


def figures(folder: Path) -> list[Figure]:
    """The CPU time of a thousand idle wakes, and what is held after them."""
    with watched(folder) as day:
        record_carrier(day.driver, office_margin="5 mi")
        house = day.house()
        watcher = day.watch_with(house, office=JournalOffice(house))
        # At a stop: nothing comes due by itself, and the library waits without a job.
        watcher.start()
        day.duty(DutyStatus.ON_DUTY)
        wakes(day, watcher)
        looks = len(day.looks)
        begun = time.process_time()
        wakes(day, watcher)
        taken = time.process_time() - begun
        tracemalloc.start()
        wakes(day, watcher)
        before, _ = tracemalloc.get_traced_memory()
        wakes(day, watcher)
        after, _ = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert len(day.looks) == looks, "a wake that looks is not idle"
    return [
        Figure(
            name="1,000 idle wakes of watch / 0.5 % of their time",
            ours=taken,
            floor=WAKES * CHANGE_LOOK_S * SHARE_MAX,
            unit="s",
            limit=1.0,
        ),
        Figure(
            name="memory traced after 1,000 more idle wakes / before",
            # What is held over a wake is small; the same is added to both to see growth alone.
            ours=(after + 1_000_000) / 1024,
            floor=(before + 1_000_000) / 1024,
            unit="KiB",
            limit=MEMORY_MAX,
        ),
    ]


def wakes(day: Watched, watcher: Watch) -> None:
    """A thousand turns, each after the time a watcher waits for one, with nothing coming due."""
    for _ in range(WAKES):
        day.clock.go_on_to(day.clock.now + timedelta(seconds=CHANGE_LOOK_S))
        assert watcher.wait_and_look(wait_s=0)
