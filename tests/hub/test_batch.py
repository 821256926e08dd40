"""What travels, the witness's signature and the peaks, each against what defines it.

The cosignature: C2SP tlog-cosignature (*Format*, *Ed25519 signed message*), read in its repository
on 2026-11-27; its example checkpoint stands here as printed there. The page gives no public key for
it, so the layout is held to the example, and the signature to the page's words with the key of
RFC 8032's TEST 1. The roots: see tests/journal/test_tree.py.
"""

import base64
import hashlib
import json
import zlib
from collections.abc import Callable
from dataclasses import replace

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given
from hypothesis import strategies as st

from exports.verify import ed25519_holds
from tests.journal.test_tree import LEAVES, ROOTS, lookup_over
from triplog.journal import batch as wire
from triplog.journal import tree
from triplog.journal.batch import (
    Answer,
    Batch,
    BatchBroken,
    Opened,
    Place,
    answer_in,
    batch_in,
    pack_answer,
    pack_batch,
)
from triplog.journal.checkpoint import CheckpointBroken, Signed, signed_of
from triplog.journal.cosignature import cosignature, cosigned_at, cosigning_key_id
from triplog.journal.device_key import did_sign
from triplog.journal.peaks import Peaks, PeaksBroken, peaks_in, peaks_of

HASHES = st.binary(min_size=32, max_size=32).map(bytes.hex)
WHOLE = st.integers(0, 2**53 - 1)
PLACES = st.none() | st.builds(Place, WHOLE, HASHES)
LINES = st.lists(st.binary(max_size=80).map(lambda raw: raw.replace(b"\n", b" ")), max_size=6).map(
    tuple
)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
OPENED = st.lists(
    st.builds(Opened, HASHES, TEXTS, HASHES.map(lambda text: text[:32]), TEXTS), max_size=4
).map(tuple)
DEVICES = st.from_regex(r"[a-z0-9]{1,64}", fullmatch=True)
BATCHES = st.builds(
    Batch,
    device=DEVICES,
    after=PLACES,
    sent_ms=WHOLE,
    entries=LINES,
    openings=OPENED,
    known=st.dictionaries(DEVICES, st.builds(Place, WHOLE, HASHES), max_size=3),
)
ANSWERS = st.builds(
    Answer,
    outcome=st.sampled_from(wire.OUTCOMES),
    head=PLACES,
    received_ms=WHOLE,
    earlier=st.lists(st.builds(Place, WHOLE, HASHES), max_size=3).map(tuple),
    signed_note=st.none() | TEXTS,
    opened=st.lists(TEXTS, max_size=3).map(tuple),
    entries=LINES,
    openings=OPENED,
    more=st.booleans(),
)


@given(BATCHES)
def test_a_batch_comes_back_as_it_went(batch: Batch) -> None:
    assert batch_in(pack_batch(batch)) == batch


@given(ANSWERS)
def test_an_answer_comes_back_as_it_went(answer: Answer) -> None:
    assert answer_in(pack_answer(answer)) == answer


@given(BATCHES, st.data())
def test_any_damage_on_the_way_is_refused(batch: Batch, data: st.DataObject) -> None:
    """A byte another, some missing, some behind: zlib's own sum (RFC 1950) notices."""
    packed = pack_batch(batch)
    place = data.draw(st.integers(0, len(packed) - 1))
    other = data.draw(st.integers(1, 255))
    changed = bytes([packed[place] ^ other])
    for damaged in (
        packed[:place] + changed + packed[place + 1 :],
        packed[:place],
        packed + changed,
    ):
        try:
            found = batch_in(damaged)
        except BatchBroken:
            continue
        # What is left of the stream's head may say the same in another way.
        assert found == batch and place < 2


@given(st.binary(max_size=200))
def test_any_bytes_at_all_are_refused_in_words(raw: bytes) -> None:
    for read in (batch_in, answer_in):
        for given_bytes in (raw, zlib.compress(raw)):
            with pytest.raises(BatchBroken):
                read(given_bytes)


