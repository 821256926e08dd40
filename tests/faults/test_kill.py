"""A process is killed at a random moment: nothing acknowledged is lost, nothing is doubled."""

import os
import subprocess
import sys
import time
from pathlib import Path
from random import Random

import pytest

from tests.builders import TRIP, Journal, depart, new_journal, reopened

ROOT = Path(__file__).parents[2]
KEY = "tap"
EACH = 30
DUE = "import sys; sys.argv = ['triplog', 'due']; from triplog.cli.main import run; run()"


def _killed_while_recording(path: Path, first: int, random: Random) -> dict[str, str]:
    """Record on from a number, kill the process at some moment; what it had acknowledged."""
    child = subprocess.Popen(
        [sys.executable, "-m", "tests.faults.appender", path, TRIP, KEY, str(first), "1000"],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert child.stdout is not None
    said = [child.stdout.readline() for _ in range(random.randint(0, 6))]
    time.sleep(random.uniform(0, 0.006))
    child.kill()
    said += child.stdout.readlines()
    child.stdout.close()
    child.wait()
    return dict(line.split() for line in said if line.endswith("\n"))


def _due_answers(path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", DUE],
        cwd=ROOT,
        env={**os.environ, "TRIPLOG_HOME": str(path.parent)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    assert "T-1" in done.stdout


def _nothing_lost(journal: Journal, acknowledged: dict[str, str]) -> None:
    recorded = [one for one in journal.store.entries() if one.idem.startswith(KEY)]
    assert acknowledged.items() <= {one.idem: one.hash for one in recorded}.items()
    assert [one.idem for one in recorded] == [f"{KEY}-{n}" for n in range(len(recorded))]
    assert len(recorded) <= len(acknowledged) + 1, "at most one was recorded and not acknowledged"
    assert journal.store.check() == []
    assert journal.rows() == journal.rebuilt_rows()


@pytest.mark.parametrize("rounds", [4, pytest.param(60, marks=pytest.mark.long)])
def test_a_killed_process_loses_nothing_and_its_retry_doubles_nothing(
    tmp_path: Path, rounds: int
) -> None:
    """The first command after each kill is `due`: it finds the journal as the kill left it."""
    path = tmp_path / "triplog.sqlite3"
    journal = new_journal(path)
    depart(journal)
    journal.close()
    random = Random(20261125)
    acknowledged: dict[str, str] = {}
    for _ in range(rounds):
        acknowledged |= _killed_while_recording(path, len(acknowledged), random)
        _due_answers(path)
        journal = reopened(path)
        _nothing_lost(journal, acknowledged)
        journal.close()
    assert acknowledged


@pytest.mark.parametrize("rounds", [2, pytest.param(30, marks=pytest.mark.long)])
def test_of_two_writers_at_once_one_is_killed_and_the_other_goes_on(
    tmp_path: Path, rounds: int
) -> None:
    """What the killed one left half written is rolled back by the other, who loses nothing."""
    path = tmp_path / "triplog.sqlite3"
    journal = new_journal(path)
    depart(journal)
    journal.close()
    random = Random(20261126)
    acknowledged: dict[str, str] = {}
    for number in range(rounds):
        goes_on, dies = (_writer(path, f"{name}-{number}") for name in ("office", "cab"))
        assert dies.stdout is not None
        said = [dies.stdout.readline() for _ in range(random.randint(1, 5))]
        time.sleep(random.uniform(0, 0.006))
        dies.kill()
        said += [*dies.communicate()[0].splitlines(keepends=True)]
        told = goes_on.communicate()[0].splitlines(keepends=True)
        assert goes_on.returncode == 0
        assert len(told) == EACH
        acknowledged |= dict(line.split() for line in (*said, *told) if line.endswith("\n"))
    journal = reopened(path)
    recorded = {one.idem: one.hash for one in journal.store.entries()}
    assert acknowledged.items() <= recorded.items()
    assert journal.store.check() == []
    assert journal.rows() == journal.rebuilt_rows()
    journal.close()


def _writer(path: Path, key: str) -> "subprocess.Popen[str]":
    command = [sys.executable, "-m", "tests.faults.appender", str(path), TRIP, key, "0", str(EACH)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)
