"""The checker's own Ed25519 against another library's; RFC 8032's are in tests/published."""

import random

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from exports.verify import ed25519_holds

# RFC 8032 section 7.1, TEST 1 (from memory; reproduced by an independent library).
PUBLIC = bytes.fromhex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a")
SIGNATURE = bytes.fromhex(
    "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555f"
    "b8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
)


@pytest.mark.parametrize("seed", range(12))
def test_it_takes_what_another_library_signs_and_nothing_that_differs_in_a_bit(seed: int) -> None:
    source = random.Random(seed)
    key = Ed25519PrivateKey.from_private_bytes(source.randbytes(32))
    public, message = key.public_key().public_bytes_raw(), source.randbytes(seed * 9)
    signature = key.sign(message)
    assert ed25519_holds(public, message, signature)
    place = source.randrange(64 * 8)
    damaged = bytearray(signature)
    damaged[place // 8] ^= 1 << place % 8
    assert not ed25519_holds(public, message, bytes(damaged))
    assert not ed25519_holds(signature[:32], message, signature)


@pytest.mark.parametrize("signature", [b"", bytes(63), bytes(65), b"\xff" * 64])
def test_what_is_no_signature_does_not_hold(signature: bytes) -> None:
    assert not ed25519_holds(PUBLIC, b"", signature)
    assert not ed25519_holds(b"\xff" * 32, b"", SIGNATURE)
