"""What travels between a device and a hub: a batch of one chain, and the hub's answer. Pure.

Both are lines of UTF-8, compressed as one zlib stream (RFC 1950). The first line is JSON and says
how many of what follow: entries byte for byte as they are stored, then private values, a JSON
object each. What comes from elsewhere is never unpacked beyond its limits.
"""

import re
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import orjson

FORMAT = 1
PACKED_BYTES_MAX = 1 << 20
"""How large a batch or an answer may be as it travels."""
BYTES_MAX = 8 << 20
"""How large it may be unpacked."""
ENTRIES_MAX = 2_000
ENTRY_BYTES_MAX = 1 << 20
OPENING_BYTES_MAX = 64 << 10
HEAD_BYTES_MAX = 1 << 20
"""How long the first line may be, which is read as JSON and so takes many times its room."""
_LEVEL = 6
_MEMBERS_MAX = 4_096
_DEVICE = re.compile(r"[a-z0-9]{1,64}")
_HASH = re.compile(r"[0-9a-f]{64}")
_SALT = re.compile(r"[0-9a-f]{32}")


class BatchBroken(ValueError):
    """Bytes that hold no batch, or more than a batch may; the message says what was found."""


class Place(NamedTuple):
    """A place in a chain: the number of an entry and its hash."""

    seq: int
    hash: str


class Opened(NamedTuple):
    """A private value: which entry and field it opens, with its salt."""

    entry: str
    field: str
    salt: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Entries of the chain of `device`, in order, that come after the place `after`.

    `after` None: from the beginning. `known`: the last entry the sender has of each chain that
    the office writes. `sent_ms`: the sender's clock, in milliseconds since 1970.
    """

    device: str
    after: Place | None
    sent_ms: int
    entries: tuple[bytes, ...] = ()
    openings: tuple[Opened, ...] = ()
    known: dict[str, Place] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the hub says of a batch.

    `outcome`: *taken*; *resume*, the batch begins after what is held there; *behind*, later entries
    of this very device are held there; *forked*, another history is. `head`: the last entry held;
    None: nothing is. `earlier`: places in the chain held, the latest first. `signed_note`: a head
    of the device with the hub's signature below it. `opened`: which private fields may travel, *
    for all. `entries`, `openings`: what the office has written since. `more`: there is more.
    """

    outcome: str
    head: Place | None
    received_ms: int
    earlier: tuple[Place, ...] = ()
    signed_note: str | None = None
    opened: tuple[str, ...] = ()
    entries: tuple[bytes, ...] = ()
    openings: tuple[Opened, ...] = ()
    more: bool = False


OUTCOMES = ("taken", "resume", "behind", "forked")


def pack_batch(batch: Batch) -> bytes:
    """A batch as it travels."""
    head = {
        "format": FORMAT,
        "device": batch.device,
        "after": _told(batch.after),
        "sent_ms": batch.sent_ms,
        "known": {device: list(place) for device, place in batch.known.items()},
    }
    return _pack(head, batch.entries, batch.openings)


def batch_in(packed: bytes) -> Batch:
    """The batch that travelled. Raises BatchBroken."""
    head, entries, openings = _unpack(packed)
    known = _known(head.get("known"))
    device = _text(head, "device")
    if not _DEVICE.fullmatch(device):
        raise BatchBroken("a device is named by 1 to 64 small letters and digits")
    return Batch(
        device=device,
        after=_place(head.get("after")),
        sent_ms=_whole(head, "sent_ms"),
        entries=entries,
        openings=openings,
        known=known,
    )


def pack_answer(answer: Answer) -> bytes:
    """An answer as it travels."""
    head = {
        "format": FORMAT,
        "outcome": answer.outcome,
        "head": _told(answer.head),
        "received_ms": answer.received_ms,
        "earlier": [list(place) for place in answer.earlier],
        "signed_note": answer.signed_note,
        "opened": list(answer.opened),
        "more": answer.more,
    }
    return _pack(head, answer.entries, answer.openings)


def answer_in(packed: bytes) -> Answer:
    """The answer that travelled. Raises BatchBroken."""
    head, entries, openings = _unpack(packed)
    earlier, note, opened = head.get("earlier"), head.get("signed_note"), head.get("opened")
    if head.get("outcome") not in OUTCOMES:
        raise BatchBroken(
            f"the hub answers {str(head.get('outcome'))[:40]!r}: a newer one, or none"
        )
    if not isinstance(earlier, list) or not isinstance(opened, list):
        raise BatchBroken("the hub's answer cannot be read")
    if not (note is None or isinstance(note, str)) or not all(
        isinstance(one, str) for one in opened
    ):
        raise BatchBroken("the hub's answer cannot be read")
    places = tuple(map(_place, earlier))
    return Answer(
        outcome=_text(head, "outcome"),
        head=_place(head.get("head")),
        received_ms=_whole(head, "received_ms"),
        earlier=tuple(place for place in places if place is not None),
        signed_note=note,
        opened=tuple(opened),
        entries=entries,
        openings=openings,
        more=head.get("more") is True,
    )


