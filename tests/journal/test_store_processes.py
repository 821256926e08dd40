"""Two processes at one journal."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.builders import TRIP, Journal, duty_changed, odometer_read, reopened, tables_of
from triplog.journal.repeats import AlreadyRecorded
from triplog.journal.store_file import StoreUnusable

ROOT = Path(__file__).parents[2]
EACH = 20


def test_two_processes_that_record_at_once_lose_nothing(on_the_road: Journal) -> None:
    path = str(on_the_road.store.path)
    children = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.faults.appender", path, TRIP, key, "0", str(EACH)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
        )
        for key in ("cab", "office")
    ]
    said = "".join(child.communicate()[0] for child in children)
    assert [child.returncode for child in children] == [0, 0]
    acknowledged = dict(line.split() for line in said.splitlines())
    assert len(acknowledged) == 2 * EACH
    recorded = {one.idem: one.hash for one in on_the_road.store.entries()}
    assert acknowledged.items() <= recorded.items()
    assert on_the_road.store.check() == []
    assert on_the_road.rows() == on_the_road.rebuilt_rows()


def test_a_transaction_holds_the_journal_from_its_start(on_the_road: Journal) -> None:
    """The head is read inside the lock: two writers never chain onto the same entry."""
    other = reopened(on_the_road.store.path)
    other.store.raw.execute("PRAGMA busy_timeout = 0")
    with (
        on_the_road.store.writing(on_the_road.clock.read(), on_the_road.tables),
        pytest.raises(StoreUnusable, match="written by another program"),
    ):
        other.record(odometer_read())
    with on_the_road.store.writing(on_the_road.clock.read(), on_the_road.tables) as writing:
        writing.append(odometer_read("24140 mi"))
    other.record(odometer_read("24141 mi"))
    other.close()
    assert on_the_road.store.check() == []


def test_what_another_process_wrote_after_a_refusal_here_is_in_the_rows(
    on_the_road: Journal,
) -> None:
    on_the_road.record(odometer_read(idem="tap-1"))
    with pytest.raises(AlreadyRecorded):
        on_the_road.record(duty_changed("on duty"), odometer_read(idem="tap-1"))
    other = reopened(on_the_road.store.path)
    other.record(duty_changed("sleeper"))
    other.close()
    on_the_road.record(odometer_read("24140 mi"))
    assert on_the_road.rows() == on_the_road.rebuilt_rows()


def test_two_projections_over_one_store_agree(on_the_road: Journal) -> None:
    on_the_road.record(odometer_read())
    other = Journal(
        store=on_the_road.store, tables=tables_of(on_the_road.store), clock=on_the_road.clock
    )
    other.record(duty_changed("on duty"))
    on_the_road.record(odometer_read("24140 mi"))
    assert on_the_road.rows() == on_the_road.rebuilt_rows()
