"""What leads from the entries of a bundle to the checkpoint signed with it."""

import json
from collections.abc import Iterator

from triplog.desk.desk import Desk
from triplog.desk.scope import Scope
from triplog.journal.checkpoint import Checkpoint
from triplog.journal.stored_tree import StoredTree
from triplog.journal.tree import Hash


def proof_lines(desk: Desk, scope: Scope, head: Checkpoint) -> Iterator[bytes]:
    """A line for each entry of this device under the head, and for each earlier signed head.

    Of a whole store there is none: its entries give the tree themselves.
    """
    if scope.trip is None:
        return
    tree = StoredTree(desk.store, desk.store.device)
    where, values = scope.condition
    rows = desk.store.raw.execute(
        f"SELECT seq FROM entry WHERE device = ? AND seq < ? AND {where} ORDER BY seq",
        (tree.device, head.size, *values),
    )
    for (seq,) in rows:
        yield _line(tree, seq=seq, hashes=tree.inclusion(seq, head.size))
    heads = desk.store.entries(
        "device = ? AND trip = ? AND kind = 'checkpoint_signed'", (tree.device, scope.trip.id)
    )
    for old in [entry.seq for entry in heads if entry.seq < head.size]:
        yield _line(tree, old=old, hashes=tree.consistency(old, head.size))


def _line(tree: StoredTree, *, hashes: list[Hash], **place: int) -> bytes:
    line = {"device": tree.device, "hashes": [one.hex() for one in hashes], **place}
    return json.dumps(line, sort_keys=True, separators=(",", ":")).encode()