def fits(entries: int, size: int, packed: int = 0) -> bool:
    """Whether a batch of so many entries, so many bytes and so many packed may travel."""
    return entries <= ENTRIES_MAX and size <= BYTES_MAX // 2 and packed <= PACKED_BYTES_MAX


def _pack(head: dict[str, Any], entries: Sequence[bytes], openings: Sequence[Opened]) -> bytes:
    head = {**head, "entries": len(entries), "openings": len(openings)}
    lines = [_json(head), *entries, *(_json(one._asdict()) for one in openings)]
    return zlib.compress(b"\n".join(lines), _LEVEL)


def _unpack(packed: bytes) -> tuple[dict[str, Any], tuple[bytes, ...], tuple[Opened, ...]]:
    lines = _unpacked(packed).split(b"\n", ENTRIES_MAX * 8)
    head = _object(lines[0], HEAD_BYTES_MAX)
    if head.get("format") != FORMAT:
        raise BatchBroken(f"format {FORMAT} is read here, found {str(head.get('format'))[:40]!r}")
    count, opened = _whole(head, "entries"), _whole(head, "openings")
    if count > ENTRIES_MAX:
        raise BatchBroken(f"at most {ENTRIES_MAX} entries travel at once, found {count}")
    if len(lines) != 1 + count + opened:
        raise BatchBroken(
            f"{count} entries and {opened} private values are promised, and there are"
            f" {len(lines) - 1} lines"
        )
    entries = tuple(lines[1 : 1 + count])
    if any(len(line) > ENTRY_BYTES_MAX for line in entries):
        raise BatchBroken(f"an entry has at most {ENTRY_BYTES_MAX} bytes")
    return head, entries, tuple(map(_opened, lines[1 + count :]))


def _unpacked(packed: bytes) -> bytes:
    if len(packed) > PACKED_BYTES_MAX:
        raise BatchBroken(f"at most {PACKED_BYTES_MAX} bytes travel at once")
    stream = zlib.decompressobj()
    try:
        data = stream.decompress(packed, BYTES_MAX + 1)
    except zlib.error:
        raise BatchBroken("these bytes are no zlib stream, or were damaged on the way") from None
    if len(data) > BYTES_MAX:
        raise BatchBroken(f"unpacked it has more than {BYTES_MAX} bytes")
    if not stream.eof or stream.unused_data:
        raise BatchBroken("the stream breaks off, or something stands behind it")
    return data


def _opened(line: bytes) -> Opened:
    told = _object(line, OPENING_BYTES_MAX)
    found = Opened(*(_text(told, name) for name in Opened._fields))
    if len(told) != len(Opened._fields):
        raise BatchBroken("a private value has an entry, a field, a salt and a value")
    if not (_HASH.fullmatch(found.entry) and _SALT.fullmatch(found.salt)):
        raise BatchBroken("a private value names its entry's hash and a salt of 32 hex digits")
    return found


def _object(line: bytes, limit: int) -> dict[str, Any]:
    if len(line) > limit:
        raise BatchBroken(f"a line has more than {limit} bytes")
    try:
        told = orjson.loads(line)
    except ValueError:
        told = None
    if not isinstance(told, dict):
        raise BatchBroken("a line that should be a JSON object is none")
    return told


def _json(value: object) -> bytes:
    return orjson.dumps(value, option=orjson.OPT_SORT_KEYS)


def _told(place: Place | None) -> list[object] | None:
    return None if place is None else list(place)


def _place(told: object) -> Place | None:
    match told:
        case None:
            return None
        case [int() as seq, str() as own_hash] if _is_whole(seq) and _HASH.fullmatch(own_hash):
            return Place(seq, own_hash)
        case _:
            raise BatchBroken("a place in a chain is a number and a hash")


def _known(told: object) -> dict[str, Place]:
    if isinstance(told, dict) and len(told) <= _MEMBERS_MAX and all(map(_DEVICE.fullmatch, told)):
        places = {chain: _place(one) for chain, one in told.items()}
        found = {chain: place for chain, place in places.items() if place is not None}
        if len(found) == len(places):
            return found
    raise BatchBroken("what the sender knows of the office's chains cannot be read")


def _text(told: dict[str, Any], name: str) -> str:
    found = told.get(name)
    if not isinstance(found, str):
        raise BatchBroken(f"{name} is a text")
    return found


def _whole(told: dict[str, Any], name: str) -> int:
    found = told.get(name)
    if type(found) is not int or not _is_whole(found):
        raise BatchBroken(f"{name} is a whole number")
    return found


def _is_whole(found: object) -> bool:
    return type(found) is int and 0 <= found < 2**53
