"""Photos of a trip: taken in, said what they show, and kept with their entry.

The camera's time stands as it was stated, with how far it lies from the entry; nothing is put
right. What is kept is a copy without any place, and the entry names the file as it was by its
digest. Only where somebody switched that on is the file itself kept beside it.
"""

import hashlib
import os
import stat
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from exports.bundle import Part
from exports.picture.broken import PictureBroken
from exports.picture.reading import BYTES_MAX, PictureFile, read_picture
from exports.picture.thumbnail import Thumbnail, thumbnail
from triplog.desk.desk import Desk, present
from triplog.desk.finding_things import gear_named
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_while_driving, stopped_draft
from triplog.desk.scope import Scope
from triplog.journal import attachments
from triplog.journal.entries import Body, ClockReading, Entry, time_text
from triplog.journal.trip import Trip, TripState, records_in, text_in
from triplog.wording.photos import NONE, SHOWN, WITH_OFFSET, WITHOUT_OFFSET

AS_TAKEN = "photos-as-taken"
"""Where a bundle holds the files as they were, with the places in them, if it holds them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """A file that was read and can be kept; `name`: as it is called where it lies."""

    name: str
    picture: PictureFile

    @property
    def digest(self) -> str:
        """What names the bytes that are kept."""
        return _sha256(self.picture.data)

    @property
    def original_digest(self) -> str | None:
        """What names the file as it was read; None: it is the one that is kept."""
        original = self.picture.original
        return None if original is None else _sha256(original)


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """What came of photos: the new entries with their files, and files that were there already.

    `elsewhere`: labels of other trips that have the same picture.
    """

    new: tuple[tuple[Entry, TakenIn], ...]
    already: tuple[tuple[Entry, TakenIn], ...]
    elsewhere: tuple[str, ...]


def keeps_places(desk: Desk) -> bool:
    """Whether photos are kept as they were taken too: only where that was switched on."""
    return desk.store.fact("positions") == "kept"


def take_in(files: Sequence[Path]) -> list[TakenIn]:
    """Read picture files; Refused, naming the file, for the first that cannot be kept.

    A picture named twice is read once.
    """
    if not files:
        raise Refused("name the file of a photo, such as IMG_0412.jpg")
    found: dict[str, TakenIn] = {}
    for file in files:
        try:
            picture = read_picture(_bytes_of(file))
        except PictureBroken as problem:
            raise Refused(f"{file}: {problem}") from problem
        one = TakenIn(name=file.name, picture=picture)
        found.setdefault(one.digest, one)
    return list(found.values())


def add_photos(
    desk: Desk,
    trip: Trip,
    taken_in: Sequence[TakenIn],
    *,
    shows: Sequence[str],
    tie_downs: Sequence[str],
    gear: Sequence[str],
    stopped: bool,
    note: str | None,
    place: str | None,
) -> Added:
    """Record photos and keep their bytes: an entry for each, all in one transaction or none.

    `shows`: one word for all, or one for each. What the trip has already is left as it is. Raises
    Refused while driving, for a word that is not listed, a tie-down or gear that is not there.
    """
    words = _words(shows, len(taken_in))
    if trip.state is TripState.WITHDRAWN:
        raise Refused(f"trip {trip.label} is withdrawn; nothing is added to it")
    refuse_while_driving(trip, stopped=stopped)
    _refuse_unknown_tie_downs(trip, tie_downs)
    about = present(
        tie_downs=list(tie_downs) or None,
        gear=[gear_named(desk, label).label for label in gear] or None,
    )
    had = _had(trip)
    new: list[tuple[Entry, TakenIn]] = []
    already: list[tuple[Entry, TakenIn]] = []
    elsewhere: set[str] = set()
    with desk.writing() as writing:
        for one, word in zip(taken_in, words, strict=True):
            known = had.get(one.digest) or had.get(one.original_digest or "")
            if known is not None:
                already.append((known, one))
                continue
            if not new:
                for earlier in stopped_draft(desk, trip, at=None):
                    writing.append(earlier)
            if attachments.has(desk.store, one.digest):
                elsewhere |= set(attachments.trips_naming(desk.store, one.digest))
            _keep(desk, one)
            draft = desk.draft(
                "photo_added",
                _body(desk, one, word, writing.reading) | about,
                trip=trip.id,
                private={"name": one.name, "note": note, "place": place},
            )
            new.append((writing.append(draft) if new else desk.append(writing, draft), one))
    labels = sorted(desk.trip(other).label for other in elsewhere - {trip.id})
    return Added(new=tuple(new), already=tuple(already), elsewhere=tuple(labels))


def word_listed(typed: str) -> str:
    """The listed word for what a photo shows; Refused, with the list, for any other."""
    word = typed.strip().lower()
    if word not in SHOWN:
        raise Refused(f"a photo shows one of: {', '.join(SHOWN)}; found {typed!r}")
    return word


def photo_rows(desk: Desk, trip: Trip) -> list[dict[str, Any]]:
    """The photos of a trip in the order they were added, as records."""
    return [
        dict(fact.entry.body)
        | {
            "entry": fact.entry.hash,
            "number": number,
            "entry_time": time_text(fact.original.entry_time),
            "offset_min": fact.original.event_offset_min,
            "is_kept": attachments.has(desk.store, text_in(fact.entry.body, "digest")),
            "opened": desk.store.openings(fact.entry.hash),
        }
        for number, fact in enumerate(trip.of("photo_added"), start=1)
    ]


def thumbnails(desk: Desk, trip: Trip) -> dict[str, Thumbnail | str]:
    """For the digest of each photo of a trip its thumbnail, or why there is none."""
    found: dict[str, Thumbnail | str] = {}
    for fact in trip.of("photo_added"):
        digest = text_in(fact.entry.body, "digest")
        if not attachments.has(desk.store, digest):
            found[digest] = "not kept here any more"
            continue
        data = b"".join(attachments.chunks(desk.store, digest))
        if _sha256(data) != digest:
            found[digest] = "altered: the picture does not give the digest of its entry"
            continue
        try:
            found[digest] = thumbnail(data)
        except PictureBroken as problem:
            found[digest] = str(problem)
    return found


def photo_parts(scope: Scope, *, with_places: bool) -> Iterator[Part]:
    """The files of all photos that the entries of a scope name and that are kept here.

    `with_places`: as they were taken, too. Photos whose entry was taken back are among them: that
    entry stays, and so does what it names.
    """
    store = scope.desk.store
    where, values = scope.condition
    named = [("file", "digest"), *([("original_file", "original_digest")] if with_places else [])]
    files = {
        text_in(entry.body, file): text_in(entry.body, digest)
        for entry in store.entries(f"kind = 'photo_added' AND {where}", values)
        for file, digest in named
        if file in entry.body
    }
    for file, digest in sorted(files.items()):
        if attachments.has(store, digest):
            yield Part(path=file, data=attachments.chunks(store, digest))


def _bytes_of(file: Path) -> bytes:
    """The bytes of a plain file, never more than can be kept and one; Refused for anything else."""
    # A pipe nobody writes to would keep us waiting.
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        if file.is_dir():
            raise Refused(f"{file} is a folder; name the files of the photos")
        handle = os.open(file, flags)
        with os.fdopen(handle, "rb") as source:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise Refused(f"{file} is no file but a pipe or a device; name the file of a photo")
            return source.read(BYTES_MAX + 1)
    except OSError as problem:
        raise Refused(f"{file} cannot be read: {problem.strerror}") from problem


def _words(shows: Sequence[str], count: int) -> list[str]:
    """The word for each photo; Refused for one that is not listed, and for another number."""
    if len(shows) not in (1, count):
        photos = "1 photo" if count == 1 else f"{count} photos"
        raise Refused(
            f"--shows was given {len(shows)} times for {photos}: give it once for all, or once for"
            " each, in their order"
        )
    words = [word_listed(word) for word in shows]
    return words * count if len(words) == 1 else words


def _refuse_unknown_tie_downs(trip: Trip, tie_downs: Sequence[str]) -> None:
    known = [one["id"] for one in records_in(trip.document or {}, "tie_down")]
    unknown = [one for one in tie_downs if one not in known]
    if unknown:
        there = ", ".join(known) or "none yet"
        raise Refused(f"there is no tie-down {unknown[0]} on this plan; there is: {there}")


def _had(trip: Trip) -> dict[str, Entry]:
    """The photos of the trip, by the digest of what is kept and of the file as it was."""
    found = {}
    for fact in trip.of("photo_added"):
        for name in ("digest", "original_digest"):
            if name in fact.entry.body:
                found[text_in(fact.entry.body, name)] = fact.entry
    return found


def _keep(desk: Desk, one: TakenIn) -> None:
    """Put the bytes in; the file as it was read too, where that was switched on."""
    picture = one.picture
    digest = attachments.add(desk.store, picture.data, picture.media_type)
    if picture.original is not None and keeps_places(desk):
        attachments.add(desk.store, picture.original, picture.media_type, original_of=digest)


def _body(desk: Desk, one: TakenIn, shows: str, reading: ClockReading) -> Body:
    picture = one.picture
    original = one.original_digest
    as_taken = f"{AS_TAKEN}/{original}.{picture.suffix}"
    return present(
        digest=one.digest,
        file=f"photos/{one.digest}.{picture.suffix}",
        bytes=len(picture.data),
        media_type=picture.media_type,
        width_px=picture.width_px,
        height_px=picture.height_px,
        shows=shows,
        taken_out=list(picture.taken_out) or None,
        original_digest=original,
        original_bytes=None if picture.original is None else len(picture.original),
        original_file=as_taken if original is not None and keeps_places(desk) else None,
        **_time_fields(picture, reading),
    )


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _time_fields(picture: PictureFile, reading: ClockReading) -> dict[str, object]:
    """When the camera says it was taken, and how far before the entry that lies, in seconds.

    Without a time zone it is laid beside the entry as if the camera was on local time, and that
    is said.
    """
    taken = picture.taken
    if taken.at is None:
        return {"taken_time_source": NONE}
    offset_min = reading.offset_min if taken.offset_min is None else taken.offset_min
    fields: dict[str, object] = {
        "taken_at": taken.at,
        "taken_offset_min": taken.offset_min,
        "taken_time_source": WITHOUT_OFFSET if taken.offset_min is None else WITH_OFFSET,
        "difference_offset_min": offset_min if taken.offset_min is None else None,
    }
    # The offset is added to the span: taken from a time in the year 1 it would leave the calendar.
    stated = datetime.fromisoformat(taken.at).replace(tzinfo=UTC)
    apart = reading.wall - stated + timedelta(minutes=offset_min)
    return fields | {"difference_s": int(apart.total_seconds() // 1)}
