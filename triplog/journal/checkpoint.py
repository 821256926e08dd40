"""A checkpoint: how many entries a log has and the root over them, signed. Pure.

C2SP tlog-checkpoint in a C2SP signed note: three lines, an empty line, and a line per signature.
The text that is signed is the three lines with their line ends. The signature is Ed25519
(RFC 8032); who makes or checks one is handed in, so that nothing here needs a library.
"""

import base64
import binascii
import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass

Check = Callable[[bytes, bytes, bytes], bool]
"""Whether a signature (third) of a text (second) was made with a public key (first)."""

NOTE_BYTES_MAX = 64 << 10
_SIGNATURES_MAX = 64
_SIZE_MAX = 2**53 - 1
_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f]")
_ED25519 = b"\x01"
_PUBLIC_BYTES = _ROOT_BYTES = 32
_KEY_ID_BYTES = 4
_CODE_LETTERS, _CODE_GROUP = 20, 5


class CheckpointBroken(ValueError):
    """A text that is no checkpoint, or no signed note; the message says what was found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Checkpoint:
    """The first `size` entries of the log `origin` have the tree's root `root` (32 bytes)."""

    origin: str
    size: int
    root: bytes

    @property
    def text(self) -> str:
        """What is signed: origin, size and root, a line each."""
        return f"{self.origin}\n{self.size}\n{_base64(self.root)}\n"

    @property
    def code(self) -> str:
        """The short code for paper: 20 letters of base32 (RFC 4648), 100 bits, in groups of 5.

        Of the SHA-256 of the text, so of the head with its size and its log.
        """
        letters = base64.b32encode(hashlib.sha256(self.text.encode()).digest()).decode()
        groups = range(0, _CODE_LETTERS, _CODE_GROUP)
        return "-".join(letters[begin : begin + _CODE_GROUP] for begin in groups)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """A line below a note: whose it is, which of their keys, and the signature's bytes."""

    name: str
    key_id: bytes
    raw: bytes

    @property
    def line(self) -> str:
        """The line as it stands in the note, without its line end."""
        return f"— {self.name} {_base64(self.key_id + self.raw)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """A checkpoint with the signatures that stand below it, in their order."""

    checkpoint: Checkpoint
    signatures: tuple[Signature, ...]

    @property
    def text(self) -> str:
        """The whole signed note."""
        lines = "".join(f"{signature.line}\n" for signature in self.signatures)
        return f"{self.checkpoint.text}\n{lines}"

    def is_signed_by(self, name: str, public: bytes, check: Check) -> bool:
        """Whether the key signed it. A line that names the key and does not fit: CheckpointBroken.

        Signatures of others are left alone.
        """
        wanted = key_id(name, public)
        found = [one for one in self.signatures if (one.name, one.key_id) == (name, wanted)]
        for one in found:
            if not check(public, self.checkpoint.text.encode(), one.raw):
                raise CheckpointBroken(f"the signature of {name} does not fit the checkpoint")
        return bool(found)


def log_name(device: str) -> str:
    """What the log of a device is called in checkpoints, and its key."""
    return f"triplog-log/{device}"


def key_id(name: str, public: bytes) -> bytes:
    """The four bytes that tell a key from another of the same name (C2SP signed-note)."""
    return hashlib.sha256(name.encode() + b"\n" + _ED25519 + public).digest()[:_KEY_ID_BYTES]


def key_text(name: str, public: bytes) -> str:
    """A public key as C2SP signed-note writes it: name, key id, base64 of its kind and bytes."""
    return f"{name}+{key_id(name, public).hex()}+{_base64(_ED25519 + public)}"


def key_of(text: str) -> tuple[str, bytes]:
    """The name and public key a text stands for. Raises CheckpointBroken."""
    name, _, rest = text.partition("+")
    written_id, _, encoded = rest.partition("+")
    raw = _bytes_of(encoded, "the key")
    public = raw[1:]
    if raw[:1] != _ED25519 or len(public) != _PUBLIC_BYTES:
        raise CheckpointBroken("the key is no Ed25519 key: 32 bytes after the byte 01")
    if not _is_name(name) or written_id != key_id(name, public).hex():
        raise CheckpointBroken("the key's name and its id do not fit the key")
    return name, public


def signed(checkpoint: Checkpoint, name: str, public: bytes, raw: bytes) -> Signed:
    """The checkpoint with one signature below it."""
    signature = Signature(name=name, key_id=key_id(name, public), raw=raw)
    return Signed(checkpoint=checkpoint, signatures=(signature,))


def signed_of(text: str) -> Signed:
    """The signed checkpoint a note stands for. Raises CheckpointBroken; no signature is checked."""
    if len(text.encode()) > NOTE_BYTES_MAX:
        raise CheckpointBroken(f"a checkpoint has at most {NOTE_BYTES_MAX} bytes")
    if _CONTROL.search(text):
        raise CheckpointBroken("a checkpoint holds no control characters but line ends")
    body, gap, below = text.rpartition("\n\n")
    if not gap or not below.endswith("\n"):
        raise CheckpointBroken("a checkpoint is three lines, an empty line, and signatures")
    signature_lines = below[:-1].split("\n")
    if len(signature_lines) > _SIGNATURES_MAX:
        raise CheckpointBroken(f"a checkpoint has at most {_SIGNATURES_MAX} signatures")
    found = Signed(
        checkpoint=_checkpoint_of(body + "\n"),
        signatures=tuple(map(_signature_of, signature_lines)),
    )
    if found.text != text:
        raise CheckpointBroken("the checkpoint is not written as the standard writes it")
    return found


def _checkpoint_of(text: str) -> Checkpoint:
    lines = text[:-1].split("\n")
    if len(lines) != 3 or not _is_name(lines[0]):
        raise CheckpointBroken("a checkpoint's text is its log's name, a size and a root")
    origin, size, encoded = lines
    if not (size.isascii() and size.isdigit() and len(size) < 17 and int(size) <= _SIZE_MAX):
        raise CheckpointBroken(f"the size is a whole number, found {size[:40]!r}")
    root = _bytes_of(encoded, "the root")
    if len(root) != _ROOT_BYTES:
        raise CheckpointBroken(f"the root has 32 bytes, found {len(root)}")
    return Checkpoint(origin=origin, size=int(size), root=root)


def _signature_of(line: str) -> Signature:
    dash, _, rest = line.partition(" ")
    name, _, encoded = rest.partition(" ")
    if dash != "—" or not _is_name(name):
        raise CheckpointBroken("a signature is a long dash, a name and the signature")
    raw = _bytes_of(encoded, "the signature")
    if len(raw) <= _KEY_ID_BYTES:
        raise CheckpointBroken("a signature has bytes after the four that name its key")
    return Signature(name=name, key_id=raw[:_KEY_ID_BYTES], raw=raw[_KEY_ID_BYTES:])


def _is_name(name: str) -> bool:
    return name.split() == [name] and "+" not in name


def _base64(raw: bytes) -> str:
    return base64.b64encode(raw).decode()


def _bytes_of(encoded: str, what: str) -> bytes:
    try:
        return base64.b64decode(encoded, validate=True)
    except (binascii.Error, ValueError):
        raise CheckpointBroken(f"{what} is no base64") from None
