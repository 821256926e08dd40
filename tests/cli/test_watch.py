"""`triplog watch` for real: in a pipe, at a terminal, on a desktop, beside other processes.

Where a case names no source, what it holds is our reading.
"""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from scheduler.progress import DutyStatus
from scheduler.watch import HouseBusy, Look
from tests.cli.watch_process import (
    NO_DESKTOP,
    NOTHING_TOOK_IT,
    PATIENCE_S,
    ROOT,
    entries,
    outcomes_of,
    told,
    triplog,
    wait_until,
    watching,
)
from tests.desk.watched import DEPARTED, HandClock, Watched, departed_some_time_ago, watched
from tests.needs import need
from tests.scheduler.test_desktop import virtual_screen
from triplog.cli.exit_codes import DONE, FOUND, REFUSED, STORE
from triplog.cli.watching import Screen
from triplog.journal.store import open_store
from triplog.journal.store_file import STORE_NAME

REAL = pytest.mark.skipif(sys.platform == "win32", reason="no such terminals and signals there")
BELL, ESCAPE = "\a", "\x1b"
LOOK_S = 2


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A home whose one trip has been driven for an hour: its first check is due by estimate."""
    departed_some_time_ago(tmp_path, datetime.now(UTC), minutes=60)
    return tmp_path


@REAL
def test_in_a_pipe_the_line_of_state_comes_at_the_stop_and_stands_still_while_driving(
    home: Path,
) -> None:
    with watching(home) as watcher:
        tone = watcher.wait_for_outcome_of("first/due/tone/1")
        assert tone.body["outcomes"] == NOTHING_TOOK_IT
        assert watcher.read() == ""
        assert triplog(home, "duty", "on duty").returncode == DONE
        begin = time.monotonic()
        at_the_stop = watcher.wait_for("\n")
        assert time.monotonic() - begin < LOOK_S + 2
        assert at_the_stop.startswith("trip T-1: due, by estimate: first check, within 50 mi")
        assert triplog(home, "duty", "driving").returncode == FOUND
        watcher.wait_for_outcome_of("duty/late/tone/1")
        assert watcher.end() == DONE
        assert watcher.read() == (
            at_the_stop
            + "stopped watching; what comes due meanwhile is raised when it starts again\n"
        )
    assert told(home) == (
        f"watching {home / STORE_NAME}; Ctrl-C ends it\n"
        "no tone can be heard: no terminal bell here, and no player of sounds\n"
    )
    assert not {BELL, ESCAPE} & set(watcher.shown)


@REAL
def test_at_a_terminal_the_bell_rings_while_driving_and_the_text_comes_at_the_stop(
    home: Path,
) -> None:
    with watching(home, at_terminal=True) as watcher:
        tone = watcher.wait_for_outcome_of("first/due/tone/1")
        assert tone.body["outcomes"][-1] == {"by": "terminal", "came": "accepted"}  # type: ignore[index]
        assert watcher.read() == BELL
        triplog(home, "duty", "on duty")
        watcher.wait_for_outcome_of("duty/due/text/1")
        watcher.wait_for("trip T-1: due, by estimate")
        lines = watcher.read().removeprefix(BELL).splitlines()
        raised = [
            line for line in lines if line.startswith(f"{ESCAPE}[7m Load check due, trip T-1")
        ]
        assert len(raised) == 2
        reversed_lines = [line.startswith(ESCAPE) for line in lines]
        assert reversed_lines == sorted(reversed_lines, reverse=True)
        assert BELL not in watcher.read().removeprefix(BELL)
        assert watcher.end() == DONE


@REAL
def test_a_second_watcher_says_so_and_leaves_and_the_first_goes_on(home: Path) -> None:
    with watching(home) as watcher:
        watcher.wait_for_outcome_of("first/due/tone/1")
        before = len(entries(home))
        second = triplog(home, "watch")
        assert second.returncode == REFUSED
        assert "another watcher is running here" in second.stderr
        assert "watching" not in second.stderr.replace("another watcher", "")
        assert second.stdout == ""
        assert len(entries(home)) == before
        triplog(home, "duty", "on duty")
        watcher.wait_for("trip T-1: due")


@REAL
def test_a_journal_that_is_taken_away_ends_it_with_a_sentence(home: Path) -> None:
    with watching(home) as watcher:
        watcher.wait_for_outcome_of("first/due/tone/1")
        (home / STORE_NAME).rename(home / "elsewhere")
        assert watcher.process.wait(PATIENCE_S) == STORE
    assert f"the journal {home / STORE_NAME} is not there any more\n" in told(home)
    assert "Traceback" not in told(home)


@REAL
def test_it_goes_on_when_nobody_reads_its_lines_any_more(home: Path) -> None:
    with watching(home) as watcher:
        watcher.wait_for_outcome_of("first/due/tone/1")
        handle, nowhere = watcher.handle, os.open(os.devnull, os.O_RDONLY)
        os.dup2(nowhere, handle)
        os.close(nowhere)
        triplog(home, "duty", "on duty")
        watcher.wait_for_outcome_of("first/due/text/1")
        triplog(home, "duty", "driving")
        watcher.wait_for_outcome_of("duty/late/tone/1")
        assert watcher.end() == DONE
    assert "Traceback" not in told(home)


@REAL
def test_with_its_standard_streams_closed_it_watches_and_the_journal_stays_whole(
    home: Path,
) -> None:
    command = 'exec "$@" <&- >&- 2>&-'
    words = [sys.executable, "-m", "triplog", "--home", str(home), "watch"]
    with subprocess.Popen(
        ["/bin/sh", "-c", command, "sh", *words], cwd=ROOT, env=NO_DESKTOP
    ) as watcher:
        wait_until(lambda: outcomes_of(home, "first/due/tone/1"), "the tone's outcome")
        triplog(home, "duty", "on duty")
        wait_until(lambda: outcomes_of(home, "first/due/text/1"), "the text's outcome")
        watcher.terminate()
        assert watcher.wait(PATIENCE_S) == DONE
    store = open_store(home / STORE_NAME, reading_only=True)
    assert store.check() == []
    store.close()


@pytest.mark.desktop
def test_on_a_real_desktop_nothing_is_shown_while_driving_and_the_text_is_at_the_stop(
    home: Path,
) -> None:
    need(["Xvfb", "dbus-run-session", "dbus-monitor", "dbus-send", "dunst", "notify-send"])
    with virtual_screen() as display:
        run = subprocess.run(
            ["dbus-run-session", "--", sys.executable, "-m", "tests.cli.watch_session", str(home)],
            cwd=ROOT,
            env={**os.environ, "DISPLAY": display, "HOME": str(home)},
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
    assert run.returncode == DONE, run.stderr
    assert json.loads(run.stdout) == {
        "while_driving": 0,
        "duty_recorded": DONE,
        "outcome": [{"by": "desktop", "came": "accepted"}],
        "ended": DONE,
    }
    seen = (home / "seen.txt").read_text("utf-8")
    assert 'string "triplog"' in seen
    assert 'string "Load check due, trip T-1"' in seen
    (message,) = (line for line in seen.splitlines() if "first check, within 50 mi" in line)
    assert "due, by estimate" in message
    assert message.endswith('At the next safe place; nothing while driving."')


def test_without_a_journal_it_says_how_to_begin(tmp_path: Path) -> None:
    alone = triplog(tmp_path, "watch")
    assert alone.returncode == STORE
    assert "`triplog begin` makes one" in alone.stderr


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Watched]:
    """A trip that has just departed, watched on a clock moved by hand."""
    with watched(tmp_path) as day:
        day.watch()
        yield day


def lines_of(screen: Screen, day: Watched, capsys: pytest.CaptureFixture[str]) -> list[str]:
    """What the screen prints at the newest look."""
    screen.looked(day.looks[-1])
    return capsys.readouterr().out.splitlines()


def test_the_line_is_printed_again_only_when_it_says_something_new(
    day: Watched, capsys: pytest.CaptureFixture[str]
) -> None:
    screen = Screen(day.clock, [])
    day.forward(20)
    day.duty(DutyStatus.ON_DUTY)
    due = "trip T-1: due: check after a change of duty status"
    assert lines_of(screen, day, capsys) == [due]
    day.forward(10)
    day.odometer("24140 mi")
    assert lines_of(screen, day, capsys) == []
    day.check()
    (line,) = lines_of(screen, day, capsys)
    assert line.startswith("trip T-1: nothing due: check at the latest every")
    day.duty(DutyStatus.DRIVING)
    day.forward(120)
    assert lines_of(screen, day, capsys) == []


def test_with_no_trip_under_way_the_line_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    look = Look(at=DEPARTED, trips=(), next_at=None)
    Screen(HandClock(DEPARTED), []).looked(look)
    assert capsys.readouterr().out == "no trip is under way\n"


def test_a_busy_journal_is_told_once_until_a_look_was_made(
    day: Watched, capsys: pytest.CaptureFixture[str]
) -> None:
    screen = Screen(day.clock, ["watching here"])
    for _ in range(3):
        screen.put_off(HouseBusy("the journal is busy; looking again in a moment"))
    assert capsys.readouterr().err.splitlines() == [
        "watching here",
        "the journal is busy; looking again in a moment",
    ]
    screen.looked(day.looks[-1])
    screen.put_off(HouseBusy("busy again"))
    assert capsys.readouterr().err == "busy again\n"
