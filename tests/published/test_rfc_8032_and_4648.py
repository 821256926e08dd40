"""Signatures and letters against print.

RFC 8032 (Edwards-Curve Digital Signature Algorithm), section 7.1: TESTs 1, 2, 3 and SHA(abc), from
memory; each is right, for signing is deterministic and another library gives the same signature.
RFC 4648 (Base16, Base32 and Base64), section 10: the test vectors, from memory.
"""

import base64
import hashlib

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from exports.verify import ed25519_holds

# Secret key, public key, message, signature, in hexadecimal.
RFC_8032 = {
    "TEST 1": (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555f"
        "b8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
    ),
    "TEST 2": (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
        "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ),
    "TEST 3": (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
        "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ),
    "TEST SHA(abc)": (
        "833fe62409237b9d62ec77587520911e9a759cec1d19755b7da901b96dca3d42",
        "ec172b93ad5e563bf4932c70e1245034c35467ef2efd4d64ebf819683467e2bf",
        hashlib.sha512(b"abc").hexdigest(),
        "dc2a4459e7369633a52b1bf277839a00201009a3efbf3ecb69bea2186c26b589"
        "09351fc9ac90b3ecfdfbc7c66431e0303dca179c138ac17ad9bef1177331a704",
    ),
}


@pytest.mark.parametrize("name", RFC_8032)
def test_the_published_signature_is_made_and_holds_and_a_changed_one_does_not(name: str) -> None:
    """RFC 8032, section 7.1."""
    secret, public, message, signature = (bytes.fromhex(one) for one in RFC_8032[name])
    key = Ed25519PrivateKey.from_private_bytes(secret)
    assert key.public_key().public_bytes_raw() == public
    assert key.sign(message) == signature
    assert ed25519_holds(public, message, signature)
    assert not ed25519_holds(public, message + b"\0", signature)
    for place in range(0, 512, 37):
        changed = bytearray(signature)
        changed[place // 8] ^= 1 << place % 8
        assert not ed25519_holds(public, message, bytes(changed))


def test_no_published_signature_holds_for_another_test_s_key() -> None:
    for name, (_, public, message, _) in RFC_8032.items():
        for other, (_, _, _, signature) in RFC_8032.items():
            held = ed25519_holds(*(bytes.fromhex(one) for one in (public, message, signature)))
            assert held == (name == other)


@pytest.mark.parametrize(
    ("plain", "sixty_four", "thirty_two"),
    [
        ("", "", ""),
        ("f", "Zg==", "MY======"),
        ("fo", "Zm8=", "MZXQ===="),
        ("foo", "Zm9v", "MZXW6==="),
        ("foob", "Zm9vYg==", "MZXW6YQ="),
        ("fooba", "Zm9vYmE=", "MZXW6YTB"),
        ("foobar", "Zm9vYmFy", "MZXW6YTBOI======"),
    ],
)
def test_letters_are_those_of_rfc_4648(plain: str, sixty_four: str, thirty_two: str) -> None:
    """RFC 4648, section 10: what roots and signatures, and what the code on paper is written in."""
    assert base64.b64encode(plain.encode()).decode() == sixty_four
    assert base64.b32encode(plain.encode()).decode() == thirty_two
