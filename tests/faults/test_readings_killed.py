"""`triplog readings` is killed in the middle of what it writes, and the same file read again.

Nothing that was recorded is lost, nothing is recorded twice, and a file's rows are there all or not
at all. What each run may leave behind is our own design, no source.
"""

import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from random import Random
from signal import SIGKILL

import pytest

from tests.builders import START, Journal, reopened
from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from tests.faults.feed_and_die import NEVER
from tests.scheduler.feeds import made
from tests.scheduler.feeds.made import engine, event, rmc
from triplog.cli.exit_codes import DONE
from triplog.desk.desk import open_desk
from triplog.desk.following import Follower, source_named
from triplog.journal.imported_ways import imported_ways
from triplog.journal.trip import Trip, trip_of

ROOT = Path(__file__).parents[2]
SET_OUT = START + timedelta(minutes=20)
DUTY_ROWS, FIXES = 240, 4200
EVERY_S = 3
"""So many fixes so often come to several pieces of a file, and to several parts of the way."""


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    terminal = Terminal(folder=tmp_path)
    set_scene("a first check made", terminal)
    terminal.local(12, 0)
    return terminal


@contextmanager
def dying(terminal: Terminal, *words: str) -> Iterator["subprocess.Popen[str]"]:
    """A process that runs `triplog readings` with these words, as often as it is told."""
    minutes = (terminal.clock.wall - START) / timedelta(minutes=1)
    command = [sys.executable, "-m", "tests.faults.feed_and_die", terminal.home, str(minutes)]
    with subprocess.Popen(
        [*map(str, command), *words],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as child:
        yield child
        assert child.stdin is not None
        child.stdin.close()


def run(child: "subprocess.Popen[str]", after: str) -> int:
    """One run that is killed after so many microseconds; how it ended."""
    assert child.stdin is not None and child.stdout is not None
    child.stdin.write(f"{after}\n")
    child.stdin.flush()
    return int(child.stdout.readline())


def trip_in(journal: Journal) -> Trip:
    (trip_id,) = journal.store.ids("trip")
    return trip_of(trip_id, journal.store.trip_entries(trip_id))


def rows_in(trip: Trip) -> Counter[tuple[object, ...]]:
    """What stands imported, row by row."""
    return Counter(
        (one.entry.kind, one.entry.event_time, one.entry.body["row"])
        for one in trip.of("duty_imported", "odometer_read")
        if one.entry.via == "imported"
    )


@contextmanager
def looked_into(terminal: Terminal) -> Iterator[Trip]:
    """The trip in the journal as a kill left it; the journal holds together, and so do its rows."""
    journal = reopened(terminal.store)
    try:
        assert journal.store.check() == []
        yield trip_in(journal)
        assert journal.rows() == journal.rebuilt_rows()
    finally:
        journal.close()


def duty_file(path: Path) -> None:
    """A day of many changes, each half a minute long."""
    events = [
        event(
            f"{number:X}",
            (SET_OUT - timedelta(hours=6) + timedelta(seconds=30 * number)).strftime(
                "%m%d%y,%H%M%S"
            ),
            code="34"[number % 2],
            miles=str(number // 12),
        )
        for number in range(DUTY_ROWS)
    ]
    path.write_bytes(made.duty_file(events[::-1], [engine("3", "030226,072000", "24130")]))


def log(path: Path) -> None:
    """A receiver's log of more than three hours, there and back again, 67 m between two fixes."""
    turn = FIXES // 3
    lines = (
        rmc(SET_OUT + timedelta(seconds=EVERY_S * number), 0.036 * abs(number % (2 * turn) - turn))
        for number in range(FIXES)
    )
    path.write_text("".join(f"{one}\r\n" for one in lines), newline="")


ROUNDS = pytest.mark.parametrize("rounds", [5, pytest.param(60, marks=pytest.mark.long)])


@ROUNDS
def test_a_file_is_taken_whole_or_not_at_all_and_once(rounds: int, terminal: Terminal) -> None:
    duty_file(terminal.folder / "day.csv")
    random, killed, whole = Random(20261126), 0, 0
    with dying(terminal, str(terminal.folder / "day.csv")) as child:
        for _ in range(rounds):
            killed += run(child, str(random.randint(20_000, 500_000))) == -SIGKILL
            with looked_into(terminal) as trip:
                whole = len(trip.of("readings_imported"))
                rows = rows_in(trip)
                assert whole in (0, 1)
                assert bool(rows) == bool(whole)
        assert run(child, NEVER) in (DONE, 1)
        assert run(child, NEVER) == DONE
    with looked_into(terminal) as trip:
        rows = rows_in(trip)
        assert set(rows.values()) == {1}
        assert sum(1 for kind, *_ in rows if kind == "duty_imported") == DUTY_ROWS
        assert len(trip.of("readings_imported")) == 1
    assert killed


@ROUNDS
def test_a_log_that_is_followed_goes_on_where_it_was_and_tells_no_part_twice(
    rounds: int, terminal: Terminal
) -> None:
    path = terminal.folder / "log.nmea"
    log(path)
    random, ends = Random(20261126), SET_OUT
    with dying(terminal, str(path), "--follow") as child:
        for _ in range(rounds):
            assert run(child, str(random.randint(50_000, 900_000))) == -SIGKILL
            with looked_into(terminal) as trip:
                reached = max((way.samples[-1][0] for way in imported_ways(trip)), default=SET_OUT)
                assert reached >= ends, "what was recorded stays"
                ends = reached
    _follow_to_the_end(terminal, path)
    with looked_into(terminal) as trip:
        ways = sorted((way.samples[0][0], way.samples[-1][0]) for way in imported_ways(trip))
        assert ways[0][0] == SET_OUT
        assert ways[-1][1] == SET_OUT + timedelta(seconds=EVERY_S * (FIXES - 1))
        step = timedelta(seconds=EVERY_S)
        assert all(later[0] == earlier[1] + step for earlier, later in pairwise(ways))


def _follow_to_the_end(terminal: Terminal, path: Path) -> None:
    """Follow without being killed, and press Ctrl-C where nothing more comes."""

    def nothing_more(_: float) -> None:
        raise KeyboardInterrupt

    desk = open_desk(terminal.home, terminal.clock)
    with source_named(str(path), lambda _: None) as (source, live):
        Follower(
            desk=desk,
            trip_id=desk.store.ids("trip")[0],
            name=path.name,
            live=live,
            tell=lambda _: None,
            wait=nothing_more,
        ).run(source)
    desk.store.close()
