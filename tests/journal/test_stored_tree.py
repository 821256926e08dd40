"""The tree in the store is the tree of the entries as they lie there, however it grew."""

import hashlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.builders import new_journal, odometer_read
from tests.journal.test_tree import defined_root
from triplog.journal.store import Store
from triplog.journal.stored_tree import StoredTree
from triplog.journal.tree import (
    leaf_hash,
    root_from_inclusion,
    roots_from_consistency,
)

COUNT = 151


@pytest.fixture(scope="module")
def grown(tmp_path_factory: pytest.TempPathFactory) -> tuple[Store, list[bytes], StoredTree]:
    """A store of some hundred entries whose tree grew now and then."""
    journal = new_journal(tmp_path_factory.mktemp("tree") / "triplog.sqlite3")
    tree = StoredTree(journal.store, journal.store.device)
    for number in range(COUNT - 1):  # the journal begins with an entry of its own
        journal.record(odometer_read(f"{number} mi", f"trip-{number % 3}"))
        if number % 37 == 0:
            assert tree.grow() == number + 2
    assert tree.grow() == COUNT
    data = [entry.data for entry in journal.store.entries()]
    return journal.store, data, tree


def test_every_root_is_that_of_the_stored_bytes(
    grown: tuple[Store, list[bytes], StoredTree],
) -> None:
    """RFC 6962 section 2.1, said again in the tests of the tree."""
    store, data, tree = grown
    assert len(data) == COUNT
    for size in range(COUNT + 1):
        found = tree.checkpoint(size)
        assert found.root == defined_root(data[:size])
        assert (found.origin, found.size) == (f"triplog-log/{store.device}", size)
    assert tree.checkpoint() == tree.checkpoint(COUNT)


@settings(max_examples=60)
@given(data=st.data())
def test_its_proofs_hold(grown: tuple[Store, list[bytes], StoredTree], data: st.DataObject) -> None:
    _, entries, tree = grown
    size = data.draw(st.integers(1, COUNT))
    seq, old = data.draw(st.integers(0, size - 1)), data.draw(st.integers(1, size))
    leaf, over = leaf_hash(entries[seq]), tree.checkpoint(size).root
    assert root_from_inclusion(seq, size, leaf, tree.inclusion(seq, size)) == over
    before = tree.checkpoint(old).root
    assert roots_from_consistency(old, size, before, tree.consistency(old, size)) == (before, over)


def test_a_tree_grown_at_once_is_the_one_that_grew_by_and_by(
    grown: tuple[Store, list[bytes], StoredTree],
) -> None:
    store, _, tree = grown
    kept = store.raw.execute("SELECT * FROM tree_node").fetchall()
    store.raw.execute("DROP TABLE tree_node")
    anew = StoredTree(store, store.device)
    anew.grow()
    assert store.raw.execute("SELECT * FROM tree_node").fetchall() == kept
    assert {level for _, level, _, _ in kept} == {6, 7}
    assert anew.checkpoint() == tree.checkpoint()


def test_an_empty_log_has_the_root_of_nothing(tmp_path: Path) -> None:
    """RFC 6962 section 2.1: the hash of an empty string."""
    journal = new_journal(tmp_path / "triplog.sqlite3")
    tree = StoredTree(journal.store, "another device")
    assert tree.grow() == 0
    assert tree.checkpoint().root == hashlib.sha256(b"").digest()
