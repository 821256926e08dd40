"""`triplog photo add` is killed in the middle of what it writes: entry and picture, or neither.

What each run may leave behind is our own design, no source.
"""

import hashlib
import random
import subprocess
import sys
from pathlib import Path
from signal import SIGKILL

import pytest
from PIL import Image

from tests.builders import reopened
from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from tests.faults.feed_and_die import NEVER
from tests.pictures import jpeg
from triplog.journal import attachments

ROOT = Path(__file__).parents[2]
COUNT = 3
WRITES_US = 60_000
"""About so long the pictures take to be written."""


def noise(seed: int) -> bytes:
    """A picture of two megabytes: so much takes a moment to be written."""
    data = random.Random(seed).randbytes(1000 * 800 * 3)
    return jpeg(Image.frombytes("RGB", (1000, 800), data), quality=98, subsampling=0)


def photos_in(store: Path) -> list[str]:
    """The digests of the photos in a journal that holds together, each with its bytes."""
    journal = reopened(store)
    try:
        assert journal.store.check() == []
        entries = list(journal.store.entries("kind = 'photo_added'"))
        digests = [str(entry.body["digest"]) for entry in entries]
        for digest in digests:
            data = b"".join(attachments.chunks(journal.store, digest))
            assert hashlib.sha256(data).hexdigest() == digest
        rows = journal.store.raw.execute(
            "SELECT count(*) FROM sqlite_master WHERE name = 'attachment'"
        ).fetchone()
        if rows == (1,):
            kept = journal.store.raw.execute("SELECT digest FROM attachment").fetchall()
            assert {digest for (digest,) in kept} == set(digests)
        assert journal.rows() == journal.rebuilt_rows()
        return digests
    finally:
        journal.close()


@pytest.mark.parametrize("rounds", [12, pytest.param(150, marks=pytest.mark.long)])
def test_photos_are_there_with_their_entries_or_not_at_all(rounds: int, tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip planned", terminal)
    files = [tmp_path / f"{seed}.jpg" for seed in range(COUNT)]
    for seed, file in enumerate(files):
        file.write_bytes(noise(seed))
    untouched = terminal.store.read_bytes()
    hot_journal = terminal.store.with_name(terminal.store.name + "-journal")
    command = [sys.executable, "-m", "tests.faults.photograph_and_die", str(terminal.home)]
    chance, torn = random.Random(20261126), 0
    with subprocess.Popen(
        [*command, *map(str, files), "--shows", "front"],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as child:
        assert child.stdin is not None and child.stdout is not None

        def run(after: str) -> int:
            assert child.stdin is not None and child.stdout is not None
            child.stdin.write(f"{after}\n")
            child.stdin.flush()
            return int(child.stdout.readline())

        for _ in range(rounds):
            hot_journal.unlink(missing_ok=True)
            terminal.store.write_bytes(untouched)
            killed = run(str(chance.randint(0, WRITES_US))) == -SIGKILL
            torn += killed and hot_journal.exists()
            assert len(photos_in(terminal.store)) in (0, COUNT), "all of them or none"
        assert run(NEVER) == 0
        child.stdin.close()
    assert len(photos_in(terminal.store)) == COUNT
    assert torn, "at least one was killed while it wrote"