def _packed(head: object, *lines: bytes) -> bytes:
    first = head if isinstance(head, bytes) else json.dumps(head).encode()
    return zlib.compress(b"\n".join([first, *lines]))


def _head(**other: object) -> dict[str, object]:
    told = {"format": 1, "device": "d", "after": None, "sent_ms": 0, "known": {}}
    return {**told, "entries": 0, "openings": 0, **other}


BROKEN: dict[str, Callable[[], bytes]] = {
    "no object": lambda: _packed([]),
    "another format": lambda: _packed(_head(format=2)),
    "a device that is none": lambda: _packed(_head(device="a device")),
    "a device with NUL": lambda: _packed(_head(device="d\0")),
    "a device of half a letter": lambda: _packed(_head(device="\ud800")),
    "a device that is a number": lambda: _packed(_head(device=5)),
    "a time before 1970": lambda: _packed(_head(sent_ms=-1)),
    "a time that is true": lambda: _packed(_head(sent_ms=True)),
    "a time with a part": lambda: _packed(_head(sent_ms=0.5)),
    "a time beyond all": lambda: _packed(_head(sent_ms=2**53)),
    "a number of 5,000 digits": lambda: _packed(b'{"format":1,"sent_ms":' + b"9" * 5000 + b"}"),
    "a place that is none": lambda: _packed(_head(after=[0])),
    "a place with another hash": lambda: _packed(_head(after=[0, "x" * 64])),
    "a place before the first": lambda: _packed(_head(after=[-1, "0" * 64])),
    "10,000 chains known": lambda: _packed(_head(known={f"d{n}": 0 for n in range(10_000)})),
    "a known chain with NUL": lambda: _packed(_head(known={"d\0": 0})),
    "a known number that is none": lambda: _packed(_head(known={"d": "0"})),
    "fewer entries than said": lambda: _packed(_head(entries=2), b"{}"),
    "more lines than said": lambda: _packed(_head(), b"{}"),
    "more entries than may be": lambda: _packed(_head(entries=2001), *[b"{}"] * 2001),
    "an entry too long": lambda: _packed(_head(entries=1), b"x" * (wire.ENTRY_BYTES_MAX + 1)),
    "a value too long": lambda: _packed(_head(openings=1), b'{"value":"' + b"x" * (70 << 10)),
    "a value of half a letter": lambda: _packed(
        _head(openings=1),
        json.dumps(
            {"entry": "0" * 64, "field": "note", "salt": "0" * 32, "value": "\udfff"}
        ).encode(),
    ),
    "a salt that is none": lambda: _packed(
        _head(openings=1),
        json.dumps({"entry": "0" * 64, "field": "note", "salt": "0\0", "value": ""}).encode(),
    ),
    "a hundred thousand lists": lambda: _packed(b"[" * 100_000),
    "a head of megabytes": lambda: _packed(b'{"format":1,"known":{}' + b" " * (2 << 20) + b"}"),
    "a bomb": lambda: zlib.compress(bytes(64 << 20)),
    "10 GB in 10 MB": lambda: zlib.compress(bytes(10 << 20), 9) + bytes(10 << 20),
    "random bytes": lambda: hashlib.sha256(b"").digest(),
}


@pytest.mark.parametrize("name", BROKEN)
def test_what_is_no_batch_is_refused_in_one_sentence(name: str) -> None:
    with pytest.raises(BatchBroken) as told:
        batch_in(BROKEN[name]())
    assert 10 < len(str(told.value)) < 200
    assert "\n" not in str(told.value)


def test_the_largest_batch_that_may_travel_is_read() -> None:
    entries = tuple(b"{}" for _ in range(wire.ENTRIES_MAX))
    found = batch_in(pack_batch(Batch(device="d", after=None, sent_ms=0, entries=entries)))
    assert found.entries == entries


