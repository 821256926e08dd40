"""The journal's SQLite file: its schema, how it is opened, and its errors in words.

Rollback journal with synchronous=EXTRA: an entry that was acknowledged survives a power cut.
Triggers refuse every change to an entry, and INSERT OR REPLACE, which would slip past those
for changing and removing; they guard against accidents, the chain shows the rest.
"""

import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

APPLICATION_ID = 0x5472_6C67
SCHEMA_VERSION = 1
PROJECTION_VERSION = "8"
"""Of the derived tables and their rows, those of `due` included; another one is rebuilt."""
STORE_NAME = "triplog.sqlite3"
_PATIENCE_S = 5
_CHUNK_BYTES = 1 << 20
_SCHEMA = """
CREATE TABLE entry (
    device TEXT NOT NULL,
    seq INTEGER NOT NULL CHECK (seq >= 0),
    hash TEXT NOT NULL UNIQUE CHECK (length(hash) = 64),
    idem TEXT NOT NULL UNIQUE,
    kind TEXT NOT NULL,
    trip TEXT,
    thing TEXT,
    entry_time TEXT NOT NULL,
    data BLOB NOT NULL,
    PRIMARY KEY (device, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_of_trip ON entry (trip, device, seq) WHERE trip IS NOT NULL;
CREATE INDEX entry_of_thing ON entry (thing, device, seq) WHERE thing IS NOT NULL;
CREATE INDEX entry_beside ON entry (kind, device, seq) WHERE trip IS NULL AND thing IS NULL;
CREATE TABLE opening (
    entry TEXT NOT NULL REFERENCES entry (hash),
    field TEXT NOT NULL,
    salt TEXT NOT NULL,
    value TEXT NOT NULL,
    PRIMARY KEY (entry, field)
) STRICT, WITHOUT ROWID;
CREATE TABLE store_fact (
    name TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'a recorded entry is never changed'); END;
CREATE TRIGGER entry_is_never_removed BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'a recorded entry is never removed'); END;
CREATE TRIGGER entry_goes_on_the_end BEFORE INSERT ON entry
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq) + 1, 0) FROM entry WHERE device = NEW.device)
BEGIN SELECT RAISE(ABORT, 'an entry goes on the end of its device''s chain'); END;
CREATE TRIGGER entry_is_recorded_once BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE hash = NEW.hash)
    OR EXISTS (SELECT 1 FROM entry WHERE idem = NEW.idem)
BEGIN SELECT RAISE(ABORT, 'an entry is recorded once'); END;
CREATE TRIGGER opening_is_recorded_once BEFORE INSERT ON opening
WHEN EXISTS (SELECT 1 FROM opening WHERE entry = NEW.entry AND field = NEW.field)
BEGIN SELECT RAISE(ABORT, 'a private value is recorded once'); END;
CREATE TRIGGER opening_is_never_changed BEFORE UPDATE ON opening
BEGIN SELECT RAISE(ABORT, 'a recorded private value is never changed'); END;
"""
_TRIGGERS = frozenset(
    {
        "entry_is_never_changed",
        "entry_is_never_removed",
        "entry_goes_on_the_end",
        "entry_is_recorded_once",
        "opening_is_recorded_once",
        "opening_is_never_changed",
    }
)


class OwnTransactions(sqlite3.Connection):
    """A connection whose transactions only the store ends, by its own COMMIT and ROLLBACK.

    A library that reads over it (a session that is closed, say) calls these in passing; in the
    middle of a transaction of the store that would end it.
    """

    def commit(self) -> None:
        """Nothing: the store commits in SQL."""

    def rollback(self) -> None:
        """Nothing: the store rolls back in SQL."""


class StoreUnusable(OSError):
    """The journal's file cannot be used; the message says why and what to do."""


class StoreMissing(StoreUnusable):
    """There is no journal at that place yet."""


@contextmanager
def newborn(path: Path) -> Iterator[Path]:
    """A place to make a journal whole, its first entries in it, before it gets its name.

    The caller closes what it opened there; a failure leaves nothing under the name.
    """
    unfinished = path.with_name(path.name + ".unfinished")
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished.unlink(missing_ok=True)
    yield unfinished
    if path.exists():
        raise StoreUnusable(f"{path} exists already; open it, or name another folder")
    unfinished.rename(path)
    sync_folder(path.parent)


def new_file(path: Path, device: str) -> None:
    """Make an empty journal file for a device: whole under its name, or not at all."""
    if path.exists():
        raise StoreUnusable(f"{path} exists already; open it, or name another folder")
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(path.name + ".new")
    with told_in_words(path):
        unfinished.unlink(missing_ok=True)
        raw = connect(unfinished)
        raw.executescript(f"BEGIN IMMEDIATE; {_SCHEMA}")
        raw.execute("INSERT INTO store_fact VALUES ('device', ?)", (device,))
        raw.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        raw.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
        raw.execute("COMMIT")
        raw.close()
        unfinished.rename(path)
        sync_folder(path.parent)


