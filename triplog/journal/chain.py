"""How entries hold together: each names the hash of its device's entry before it."""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

_PREV = b'"prev":'
_LINK_AT = len(_PREV)


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """A place where a chain does not hold, in words."""

    device: str
    seq: int
    sentence: str


def breaks(rows: Iterable[tuple[str, int, str, bytes]]) -> Iterator[Break]:
    """Where the chains of (device, seq, hash, data) rows, ordered by device and seq, do not hold.

    Looks at each row's hash and at the link to the row before; a row that starts a run at a seq
    above 0 is taken as the start of what was asked for.
    """
    # A million entries pass here. A copied digest costs less than a new one, and the key of the
    # link is looked for from the end: the body, which may be long, comes before it.
    new_digest = hashlib.sha256().copy
    device_before = None
    seq_wanted = 0
    link = b""
    for device, seq, stored_hash, data in rows:
        digest = new_digest()
        digest.update(data)
        if digest.hexdigest() != stored_hash:
            yield Break(
                device=device,
                seq=seq,
                sentence="the entry's bytes do not give the hash stored beside them",
            )
        if device == device_before:
            if seq != seq_wanted:
                yield Break(device=device, seq=seq, sentence=f"entry {seq_wanted} is not there")
            elif not data.startswith(link, data.rfind(_PREV) + _LINK_AT):
                yield Break(
                    device=device, seq=seq, sentence="it does not name the hash of the entry before"
                )
        elif seq == 0 and not data.startswith(b"null", data.rfind(_PREV) + _LINK_AT):
            yield Break(device=device, seq=seq, sentence="a first entry names an entry before it")
        device_before, seq_wanted = device, seq + 1
        link = b'"%b"' % stored_hash.encode()
