"""One entry of the journal: its fields, its canonical bytes, its times.

The stored bytes are RFC 8785 canonical JSON of a restricted set: integers, texts, true, false,
null, lists, and objects with ASCII lower-case keys. Every other number is a decimal string, so
that the bytes do not depend on how a program prints floats.
"""

import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from typing import Any, Literal, NamedTuple, Protocol, TypeAlias, cast

import orjson
import rfc8785

Body: TypeAlias = dict[str, object]
Via: TypeAlias = Literal["typed", "imported", "page", "program"]

_KEY = re.compile(r"[a-z0-9][a-z0-9_.:\- ]*")
_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z")
_LARGEST_INTEGER = 2**53 - 1
_CLOCK_STEP = timedelta(seconds=2)
"""What the wall clock may differ by from the time since the start without having been set."""


class EntryBroken(ValueError):
    """Stored bytes that are no entry; the message names what is wrong with them."""


class NotInSet(ValueError):
    """A value that has no place in an entry; the message says which."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockReading:
    """What the machine's clocks said at one moment.

    `wall` is aware; `offset_min` the local offset from UTC; `boot_id` and `boot_ms` (milliseconds
    since that start, suspend included) let a stepped wall clock be seen. `source`: machine or demo.
    """

    wall: datetime
    offset_min: int
    source: Literal["machine", "demo"]
    boot_id: str
    boot_ms: int


class Clock(Protocol):
    """Whatever is asked for the time; the command line and the page bring the machine's."""

    def read(self) -> ClockReading:
        """The clocks now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What somebody wants to have recorded; the store adds place in the chain and entry time.

    `event_time` None: the moment of writing. `private` values are stored apart from the body.
    `idem` None: the store draws one; given twice, the second draft records nothing.
    """

    kind: str
    body: Body
    by: str
    via: Via = "typed"
    trip: str | None = None
    private: Mapping[str, str] = field(default_factory=dict)
    event_time: datetime | None = None
    event_offset_min: int | None = None
    follows: str | None = None
    idem: str | None = None


class Entry(NamedTuple):
    """A recorded entry; `data` are the stored bytes and `hash` their SHA-256 in hexadecimal.

    A tuple, for that is made quickest, and a journal has many.
    """

    device: str
    seq: int
    prev: str | None
    trip_prev: str | None
    kind: str
    v: int
    event_time: datetime
    event_offset_min: int
    entry_time: datetime
    clock_source: str
    boot_id: str
    boot_ms: int
    by: str
    via: str
    trip: str | None
    body: Body
    private: Mapping[str, str]
    follows: str | None
    idem: str
    data: bytes
    hash: str

    def __hash__(self) -> int:
        """An entry is its bytes."""
        return hash(self.hash)

    @property
    def entered_late_by(self) -> timedelta:
        """How long after the event the entry was made; never below zero."""
        return max(self.entry_time - self.event_time, timedelta(0))


def canonical(value: object) -> bytes:
    """The RFC 8785 bytes of a value of the restricted set; NotInSet for any other value."""
    refuse_outsiders(value)
    return rfc8785.dumps(cast(Any, value))


def canonical_quickly(value: object) -> bytes:
    """What `canonical` gives, by a quicker library: for this set the two write the same.

    NotInSet for any other value, and for what is nested too deeply.
    """
    try:
        refuse_outsiders(value)
        return orjson.dumps(value, option=orjson.OPT_SORT_KEYS)
    except (TypeError, RecursionError) as problem:
        raise NotInSet(f"{problem}") from problem


