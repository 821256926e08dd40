"""A journal that cannot be used says so in one sentence, and loses nothing."""

import os
import resource
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tests.builders import Journal, depart, new_journal, odometer_read, reopened
from triplog.journal import store_file
from triplog.journal.copies import restore_store
from triplog.journal.store import create_store, open_store
from triplog.journal.store_file import StoreMissing, StoreUnusable

NOBODY = 65534


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """The file of a journal on the road, closed."""
    journal = new_journal(tmp_path / "triplog.sqlite3")
    depart(journal)
    journal.close()
    return journal.store.path


def _refused(path: Path, sentence: str) -> None:
    before = path.read_bytes()
    with pytest.raises(StoreUnusable, match=sentence) as refused:
        open_store(path)
    assert str(path) in str(refused.value)
    assert path.read_bytes() == before


def test_a_journal_that_is_not_there_says_how_to_begin(tmp_path: Path) -> None:
    with pytest.raises(StoreMissing, match=r"there is no journal at .*; `triplog begin` makes one"):
        open_store(tmp_path / "triplog.sqlite3")
    assert list(tmp_path.iterdir()) == []


def test_a_new_journal_is_not_made_over_a_file(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(StoreUnusable, match="exists already"):
        create_store(path)
    with pytest.raises(StoreUnusable, match="restore into an empty folder"):
        restore_store(path, path)
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_is_left_alone(path: Path) -> None:
    path.write_text("driver's notes, kept by hand\n" * 50)
    _refused(path, "is no journal, or its first bytes are lost")


def test_a_database_of_another_program_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite3"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE note (text TEXT)")
    other.commit()
    other.close()
    _refused(path, "a database of some other program; nothing was changed")


def test_a_journal_of_a_newer_program_is_left_alone(path: Path) -> None:
    raw = sqlite3.connect(path)
    raw.execute("PRAGMA user_version = 2")
    raw.close()
    _refused(path, r"newer triplog \(journal version 2, this one reads 1\); use that one")


def test_an_empty_file_has_lost_its_journal(path: Path) -> None:
    path.write_bytes(b"")
    _refused(path, "is empty, what it held is lost; restore a backup")


@pytest.mark.parametrize("kept", [60, 512, 4096, 0.5, 0.9, -4096, -1])
def test_a_truncated_journal_is_never_read_as_a_whole_one(path: Path, kept: float) -> None:
    whole = path.read_bytes()
    length = int(len(whole) * kept) if 0 < kept < 1 else int(kept)
    path.write_bytes(whole[:length])
    _refused(path, r"(is damaged|is no journal|end of the journal).* restore a backup")


@pytest.mark.parametrize("guard", sorted(store_file._TRIGGERS))
def test_a_journal_without_one_of_its_guards_is_not_used(path: Path, guard: str) -> None:
    raw = sqlite3.connect(path)
    raw.execute(f"DROP TRIGGER {guard}")
    raw.close()
    _refused(path, rf"guards of the journal .* are gone \({guard}\).*restore a backup")


def test_an_entry_changed_behind_the_guards_is_found_when_the_journal_is_opened(
    path: Path,
) -> None:
    raw = sqlite3.connect(path)
    (guard,) = raw.execute(
        "SELECT sql FROM sqlite_master WHERE name = 'entry_is_never_changed'"
    ).fetchone()
    raw.execute("DROP TRIGGER entry_is_never_changed")
    raw.execute(
        "UPDATE entry SET data = CAST(replace(CAST(data AS TEXT), '6200 lb', '5200 lb') AS BLOB)"
        " WHERE kind = 'plan_recorded'"
    )
    raw.execute(guard)
    raw.commit()
    raw.close()
    _refused(path, "does not hold together: .*, entry 2: the entry's bytes do not give the hash")


