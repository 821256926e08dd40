"""How entries hold together: each names the hash of its device's entry before it."""

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

Row = tuple[int, str, bytes]
"""The seq, the stored hash and the stored bytes of one entry."""

_PREV = b'"prev":'
_LINK_AT = len(_PREV)
_BATCH = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """A place where a chain does not hold, in words."""

    seq: int
    sentence: str


def breaks(rows: Iterable[Row]) -> Iterator[Break]:
    """Where the chain of one device does not hold; its rows are given in the order of seq.

    Looks at each row's hash and at the link to the row before; rows that start at a seq above 0
    are taken as the part that was asked for. A million pass here, so that they are looked at many
    at a time, and one by one only where those many do not hold.
    """
    waiting = iter(rows)
    before: Row | None = None
    while batch := list(islice(waiting, _BATCH)):
        if not _hold(batch, before):
            yield from _named(batch, before)
        before = batch[-1]


def _hold(batch: Sequence[Row], before: Row | None) -> bool:
    """Whether nothing at all is wrong with these rows."""
    seqs, hashes, datas = zip(*batch, strict=True)
    if seqs != tuple(range(seqs[0], seqs[0] + len(seqs))):
        return False
    if hashes != tuple([digest.hexdigest() for digest in map(hashlib.sha256, datas)]):
        return False
    rows = iter(zip(hashes, datas, strict=True))
    if before is None:
        if seqs[0] == 0 and not _names(datas[0], b"null"):
            return False
        link = next(rows)[0].encode()
    elif seqs[0] == before[0] + 1:
        link = before[1].encode()
    else:
        return False
    for stored_hash, data in rows:
        if not data.startswith(link, data.rfind(_PREV) + _LINK_AT + 1):
            return False
        link = stored_hash.encode()
    return True


def _named(batch: Sequence[Row], before: Row | None) -> Iterator[Break]:
    for seq, stored_hash, data in batch:
        if hashlib.sha256(data).hexdigest() != stored_hash:
            sentence = "the entry's bytes do not give the hash stored beside them"
            yield Break(seq=seq, sentence=sentence)
        if before is None:
            if seq == 0 and not _names(data, b"null"):
                yield Break(seq=seq, sentence="a first entry names an entry before it")
        elif seq != before[0] + 1:
            yield Break(seq=seq, sentence=f"entry {before[0] + 1} is not there")
        elif not _names(data, b'"%b"' % before[1].encode()):
            yield Break(seq=seq, sentence="it does not name the hash of the entry before")
        before = seq, stored_hash, data


def _names(data: bytes, link: bytes) -> bool:
    """Whether this is the link. Looked for from the end: the body, which may hold the same key,
    comes before it."""
    return data.startswith(link, data.rfind(_PREV) + _LINK_AT)
