"""Checkpoints: the head of this device's log, signed each time something leaves the house.

A head is signed only if it follows the last one that was signed, which is kept in a second place
outside the journal: a copy that is older than that, or went another way, signs nothing. It goes
on recording all the same, and says so.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from triplog.desk.desk import Desk
from triplog.journal.checkpoint import Checkpoint, CheckpointBroken, Signed, signed_of
from triplog.journal.device_key import DeviceKey, make_key, read_key
from triplog.journal.entries import Body, Entry
from triplog.journal.store import Writing
from triplog.journal.store_file import write_durably
from triplog.journal.stored_tree import StoredTree
from triplog.journal.trip import text_in
from triplog.wording.head import WITHHELD, not_kept_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What came of a checkpoint. `signed` None: it was withheld, and the entry says why."""

    entry: Entry
    signed: Signed | None


@contextmanager
def with_checkpoint(desk: Desk, why: str, trip: str | None) -> Iterator[Writing]:
    """One transaction that ends with a checkpoint over all that was recorded in it."""
    with desk.writing() as writing:
        yield writing
        made = sign_head(desk, writing, why, trip)
    keep_head(desk, made)


def sign_head(desk: Desk, writing: Writing, why: str, trip: str | None) -> Made:
    """Sign the head over everything recorded so far, and record it; `keep_head` comes after."""
    key = record_key(desk, writing)
    tree = StoredTree(desk.store, desk.store.device)
    tree.grow()
    head = tree.checkpoint()
    before = _kept(desk)
    body: Body = {"size": head.size, "root": head.root.hex(), "why": why}
    if before is not None and not _follows(head, before, tree):
        held = {"held_size": before.size, "held_root": before.root.hex()}
        draft = desk.draft("checkpoint_withheld", {**body, **held}, trip=trip)
        return Made(entry=writing.append(draft), signed=None)
    signed = key.sign(head)
    draft = desk.draft("checkpoint_signed", {**body, "signed_note": signed.text}, trip=trip)
    return Made(entry=writing.append(draft), signed=signed)


def keep_head(desk: Desk, made: Made) -> None:
    """Keep the last signed head in the second place; to be called when its entry is durable.

    Where it cannot be kept, what was recorded stands, and whoever types is told.
    """
    if made.signed is None:
        desk.head_trouble = WITHHELD
        return
    path = _second_place(desk)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_durably(path, made.signed.text.encode())
    except OSError as problem:
        desk.head_trouble = not_kept_text(str(path.parent), problem.strerror or str(problem))


def record_key(desk: Desk, writing: Writing, why: str = "first") -> DeviceKey:
    """The device's key, made where there is none; what is new about it is recorded.

    `why` is said of the first key of a log.
    """
    device = desk.store.device
    found = read_key(desk.home, device)
    key = found or make_key(desk.home, device)
    before = recorded_key(desk, device)
    if before != key.text:
        if before is not None:
            why = "lost" if found is None else "changed"
        body: Body = {"key": key.text, "why": why}
        if before is not None:
            body["before"] = before
        writing.append(desk.draft("key_recorded", body))
    return key


def recorded_key(desk: Desk, device: str) -> str | None:
    """The key a log says it is signed with now; None: it has said none."""
    keys = desk.store.entries("kind = 'key_recorded' AND device = ?", (device,))
    return next((text_in(entry.body, "key") for entry in reversed(list(keys))), None)


def change_key(desk: Desk, note: str | None) -> Entry:
    """Take a new key from now on; the last head is signed with the old one first."""
    with desk.writing() as writing:
        made = sign_head(desk, writing, "key changed", None)
        old = recorded_key(desk, desk.store.device)
        key = make_key(desk.home, desk.store.device)
        entry = writing.append(
            desk.draft(
                "key_recorded",
                {"key": key.text, "why": "changed", "before": cast(str, old)},
                private={"note": note},
            )
        )
    keep_head(desk, made)
    return entry


def _follows(head: Checkpoint, before: Checkpoint, tree: StoredTree) -> bool:
    """Whether the log still holds what the earlier head stands for."""
    return before.size <= head.size and tree.checkpoint(before.size) == before


def _kept(desk: Desk) -> Checkpoint | None:
    """The last head that was signed here; None: none is kept, or it cannot be read."""
    try:
        return signed_of(_second_place(desk).read_text("utf-8")).checkpoint
    except (OSError, UnicodeDecodeError, CheckpointBroken):
        return None


def second_folder(desk: Desk) -> Path:
    """Outside the home folder where there is such a place; what is invented stays inside."""
    return desk.home if desk.heads is None or desk.invented else desk.heads


def _second_place(desk: Desk) -> Path:
    return second_folder(desk) / f"{desk.store.device}.checkpoint"
