"""Checkpoints as C2SP tlog-checkpoint and signed-note write them, signed as RFC 8032 signs."""

import base64
import hashlib

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from hypothesis import given
from hypothesis import strategies as st

from triplog.journal.checkpoint import (
    Checkpoint,
    CheckpointBroken,
    Signature,
    Signed,
    key_id,
    key_of,
    key_text,
    signed,
    signed_of,
)

# RFC 8032 section 7.1, TEST 1 (from memory; reproduced by an independent library).
SECRET = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
PUBLIC = bytes.fromhex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a")
NAME = "triplog-log/k7"
CHECKPOINT = Checkpoint(origin=NAME, size=42, root=bytes(range(32)))


def does_check(public: bytes, text: bytes, raw: bytes) -> bool:
    try:
        Ed25519PublicKey.from_public_bytes(public).verify(raw, text)
    except InvalidSignature:
        return False
    return True


def made(checkpoint: Checkpoint = CHECKPOINT) -> Signed:
    raw = Ed25519PrivateKey.from_private_bytes(SECRET).sign(checkpoint.text.encode())
    return signed(checkpoint, NAME, PUBLIC, raw)


def test_the_key_of_the_tests_is_the_one_of_rfc_8032() -> None:
    public = Ed25519PrivateKey.from_private_bytes(SECRET).public_key()
    assert public.public_bytes(Encoding.Raw, PublicFormat.Raw) == PUBLIC


def test_a_checkpoint_is_three_lines() -> None:
    """C2SP tlog-checkpoint: origin, decimal size, base64 root."""
    assert CHECKPOINT.text == ("triplog-log/k7\n42\nAAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8=\n")


def test_a_note_is_text_empty_line_and_signatures_that_start_with_a_long_dash() -> None:
    """C2SP signed-note: U+2014, the key's name, base64 of key id and signature."""
    text = made().text
    body, line = text.removesuffix("\n").split("\n\n")
    assert body + "\n" == CHECKPOINT.text
    dash, name, encoded = line.split(" ")
    assert (dash, name) == ("\u2014", NAME)
    raw = base64.b64decode(encoded)
    assert raw[:4] == hashlib.sha256(NAME.encode() + b"\x0a\x01" + PUBLIC).digest()[:4]
    assert does_check(PUBLIC, CHECKPOINT.text.encode(), raw[4:])


def test_a_note_is_read_back_and_its_signature_holds() -> None:
    found = signed_of(made().text)
    assert found == made()
    assert found.is_signed_by(NAME, PUBLIC, does_check)


def test_another_text_under_the_same_signature_is_refused() -> None:
    other = Checkpoint(origin=NAME, size=43, root=CHECKPOINT.root)
    forged = Signed(checkpoint=other, signatures=made().signatures)
    with pytest.raises(CheckpointBroken, match="does not fit"):
        forged.is_signed_by(NAME, PUBLIC, does_check)


def test_signatures_of_others_are_left_alone() -> None:
    """C2SP signed-note: unknown signers are ignored; at least 16 signatures are taken."""
    others = tuple(
        Signature(name=f"office/{number}", key_id=b"abcd", raw=b"x" * 64) for number in range(16)
    )
    note = Signed(checkpoint=CHECKPOINT, signatures=(*others, *made().signatures))
    assert signed_of(note.text).is_signed_by(NAME, PUBLIC, does_check)
    assert not signed_of(note.text).is_signed_by("office/0", PUBLIC, does_check)


def test_a_key_is_written_and_read_back() -> None:
    text = key_text(NAME, PUBLIC)
    assert text.startswith(f"{NAME}+{key_id(NAME, PUBLIC).hex()}+")
    assert key_of(text) == (NAME, PUBLIC)


@pytest.mark.parametrize("text", ["", "a", "a+b", "a+00000000+AQ==", "a b+00000000+AAAA", "++"])
def test_what_is_no_key_is_refused(text: str) -> None:
    with pytest.raises(CheckpointBroken):
        key_of(text)


def test_a_code_for_paper_is_twenty_letters_of_the_text_s_hash() -> None:
    """RFC 4648 section 6, over SHA-256 of the three lines: 100 bits, worked out here again."""
    bits = int.from_bytes(hashlib.sha256(CHECKPOINT.text.encode()).digest()) >> (256 - 100)
    alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"
    letters = "".join(alphabet[bits >> 5 * (19 - place) & 31] for place in range(20))
    assert CHECKPOINT.code.replace("-", "") == letters
    assert [len(group) for group in CHECKPOINT.code.split("-")] == [5, 5, 5, 5]


GOOD = made().text


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        CHECKPOINT.text,
        GOOD.removesuffix("\n"),
        GOOD.replace("42", "042"),
        GOOD.replace("42", "-1"),
        GOOD.replace("42", "4_2"),
        GOOD.replace("42", "9" * 17),
        GOOD.replace("42", "9007199254740992"),
        GOOD.replace("AAEC", "AAE"),
        GOOD.replace("Hh8=", "Hh9="),
        GOOD.replace("\u2014", "-"),
        GOOD.replace("triplog-log/k7\n", "triplog log\n"),
        GOOD.replace("triplog-log/k7\n", "\n"),
        GOOD.replace("42\n", "42\nmore\n"),
        GOOD.replace("42", "4\t2"),
        GOOD.replace("42\n", "42\r\n"),
        GOOD + "\u2014 x AAAA\n",
        GOOD + "x" * (64 << 10) + "\n",
        GOOD + "\u2014 x AAAAAAA=\n" * 64,
    ],
)
def test_what_is_no_checkpoint_is_refused_in_words(text: str) -> None:
    with pytest.raises(CheckpointBroken, match=r"\w"):
        signed_of(text)


@given(st.text(max_size=200))
def test_any_text_is_a_checkpoint_or_is_refused(text: str) -> None:
    try:
        found = signed_of(text)
    except CheckpointBroken:
        return
    assert found.text == text


@given(st.integers(0, len(GOOD) - 1), st.characters(codec="utf-8"))
def test_no_other_letter_passes_for_the_same_checkpoint(place: int, letter: str) -> None:
    changed = GOOD[:place] + letter + GOOD[place + 1 :]
    try:
        found = signed_of(changed)
        holds = found.is_signed_by(NAME, PUBLIC, does_check)
    except CheckpointBroken:
        return
    assert not holds or changed == GOOD