# C2SP tlog-cosignature, its example, as printed.
EXAMPLE = """example.com/behind-the-sofa
20852163
CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=

— example.com/behind-the-sofa Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGz\
Gku9nTo+zyWE+xeMcTOAYQ8=
— witness.example.com/w1 jWbPPwAAAABkGFDLEZMHwSRaJNiIDoe9DYn/zXcrtPHeolMI5OWXEhZCB9dlrDJsX3b2oyin1n\
PZqhf5nNo0xUe+mbIUBkBIfZ+qnA==
"""
EXAMPLE_TIME_S = 1_679_315_147
WITNESS = "witness.example.com/w1"
SECRET = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
PUBLIC = bytes.fromhex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a")


def _example() -> tuple[Signed, Signed]:
    """The example without the witness's line, and with one made here."""
    whole = signed_of(EXAMPLE)
    bare = replace(whole, signatures=whole.signatures[:1])
    sign = Ed25519PrivateKey.from_private_bytes(SECRET).sign
    line = cosignature(bare, WITNESS, PUBLIC, EXAMPLE_TIME_S, sign)
    return bare, replace(bare, signatures=(*bare.signatures, line))


def test_the_example_is_read_and_has_the_layout_we_write() -> None:
    printed = signed_of(EXAMPLE).signatures[1]
    ours = _example()[1].signatures[1]
    assert printed.name == ours.name
    assert printed.raw[:8] == ours.raw[:8] == EXAMPLE_TIME_S.to_bytes(8, "big")
    assert len(printed.raw) == len(ours.raw) == 8 + 64


def test_what_is_signed_is_what_the_page_says() -> None:
    """*cosignature/v1*, a line with the time, and the note's text with its line end."""
    bare, timed = _example()
    line = timed.signatures[1]
    said = f"cosignature/v1\ntime {EXAMPLE_TIME_S}\n" + EXAMPLE.partition("\n\n")[0] + "\n"
    assert ed25519_holds(PUBLIC, said.encode(), line.raw[8:])
    wanted = hashlib.sha256(WITNESS.encode() + b"\n\x04" + PUBLIC).digest()[:4]
    assert line.key_id == wanted == cosigning_key_id(WITNESS, PUBLIC)
    raw = base64.b64encode(wanted + EXAMPLE_TIME_S.to_bytes(8, "big") + line.raw[8:]).decode()
    assert timed.text == f"{bare.text}— {WITNESS} {raw}\n"


def test_a_cosignature_that_does_not_fit_is_a_fault_and_another_ones_is_none() -> None:
    bare, timed = _example()
    assert cosigned_at(timed, WITNESS, PUBLIC, did_sign) == EXAMPLE_TIME_S
    assert cosigned_at(bare, WITNESS, PUBLIC, did_sign) is None
    assert cosigned_at(signed_of(EXAMPLE), WITNESS, PUBLIC, did_sign) is None
    line = timed.signatures[1]
    later = (EXAMPLE_TIME_S + 1).to_bytes(8, "big") + line.raw[8:]
    for raw in (later, line.raw[:-1], line.raw[:8], line.raw + b"\0"):
        spoilt = replace(bare, signatures=(replace(line, raw=raw),))
        with pytest.raises(CheckpointBroken):
            cosigned_at(spoilt, WITNESS, PUBLIC, did_sign)


@pytest.mark.parametrize("size", range(len(ROOTS)))
def test_peaks_give_the_published_roots(size: int) -> None:
    assert peaks_of(LEAVES[:size]).root.hex() == ROOTS[size]


def test_peaks_give_the_root_of_the_tree_at_every_size() -> None:
    leaves = [b"entry %d" % number for number in range(301)]
    lookup, peaks = lookup_over(leaves), Peaks()
    for size in range(len(leaves)):
        assert (peaks.size, peaks.root) == (size, tree.root(size, lookup))
        assert peaks_in(peaks.raw) == peaks
        assert len(peaks.found) == size.bit_count()
        peaks.add(leaves[size])


@pytest.mark.parametrize(
    "raw",
    [b"x", bytes(32), b"\0" + bytes(32) + b"\1" + bytes(32), (b"\3" + bytes(32)) * 2],
    ids=["a byte", "a hash alone", "rising levels", "a level twice"],
)
def test_bytes_that_hold_no_peaks(raw: bytes) -> None:
    with pytest.raises(PeaksBroken):
        peaks_in(raw)
