"""Heads in other hands: who was given one, countersigning another log's, and what came back.

A signature made on the machine that holds the log proves little; a head that lies elsewhere does.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal, TypeAlias

from triplog.desk.checkpoints import keep_head, record_key, sign_head
from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.desk.staging import give_names, refuse_taken, staged, told_in_words
from triplog.journal.checkpoint import (
    NOTE_BYTES_MAX,
    Checkpoint,
    CheckpointBroken,
    Signed,
    key_of,
    log_name,
    signed_of,
)
from triplog.journal.device_key import did_sign
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.store_file import write_durably
from triplog.journal.stored_tree import StoredTree
from triplog.journal.trip import Trip
from triplog.wording.head import WITHHELD

Where: TypeAlias = Literal["paper", "office", "message"]
_PLACES: dict[str, Where] = {"paper": "paper", "office": "office", "message": "message"}


def where_word(word: str) -> Where:
    """Into what hands a head goes, as typed; Refused for any other word."""
    if word.strip().lower() in _PLACES:
        return _PLACES[word.strip().lower()]
    raise Refused(f"a copy goes on paper, to the office or in a message; found {word!r}")


def give_head(
    desk: Desk,
    trip: Trip | None,
    where: Where,
    *,
    to: str | None,
    note: str | None,
    file: Path | None,
) -> tuple[Entry, Checkpoint]:
    """Sign the head, write it to a file if one is named, and record into whose hands it goes.

    Raises Refused for a file that is there already, and where no head can be signed.
    """
    if file is not None:
        refuse_taken([file])
    trip_id = None if trip is None else trip.id
    with _written_with_its_entry(file) as target, desk.writing() as writing:
        made = sign_head(desk, writing, f"given: {where}", trip_id)
        if made.signed is None:
            desk.head_trouble = WITHHELD
            raise Refused("no head can be given: this journal signs none, see below")
        entry = desk.append(
            writing,
            desk.draft(
                "head_given",
                {"head": made.entry.hash, "where": where},
                trip=trip_id,
                private={"receiver": to, "note": note},
            ),
        )
        if target is not None:
            _write(target, made.signed)
    keep_head(desk, made)
    return entry, made.signed.checkpoint


def countersign(desk: Desk, source: Path, target: Path) -> tuple[Entry, Checkpoint]:
    """Sign a head of another log as it was brought here, write it to `target`, and record it.

    It says that this log of so many entries had this head when it was seen here, and no more.
    Raises Refused for a file that holds no signed head, for one of this very log, and for one that
    does not follow what was countersigned of that log before.
    """
    refuse_taken([target])
    found = _read(source)
    head = found.checkpoint
    if head.origin == log_name(desk.store.device):
        raise Refused(f"{source} holds a head of this very log; another installation signs it")
    for before in _countersigned(desk, head.origin):
        if before.size > head.size or (before.size == head.size and before.root != head.root):
            raise Refused(
                f"{source} does not follow the head over {before.size} entries of that log that was"
                " countersigned here before: an old copy, or another history. Keep both"
            )
    with _written_with_its_entry(target) as unnamed, desk.writing() as writing:
        key = record_key(desk, writing)
        own = key.sign(head)
        both = Signed(checkpoint=head, signatures=(*found.signatures, *own.signatures))
        entry = writing.append(desk.draft("head_countersigned", {"signed_note": both.text}))
        if unnamed is not None:
            _write(unnamed, both)
    return entry, head


def take_countersigned(desk: Desk, source: Path, public_key: str) -> tuple[Entry, Checkpoint]:
    """Record that a head of this log came back with another installation's signature.

    `public_key` is theirs as they wrote it down. Raises Refused where the file is no head of this
    log as it stands, or is not signed with that key.
    """
    found = _read(source)
    refuse_not_countersigned(desk, found, public_key.strip(), str(source))
    with desk.writing() as writing:
        draft = countersigned_draft(desk, found, public_key.strip(), str(source))
        entry = desk.append(writing, draft)
    return entry, found.checkpoint


def refuse_not_countersigned(desk: Desk, found: Signed, key: str, where: str) -> None:
    """Refuse what is no head of this log, or is not signed with that key of another installation.

    `where`: where it was found, for whoever reads the refusal.
    """
    try:
        name, public = key_of(key)
        if not found.is_signed_by(name, public, did_sign):
            raise Refused(f"{where} is not signed with the key of {name}")
    except CheckpointBroken as problem:
        raise Refused(f"{problem}") from problem
    origin = found.checkpoint.origin
    if origin != log_name(desk.store.device) or name == origin:
        raise Refused(f"{where} is no head of this log that another installation has signed")


def countersigned_draft(desk: Desk, found: Signed, key: str, where: str) -> Draft:
    """The draft of a countersigned head that came back; inside a transaction of the caller.

    Raises Refused where the log as it stands has another head over so many entries.
    """
    head = found.checkpoint
    tree = StoredTree(desk.store, desk.store.device)
    if tree.grow() < head.size or tree.checkpoint(head.size) != head:
        raise Refused(
            f"{where} holds another head over {head.size} entries than this journal has: keep"
            " it, it shows that this journal is not the one it was taken from"
        )
    body: Body = {"signed_note": found.text, "key": key}
    return desk.draft("countersignature_taken", body)


def _countersigned(desk: Desk, origin: str) -> list[Checkpoint]:
    entries = desk.store.entries("kind = 'head_countersigned'")
    heads = (signed_of(str(entry.body["signed_note"])).checkpoint for entry in entries)
    return [head for head in heads if head.origin == origin]


def _read(path: Path) -> Signed:
    try:
        with path.open("rb") as file:
            return signed_of(file.read(NOTE_BYTES_MAX + 1).decode())
    except OSError as problem:
        raise Refused(f"{path} cannot be read: {problem.strerror or problem}") from problem
    except (UnicodeDecodeError, CheckpointBroken) as problem:
        raise Refused(f"{path} holds no signed head: {problem}") from problem


@contextmanager
def _written_with_its_entry(file: Path | None) -> Iterator[Path | None]:
    """A place for a file that gets its name when its entry is durable; else it is gone.

    A head that left without its entry would belie the journal, which goes on without it.
    """
    if file is None:
        yield None
        return
    with staged(file.parent) as stage:
        yield stage / file.name
        give_names(stage, file.parent, [file.name])


def _write(path: Path, signed: Signed) -> None:
    with told_in_words(path.parent):
        write_durably(path, signed.text.encode())
