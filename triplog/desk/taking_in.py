"""Taking in what another installation recorded: side by side, one chain for each device."""

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from triplog.desk.bringing import FromBundle, FromLines, FromStore, Named, brought
from triplog.desk.desk import Desk, present
from triplog.desk.destroying import destroy_again, photos_destroyed
from triplog.desk.refused import Refused
from triplog.journal import attachments
from triplog.journal.device_key import did_sign
from triplog.journal.entries import Entry, time_text
from triplog.journal.store import Writing
from triplog.journal.taking_in import NotTaken, OwnLaterEntries, Received, Taken, take_in
from triplog.journal.trip import text_in


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What came of it. `entry` None: there was nothing new, and nothing was recorded.

    `photos`: how many pictures came with it; `photos_lacking`: how many that entries here name are
    neither here nor in it.
    """

    entry: Entry | None
    taken: Taken
    photos: int
    photos_lacking: int
    own_device: str

    @property
    def forked(self) -> dict[str, Received]:
        """The devices whose chain is another than the one here."""
        return {
            device: one for device, one in self.taken.devices.items() if one.fork_seq is not None
        }


def take_in_from(desk: Desk, source: Path, openings: Path | None = None) -> TakenIn:
    """Take in all that is new in a bundle of a store, a store's file, or a file of raw entries.

    All of it or nothing. What was destroyed, here or there, is destroyed again. Raises Refused, in
    words, where it does not hold together or cannot be taken in.
    """
    tables = desk.tables
    with brought(source, openings, desk.store.path) as (kind, incoming):
        try:
            with desk.writing() as writing:
                taken = take_in(
                    desk.store,
                    incoming,
                    rows=tables,
                    did_sign=did_sign,
                    source=kind,
                    taken_at=time_text(writing.reading.wall),
                    invented=desk.invented,
                )
                photos, lacking = _bring_photos(desk, incoming)
                entry = record_taken(desk, writing, kind, taken, name=source.name, photos=photos)
                if taken.openings or taken.new:
                    destroy_again(desk, writing)
        except OwnLaterEntries as problem:
            raise Refused(
                f"{problem}. Go on from the other one: `triplog --home A-NEW-FOLDER restore"
                f" {source}`, and take this journal in there"
            ) from problem
        except NotTaken as problem:
            raise Refused(f"{source} cannot be taken in: {problem}") from problem
    return TakenIn(
        entry=entry,
        taken=taken,
        photos=photos,
        photos_lacking=lacking,
        own_device=desk.store.device,
    )


def _bring_photos(desk: Desk, incoming: FromStore | FromBundle | FromLines) -> tuple[int, int]:
    """Put in the pictures that entries here name and that are not here; how many, and of how many
    there is none. Those that were destroyed stay away.
    """
    named: dict[Named, str] = {}
    for entry in desk.store.entries("kind = 'photo_added'"):
        digest, file = text_in(entry.body, "digest"), text_in(entry.body, "file")
        if not attachments.has(desk.store, digest):
            named[Named(digest, file)] = text_in(entry.body, "media_type")
    put_in, gone = 0, photos_destroyed(desk)
    wanted = [(one, media_type) for one, media_type in named.items() if one.digest not in gone]
    for one, media_type in wanted:
        for data, original_of in incoming.photos(one):
            if original_of is None and sha256(data).hexdigest() != one.digest:
                raise NotTaken(f"the photo {one.digest[:8]} in it is not the one its entry names")
            attachments.add(desk.store, data, media_type, original_of=original_of)
            put_in += original_of is None
    return put_in, len(wanted) - put_in


def record_taken(
    desk: Desk,
    writing: Writing,
    kind: str,
    taken: Taken,
    *,
    name: str | None = None,
    photos: int = 0,
) -> Entry | None:
    """What was received, and each fork that was not recorded before; None: nothing is new.

    `kind`: what it came in, in a word; `name`: what that was called, kept private.
    """
    new_forks = [
        (device, one)
        for device, one in sorted(taken.devices.items())
        if one.fork_seq is not None
        and not fork_is_recorded(desk, device, one.fork_seq, one.fork_other)
    ]
    if not (taken.new or taken.new_evidence or new_forks or photos):
        return None
    received = {
        device: present(seq=one.seq, hash=one.hash, new=one.new, evidence=one.evidence or None)
        for device, one in sorted(taken.devices.items())
        if device != desk.store.device
    }
    entry = desk.append(
        writing,
        desk.draft(
            "journal_taken_in",
            present(source=kind, received=received, openings=taken.openings, photos=photos or None),
            private={"name": name},
        ),
        may_repeat=True,
    )
    for device, one in new_forks:
        body = present(
            of=device, seq=one.fork_seq, held=one.fork_held, other=one.fork_other, source=kind
        )
        writing.append(desk.draft("fork_found", body))
    return entry


def fork_is_recorded(desk: Desk, device: str, seq: int, other: str | None) -> bool:
    """Whether this device's chain tells already that there a device's other history begins so."""
    found = desk.store.entries("kind = 'fork_found' AND device = ?", (desk.store.device,))
    wanted = (device, seq, other)
    return any((e.body["of"], e.body["seq"], e.body["other"]) == wanted for e in found)
