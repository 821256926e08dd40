"""Signed heads and the tree under them, for the second checker: from exports/FORMAT.md alone."""

import base64
import hashlib
from dataclasses import dataclass

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey


@dataclass(frozen=True, slots=True)
class Signed:
    device: str
    size: int
    root: bytes
    text: bytes
    signatures: tuple[tuple[str, bytes], ...]


def signed(note: str) -> Signed:
    body, _, rest = note.partition("\n\n")
    origin, size, root = body.split("\n")
    name, _, device = origin.partition("/")
    if name != "triplog-log" or not rest.endswith("\n") or str(int(size)) != size:
        raise ValueError(note)
    signatures = []
    for line in rest.removesuffix("\n").split("\n"):
        dash, signer, packed = line.split(" ")
        if dash != "\N{EM DASH}":
            raise ValueError(line)
        signatures.append((signer, base64.b64decode(packed, validate=True)))
    text = f"{body}\n".encode()
    return Signed(device, int(size), base64.b64decode(root, validate=True), text, tuple(signatures))


def is_signed(head: Signed, keys: list[str]) -> bool:
    """Whether the log's own key has signed it."""
    for key in keys:
        name, number, packed = key.split("+", 2)
        public = base64.b64decode(packed, validate=True)[1:]
        digest = hashlib.sha256(name.encode() + b"\n\x01" + public).digest()
        if digest[:4].hex() != number or name != f"triplog-log/{head.device}":
            continue
        for signer, signature in head.signatures:
            if signer == name and signature[:4] == digest[:4]:
                try:
                    Ed25519PublicKey.from_public_bytes(public).verify(signature[4:], head.text)
                    return True
                except InvalidSignature:
                    return False
    return False


def root(leaves: list[bytes]) -> bytes:
    """RFC 6962, section 2.1."""
    if len(leaves) < 2:
        return hashlib.sha256(b"".join([b"\x00", *leaves]) if leaves else b"").digest()
    split = 1 << (len(leaves) - 1).bit_length() - 1
    return hashlib.sha256(b"\x01" + root(leaves[:split]) + root(leaves[split:])).digest()


def climb(index: int, size: int, leaf: bytes, hashes: list[bytes]) -> bytes:
    """RFC 9162, 2.1.3: told from the top down, as the tree is split."""
    if size == 1:
        if hashes or index:
            raise ValueError("too many hashes")
        return leaf
    *below, top = hashes
    split = 1 << (size - 1).bit_length() - 1
    if index < split:
        return _pair(climb(index, split, leaf, below), top)
    return _pair(top, climb(index - split, size - split, leaf, below))


def follows(old: int, size: int, before: bytes, after: bytes, hashes: list[bytes]) -> bool:
    """RFC 9162, 2.1.4: both roots are worked out from one list of hashes, from the top down."""

    def walk(count: int, whole: int, known: bool, rest: list[bytes]) -> tuple[bytes, bytes]:
        if count == whole:
            if known:
                if rest:
                    raise ValueError("too many hashes")
                return before, before
            (only,) = rest
            return only, only
        *below, top = rest
        split = 1 << (whole - 1).bit_length() - 1
        if count <= split:
            first, second = walk(count, split, known, below)
            return first, _pair(second, top)
        first, second = walk(count - split, whole - split, False, below)
        return _pair(top, first), _pair(top, second)

    return 0 < old <= size and walk(old, size, True, hashes) == (before, after)


def _pair(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(b"\x01" + left + right).digest()
