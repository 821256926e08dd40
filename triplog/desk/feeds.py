"""Files that another instrument wrote, as they were read; nothing of them is recorded here."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.feeds import duty_file, gpx, nmea
from scheduler.feeds.duty_file import DutyFile
from scheduler.feeds.readings import FeedRefused, Fix, Noted
from scheduler.feeds.source import opened, pieces
from triplog.desk.refused import Refused

_HEAD_BYTES = 4096
_ANY_SIZE = 2**62


class Source(StrEnum):
    """The kinds of source; the words stand in the journal."""

    GPX = "gpx"
    NMEA = "nmea"
    DUTY_FILE = "duty-file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """A file as it was read, whatever trip it is for; `digest`: the SHA-256 of its bytes."""

    source: Source
    name: str
    digest: str
    size: int
    noted: tuple[Noted, ...]
    fixes: tuple[Fix, ...] = ()
    duty_file: DutyFile | None = None


def source_word(word: str | None, name: str) -> Source:
    """The kind of source named, or told by the file's ending or beginning; Refused otherwise."""
    if word is None:
        endings = {".gpx": Source.GPX, ".nmea": Source.NMEA}
        word = endings.get(Path(name).suffix.lower()) or _told_by_its_beginning(Path(name))
    if word not in list(Source):
        raise Refused(f"say with --kind what {name} is: {', '.join(Source)}")
    return Source(word)


def _told_by_its_beginning(path: Path) -> Source | None:
    try:
        with opened(path, _ANY_SIZE) as file:
            head = file.read(_HEAD_BYTES).lower()
    except FeedRefused as problem:
        raise Refused(str(problem)) from problem
    signs = {
        b"eld file header": Source.DUTY_FILE,
        b"eld event list": Source.DUTY_FILE,
        b"<gpx": Source.GPX,
        b"rmc,": Source.NMEA,
    }
    return next((kind for sign, kind in signs.items() if sign in head), None)


def zone_named(name: str | None) -> ZoneInfo | None:
    """A time zone by its name in the zone database; None for None, Refused where there is none."""
    if name is None:
        return None
    try:
        return ZoneInfo(name)
    except (KeyError, OSError, ValueError) as problem:
        raise Refused(
            f"there is no time zone {name!r}; name one such as America/Chicago"
        ) from problem


def read_feed(path: Path, source: Source, *, now: datetime, zone: ZoneInfo | None = None) -> Feed:
    """Read a file; Refused, with a sentence, where it cannot be read at all."""
    seen = _Seen()
    fixes: tuple[Fix, ...] = ()
    told: DutyFile | None = None
    try:
        match source:
            case Source.GPX:
                track = gpx.gpx_track(b"".join(seen.of(path, gpx.MOST_BYTES)), path.name)
                fixes, noted = track.fixes, track.noted
            case Source.NMEA:
                log = nmea.read_nmea(seen.of(path, nmea.MOST_BYTES), path.name, now)
                fixes, noted = log.fixes, log.noted
            case Source.DUTY_FILE:
                data = b"".join(seen.of(path, duty_file.MOST_BYTES))
                told = duty_file.duty_file(data, path.name, zone=zone)
                noted = told.noted
    except FeedRefused as problem:
        raise Refused(str(problem)) from problem
    return Feed(
        source=source,
        name=path.name,
        digest=seen.digest.hexdigest(),
        size=seen.size,
        noted=noted,
        fixes=fixes,
        duty_file=told,
    )


class _Seen:
    """The digest of the very bytes that are read, taken while they are read."""

    def __init__(self) -> None:
        self.digest = hashlib.sha256()
        self.size = 0

    def of(self, path: Path, most_bytes: int) -> Iterator[bytes]:
        for piece in pieces(path, most_bytes):
            self.digest.update(piece)
            self.size += len(piece)
            yield piece
