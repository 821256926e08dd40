"""The tree over a device's entries in its store: the larger complete subtrees are kept.

Kept are the hashes of subtrees of 64 leaves and more, so that neither a root nor a proof reads
more than some dozens of entries however long the log is, and recording an entry costs nothing.
They can be dropped at any time: the entries give them again.
"""

from collections.abc import Iterator

from triplog.journal.checkpoint import Checkpoint, log_name
from triplog.journal.store import Store
from triplog.journal.tree import (
    Hash,
    complete,
    consistency_proof,
    inclusion_proof,
    leaf_hash,
    node_hash,
    root,
)

_KEPT_LEVEL = 6
_TABLE = """
CREATE TABLE IF NOT EXISTS tree_node (
    device TEXT NOT NULL,
    level INTEGER NOT NULL,
    place INTEGER NOT NULL,
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    PRIMARY KEY (device, level, place)
) STRICT, WITHOUT ROWID
"""


class StoredTree:
    """The tree of one device in a store; `grow` it, in a transaction, before it is asked."""

    def __init__(self, store: Store, device: str) -> None:
        self._raw = store.raw
        self.device = device
        self._size = 0

    def grow(self) -> int:
        """Take in the entries that are new; how many leaves there are now."""
        raw, device = self._raw, self.device
        raw.execute(_TABLE)
        (self._size,) = raw.execute(
            "SELECT coalesce(max(seq) + 1, 0) FROM entry WHERE device = ?", (device,)
        ).fetchone()
        (kept,) = raw.execute(
            "SELECT coalesce(max(place) + 1, 0) FROM tree_node WHERE device = ? AND level = ?",
            (device, _KEPT_LEVEL),
        ).fetchone()
        raw.executemany(
            "INSERT INTO tree_node VALUES (?, ?, ?, ?)",
            (
                (device, level, place, self._hash_of(level, place))
                for level, place in complete(self._size, kept << _KEPT_LEVEL, _KEPT_LEVEL)
            ),
        )
        return self._size

    def checkpoint(self, size: int | None = None) -> Checkpoint:
        """The head over the first `size` entries, unsigned; None: over all there are."""
        covered = self._size if size is None else size
        over = root(covered, self._kept)
        return Checkpoint(origin=log_name(self.device), size=covered, root=over)

    def inclusion(self, seq: int, size: int) -> list[Hash]:
        """The proof that entry `seq` is under the head over `size` entries."""
        return inclusion_proof(seq, size, self._kept)

    def consistency(self, old: int, size: int) -> list[Hash]:
        """The proof that the head over `size` entries follows the one over `old`."""
        return consistency_proof(old, size, self._kept)

    def _kept(self, level: int, place: int) -> Hash:
        """A complete subtree's hash, read where it is kept and worked out where it is small."""
        if level < _KEPT_LEVEL:
            return self._hash_of(level, place)
        row = self._raw.execute(
            "SELECT hash FROM tree_node WHERE device = ? AND level = ? AND place = ?",
            (self.device, level, place),
        ).fetchone()
        assert row is not None, "only complete subtrees are asked for, after growing"
        return bytes(row[0])

    def _hash_of(self, level: int, place: int) -> Hash:
        """A subtree's hash from its two halves, or from its entries where it is small."""
        if level > _KEPT_LEVEL:
            return node_hash(self._kept(level - 1, 2 * place), self._kept(level - 1, 2 * place + 1))
        hashes = list(self._leaves(place << level, (place + 1) << level))
        while len(hashes) > 1:
            hashes = list(map(node_hash, hashes[::2], hashes[1::2]))
        return hashes[0]

    def _leaves(self, begin: int, end: int) -> Iterator[Hash]:
        rows = self._raw.execute(
            "SELECT data FROM entry WHERE device = ? AND seq >= ? AND seq < ? ORDER BY seq",
            (self.device, begin, end),
        )
        for (data,) in rows:
            yield leaf_hash(data)
