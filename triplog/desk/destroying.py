"""Destroying private values for good: the entries stay, what they kept apart goes.

The act is an entry of the trip or the person the values belonged to. It names entry and field,
never the value. The same pairs are written into the second place, outside the journal, so that a
back-up made before does not bring a value back: whoever restores it destroys again.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import cast

from triplog.desk.checkpoints import second_folder
from triplog.desk.desk import NOBODY, Desk, present
from triplog.desk.holding import Standing, holds_over, refuse_deletion, tell_refused
from triplog.desk.private_fields import Copy, copies_with, same_text
from triplog.desk.refused import Refused
from triplog.journal import attachments
from triplog.journal.entries import Body, Entry, time_text
from triplog.journal.erasing import Erased, erase
from triplog.journal.store import Writing
from triplog.journal.store_file import left_in_file, write_durably
from triplog.journal.trip import records_in
from triplog.wording.private import not_listed_text

WHY = (
    "asked for by the person",
    "recorded by mistake",
    "no longer needed",
    "retention",
    "destroyed before",
)
"""Why values go, as the entry says it; the last is for what a back-up brought back."""
AGAIN = WHY[-1]
Pair = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Destroyed:
    """What came of it.

    `entries`: the acts recorded. `gone`: how many values. `elsewhere`: entries in which the same
    text stands still, with the field it stands in (None: in the entry itself, for good).
    `copies`: the exports and back-ups made while the values could be read. `is_left`: something of
    it is still in the file.
    """

    entries: tuple[Entry, ...]
    gone: int
    elsewhere: tuple[tuple[Entry, str | None], ...]
    copies: tuple[Copy, ...]
    is_left: bool


def destroy(
    desk: Desk,
    openings: Sequence[Pair],
    *,
    why: str,
    reason: str,
    note: str | None = None,
) -> Destroyed:
    """Destroy private values, each named by the hash of its entry and its field.

    Refused for nobody named, without a reason, and for what is destroyed already. What a hold
    keeps is refused as well, and that it was asked for is recorded (RefusedAndRecorded).
    """
    _refuse(desk, openings, why, reason)
    named = [desk.store.entry(one) for one in dict.fromkeys(one for one, _ in openings)]
    with desk.writing() as writing:
        holds = refuse_under_hold(desk, writing, named, reason)
        if not holds:
            entries, gone = destroy_in(desk, writing, openings, why=why, reason=reason, note=note)
    if holds:
        tell_refused(_what(openings), holds)
    keep_list(desk)
    return Destroyed(
        entries=tuple(entries),
        gone=len(gone),
        elsewhere=tuple(same_text(desk, [one.value for one in gone])),
        copies=tuple(copies_with(desk, openings)),
        is_left=left_in_file(desk.store.path, [one.salt.encode() for one in gone]),
    )


def destroy_in(
    desk: Desk,
    writing: Writing,
    openings: Iterable[Pair],
    *,
    why: str,
    reason: str | None = None,
    note: str | None = None,
    photos: Sequence[str] = (),
) -> tuple[list[Entry], list[Erased]]:
    """Destroy inside a transaction of the caller, and record it: an entry for each trip or thing.

    `photos`: digests of attachments that go in the same act; they are named in its first entry.
    The caller has asked for holds, and calls `keep_list` once the transaction is durable.
    """
    gone = erase(writing, openings, photos)
    private = {"reason": reason or None, "note": note or None}
    entries: list[Entry] = []
    for trip, body in _bodies(desk, gone, why, photos):
        draft = desk.draft("openings_destroyed", body, trip=trip, private=private)
        is_first = not entries and why != AGAIN
        entries.append(desk.append(writing, draft) if is_first else writing.append(draft))
    return entries, gone


def destroy_again(desk: Desk, writing: Writing) -> int:
    """Destroy, inside a transaction, what was destroyed before and has come back; how many values.

    Known from the journal's own entries, those of other devices among them, and from the lists in
    the second place. What a hold keeps here stays.
    """
    back = [
        (entry, field)
        for entry, field in dict.fromkeys([*_recorded(desk), *_listed(desk)])
        if field in desk.store.openings(entry)
    ]
    photos = list(_photos_back(desk))
    if not back and not photos:
        return 0
    entries = [desk.store.entry(one) for one in dict.fromkeys(entry for entry, _ in back)]
    some_held = bool(holds_over(desk, entries))
    kept = {one.hash for one in entries if some_held and holds_over(desk, [one])}
    going = [pair for pair in back if pair[0] not in kept]
    _, gone = destroy_in(desk, writing, going, why=AGAIN, photos=photos)
    return len(gone) + len(photos)


def refuse_under_hold(
    desk: Desk, writing: Writing, entries: Sequence[Entry], reason: str | None
) -> list[Standing]:
    """The holds that keep something of these entries; where there are any, that is recorded."""
    holds = holds_over(desk, entries)
    if holds:
        trips = {entry.trip for entry in entries}
        refuse_deletion(
            desk,
            writing,
            what=f"private values of {len(entries)} entries",
            holds=holds,
            trip=trips.pop() if len(trips) == 1 else None,
            reason=reason,
        )
    return holds


def keep_list(desk: Desk) -> None:
    """Write what was ever destroyed here into the second place; whoever types is told of trouble.

    The list is made whole each time: one that could not be written before is made good.
    """
    pairs = dict.fromkeys([*_recorded(desk), *_pairs_in(_list_path(desk))])
    path = _list_path(desk)
    photos = dict([*_photos_in(path), *_photos_recorded(desk)])
    lines = [json.dumps({"entry": entry, "field": field}) + "\n" for entry, field in pairs]
    lines += [json.dumps({"photo": digest, "at": at}) + "\n" for digest, at in photos.items()]
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_durably(path, "".join(lines).encode())
    except OSError as problem:
        desk.head_trouble = not_listed_text(str(path.parent), problem.strerror or str(problem))


def _refuse(desk: Desk, openings: Sequence[Pair], why: str, reason: str) -> None:
    if why not in WHY[:-1]:
        raise Refused(f"--why is one of: {', '.join(WHY[:-1])}; found {why!r}")
    if not reason.strip():
        raise Refused("private values are destroyed with a reason: --reason")
    if desk.by == NOBODY:
        raise Refused(
            "private values are destroyed by a named person: say who types with --as LABEL"
        )
    if not openings:
        raise Refused("there is no private value to destroy; `triplog private list` shows what is")
    for entry, field in openings:
        if field not in desk.store.openings(entry):
            raise Refused(
                f"entry {entry[:8]} has no {field} that can be read: it never had, or it is"
                " destroyed already; `triplog private list` shows what is there"
            )


def _bodies(
    desk: Desk, gone: Iterable[Erased], why: str, photos: Sequence[str]
) -> Iterator[tuple[str | None, Body]]:
    """The trip (None: none) and the body of an entry for each trip, and for each thing besides."""
    about = []
    for one in gone:
        entry = desk.store.entry(one.entry)
        thing = None if entry.trip is not None else desk.store.thing_of(entry)
        about.append((entry.trip or "", thing or "", one.entry, one.field))
    left: Sequence[str] | None = list(photos) or None
    for (trip, thing), group in groupby(sorted(about), key=lambda one: one[:2]):
        openings = [{"entry": entry, "field": field} for *_, entry, field in group]
        yield (
            trip or None,
            present(openings=openings, why=why, about=thing or None, attachments=left),
        )
        left = None
    if left:
        yield None, present(openings=[], why=why, attachments=left)


def _recorded(desk: Desk) -> list[Pair]:
    """What this journal says was destroyed, on whatever device."""
    return [
        (one["entry"], one["field"])
        for entry in desk.store.entries("kind = 'openings_destroyed'")
        for one in records_in(entry.body, "openings")
    ]


def _listed(desk: Desk) -> list[Pair]:
    folder = second_folder(desk)
    return [pair for path in sorted(folder.glob("*.destroyed")) for pair in _pairs_in(path)]


def _photos_back(desk: Desk) -> Iterator[str]:
    """The digests of photos that were destroyed, are here again, and were not added since."""
    lists = sorted(second_folder(desk).glob("*.destroyed"))
    told = [*(one for path in lists for one in _photos_in(path)), *_photos_recorded(desk)]
    for digest, at in dict(sorted(told, key=lambda one: one[1])).items():
        if attachments.has(desk.store, digest):
            naming = [
                one
                for one in desk.store.entries("kind = 'photo_added'")
                if one.body["digest"] == digest
            ]
            is_anew = any(time_text(one.entry_time) > at for one in naming)
            if not is_anew and not holds_over(desk, naming):
                yield digest


def photos_destroyed(desk: Desk) -> set[str]:
    """The digests of photos that were destroyed here, as the journal says."""
    return {digest for digest, _ in _photos_recorded(desk)}


def _photos_recorded(desk: Desk) -> list[Pair]:
    """The digest of each photo this journal says was destroyed, and when."""
    return [
        (digest, time_text(entry.entry_time))
        for entry in desk.store.entries("kind = 'openings_destroyed'")
        for digest in cast(list[str], entry.body.get("attachments", []))
    ]


def _photos_in(path: Path) -> list[Pair]:
    return _told_in(path, "photo", "at")


def _pairs_in(path: Path) -> list[Pair]:
    return _told_in(path, "entry", "field")


def _told_in(path: Path, first: str, second: str) -> list[Pair]:
    """Pairs out of a list; a line without them is passed over, as a file that is not there."""
    try:
        lines = path.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return []
    found = []
    for line in lines:
        try:
            told = json.loads(line)
            found.append((str(told[first]), str(told[second])))
        except (ValueError, KeyError, TypeError):
            continue
    return found


def _list_path(desk: Desk) -> Path:
    return second_folder(desk) / f"{desk.store.device}.destroyed"


def _what(openings: Sequence[Pair]) -> str:
    return "this private value" if len(openings) == 1 else f"these {len(openings)} private values"
