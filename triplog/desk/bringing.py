"""What another installation recorded, in any of the forms it leaves a machine in.

A bundle of the whole store, a store's file or a back-up of one, or the raw entries of an export
(form `lines`) with their private values beside.
"""

import json
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from exports.verify import UnreadableBundle, entry_lines, file_in, lines_in, verify
from triplog.desk.refused import Refused
from triplog.journal import attachments, forks
from triplog.journal.copies import check_whole
from triplog.journal.forks import Evidence
from triplog.journal.store import Store, open_store
from triplog.journal.taking_in import OpeningRow

_LINE_BYTES_MAX = 16 << 20
_FAULTS_SHOWN = 3


class Named(NamedTuple):
    """A picture as its entry names it: its digest, and its file in a bundle."""

    digest: str
    file: str


class Brought(NamedTuple):
    """The bytes of a picture. `original_of`: the digest of the copy that was made of it."""

    data: bytes
    original_of: str | None


@dataclass(frozen=True, slots=True)
class FromStore:
    """A journal's own file, or a back-up of one."""

    store: Store

    def lines(self) -> Iterable[bytes]:
        """The entries, by device and number."""
        rows = self.store.raw.execute("SELECT data FROM entry ORDER BY device, seq")
        return (data for (data,) in rows)

    def openings(self) -> Iterable[OpeningRow]:
        """What can be read of them."""
        return self.store.opening_rows()

    def evidence(self) -> Iterable[Evidence]:
        """What it kept of forks."""
        return forks.evidence(self.store)

    def photos(self, named: Named) -> Iterator[Brought]:
        """A photo, and the file it was taken from where that is kept."""
        if attachments.has(self.store, named.digest):
            yield Brought(b"".join(attachments.chunks(self.store, named.digest)), None)
            for original in attachments.originals_of(self.store, named.digest):
                yield Brought(b"".join(attachments.chunks(self.store, original)), named.digest)


@dataclass(frozen=True, slots=True)
class FromBundle:
    """A bundle of a whole store, which was checked."""

    path: Path

    def lines(self) -> Iterable[bytes]:
        """The entries as they stand there."""
        return entry_lines(self.path)

    def openings(self) -> Iterable[OpeningRow]:
        """What it lets be read."""
        return map(_opening, lines_in(self.path, "openings.jsonl"))

    def evidence(self) -> Iterable[Evidence]:
        """What its writer kept of forks."""
        return map(_evidence, lines_in(self.path, "forks.jsonl"))

    def photos(self, named: Named) -> Iterator[Brought]:
        """A photo, as it lies there."""
        data = file_in(self.path, named.file)
        if data is not None:
            yield Brought(data, None)


@dataclass(frozen=True, slots=True)
class FromLines:
    """The raw entries, and their private values where they were given along."""

    entries: Path
    opened: Path | None

    def lines(self) -> Iterable[bytes]:
        """The entries as they stand there."""
        return _file_lines(self.entries)

    def openings(self) -> Iterable[OpeningRow]:
        """What may be read of them."""
        return () if self.opened is None else map(_opening, _file_lines(self.opened))

    def evidence(self) -> Iterable[Evidence]:
        """None: raw entries carry nothing of forks."""
        return ()

    def photos(self, named: Named) -> Iterator[Brought]:
        """None: raw entries carry no photos."""
        del named
        return iter(())


@contextmanager
def brought(
    path: Path, openings: Path | None, own: Path
) -> Iterator[tuple[str, FromStore | FromBundle | FromLines]]:
    """What lies at a path, open for taking in, and what it is, in a word: store, bundle or lines.

    `own`: the file of the journal here. Raises Refused for what cannot be taken in.
    """
    if not path.exists():
        raise Refused(f"there is nothing at {path}")
    kind = _kind_of(path)
    if openings is not None and kind != "lines":
        raise Refused(f"{path} brings its own private values; --openings is for raw entries")
    if kind == "store":
        if path.samefile(own):
            raise Refused(f"{path} is the journal here itself")
        with closing(open_store(path, reading_only=True)) as store:
            check_whole(store)
            yield kind, FromStore(store)
    elif kind == "bundle":
        _refuse_bundle(path)
        yield kind, FromBundle(path)
    else:
        yield kind, FromLines(path, openings)


def _kind_of(path: Path) -> str:
    if path.is_dir():
        return "bundle"
    try:
        with path.open("rb") as file:
            begin = file.read(16)
    except OSError as problem:
        raise Refused(f"{path} cannot be read: {problem.strerror or problem}") from problem
    if begin.startswith(b"SQLite format 3"):
        return "store"
    return "bundle" if begin.startswith(b"PK") else "lines"


def _refuse_bundle(path: Path) -> None:
    """Refuse a bundle that does not match, or that is of one trip only."""
    try:
        report = verify(path)
    except UnreadableBundle as problem:
        raise Refused(str(problem)) from problem
    if report.scope == "trip":
        raise Refused(
            f"{path} is the bundle of one trip: between its entries others are left out, and a"
            " chain with gaps cannot be taken in. Ask for the whole: `triplog export --all-trips"
            " --form bundle`, or a back-up. `triplog verify --beside` lays this one beside"
        )
    if report.problems:
        faults = "; ".join(
            f"{one.where}: {one.sentence}" for one in report.problems[:_FAULTS_SHOWN]
        )
        raise Refused(f"{path} does not match: {faults}. `triplog verify` says it all")


def _file_lines(path: Path) -> Iterator[bytes]:
    try:
        with path.open("rb") as file:
            while line := file.readline(_LINE_BYTES_MAX + 1):
                if len(line) > _LINE_BYTES_MAX or not line.endswith(b"\n"):
                    raise Refused(f"{path} breaks off, or is no file of lines")
                yield line[:-1]
    except OSError as problem:
        raise Refused(f"{path} cannot be read: {problem.strerror or problem}") from problem


def _opening(line: bytes) -> OpeningRow:
    told = _object(line, "a private value")
    found = (told.get("entry"), told.get("field"), told.get("salt"), told.get("value"))
    entry, name, salt, value = map(str, found)
    if not all(isinstance(one, str) for one in found):
        raise Refused("a private value in it cannot be read")
    return entry, name, salt, value


def _evidence(line: bytes) -> Evidence:
    told = _object(line, "what it kept of a fork")
    texts = {name: told.get(name) for name in ("device", "hash", "entry", "taken_at", "source")}
    seq = told.get("seq")
    if not all(isinstance(one, str) for one in texts.values()) or type(seq) is not int:
        raise Refused("what it kept of a fork cannot be read")
    return Evidence(
        device=str(texts["device"]),
        seq=seq,
        hash=str(texts["hash"]),
        data=str(texts["entry"]).encode(),
        taken_at=str(texts["taken_at"]),
        source=str(texts["source"]),
    )


def _object(line: bytes, what: str) -> dict[str, Any]:
    try:
        told = json.loads(line)
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict):
        raise Refused(f"{what} in it cannot be read")
    return told
