"""A copy of the store: whole while another process writes, and in words where it cannot be made.

That SQLite's backup API copies a database in use is said by its own page on it (from memory).
"""

import resource
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from tests.builders import bulk_store
from triplog.journal.copies import CopyFailed, copy_store, restore_store
from triplog.journal.store import Store, open_store
from triplog.journal.store_file import StoreUnusable

ROOT = Path(__file__).parents[2]
_WRITER = """
import sys
from pathlib import Path
from tests.builders import StandingClock, begun, tables_of
from triplog.journal.store import open_store
store = open_store(Path(sys.argv[1]))
tables = tables_of(store)
while True:
    with store.writing(StandingClock().read(), tables) as writing:
        writing.append(begun())
    print("written", flush=True)
"""


@pytest.fixture
def store(tmp_path: Path) -> Store:
    """A store of some thousand entries."""
    return bulk_store(tmp_path / "triplog.sqlite3", 3_000)


def test_a_copy_made_while_another_process_writes_is_whole(store: Store, tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", _WRITER, str(store.path)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    ) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "written\n"
        counts = [copy_store(store, tmp_path / f"copy-{number}") for number in range(8)]
        writer.kill()
    assert counts == sorted(counts)
    assert counts[-1] > counts[0] > 3_000, "the other process went on writing"
    for number, count in enumerate(counts):
        with closing(open_store(tmp_path / f"copy-{number}", reading_only=True)) as copy:
            assert copy.check() == []
            assert copy.raw.execute("SELECT count(*) FROM entry").fetchone() == (count,)
            assert (
                copy.raw.execute("PRAGMA page_size").fetchone()
                == store.raw.execute("PRAGMA page_size").fetchone()
            )
    assert sorted(one.name for one in tmp_path.iterdir() if "copying" in one.name) == []
    store.close()


def test_a_copy_for_which_there_is_no_room_is_told_and_leaves_nothing(
    store: Store, tmp_path: Path
) -> None:
    """A limit on a file's size stands in for a full disk, as no one needs to be root for it."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    try:
        resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, before[1]))
        with pytest.raises(CopyFailed, match="full"):
            copy_store(store, tmp_path / "copy")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, ignored)
    assert [one.name for one in tmp_path.iterdir()] == ["triplog.sqlite3"]
    store.close()


def test_a_copy_into_a_folder_that_is_not_there_or_over_a_file_is_refused(
    store: Store, tmp_path: Path
) -> None:
    with pytest.raises(CopyFailed):
        copy_store(store, tmp_path / "none" / "copy")
    (tmp_path / "copy").write_text("kept")
    with pytest.raises(FileExistsError):
        copy_store(store, tmp_path / "copy")
    assert (tmp_path / "copy").read_text() == "kept"
    store.close()


def test_what_does_not_hold_is_neither_copied_nor_restored(store: Store, tmp_path: Path) -> None:
    path = store.path
    store.close()
    with closing(sqlite3.connect(path)) as raw:
        (guard,) = raw.execute(
            "SELECT sql FROM sqlite_master WHERE name = 'entry_is_never_changed'"
        ).fetchone()
        raw.execute("DROP TRIGGER entry_is_never_changed")
        raw.execute(
            "UPDATE entry SET data = CAST(replace(data, 'first', 'fir5t') AS BLOB) WHERE seq = 1"
        )
        raw.execute(guard)
        raw.commit()
    with (
        closing(open_store(path)) as altered,
        pytest.raises(StoreUnusable, match="do not give the hash"),
    ):
        copy_store(altered, tmp_path / "copy")
    with pytest.raises(StoreUnusable, match="do not give the hash"):
        restore_store(path, tmp_path / "new" / "triplog.sqlite3")
    assert not (tmp_path / "copy").exists()
    assert list((tmp_path / "new").iterdir()) == []
