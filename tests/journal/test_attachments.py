"""The bytes of photos in the journal's file. What is asked of them is our own design, no source."""

import hashlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from triplog.journal import attachments
from triplog.journal.store import Store, create_store

DATA = bytes(range(256)) * 9000
DIGEST = hashlib.sha256(DATA).hexdigest()


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    made = create_store(tmp_path / "journal.sqlite3")
    yield made
    made.close()


def put_in(store: Store) -> str:
    with store._transaction():
        return attachments.add(store, DATA, "image/jpeg")


def test_a_store_without_photos_says_so_of_each(store: Store) -> None:
    assert not attachments.has(store, DIGEST)
    assert attachments.size(store, DIGEST) is None
    assert not attachments.remove(store, DIGEST)
    with pytest.raises(LookupError, match="not kept here"):
        next(attachments.chunks(store, DIGEST))


def test_bytes_come_back_in_pieces_under_their_sha_256(store: Store) -> None:
    assert put_in(store) == DIGEST
    pieces = list(attachments.chunks(store, DIGEST))
    assert len(pieces) > 1
    assert b"".join(pieces) == DATA
    assert attachments.size(store, DIGEST) == len(DATA)


def test_the_same_bytes_lie_there_once(store: Store) -> None:
    assert put_in(store) == put_in(store)
    assert store.raw.execute("SELECT count(*) FROM attachment").fetchone() == (1,)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE attachment SET data = x'00'",
        "UPDATE attachment SET media_type = 'image/png'",
        f"INSERT OR REPLACE INTO attachment VALUES ('{DIGEST}', 'image/jpeg', x'00', NULL)",
    ],
)
def test_no_statement_changes_or_replaces_them(store: Store, statement: str) -> None:
    put_in(store)
    with pytest.raises(sqlite3.IntegrityError):
        store.raw.execute(statement)
    assert b"".join(attachments.chunks(store, DIGEST)) == DATA


def test_what_is_taken_out_is_nowhere_in_the_file(store: Store) -> None:
    put_in(store)
    assert DATA[:256] in store.path.read_bytes()
    with store._transaction():
        assert attachments.remove(store, DIGEST)
    assert not attachments.has(store, DIGEST)
    assert DATA[:256] not in store.path.read_bytes()


def test_an_original_goes_with_its_copy_and_not_the_other_way(store: Store) -> None:
    digest = put_in(store)
    with store._transaction():
        original = attachments.add(store, b"as taken", "image/jpeg", original_of=digest)
        assert attachments.remove(store, original)
        assert attachments.has(store, digest)
        attachments.add(store, b"as taken", "image/jpeg", original_of=digest)
        assert attachments.remove(store, digest)
    assert not attachments.has(store, original)


def test_a_transaction_that_is_given_up_leaves_nothing(store: Store) -> None:
    with pytest.raises(ZeroDivisionError), store._transaction():
        attachments.add(store, DATA, "image/jpeg")
        raise ZeroDivisionError
    assert not attachments.has(store, DIGEST)