def hash_of(data: bytes) -> str:
    """SHA-256 of stored bytes, in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def commitment(salt_hex: str, field_name: str, value: str) -> str:
    """What stands in an entry for a private value: SHA-256 of canonical [salt, field, value]."""
    return hash_of(canonical([salt_hex, field_name, value]))


def event_time_now(entries: Sequence[Entry], reading: ClockReading) -> datetime:
    """When something that happens now happened, on a trip with these entries.

    The wall clock's time, unless it was set back since the trip's last event: what happens now
    comes after that, by as much as the time since the machine's start says. So it goes on until
    the machine is started anew, also when the wall clock has caught up with that event: the time
    driven in between is not lost.
    """
    carried = carried_on(entries, reading)
    if carried is not None:
        return carried
    dated = (one for one in entries if not is_time_doubtful(one))
    last = max(dated, key=lambda one: one.event_time, default=None)
    if last is None or last.event_time <= reading.wall:
        return reading.wall
    same_start = last.boot_id == reading.boot_id
    passed_ms = max(reading.boot_ms - last.boot_ms, 1) if same_start else 1
    return last.event_time + timedelta(milliseconds=passed_ms)


def carried_on(entries: Sequence[Entry], reading: ClockReading) -> datetime | None:
    """The time of the last entry that was made as things happened, and what has passed since.

    None: the wall clock has not been set back since, or nothing tells how much has passed.
    """
    as_it_happened = (
        one
        for one in reversed(entries)
        if one.event_time >= one.entry_time and one.via != "imported" and not is_time_doubtful(one)
    )
    last = next(as_it_happened, None)
    if last is None or last.boot_id != reading.boot_id:
        return None
    now = last.event_time + timedelta(milliseconds=max(reading.boot_ms - last.boot_ms, 1))
    return now if now - reading.wall > _CLOCK_STEP else None


def is_time_doubtful(entry: Entry) -> bool:
    """Whether an entry was recorded with a time that cannot be right, as its person stated it."""
    return "time_doubt" in entry.body


def time_text(moment: datetime) -> str:
    """RFC 3339 in UTC with three decimals and Z."""
    assert moment.tzinfo is not None, "a journal time is aware"
    in_utc = moment.astimezone(UTC).replace(tzinfo=None)
    return in_utc.isoformat(timespec="milliseconds") + "Z"


def time_of(text: str) -> datetime:
    """Read what `time_text` writes; ValueError for anything else."""
    if not _TIME.fullmatch(text):
        raise ValueError(f"a time as 2026-03-02T13:00:00.000Z, found {text!r}")
    return datetime.fromisoformat(text)


def to_milliseconds(moment: datetime) -> datetime:
    """The moment as an entry can hold it, so that what is compared is what was written."""
    return moment.replace(microsecond=moment.microsecond // 1000 * 1000)


def entry_bytes(
    draft: Draft,
    *,
    device: str,
    seq: int,
    prev: str | None,
    trip_prev: str | None,
    version: int,
    reading: ClockReading,
    commitments: Mapping[str, str],
    idem: str,
) -> bytes:
    """The canonical bytes of a draft at its place in the chain."""
    event_time = reading.wall if draft.event_time is None else draft.event_time
    offset_min = draft.event_offset_min
    return canonical_quickly(
        {
            "device": device,
            "seq": seq,
            "prev": prev,
            "trip_prev": trip_prev,
            "kind": draft.kind,
            "v": version,
            "event_time": time_text(event_time),
            "event_offset_min": reading.offset_min if offset_min is None else offset_min,
            "entry_time": time_text(reading.wall),
            "clock": {
                "source": reading.source,
                "boot_id": reading.boot_id,
                "boot_ms": reading.boot_ms,
            },
            "by": draft.by,
            "via": draft.via,
            "trip": draft.trip,
            "body": draft.body,
            "private": dict(commitments),
            "follows": draft.follows,
            "idem": idem,
        }
    )


def entry_of(data: bytes) -> Entry:
    """The entry that stored bytes hold; raises EntryBroken naming what cannot be read."""
    return entry_in(json_in(data), data)


def json_in(data: bytes) -> Any:
    """What bytes say that should be an entry's; raises EntryBroken."""
    try:
        return orjson.loads(data)
    except ValueError:
        raise EntryBroken("these bytes are no journal entry: they are no JSON") from None


def entry_in(fields: Any, data: bytes) -> Entry:
    """The entry with these fields, as JSON gave them, and these bytes; raises EntryBroken."""
    try:
        clock = fields["clock"]
        event, entered = fields["event_time"], fields["entry_time"]
        event_time = time_of(event)
        return Entry(
            device=fields["device"],
            seq=fields["seq"],
            prev=fields["prev"],
            trip_prev=fields["trip_prev"],
            kind=fields["kind"],
            v=fields["v"],
            event_time=event_time,
            event_offset_min=fields["event_offset_min"],
            entry_time=event_time if entered == event else time_of(entered),
            clock_source=clock["source"],
            boot_id=clock["boot_id"],
            boot_ms=clock["boot_ms"],
            by=fields["by"],
            via=fields["via"],
            trip=fields["trip"],
            body=fields["body"],
            private=fields["private"],
            follows=fields["follows"],
            idem=fields["idem"],
            data=data,
            hash=hash_of(data),
        )
    except (ValueError, KeyError, TypeError) as problem:
        raise EntryBroken(f"these bytes are no journal entry: {problem}") from problem


@lru_cache(maxsize=1024)
def _is_key(key: object) -> bool:
    return isinstance(key, str) and key.isascii() and bool(_KEY.fullmatch(key))


def refuse_outsiders(value: Any) -> None:
    """Raises NotInSet, in words, for what has no place in an entry's bytes."""
    found = type(value)
    if found is dict:
        for key, one in value.items():
            if not _is_key(key):
                raise NotInSet(f"{key!r:.40} is no key of an entry")
            if type(one) is not str:  # most are, and need no call
                refuse_outsiders(one)
    elif found is list or found is tuple:
        for one in value:
            if type(one) is not str:
                refuse_outsiders(one)
    elif found is int:
        if not -_LARGEST_INTEGER <= value <= _LARGEST_INTEGER:
            raise NotInSet("a number of more than 53 bits has no place in an entry, but as a text")
    elif value is not None and not isinstance(value, (str, bool)):
        raise NotInSet(f"{found.__name__} has no place in an entry")
