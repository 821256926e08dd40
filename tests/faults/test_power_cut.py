"""The power goes at any moment: everything acknowledged before it is there afterwards.

The real store code runs in a process whose writes and syncs are logged by a preloaded shim; what
the disk may then hold is worked out by `disk_model`, and opened again with the real store code.
"""

import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import NamedTuple

import pytest

from tests.faults.disk_model import Disk, Keep, Operation, operations
from tests.needs import need
from triplog.journal.store import open_store
from triplog.journal.store_file import StoreMissing, StoreUnusable

ROOT = Path(__file__).parents[2]
ENTRIES = 20
KEEP: tuple[Keep, ...] = ("all", "none", "some", "some", "some")


class Cut(NamedTuple):
    """One power cut: after which operation, what the folder then holds, what had been promised."""

    after: int
    folder: dict[str, bytes]
    acknowledged: list[str]


@pytest.fixture(scope="module")
def shim(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shim, compiled."""
    need(["gcc"])
    built = tmp_path_factory.mktemp("shim") / "disk_log.so"
    source = Path(__file__).with_name("disk_log.c")
    subprocess.run(
        ["gcc", "-O1", "-Wall", "-shared", "-fPIC", "-o", built, source, "-ldl"], check=True
    )
    return built


def _logged(shim: Path, place: Path, *pragmas: str) -> list[Operation]:
    """What the writing process did to its folder."""
    folder = place / "home"
    folder.mkdir()
    log = place / "log"
    subprocess.run(
        [sys.executable, "-m", "tests.faults.power_writer", folder, str(ENTRIES), *pragmas],
        cwd=ROOT,
        env={
            **os.environ,
            "LD_PRELOAD": str(shim),
            "DISK_LOG": str(log),
            "DISK_LOG_FOLDER": str(folder),
        },
        check=True,
    )
    return list(operations(log.read_bytes(), folder))


def cuts(done: list[Operation], count: int, seed: int) -> Iterator[Cut]:
    """So many cuts, each after an operation drawn by the seed."""
    random = Random(seed)
    places = sorted(random.choices(range(len(done) + 1), k=count))
    disk, acknowledged = Disk(), list[str]()
    at = 0
    for number, place in enumerate(places):
        for one in done[at:place]:
            if one.name != "acknowledged":
                disk.apply(one)
            elif one.what == "W":
                acknowledged.append(one.data.decode().strip())
        at = place
        folder = disk.after_a_cut(random, KEEP[number % len(KEEP)])
        yield Cut(after=place, folder=folder, acknowledged=list(acknowledged))


def _found_wrong(cut: Cut, place: Path) -> str | None:
    """What a person would find wrong after the cut; None: nothing."""
    for left in place.iterdir():
        left.unlink()
    for name, content in cut.folder.items():
        (place / name).write_bytes(content)
    try:
        store = open_store(place / "triplog.sqlite3")
    except StoreMissing:
        return "the journal is gone" if cut.acknowledged else None
    except StoreUnusable as problem:
        return str(problem)
    try:
        kept = {stored for (stored,) in store.raw.execute("SELECT hash FROM entry")}
        lost = [one for one in cut.acknowledged if one not in kept]
        if lost:
            return f"{len(lost)} acknowledged entries are lost"
        (whole,) = store.raw.execute("PRAGMA integrity_check").fetchone()
        return None if whole == "ok" and not store.check() else f"the file is damaged: {whole}"
    except sqlite3.DatabaseError as problem:
        return str(problem)
    finally:
        store.close()


def _all_found_wrong(done: list[Operation], count: int, place: Path) -> list[str]:
    place.mkdir()
    found = ((cut.after, _found_wrong(cut, place)) for cut in cuts(done, count, seed=20261125))
    return [f"cut after operation {after}: {wrong}" for after, wrong in found if wrong]


def test_nothing_acknowledged_is_lost_when_the_power_goes(shim: Path, tmp_path: Path) -> None:
    done = _logged(shim, tmp_path)
    assert [one.what for one in done if one.name == "acknowledged"].count("W") > ENTRIES
    kinds = {one.what for one in done if one.name != "acknowledged"}
    assert kinds >= {"C", "W", "S", "U", "R"}, "the shim saw what the store does"
    assert _all_found_wrong(done, 1000, tmp_path / "after") == []


@pytest.mark.parametrize("synchronous", ["OFF", "FULL"])
def test_the_same_run_in_a_lighter_mode_loses_what_was_acknowledged(
    shim: Path, tmp_path: Path, synchronous: str
) -> None:
    """A fault test that passes with the syncs off would be worth nothing.

    FULL leaves the folder unsynced after the end of a transaction: its rollback journal may come
    back. That is why the store uses EXTRA.
    """
    done = _logged(shim, tmp_path, f"synchronous = {synchronous}")
    assert _all_found_wrong(done, 100, tmp_path / "after") != []
