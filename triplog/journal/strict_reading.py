"""An entry that comes from elsewhere, read only where its bytes are the one way of writing it.

What is of the restricted set, and is written again the same, is canonical (RFC 8785).
"""

import re

from triplog.journal.entries import (
    Entry,
    EntryBroken,
    NotInSet,
    canonical_quickly,
    entry_in,
    json_in,
)

_is_device = re.compile(r"[a-z0-9]{1,64}").fullmatch
_is_hash = re.compile(r"[0-9a-f]{64}").fullmatch
_WAYS = ("typed", "imported", "page", "program")


def strict_entry_of(data: bytes) -> Entry:
    """The entry that bytes from elsewhere hold, each field of its kind and the bytes canonical.

    Raises EntryBroken naming what is wrong.
    """
    fields = json_in(data)
    try:
        written = canonical_quickly(fields)
    except NotInSet as problem:
        raise EntryBroken(f"these bytes are no journal entry: {problem}") from problem
    if written != data:
        raise EntryBroken("these bytes are no journal entry: they are not canonical JSON")
    entry = entry_in(fields, data)
    try:
        fits = _fits(entry)
    except TypeError:  # a pattern looks for itself in texts alone
        fits = False
    if not fits:
        raise EntryBroken("these bytes are no journal entry: a field is not what it should be")
    return entry


def _fits(one: Entry) -> bool:
    """Whether each field is of its kind. TypeError: one that should be a text is none."""
    return bool(
        _is_device(one.device)
        and type(one.seq) is type(one.v) is type(one.event_offset_min) is type(one.boot_ms) is int
        and one.seq >= 0
        and one.v >= 0
        and (one.prev is None or _is_hash(one.prev))
        and (one.trip_prev is None or _is_hash(one.trip_prev))
        and (one.follows is None or _is_hash(one.follows))
        and all(
            type(each) is str
            for each in (one.kind, one.by, one.idem, one.clock_source, one.boot_id)
        )
        and one.via in _WAYS
        and (one.trip_prev is None if one.trip is None else type(one.trip) is str)
        and type(one.body) is type(one.private) is dict
        and all(type(value) is str and _is_hash(value) for value in one.private.values())
    )
