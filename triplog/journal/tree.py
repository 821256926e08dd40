"""The Merkle tree over the entries of one device: leaf n is entry n, as its bytes are stored. Pure.

RFC 6962 section 2.1 (the same tree as RFC 9162 section 2.1). Its root stands for all entries up to
one. An inclusion proof shows that one entry is under a root without showing the others; a
consistency proof, that nothing under an earlier root was changed, removed or put in between.

A complete subtree is named by (level, index): it covers the 2**level leaves from index * 2**level
on, and its hash never changes again. Whoever keeps those hashes hands in how they are looked up.
"""

import hashlib
from collections.abc import Callable, Iterator, Sequence

Hash = bytes
Lookup = Callable[[int, int], Hash]
"""The hash of a complete subtree by its level and index."""

EMPTY_ROOT = hashlib.sha256(b"").digest()
HASH_BYTES = 32


class ProofBroken(ValueError):
    """A proof that is none of this tree: sizes that do not fit, too few or too many hashes."""


def leaf_hash(data: bytes) -> Hash:
    """The hash of an entry's stored bytes as a leaf."""
    return hashlib.sha256(b"\x00" + data).digest()


def node_hash(left: Hash, right: Hash) -> Hash:
    """The hash of two subtrees side by side."""
    return hashlib.sha256(b"\x01" + left + right).digest()


def root(size: int, lookup: Lookup) -> Hash:
    """The root over the first `size` leaves."""
    return _of_range(0, size, lookup) if size else EMPTY_ROOT


def complete(size: int, had: int, least_level: int = 0) -> Iterator[tuple[int, int]]:
    """The subtrees that are complete over `size` leaves and were not over `had`, lowest first."""
    level = least_level
    while size >> level:
        for index in range(had >> level, size >> level):
            yield level, index
        level += 1


def inclusion_proof(index: int, size: int, lookup: Lookup) -> list[Hash]:
    """The hashes that lead from leaf `index` to the root over `size` leaves (RFC 6962 2.1.1)."""
    if not 0 <= index < size:
        raise ProofBroken(f"leaf {index} is not among the first {size}")
    proof: list[Hash] = []
    begin, end = 0, size
    while end - begin > 1:
        middle = begin + _split(end - begin)
        if index < middle:
            proof.append(_of_range(middle, end, lookup))
            end = middle
        else:
            proof.append(_of_range(begin, middle, lookup))
            begin = middle
    return proof[::-1]


def consistency_proof(old: int, size: int, lookup: Lookup) -> list[Hash]:
    """The hashes that lead from the root over `old` leaves to that over `size` (RFC 6962 2.1.2)."""
    if not 0 < old <= size:
        raise ProofBroken(f"{old} leaves are not the first of {size}")
    proof: list[Hash] = []
    begin, end, whole = 0, size, True
    while old != end:
        middle = begin + _split(end - begin)
        if old <= middle:
            proof.append(_of_range(middle, end, lookup))
            end = middle
        else:
            proof.append(_of_range(begin, middle, lookup))
            begin, whole = middle, False
    if not whole:
        proof.append(_of_range(begin, end, lookup))
    return proof[::-1]


def root_from_inclusion(index: int, size: int, leaf: Hash, proof: Sequence[Hash]) -> Hash:
    """The root a leaf leads to by its proof (RFC 9162 2.1.3.2). Raises ProofBroken."""
    if not 0 <= index < size:
        raise ProofBroken(f"leaf {index} is not among the first {size}")
    place, last, here = index, size - 1, leaf
    for beside in proof:
        if last == 0:
            raise ProofBroken("the proof has more hashes than the tree has levels")
        if place & 1 or place == last:
            here = node_hash(beside, here)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            here = node_hash(here, beside)
        place, last = place >> 1, last >> 1
    if last:
        raise ProofBroken("the proof has fewer hashes than the tree has levels")
    return here


def roots_from_consistency(
    old: int, size: int, old_root: Hash, proof: Sequence[Hash]
) -> tuple[Hash, Hash]:
    """The two roots a consistency proof leads to (RFC 9162 2.1.4.2). Raises ProofBroken.

    `old_root` begins the walk where the earlier tree is a complete subtree of the later one.
    """
    if not 0 < old <= size:
        raise ProofBroken(f"{old} leaves are not the first of {size}")
    if old == size:
        if proof:
            raise ProofBroken("two trees of one size need no proof")
        return old_root, old_root
    path = list(proof) if old & (old - 1) else [old_root, *proof]
    if not path:
        raise ProofBroken("the proof has fewer hashes than the tree has levels")
    place, last = old - 1, size - 1
    while place & 1:
        place, last = place >> 1, last >> 1
    old_here = new_here = path[0]
    for beside in path[1:]:
        if last == 0:
            raise ProofBroken("the proof has more hashes than the tree has levels")
        if place & 1 or place == last:
            old_here, new_here = node_hash(beside, old_here), node_hash(beside, new_here)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            new_here = node_hash(new_here, beside)
        place, last = place >> 1, last >> 1
    if last:
        raise ProofBroken("the proof has fewer hashes than the tree has levels")
    return old_here, new_here


def _split(count: int) -> int:
    """The largest power of two below a count of at least two."""
    return 1 << (count - 1).bit_length() - 1


def _of_range(begin: int, end: int, lookup: Lookup) -> Hash:
    """The hash over the leaves from `begin` to `end`; `begin` is where a subtree may begin."""
    parts: list[Hash] = []
    while begin < end:
        level = (end - begin).bit_length() - 1
        parts.append(lookup(level, begin >> level))
        begin += 1 << level
    here = parts.pop()
    while parts:
        here = node_hash(parts.pop(), here)
    return here
