"""Copies of a store's file: made while others write, whole before they get their name."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from triplog.journal.store import Store, new_id, open_store
from triplog.journal.store_file import StoreUnusable, connect, sync_folder, told_in_words


class CopyFailed(OSError):
    """The copy cannot be written; the message says why. Nothing is left of it."""


def copy_store(store: Store, target: Path) -> int:
    """A consistent copy of the whole store (SQLite's backup API); how many entries it holds.

    The copy is opened and checked whole (pages, guards, chains) before it gets its name. Raises
    FileExistsError for a file that is there, CopyFailed where it cannot be written, StoreUnusable
    where the journal itself does not hold.
    """
    if os.path.lexists(target):
        raise FileExistsError(f"{target} exists already; name another file")
    with _unfinished(target) as unfinished:
        with _told_of_writing():
            copy = sqlite3.connect(unfinished)
            try:
                store.raw.backup(copy)
            finally:
                copy.close()
        with closing(open_store(unfinished, reading_only=True)) as copied:
            check_whole(copied)
            (count,) = copied.raw.execute("SELECT count(*) FROM entry").fetchone()
        with _told_of_writing():
            _sync(unfinished)
            if os.path.lexists(target):
                raise FileExistsError(f"{target} exists already; name another file")
            unfinished.rename(target)
            sync_folder(target.parent)
    return int(count)


def check_whole(store: Store) -> None:
    """Look at every page, hash and link of a store. Raises StoreUnusable at what does not hold."""
    with told_in_words(store.path):
        (pages,) = store.raw.execute("PRAGMA quick_check(1)").fetchone()
        if pages != "ok":
            raise StoreUnusable(f"{store.path} is damaged ({pages}); keep it as it is")
        broken = store.check()
    if broken:
        raise StoreUnusable(
            f"{store.path} does not hold together: {broken[0]}. Keep it as it is, and look at"
            " `triplog entries --check`"
        )


def restore_store(backup: Path, path: Path) -> Store:
    """Begin a new device from a copy of a store; the caller appends `store_restored` first."""
    if path.exists():
        raise StoreUnusable(f"{path} exists already; restore into an empty folder")
    path.parent.mkdir(parents=True, exist_ok=True)
    with closing(open_store(backup, reading_only=True)) as source:
        copy_store(source, path)
    with told_in_words(path):
        raw = connect(path)
        raw.execute("UPDATE store_fact SET value = ? WHERE name = 'device'", (new_id(),))
        raw.close()
    return open_store(path)


@contextmanager
def _unfinished(target: Path) -> Iterator[Path]:
    """A name beside the target, free at first and gone in the end."""
    unfinished = target.with_name(target.name + ".copying")

    def clear() -> None:
        for left in (unfinished, unfinished.with_name(unfinished.name + "-journal")):
            left.unlink(missing_ok=True)

    try:
        with _told_of_writing():
            clear()
        yield unfinished
    finally:
        # What cannot be cleared away now is cleared by the next copy to this name.
        with suppress(OSError):
            clear()


@contextmanager
def _told_of_writing() -> Iterator[None]:
    told = {
        sqlite3.SQLITE_FULL: "the disk is full",
        sqlite3.SQLITE_IOERR: "the disk reports an error, or is full",
        sqlite3.SQLITE_READONLY: "it is write-protected",
        sqlite3.SQLITE_CANTOPEN: "no file can be made in that folder",
    }
    try:
        yield
    except sqlite3.DatabaseError as problem:
        code = getattr(problem, "sqlite_errorcode", 0) & 0xFF
        raise CopyFailed(told.get(code, str(problem))) from problem
    except FileExistsError:
        raise
    except OSError as problem:
        raise CopyFailed(problem.strerror or str(problem)) from problem


def _sync(path: Path) -> None:
    with path.open("r+b") as written:
        os.fsync(written.fileno())
