"""Handing over, all of it or nothing: refusals in words, full disks, kills, big stores."""

import csv
import errno
import os
import resource
import subprocess
import sys
import tracemalloc
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import BinaryIO

import pytest

from exports.json_lines import write_json, write_lines
from tests.builders import StandingClock, bulk_store
from tests.desk.exported import count, exported, faultless, under_way
from tests.dossier.scene import Office, office
from triplog.desk import exporting
from triplog.desk.desk import Desk, open_desk
from triplog.desk.export_forms import write_tables
from triplog.desk.planning import add_article
from triplog.desk.refused import Refused
from triplog.desk.road import read_odometer
from triplog.desk.scope import scope_of
from triplog.journal.trip import Trip


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


@pytest.fixture
def trip(yard: Office) -> Trip:
    return under_way(yard)


# All or nothing


def refused(yard: Office, attempt: Callable[[], object], words: str) -> None:
    """The attempt is refused in words and records nothing."""
    before = count(yard.desk)
    with pytest.raises(Refused, match=words):
        attempt()
    assert count(yard.desk) == before
    assert not yard.desk.store.raw.in_transaction


def test_what_is_there_already_is_left_as_it_is(yard: Office, trip: Trip, tmp_path: Path) -> None:
    out = tmp_path / "out"
    exported(yard, out, trip, "lines")
    before = {path: path.read_bytes() for path in out.iterdir()}
    refused(yard, lambda: exported(yard, out, trip), "is there already; name another")
    assert {path: path.read_bytes() for path in out.iterdir()} == before
    exported(yard, out, trip, "sheet")
    assert len(list(out.iterdir())) == 2


def test_an_unknown_form_and_a_sheet_of_the_whole_store_are_refused(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    refused(yard, lambda: exported(yard, tmp_path / "o", trip, "word"), "forms are csv, json")
    refused(yard, lambda: exported(yard, tmp_path / "o", None, "sheet"), "those of one trip")
    assert not (tmp_path / "o").exists()


def test_a_file_where_the_folder_should_be_is_refused(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("kept")
    refused(yard, partial(exported, yard, tmp_path / "file", trip), "is no folder; name another")
    below = tmp_path / "file" / "below"
    refused(yard, partial(exported, yard, below, trip), "Not a directory")
    assert (tmp_path / "file").read_text() == "kept"


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is forbidden to the superuser")
def test_a_folder_that_may_not_be_written_is_refused(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    locked = tmp_path / "locked"
    locked.mkdir(mode=0o500)
    refused(yard, lambda: exported(yard, locked, trip), "cannot be written")


@pytest.mark.parametrize("form", ["json", "lines"])
def test_a_full_disk_leaves_nothing_and_records_nothing(
    form: str, yard: Office, trip: Trip, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: object, out: BinaryIO) -> None:
        out.write(b"the first half")
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(exporting, f"write_{form}", full)
    before = sorted(tmp_path.rglob("*"))
    refused(yard, lambda: exported(yard, tmp_path / "a/b", trip), "No space left on device")
    assert sorted(tmp_path.rglob("*")) == before
    monkeypatch.undo()
    faultless(exported(yard, tmp_path / "a/b", trip).files[-1])


def test_a_file_that_may_grow_no_further_is_a_refusal_too(yard: Office, tmp_path: Path) -> None:
    # A limit of the system, so that the very writes fail. The long text stands three times in the
    # bundle and twice in the journal, so that only the bundle meets the limit.
    what = "a very long crate " * 60_000
    yard.plan(yard.opened(), add_article(article={"what": what}, article_id=None, count=1))
    store_bytes = yard.desk.store.path.stat().st_size
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (store_bytes + 20_000, hard))
    try:
        refused(
            yard, lambda: exported(yard, tmp_path / "out", None), "cannot be written.*too large"
        )
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert not (tmp_path / "out").exists()


def test_a_kill_in_the_middle_leaves_no_name_and_no_entry(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    before = count(yard.desk)
    script = (
        "import os, sys\n"
        "from pathlib import Path\n"
        "from tests.builders import StandingClock\n"
        "from triplog.desk import exporting\n"
        "from triplog.desk.desk import open_desk\n"
        "write = exporting.write_form\n"
        "def killed(making, form, path):\n"
        "    write(making, form, path)\n"
        "    if form == 'sheet':\n"
        "        os.kill(os.getpid(), 9)\n"
        "exporting.write_form = killed\n"
        "desk = open_desk(Path(sys.argv[1]), StandingClock())\n"
        "exporting.export(desk, Path(sys.argv[2]), exporting.FORMS, desk.trip(sys.argv[3]))\n"
    )
    out = tmp_path / "out"
    done = subprocess.run(
        [sys.executable, "-c", script, str(yard.desk.home), str(out), trip.id],
        cwd=Path(__file__).parents[2],
        check=False,
    )
    assert done.returncode == -9
    assert [path.name.startswith(".triplog-") for path in out.iterdir()] == [True]
    assert count(yard.desk) == before
    assert yard.desk.store.check() == []
    # No incident is on this trip, so it has no report of one.
    assert len(exported(yard, out, trip).files) == len(exporting.FORMS) - 1


def test_a_trip_that_another_program_wrote_to_meanwhile_is_looked_at_again(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    other = open_desk(yard.desk.home, yard.clock)
    yard.clock.forward(minutes=10)
    read_odometer(other, other.trip(trip.id), "24135 mi", stopped=True)
    refused(yard, lambda: exported(yard, tmp_path / "out", trip), "meanwhile")
    assert not (tmp_path / "out").exists()


# Size


def test_memory_stays_flat_while_a_big_store_is_written(tmp_path: Path) -> None:
    peaks = []
    for entries in (2_000, 20_000):
        store = bulk_store(tmp_path / f"{entries}.sqlite3", entries)
        scope = scope_of(Desk(home=tmp_path, store=store, clock=StandingClock()), None)
        tracemalloc.start()
        for form in ("json", "lines"):
            with (tmp_path / f"{entries}.{form}").open("wb") as out:
                if form == "json":
                    write_json(scope.records(), out)
                else:
                    write_lines(scope.raw_entries(), out)
        folder = tmp_path / f"{entries}-csv"
        folder.mkdir()
        write_tables(scope, folder)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        with (folder / "entries.csv").open(newline="") as table:
            assert sum(1 for _ in csv.reader(table)) == entries + 1
        store.close()
    assert peaks[1] < 1.5 * peaks[0]
