"""Taking private values and the bytes of photos out of the journal's file, so that nothing stays.

The entries keep their commitments: salt and value gone, nobody can open or guess them, and every
chain holds. Removing a row does not suffice: while its pages were split, SQLite may have left a
copy of it in the free part of a page, which overwriting what is removed does not reach. So the
table is written anew, in the same transaction; pages given free are overwritten with zeros.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from triplog.journal import attachments
from triplog.journal.store import Store, Writing

_CHUNK_BYTES = 1 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Erased:
    """What was taken out: a private field of an entry, with the salt and the value it had."""

    entry: str
    field: str
    salt: str
    value: str


def erase(
    writing: Writing, openings: Iterable[tuple[str, str]], photos: Iterable[str] = ()
) -> list[Erased]:
    """Take out openings (hash of the entry, field) and photos (digest), inside a transaction.

    What is not there is passed over. The caller records the act in the same transaction, and sees
    to it that nothing is under a hold.
    """
    store = writing.store
    found = [one for pair in dict.fromkeys(openings) if (one := _opening(store, *pair)) is not None]
    for one in found:
        store.raw.execute(
            "DELETE FROM opening WHERE entry = ? AND field = ?", (one.entry, one.field)
        )
    if found:
        _write_anew(store, "opening", "entry, field")
    removed = [attachments.remove(store, digest) for digest in photos]
    if any(removed):
        _write_anew(store, "attachment", "rowid")
    return found


def left_in_file(path: Path, needles: Sequence[bytes]) -> bool:
    """Whether any of these bytes stand in a file, or in the journal a transaction left beside it.

    Of salts, which nothing else repeats, this says whether an opening is gone.
    """
    beside = path.with_name(path.name + "-journal")
    return any(_holds(file, needles) for file in (path, beside) if file.exists())


def _opening(store: Store, entry: str, field: str) -> Erased | None:
    row = store.raw.execute(
        "SELECT salt, value FROM opening WHERE entry = ? AND field = ?", (entry, field)
    ).fetchone()
    return None if row is None else Erased(entry=entry, field=field, salt=row[0], value=row[1])


def _write_anew(store: Store, table: str, order: str) -> None:
    """Write a table's rows into fresh pages and back; the pages they lay on become zeros."""
    raw = store.raw
    raw.execute(f"CREATE TABLE kept_while_erasing AS SELECT * FROM {table} ORDER BY {order}")
    raw.execute(f"DELETE FROM {table}")
    raw.execute(f"INSERT INTO {table} SELECT * FROM kept_while_erasing ORDER BY rowid")
    raw.execute("DROP TABLE kept_while_erasing")


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
