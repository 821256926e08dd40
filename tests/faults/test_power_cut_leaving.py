"""The power goes while heads are signed and files leave: what was told to be done is there.

The second place never holds a head that the journal does not follow: else a journal that lost
nothing would be told to be an old copy, and sign no more.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from exports.verify import verify
from tests.builders import StandingClock
from tests.faults.disk_model import Disk, operations
from tests.faults.power_leaver import FILES, LINES
from tests.faults.test_power_cut import KEEP, ROOT, Cut, cuts, shim
from triplog.desk.desk import open_desk
from triplog.desk.witness import give_head
from triplog.journal.store_file import StoreMissing, StoreUnusable

__all__ = ["shim"]


def _logged(shim: Path, folder: Path, log: Path) -> None:
    folder.mkdir()
    subprocess.run(
        [sys.executable, "-m", "tests.faults.power_leaver", folder],
        cwd=ROOT,
        env={
            **os.environ,
            "LD_PRELOAD": str(shim),
            "DISK_LOG": str(log),
            "DISK_LOG_FOLDER": str(folder),
        },
        check=True,
    )


def _found_wrong(cut: Cut, place: Path) -> Iterator[str]:
    """What a person would find wrong after the cut."""
    shutil.rmtree(place, ignore_errors=True)
    for name, content in cut.folder.items():
        path = place / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    promised = json.loads(cut.acknowledged[-1]) if cut.acknowledged else {"head": None, "files": {}}
    for name, digest in promised["files"].items():
        path = place / name
        if not path.exists() or hashlib.sha256(path.read_bytes()).hexdigest() != digest:
            yield f"{name} is not there as it was written"
    for path in (path for name in FILES for path in place.glob(f"{name}/*.zip")):
        if verify(path).problems:
            yield f"{path.name} is a part of a bundle under the name of a whole one"
    yield from _journal_wrong(place, promised["head"])


def _journal_wrong(place: Path, head: str | None) -> Iterator[str]:
    try:
        desk = open_desk(place / "home", StandingClock(), heads=place / "heads")
    except StoreMissing:
        if head is not None:
            yield "the journal is gone"
        return
    except StoreUnusable as problem:
        yield str(problem)
        return
    try:
        if head is not None:
            desk.store.entry(head)
        if desk.store.check():
            yield "the chain is broken"
        desk.clock.wall = desk.clock.wall.replace(hour=23)  # type: ignore[attr-defined]
        give_head(desk, None, "paper", to=None, note=None, file=None)
        if desk.head_trouble is not None:
            yield desk.head_trouble
    except LookupError:
        yield "an acknowledged entry is lost"
    finally:
        desk.store.close()


@pytest.mark.parametrize("count", [40, pytest.param(1000, marks=pytest.mark.long)])
def test_what_was_signed_and_written_is_there_when_the_power_goes(
    shim: Path, tmp_path: Path, count: int
) -> None:
    folder = tmp_path / "place"
    _logged(shim, folder, tmp_path / "log")
    done = list(operations((tmp_path / "log").read_bytes(), folder))
    assert sum(one.name == "acknowledged" and one.what == "W" for one in done) == len(LINES)
    wrong = [
        f"cut after operation {cut.after} of {len(done)}: {one}"
        for cut in cuts(done, count, seed=20261126)
        for one in _found_wrong(cut, tmp_path / "after")
    ]
    assert wrong == []


def test_a_name_is_durable_once_its_own_folder_is_synced() -> None:
    """Of the model itself: what is in a folder below is not."""
    from tests.faults.disk_model import Operation

    def one(what: str, name: str) -> Operation:
        return Operation(what=what, name=name, offset=0, data=b"")

    disk = Disk()
    for what, name in (("C", "a/x"), ("C", "a/b/y"), ("S", "a/x"), ("S", "a/b/y"), ("S", "a")):
        disk.apply(one(what, name))
    assert disk.after_a_cut(Random(1), KEEP[1]).keys() == {"a/x"}
    disk.apply(one("S", "a/b"))
    assert disk.after_a_cut(Random(1), KEEP[1]).keys() == {"a/x", "a/b/y"}
