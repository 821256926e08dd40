"""The device's own Ed25519 key: a file beside the journal that only its owner may read.

It shows that a checkpoint was signed where the journal lies, and not more: whoever holds this
machine holds the key. A copy of a checkpoint in somebody else's hands is what proves.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from triplog.journal.checkpoint import Checkpoint, Signed, key_text, log_name, signed
from triplog.journal.store_file import StoreUnusable, write_durably

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

KEY_NAME = "device-key.pem"
_OWNER_ONLY = 0o600
_OTHERS = 0o077
_KEY_BYTES_MAX = 4096


@dataclass(frozen=True, slots=True)
class DeviceKey:
    """The key of one device; `was_open`: others could read its file, which was closed to them."""

    name: str
    private: "Ed25519PrivateKey"
    was_open: bool = False

    @property
    def text(self) -> str:
        """The public key as it is written down and handed out."""
        return key_text(self.name, self.private.public_key().public_bytes_raw())

    def sign(self, checkpoint: Checkpoint) -> Signed:
        """The checkpoint with this key's signature below it."""
        raw = self.private.sign(checkpoint.text.encode())
        return signed(checkpoint, self.name, self.private.public_key().public_bytes_raw(), raw)


def did_sign(public: bytes, text: bytes, raw: bytes) -> bool:
    """Whether a signature of a text was made with a public key."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        Ed25519PublicKey.from_public_bytes(public).verify(raw, text)
    except (InvalidSignature, ValueError):
        return False
    return True


def read_key(home: Path, device: str) -> DeviceKey | None:
    """The key of a device; None: there is no file.

    A file that is no key is put aside under another name, and is as good as none: nobody is kept
    from driving by it. Raises StoreUnusable where it can neither be read nor put aside.
    """
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    path = home / KEY_NAME
    with _told_in_words(path):
        try:
            with path.open("rb") as file:
                was_open = bool(os.fstat(file.fileno()).st_mode & _OTHERS) and os.name == "posix"
                pem = file.read(_KEY_BYTES_MAX)
        except FileNotFoundError:
            return None
        if was_open:
            path.chmod(_OWNER_ONLY)
    try:
        private = load_pem_private_key(pem, password=None)
    except (ValueError, TypeError, UnsupportedAlgorithm):
        private = None
    if not isinstance(private, Ed25519PrivateKey):
        with _told_in_words(path):
            path.replace(path.with_name(f"{path.name}.unreadable"))
        return None
    return DeviceKey(log_name(device), private, was_open)


def make_key(home: Path, device: str) -> DeviceKey:
    """A new key in its file, whole or not at all; the one before it is replaced."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import (
        Encoding,
        NoEncryption,
        PrivateFormat,
    )

    private = Ed25519PrivateKey.generate()
    pem = private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    path = home / KEY_NAME
    with _told_in_words(path):
        write_durably(path, pem, _OWNER_ONLY)
    return DeviceKey(log_name(device), private)


@contextmanager
def _told_in_words(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as problem:
        why = problem.strerror or str(problem)
        raise StoreUnusable(
            f"the device's key {path} cannot be read or written: {why}; look at the folder's"
            " permissions and room"
        ) from problem