def test_a_journal_another_program_is_writing_says_to_wait(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store_file, "_PATIENCE_S", 0)
    journal = reopened(path)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    _refused(path, "is being written by another program; wait a moment and try again")
    with pytest.raises(StoreUnusable, match="written by another program"):
        journal.record(odometer_read())
    other.execute("ROLLBACK")
    other.close()
    journal.record(odometer_read())
    journal.close()


@contextmanager
def _without_the_right_to(mode_of_file: int, mode_of_folder: int) -> Iterator[Path]:
    """A journal whose permissions bind, also where the tests run as the machine's root."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        journal = new_journal(folder / "triplog.sqlite3")
        depart(journal)
        journal.close()
        journal.store.path.chmod(mode_of_file)
        folder.chmod(mode_of_folder)
        is_root = os.geteuid() == 0
        if is_root:
            os.seteuid(NOBODY)
        try:
            yield journal.store.path
        finally:
            if is_root:
                os.seteuid(0)
            folder.chmod(0o700)


@pytest.mark.parametrize(
    ("mode_of_file", "mode_of_folder"),
    [(0o444, 0o755), (0o444, 0o555)],
    ids=["the file", "the file and its folder"],
)
def test_a_write_protected_journal_is_read_and_not_written(
    mode_of_file: int, mode_of_folder: int
) -> None:
    with _without_the_right_to(mode_of_file, mode_of_folder) as path:
        journal = reopened(path)
        count = len(list(journal.store.entries()))
        with pytest.raises(StoreUnusable, match="is write-protected; nothing was recorded"):
            journal.record(odometer_read())
        assert len(list(journal.store.entries())) == count
        journal.close()


def test_a_write_protected_folder_is_named_when_something_is_recorded() -> None:
    with _without_the_right_to(0o666, 0o555) as path:
        journal = reopened(path)
        with pytest.raises(StoreUnusable, match=r"(write-protected|folder's permissions)"):
            journal.record(odometer_read())
        journal.close()


def test_a_journal_that_may_not_be_read_says_so() -> None:
    with (
        _without_the_right_to(0o000, 0o755) as path,
        pytest.raises(StoreUnusable, match="cannot be opened; look at the folder's permissions"),
    ):
        open_store(path)


def _until_refused(journal: Journal, sentence: str) -> int:
    """Record until it is refused; how many were acknowledged."""
    for number in range(500):
        try:
            journal.record(odometer_read(f"{24131 + number} mi", idem=f"tap-{number}"))
        except StoreUnusable as refused:
            assert sentence in str(refused)
            return number
    raise AssertionError("the limit was never met")


def _goes_on(path: Path, acknowledged: int) -> None:
    """Everything acknowledged is there, and the same tap counts once there is room."""
    journal = reopened(path)
    entries = [one.idem for one in journal.store.entries() if one.idem.startswith("tap-")]
    assert entries == [f"tap-{number}" for number in range(acknowledged)]
    assert journal.store.check() == []
    journal.record(odometer_read(idem=f"tap-{acknowledged}"))
    assert journal.rows() == journal.rebuilt_rows()
    journal.close()


def test_a_full_disk_is_told_before_the_tap_counts(path: Path) -> None:
    """The database's own page limit stands for the disk: SQLite reports both as full."""
    journal = reopened(path)
    (pages,) = journal.store.raw.execute("PRAGMA page_count").fetchone()
    journal.store.raw.execute(f"PRAGMA max_page_count = {pages + 3}")
    acknowledged = _until_refused(journal, "cannot grow, the disk is full; nothing was recorded")
    assert acknowledged > 0
    journal.close()
    _goes_on(path, acknowledged)


def test_a_file_that_may_not_grow_loses_nothing(path: Path) -> None:
    """The machine's limit on a file's length: the system refuses the write itself."""
    journal = reopened(path)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + 3 * 4096, hard))
    try:
        acknowledged = _until_refused(journal, "nothing was recorded")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert acknowledged > 0
    journal.close()
    _goes_on(path, acknowledged)
