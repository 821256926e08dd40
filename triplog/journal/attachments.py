"""The bytes of photos in the journal's file: named by their SHA-256, never changed, put in once.

They lie beside the entries, so that an entry and its picture are one transaction and one backup.
What an entry says of its picture is the digest: the bytes can be taken out without breaking a
chain, and bytes that were changed by some other program do not give their name any more. A picture
as it was taken, with a place in it, hangs on the copy without one and goes with it.
"""

import hashlib
from collections.abc import Iterator

from triplog.journal.store import Store

_CHUNK_BYTES = 1 << 20
_SCHEMA = (
    """
CREATE TABLE IF NOT EXISTS attachment (
    digest TEXT NOT NULL PRIMARY KEY CHECK (length(digest) = 64),
    media_type TEXT NOT NULL,
    data BLOB NOT NULL,
    original_of TEXT
) STRICT
""",
    """
CREATE TRIGGER IF NOT EXISTS attachment_is_never_changed BEFORE UPDATE ON attachment
BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END
""",
    """
CREATE TRIGGER IF NOT EXISTS attachment_is_recorded_once BEFORE INSERT ON attachment
WHEN EXISTS (SELECT 1 FROM attachment WHERE digest = NEW.digest)
BEGIN SELECT RAISE(ABORT, 'a photo is recorded once'); END
""",
)


def add(store: Store, data: bytes, media_type: str, *, original_of: str | None = None) -> str:
    """Put bytes in, inside a transaction of the caller; their digest.

    `original_of`: the digest of the copy without places that these are the original of. Bytes that
    are here already (on another trip, say) stay as they are.
    """
    for statement in _SCHEMA:
        store.raw.execute(statement)
    digest = hashlib.sha256(data).hexdigest()
    if not has(store, digest):
        store.raw.execute(
            "INSERT INTO attachment VALUES (?, ?, ?, ?)", (digest, media_type, data, original_of)
        )
    return digest


def has(store: Store, digest: str) -> bool:
    """Whether the bytes are kept here."""
    return _row(store, digest) is not None


def size(store: Store, digest: str) -> int | None:
    """How many bytes there are; None: they are not kept here."""
    row = _row(store, digest)
    return None if row is None else row[1]


def chunks(store: Store, digest: str) -> Iterator[bytes]:
    """The bytes, a megabyte at a time. Raises LookupError where they are not kept here."""
    row = _row(store, digest)
    if row is None:
        raise LookupError(f"the photo {digest[:8]} is not kept here any more")
    with store.raw.blobopen("attachment", "data", row[0], readonly=True) as blob:
        while chunk := blob.read(_CHUNK_BYTES):
            yield chunk


def originals_of(store: Store, digest: str) -> list[str]:
    """The digests of what hangs on a copy: the files that it was made from."""
    if _row(store, digest) is None:
        return []
    rows = store.raw.execute("SELECT digest FROM attachment WHERE original_of = ?", (digest,))
    return [original for (original,) in rows]


def trips_naming(store: Store, digest: str) -> list[str]:
    """The ids of the trips with an entry that names these bytes, in force or not."""
    rows = store.raw.execute(
        "SELECT DISTINCT trip FROM entry WHERE kind = 'photo_added'"
        " AND CAST(data AS TEXT) ->> '$.body.digest' = ? ORDER BY trip",
        (digest,),
    )
    return [trip for (trip,) in rows]


def remove(store: Store, digest: str) -> bool:
    """Take the bytes out, with what hangs on them, inside a transaction of the caller.

    False: they were not kept here.
    The caller records why, and sees to it that no other trip needs them (`trips_naming`). What
    SQLite frees is overwritten with zeros: `secure_delete` is on for every connection.
    """
    if not has(store, digest):
        return False
    store.raw.execute("DELETE FROM attachment WHERE ? IN (digest, original_of)", (digest,))
    return True


def _row(store: Store, digest: str) -> tuple[int, int] | None:
    """The number and the size of a row; None where it, or the whole table, is not there."""
    if not store.raw.execute("SELECT 1 FROM sqlite_master WHERE name = 'attachment'").fetchone():
        return None
    row: tuple[int, int] | None = store.raw.execute(
        "SELECT rowid, length(data) FROM attachment WHERE digest = ?", (digest,)
    ).fetchone()
    return row
