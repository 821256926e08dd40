"""Proofs of a log's tree, good and damaged, against RFC 9162 (Certificate Transparency 2.0).

Sections 2.1.3.2 and 2.1.4.2 say how a proof is checked. Which damages a checker has to refuse is
taken from the descriptions of the vectors published with the transparency-dev "merkle" library
(second-hand); the vectors themselves are rebuilt here, for every tree of up to eight leaves, over
its published leaves (see tests/journal/test_tree.py, where the roots stand as printed). Both of our
checkers are asked: the journal's, and the one that goes out with a bundle.
"""

from collections.abc import Callable, Iterator, Sequence

import pytest

from exports import verify
from tests.journal.test_tree import LEAVES, ROOTS, lookup_over
from triplog.journal import tree

Proof = list[bytes]
Inclusion = Callable[[int, int, bytes, Proof], bytes]
Consistency = Callable[[int, int, bytes, Proof], tuple[bytes, bytes]]

INCLUSION: dict[str, Inclusion] = {
    "journal": tree.root_from_inclusion,
    "checker": verify.root_of_inclusion,
}
CONSISTENCY: dict[str, Consistency] = {
    "journal": tree.roots_from_consistency,
    "checker": verify.roots_of_consistency,
}
ROOT = tuple(bytes.fromhex(root) for root in ROOTS)
SOME_HASH = tree.leaf_hash(b"some other leaf")
PLACES = [(index, size) for size in range(1, 9) for index in range(size)]
STEPS = [(old, size) for size in range(1, 9) for old in range(1, size + 1)]


def includes(checker: Inclusion, index: int, size: int, leaf: bytes, proof: Proof) -> bool:
    try:
        return checker(index, size, leaf, proof) == ROOT[size]
    except ValueError:
        return False


def follows(
    checker: Consistency, old: int, size: int, roots: tuple[bytes, bytes], proof: Proof
) -> bool:
    try:
        return checker(old, size, roots[0], proof) == roots
    except ValueError:
        return False


def damaged(proof: Sequence[bytes]) -> Iterator[tuple[str, Proof]]:
    """Every way a list of hashes can be wrong by one step."""
    good = list(proof)
    yield "a hash more at its end", [*good, SOME_HASH]
    yield "a hash more at its start", [SOME_HASH, *good]
    yield "the root at its end", [*good, ROOT[-1]]
    yield "an empty hash at its end", [*good, b""]
    for place in range(len(good)):
        yield f"hash {place} left out", good[:place] + good[place + 1 :]
        yield f"hash {place} twice", good[: place + 1] + good[place:]
        yield f"hash {place} of zeros", [*good[:place], bytes(32), *good[place + 1 :]]
        yield f"hash {place} cut short", [*good[:place], good[place][:31], *good[place + 1 :]]
        for bit in (0, 100, 255):
            changed = bytearray(good[place])
            changed[bit // 8] ^= 1 << bit % 8
            yield f"bit {bit} of hash {place}", [*good[:place], bytes(changed), *good[place + 1 :]]
    for place in range(len(good) - 1):
        swapped = [*good[:place], good[place + 1], good[place], *good[place + 2 :]]
        yield f"hashes {place} and {place + 1} swapped", swapped
    if good:
        yield "none of its hashes", []


@pytest.mark.parametrize("checker", INCLUSION)
@pytest.mark.parametrize(("index", "size"), PLACES)
def test_a_leaf_is_in_the_tree_by_its_proof_alone(checker: str, index: int, size: int) -> None:
    """RFC 9162, section 2.1.3.2."""
    check, leaf = INCLUSION[checker], tree.leaf_hash(LEAVES[index])
    proof = tree.inclusion_proof(index, size, lookup_over(LEAVES[:size]))
    assert includes(check, index, size, leaf, proof)
    for what, wrong in damaged(proof):
        assert not includes(check, index, size, leaf, wrong), what
    assert not includes(check, index, size, SOME_HASH, proof), "another leaf"
    for other in [*range(-2, index), *range(index + 1, size + 3)]:
        assert not includes(check, other, size, leaf, proof), f"as leaf {other}"
    for other in [-1, *range(size), *range(size + 1, 9)]:
        assert not includes(check, index, other, leaf, proof), f"in a tree of {other}"


@pytest.mark.parametrize("checker", CONSISTENCY)
@pytest.mark.parametrize(("old", "size"), STEPS)
def test_a_tree_follows_another_by_its_proof_alone(checker: str, old: int, size: int) -> None:
    """RFC 9162, section 2.1.4.2."""
    check, roots = CONSISTENCY[checker], (ROOT[old], ROOT[size])
    proof = tree.consistency_proof(old, size, lookup_over(LEAVES[:size]))
    assert follows(check, old, size, roots, proof)
    for what, wrong in damaged(proof):
        assert not follows(check, old, size, roots, wrong), what
    assert not follows(check, old, size, (SOME_HASH, roots[1]), proof), "another earlier root"
    assert not follows(check, old, size, (roots[0], SOME_HASH), proof), "another later root"
    if old != size:
        assert not follows(check, old, size, roots[::-1], proof), "the roots the wrong way round"
        assert not follows(check, size, old, roots, proof), "the sizes the wrong way round"
    for other in [-1, 0, *range(size + 1, 10)]:
        assert not follows(check, other, size, roots, proof), f"from a tree of {other}"


@pytest.mark.parametrize("checker", CONSISTENCY)
@pytest.mark.parametrize("size", range(9))
def test_nothing_follows_from_an_empty_tree(checker: str, size: int) -> None:
    """The stricter of two readings: from size 0 even an empty proof proves nothing."""
    assert not follows(CONSISTENCY[checker], 0, size, (ROOT[0], ROOT[size]), [])


@pytest.mark.parametrize("checker", CONSISTENCY)
def test_two_heads_of_one_size_with_unlike_roots_are_no_step(checker: str) -> None:
    assert not follows(CONSISTENCY[checker], 5, 5, (ROOT[5], SOME_HASH), [])
    assert not follows(CONSISTENCY[checker], 5, 5, (ROOT[5], ROOT[5]), [ROOT[5]])