def in_memory(device: str) -> sqlite3.Connection:
    """An empty journal in memory, for entries that are only looked at: its chains may have gaps."""
    raw = connect(Path(":memory:"))
    raw.executescript(_SCHEMA)
    raw.execute("DROP TRIGGER entry_goes_on_the_end")
    raw.execute("INSERT INTO store_fact VALUES ('device', ?)", (device,))
    return raw


def connect(path: Path) -> sqlite3.Connection:
    raw = sqlite3.connect(
        path,
        timeout=_PATIENCE_S,
        isolation_level=None,
        check_same_thread=False,
        factory=OwnTransactions,
    )
    try:
        for pragma in (
            "journal_mode = DELETE",
            "synchronous = EXTRA",
            "secure_delete = ON",
            "foreign_keys = ON",
        ):
            raw.execute(f"PRAGMA {pragma}").fetchall()
    except BaseException:
        raw.close()
        raise
    return raw


def refuse_strangers(path: Path, raw: sqlite3.Connection) -> None:
    if path.stat().st_size == 0:
        raise StoreUnusable(f"{path} is empty, what it held is lost; restore a backup")
    (application,) = raw.execute("PRAGMA application_id").fetchone()
    if application != APPLICATION_ID:
        raise StoreUnusable(f"{path} is a database of some other program; nothing was changed")
    (version,) = raw.execute("PRAGMA user_version").fetchone()
    if version > SCHEMA_VERSION:
        raise StoreUnusable(
            f"{path} was written by a newer triplog (journal version {version}, this one reads"
            f" {SCHEMA_VERSION}); use that one. Nothing was changed"
        )
    (size_as_written,) = raw.execute(
        "SELECT page_count * page_size FROM pragma_page_count, pragma_page_size"
    ).fetchone()
    if path.stat().st_size < size_as_written:
        raise StoreUnusable(f"the end of the journal {path} is lost; restore a backup")
    present = {
        name for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
    }
    if not present >= _TRIGGERS:
        raise StoreUnusable(
            f"the guards of the journal {path} are gone ({', '.join(sorted(_TRIGGERS - present))}):"
            " some other program has changed the file. Keep it as it is, and restore a backup"
        )


@contextmanager
def told_in_words(path: Path) -> Iterator[None]:
    """Turn the database's errors into StoreUnusable with a sentence."""
    try:
        yield
    except sqlite3.DatabaseError as problem:
        raise StoreUnusable(_sentence(path, problem)) from problem
    except Exception as problem:
        # SQLAlchemy wraps the driver's error; it is not imported here.
        cause = getattr(problem, "orig", None)
        if isinstance(cause, sqlite3.DatabaseError):
            raise StoreUnusable(_sentence(path, cause)) from cause
        raise


def _sentence(path: Path, problem: sqlite3.DatabaseError) -> str:
    extended = getattr(problem, "sqlite_errorcode", 0)
    if extended == sqlite3.SQLITE_IOERR_DIR_FSYNC:
        # The transaction is over by then: only its end was not confirmed.
        return (
            f"the journal {path} was written, but the disk did not confirm the last step: what you"
            " recorded stands there now, and may be gone after a power cut. Look with `triplog"
            " entries --last 5`, and at the disk"
        )
    code = extended & 0xFF
    told = {
        sqlite3.SQLITE_BUSY: "is being written by another program; wait a moment and try again",
        sqlite3.SQLITE_READONLY: "is write-protected; nothing was recorded. Allow writing to the"
        " file and its folder",
        sqlite3.SQLITE_FULL: "cannot grow, the disk is full; nothing was recorded. Make room and"
        " record it again",
        sqlite3.SQLITE_IOERR: "cannot be written or read, the disk reports an error; nothing was"
        " recorded",
        sqlite3.SQLITE_CANTOPEN: "cannot be opened; look at the folder's permissions",
        sqlite3.SQLITE_NOTADB: "is no journal, or its first bytes are lost; keep it, and restore a"
        " backup",
        sqlite3.SQLITE_CORRUPT: "is damaged; keep it as it is, and restore a backup",
    }
    return f"the journal {path} {told.get(code, f'cannot be used: {problem}')}"


def write_durably(path: Path, data: bytes, mode: int = 0o644) -> None:
    """Write a small file: whole under its name and on the disk, or not at all."""
    unfinished = path.with_name(path.name + ".new")
    unfinished.unlink(missing_ok=True)
    handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    unfinished.replace(path)
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Make a new name in a folder durable, where the system lets a folder be synced."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def left_in_file(path: Path, needles: Sequence[bytes]) -> bool:
    """Whether any of these bytes stand in a file, or in the journal a transaction left beside it.

    Of salts, which nothing else repeats, this says whether an opening is gone.
    """
    beside = path.with_name(path.name + "-journal")
    return any(_holds(file, needles) for file in (path, beside) if file.exists())


def _holds(file: Path, needles: Sequence[bytes]) -> bool:
    longest = max((len(one) for one in needles), default=0)
    tail = b""
    with file.open("rb") as read:
        while chunk := read.read(_CHUNK_BYTES):
            seen = tail + chunk
            if any(one in seen for one in needles):
                return True
            tail = seen[-longest:] if longest else b""
    return False
