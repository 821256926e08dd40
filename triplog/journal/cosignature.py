"""A witness's signature with its time below a checkpoint: C2SP tlog-cosignature, version 1. Pure.

It says that at that time, and as far as the witness knows, the checkpoint followed every one of the
same log that it signed before.
"""

import hashlib
from collections.abc import Callable

from triplog.journal.checkpoint import Check, CheckpointBroken, Signature, Signed

_KIND = b"\x04"
_TIME_BYTES, _SIGNATURE_BYTES = 8, 64


def cosignature(
    signed: Signed, name: str, public: bytes, at_s: int, sign: Callable[[bytes], bytes]
) -> Signature:
    """A witness's line below a checkpoint, at a time in seconds since 1970."""
    raw = at_s.to_bytes(_TIME_BYTES, "big") + sign(_text(signed, at_s))
    return Signature(name=name, key_id=cosigning_key_id(name, public), raw=raw)


def cosigned_at(signed: Signed, name: str, public: bytes, check: Check) -> int | None:
    """When a witness signed, in seconds since 1970; None: it did not.

    Raises CheckpointBroken for a line that names its key and does not fit.
    """
    wanted = (name, cosigning_key_id(name, public))
    for one in signed.signatures:
        if (one.name, one.key_id) != wanted:
            continue
        at_s = int.from_bytes(one.raw[:_TIME_BYTES], "big")
        if len(one.raw) != _TIME_BYTES + _SIGNATURE_BYTES or not check(
            public, _text(signed, at_s), one.raw[_TIME_BYTES:]
        ):
            raise CheckpointBroken(f"the witness's signature of {name} does not fit the checkpoint")
        return at_s
    return None


def cosigning_key_id(name: str, public: bytes) -> bytes:
    """The four bytes that tell a witness's key from another of the same name."""
    return hashlib.sha256(name.encode() + b"\n" + _KIND + public).digest()[:4]


def _text(signed: Signed, at_s: int) -> bytes:
    return f"cosignature/v1\ntime {at_s}\n{signed.checkpoint.text}".encode()
