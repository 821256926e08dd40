"""The office's messages while watchers are killed without a word: each told, none told twice
in the record, and what may have arrived before says so.

Each round the driver has something happen, and drives on without the check it calls for.
Where a case names no source, what it holds is our reading.
"""

import sys
from datetime import timedelta
from pathlib import Path
from random import Random

import pytest

from tests.builders import TRIP
from tests.faults.test_watch_killed import Rounds, rounds
from tests.faults.watch_and_die import AT_MS, NEVER
from tests.needs import need
from triplog.desk.office import messages, set_hook
from triplog.desk.road import report_event
from triplog.desk.setting_up import record_carrier

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no fork on this system")

END = "-- end of message --"
TELL = f'cat >> "$0" && echo "{END}" >> "$0"'
KILL = "kill -9 $PPID"
WAYS = {"before": f"{KILL}; sleep 1", "after": f"{TELL}; {KILL}; sleep 1", "whole": TELL}
"""What the office's command does: it kills the watcher before or after it told, or not at all."""


def told_to_office(home: Path) -> list[str]:
    """Every message the office got, in order."""
    told = home / "office.txt"
    return told.read_text("utf-8").split(END)[:-1] if told.exists() else []


def tell_office(home: Path, way: str) -> None:
    set_hook(home, command=["sh", "-c", WAYS[way], str(home / "office.txt")])


def something_happens(scene: Rounds, number: int) -> None:
    """At this stop; without a check it is late as soon as the driver goes on."""
    stopped = scene.first_stop + timedelta(seconds=20 * number + 1)
    with scene.desk() as desk:
        report_event(
            desk,
            desk.trip(TRIP),
            "hard braking",
            stopped=True,
            tie_downs=[],
            moved=None,
            at=stopped,
            note=f"number {number}",
            place=None,
        )


@pytest.mark.parametrize(
    "count", [pytest.param(12, id="12"), pytest.param(60, id="60", marks=pytest.mark.long)]
)
def test_killed_again_and_again_each_message_is_told_and_recorded_once(
    tmp_path: Path, count: int
) -> None:
    need(["sh", "cat", "sleep"])
    chance = Random(393)
    killed, told_and_killed = 0, 0
    with rounds(tmp_path) as scene:
        with scene.desk() as desk:
            record_carrier(desk, office_margin="0 mi")
        for number in range(count):
            scene.drive_and_stop(number)
            something_happens(scene, number)
            way = ("before", "after", "whole")[number % 3]
            tell_office(tmp_path, way)
            before = len(told_to_office(tmp_path))
            dies = (AT_MS, chance.randint(1, 90)) if way == "whole" else (NEVER, 0)
            ended = scene.watch(*dies)
            assert ended in ("killed", "0")
            killed += ended == "killed"
            told_and_killed += ended == "killed" and len(told_to_office(tmp_path)) > before
            tell_office(tmp_path, "whole")
            assert scene.watch(NEVER) == "0"
            assert_none_is_recorded_twice(scene, events_driven_on_after=number)
        # One more for the change of duty; a watcher told to end hands over one at a time.
        assert scene.watch(NEVER) == "0"
        with scene.desk() as desk:
            assert all(one.is_told for one in messages(desk))
        told = told_to_office(tmp_path)
    assert killed > count // 2
    assert told_and_killed
    marked = [one for one in told if "Repeated: " in one]
    assert count + told_and_killed <= len(told) <= count + len(marked)


def assert_none_is_recorded_twice(scene: Rounds, *, events_driven_on_after: int) -> None:
    """Each event driven on after has one message, none has two good ends, none was told unmarked
    a second time.
    """
    with scene.desk() as desk:
        assert desk.store.check() == []
        found = messages(desk)
        entries = desk.store.trip_entries(TRIP)
    assert len({one.entry.body["due"] for one in found}) == len(found)
    assert all(one.tried.count("accepted") <= 1 for one in found)
    events = {one.hash for one in entries if one.kind == "event_reported"}
    assert len({one.entry.body["since"] for one in found} & events) == events_driven_on_after
    told = told_to_office(scene.home)
    assert sum("Repeated: " not in one for one in told) <= len(found)
