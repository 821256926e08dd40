"""The tree of RFC 6962 over entries: published roots, its definition said again, and proofs."""

import hashlib
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triplog.journal.tree import (
    Lookup,
    ProofBroken,
    complete,
    consistency_proof,
    inclusion_proof,
    leaf_hash,
    node_hash,
    root,
    root_from_inclusion,
    roots_from_consistency,
)

# Leaf inputs and roots for sizes 0 to 8: the test constants of the transparency-dev "merkle"
# library (testonly/constants.go, commit 417fb0c), second-hand; the roots reproduced here.
LEAVES = [
    bytes.fromhex(text)
    for text in (
        "",
        "00",
        "10",
        "2021",
        "3031",
        "40414243",
        "5051525354555657",
        "606162636465666768696a6b6c6d6e6f",
    )
]
ROOTS = (
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
)
SIZES = st.integers(1, 80)


def defined_root(leaves: list[bytes]) -> bytes:
    """The definition of RFC 6962 section 2.1, word for word in code."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return hashlib.sha256(b"\x00" + leaves[0]).digest()
    split = 1
    while split * 2 < len(leaves):
        split *= 2
    left, right = defined_root(leaves[:split]), defined_root(leaves[split:])
    return hashlib.sha256(b"\x01" + left + right).digest()


def lookup_over(leaves: list[bytes]) -> Lookup:
    kept = {(0, index): leaf_hash(leaf) for index, leaf in enumerate(leaves)}

    def lookup(level: int, index: int) -> bytes:
        if (level, index) not in kept:
            assert (index + 1) << level <= len(leaves), "only complete subtrees are asked for"
            kept[level, index] = node_hash(
                lookup(level - 1, 2 * index), lookup(level - 1, 2 * index + 1)
            )
        return kept[level, index]

    return lookup


def numbered(count: int) -> list[bytes]:
    return [str(number).encode() for number in range(count)]


@pytest.mark.parametrize("size", range(9))
def test_the_roots_are_the_published_ones(size: int) -> None:
    assert root(size, lookup_over(LEAVES[:size])).hex() == ROOTS[size]


def test_the_published_proof_of_rfc_6962_2_1_3() -> None:
    """The seven leaves of RFC 6962 2.1.3: the proofs named there, by letters of its drawing."""
    leaves = numbered(7)
    lookup = lookup_over(leaves)
    a, b, c, d, e, f = (lookup(0, n) for n in range(6))
    g, h, i, j = lookup(1, 0), lookup(1, 1), lookup(1, 2), lookup(0, 6)
    k, ell = lookup(2, 0), node_hash(i, j)
    assert inclusion_proof(0, 7, lookup) == [b, h, ell]
    assert inclusion_proof(3, 7, lookup) == [c, g, ell]
    assert inclusion_proof(4, 7, lookup) == [f, j, k]
    assert inclusion_proof(6, 7, lookup) == [i, k]
    assert consistency_proof(3, 7, lookup) == [c, d, g, ell]
    assert consistency_proof(4, 7, lookup) == [ell]
    assert consistency_proof(6, 7, lookup) == [i, j, k]
    assert a != e


@given(SIZES)
def test_the_root_is_as_rfc_6962_defines_it(size: int) -> None:
    leaves = numbered(size)
    assert root(size, lookup_over(leaves)) == defined_root(leaves)


@given(SIZES, st.data())
def test_every_leaf_leads_to_the_root_by_its_proof_and_by_no_other(
    size: int, data: st.DataObject
) -> None:
    leaves = numbered(size)
    index = data.draw(st.integers(0, size - 1))
    proof = inclusion_proof(index, size, lookup_over(leaves))
    assert len(proof) <= (size - 1).bit_length()
    leaf = leaf_hash(leaves[index])
    assert root_from_inclusion(index, size, leaf, proof) == defined_root(leaves)
    assert root_from_inclusion(index, size, leaf_hash(b"other"), proof) != defined_root(leaves)
    if proof:
        place = data.draw(st.integers(0, len(proof) - 1))
        damaged = [*proof[:place], bytes(32), *proof[place + 1 :]]
        assert root_from_inclusion(index, size, leaf, damaged) != defined_root(leaves)
    with pytest.raises(ProofBroken):
        root_from_inclusion(index, size, leaf, [*proof, bytes(32)])
    if proof:
        with pytest.raises(ProofBroken):
            root_from_inclusion(index, size, leaf, proof[:-1])


@given(SIZES, st.data())
def test_an_earlier_root_leads_to_a_later_one(size: int, data: st.DataObject) -> None:
    leaves = numbered(size)
    old = data.draw(st.integers(1, size))
    proof = consistency_proof(old, size, lookup_over(leaves))
    assert len(proof) <= (size - 1).bit_length() + 1
    old_root, new_root = defined_root(leaves[:old]), defined_root(leaves)
    assert roots_from_consistency(old, size, old_root, proof) == (old_root, new_root)
    changed = [b"changed", *leaves[1:]]
    if old != size:
        over_changed = consistency_proof(old, size, lookup_over(changed))
        found = roots_from_consistency(old, size, old_root, over_changed)
        assert found != (old_root, defined_root(changed))
        with pytest.raises(ProofBroken):
            roots_from_consistency(old, size, old_root, [*proof, bytes(32)])
        with pytest.raises(ProofBroken):
            roots_from_consistency(old, size, old_root, proof[:-1])


@pytest.mark.parametrize(("old", "size"), [(0, 3), (4, 3), (-1, 2), (0, 0)])
def test_sizes_that_do_not_fit_are_refused(old: int, size: int) -> None:
    """Size 0 too: an empty tree says nothing, so it is no earlier tree (the stricter reading)."""
    with pytest.raises(ProofBroken):
        consistency_proof(old, size, lookup_over(numbered(3)))
    with pytest.raises(ProofBroken):
        roots_from_consistency(old, size, bytes(32), [])


@pytest.mark.parametrize(("index", "size"), [(3, 3), (-1, 3), (0, 0)])
def test_a_leaf_outside_the_tree_is_refused(index: int, size: int) -> None:
    with pytest.raises(ProofBroken):
        inclusion_proof(index, size, lookup_over(numbered(3)))
    with pytest.raises(ProofBroken):
        root_from_inclusion(index, size, bytes(32), [])


@given(SIZES, st.data())
def test_what_became_complete_is_named_once_and_each_after_its_halves(
    size: int, data: st.DataObject
) -> None:
    steps = sorted(data.draw(st.sets(st.integers(0, size))) | {0, size})
    named: list[tuple[int, int]] = []
    for had, now in pairwise(steps):
        named += complete(now, had)
    assert len(named) == len(set(named))
    assert set(named) == {
        (level, index) for level in range(size.bit_length()) for index in range(size >> level)
    }
    for place, (level, index) in enumerate(named):
        if level:
            assert {(level - 1, 2 * index), (level - 1, 2 * index + 1)} <= set(named[:place])
