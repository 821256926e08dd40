"""Check a bundle of a trip log: what matches, what does not, and what cannot be known from it.

One file and the standard library only, so that it runs alone on Python 3.11 or later:

    python verify.py BUNDLE [--head DEVICE:SEQ:HASH] [--trip-head HASH] [--json]

BUNDLE is a folder or a .zip; FORMAT.md says what lies in it. Nothing is unpacked, changed or
sent. The exit code is 0 if everything that can be compared matches, 1 if something does not
match, 2 if the bundle cannot be read or the call is wrong.

Entries are read as a stream: memory grows with the number of files, devices and trips in a
bundle, not with the number of entries. What refers to another entry is looked up in further
passes over the file.
"""

from __future__ import annotations

import argparse
import base64
import binascii
import hashlib
import io
import json
import os
import re
import stat
import sys
import textwrap
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import asdict, dataclass, field
from datetime import datetime, timedelta
from itertools import zip_longest
from pathlib import Path
from typing import IO, Any, Protocol

_MIN_PYTHON = (3, 11)
if sys.version_info[:2] < _MIN_PYTHON:
    sys.stderr.write("This checker needs Python 3.11 or later: run it with a newer Python.\n")
    raise SystemExit(2)

BUNDLE_FORMAT = "triplog-bundle/1"
REPORT_FORMAT = "triplog-verify/1"
# There is no other: every line is written again in its canonical form and compared.
MODE = "strict"

_ENTRIES = "data/entries.jsonl"
_OPENINGS = "data/openings.jsonl"
_CARD = "data/bundle.json"
_CHECKPOINT = "data/checkpoint.txt"
_PROOFS = "data/proofs.jsonl"
_TAG_FILES = ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")
_TAG_MANIFEST = "tagmanifest-sha256.txt"

_FIELDS = (
    "device",
    "seq",
    "prev",
    "trip_prev",
    "kind",
    "v",
    "event_time",
    "event_offset_min",
    "entry_time",
    "clock",
    "by",
    "via",
    "trip",
    "body",
    "private",
    "follows",
    "idem",
)
_HASH = re.compile(r"[0-9a-f]{64}")
_SALT = re.compile(r"[0-9a-f]{32}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", re.ASCII)
_MANIFEST_LINE = re.compile(r"([0-9A-Fa-f]{64})[ \t]+\*?(.+)")
_OXUM = re.compile(r"Payload-Oxum:[ \t]*(\d{1,30})\.(\d{1,30})[ \t]*", re.ASCII)

_LATE = timedelta(minutes=15)
_CLOCK_STEP = timedelta(minutes=1)
_CLOCK_STEP_MS = 60_000

_CHUNK_BYTES = 1 << 16
_LINE_BYTES_MAX = 16 << 20
_SMALL_FILE_BYTES_MAX = 16 << 20
# An archive that unpacks to more than this many times its size is no honest bundle.
_UNPACK_RATIO_MAX = 200
_LISTED_MAX = 1_000
_LOOKED_UP_AT_ONCE = 20_000
# Limits that keep a bundle made to waste our time from doing so; no honest one comes near.
_LINES_AT_ONCE = 64
_RECENT = 128
_GAPS_MAX = 2_000
_PASSES_MAX = 200
_UNREADABLE_MAX = 100_000
_INTEGER_MAX = 2**53 - 1


class UnreadableBundle(ValueError):
    """What was named is no bundle that can be read; the message says why and what to do."""


# --- What the check says ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """One thing found: a stable code, the place, and a sentence for people."""

    code: str
    where: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OutsideHead:
    """A fingerprint held outside the bundle: entry `seq` of `device` had the hash `hash`."""

    device: str
    seq: int
    hash: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far a device's chain goes here: numbers of entries, None for none.

    `last` is its last entry here, `signed` the last below a head signed with the log's own key,
    `outside` the last that a head held outside vouches for.
    """

    device: str
    last: int | None
    signed: int | None
    outside: int | None
    chain: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A field that a correction gives another value; None: it was not there, or is withheld."""

    name: str
    was: str | None
    now: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """An entry that replaces another or takes it back: where both stand, and both their times.

    The times are as in the log: `happened` by the entry, `written` when it was entered. `why` is
    None where no reason can be read.
    """

    kind: str
    where: str
    happened: str
    written: str
    takes_back: bool
    of_where: str
    of_happened: str
    of_written: str
    differences: tuple[Difference, ...]
    why: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """A trip by what was written down up to its departure and after it.

    `departed` is where the departure stands, None if there is none, with its two times; `vouched`
    whether a head from outside vouches for it; `before`
    and `after` are how many entries of the trip of each kind stood then and came later, `beside`
    how many other entries here (people, vehicle, gear) stood then, `beside_after` which came later.
    """

    departed: str | None
    vouched: bool
    happened: str | None
    written: str | None
    before: Mapping[str, int]
    beside: int
    after: Mapping[str, int]
    beside_after: Mapping[str, int]
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What was found in a bundle.

    `problems` is what does not match, `notes` what a reader should see, `counts` how many of
    each thing were met, `limits` what this check cannot know. `heads` are the last entries as
    found, as DEVICE:SEQ:HASH. `scope` is "trip", "store" or None if the bundle does not say;
    `trip` is None in a store bundle. `invented` is true for demonstration data. `withheld` is how
    many values of each private field cannot be read, `destroyed` those of which an entry says that
    nobody can any more. `reaches` is how far each device's chain is vouched for. `story` is what
    was known at departure and what came later; None in a store bundle.
    """

    scope: str | None
    trip: str | None
    invented: bool
    problems: tuple[Remark, ...]
    notes: tuple[Remark, ...]
    counts: Mapping[str, int]
    heads: tuple[str, ...]
    limits: tuple[str, ...]
    withheld: Mapping[str, int] = field(default_factory=dict)
    destroyed: Mapping[str, int] = field(default_factory=dict)
    reaches: tuple[Reach, ...] = ()
    story: Story | None = None

    @property
    def matches(self) -> bool:
        """Whether everything that can be compared matches."""
        return not self.problems

    def as_dict(self) -> dict[str, Any]:
        """The report as plain values, as --json prints it."""
        return {
            "format": REPORT_FORMAT,
            "matches": self.matches,
            "scope": self.scope,
            "trip": self.trip,
            "invented": self.invented,
            "problems": [_remark_as_dict(remark) for remark in self.problems],
            "notes": [_remark_as_dict(remark) for remark in self.notes],
            "counts": dict(self.counts),
            "heads": list(self.heads),
            "limits": list(self.limits),
            "mode": MODE,
            "withheld": dict(self.withheld),
            "destroyed": dict(self.destroyed),
            "reaches": [asdict(reach) for reach in self.reaches],
            "story": None if self.story is None else _story_as_dict(self.story),
        }


def _story_as_dict(story: Story) -> dict[str, Any]:
    changes = [asdict(change) for change in story.changes]
    return asdict(story) | {
        "changes": [each | {"differences": list(each["differences"])} for each in changes]
    }


def _remark_as_dict(remark: Remark) -> dict[str, str]:
    return {"code": remark.code, "where": remark.where, "sentence": remark.sentence}


class _Finds:
    """Collects problems and notes: each once, and no more of a code than anybody would read."""

    def __init__(self) -> None:
        self.counts: Counter[str] = Counter()
        self.closed: Counter[str] = Counter()
        self.signed: dict[str, int] = {}
        self.outside: dict[str, int] = {}
        self.chained: dict[str, int] = {}
        self._problems: list[Remark] = []
        self._notes: list[Remark] = []
        self._met: Counter[str] = Counter()
        self._seen: set[tuple[str, str]] = set()

    def reached(self, reaches: dict[str, int], device: str, seq: int) -> None:
        """A head vouches for the entries of a device up to this one."""
        reaches[device] = max(seq, reaches.get(device, -1))

    def vouched(self, device: str, seq: int, *, by_chain: bool = False) -> None:
        """A head held outside leads to the entries of a device up to this one.

        `by_chain`: it is the hash of an entry of a trip, and binds what that is linked to: the
        trip's own entries, not those beside it.
        """
        self.counts["outside_heads_compared"] += 1
        self.reached(self.chained if by_chain else self.outside, device, seq)

    def problem(self, code: str, where: str, sentence: str) -> None:
        self._add(self._problems, code, where, sentence)

    def note(self, code: str, where: str, sentence: str) -> None:
        self._add(self._notes, code, where, sentence)

    def _add(self, listed: list[Remark], code: str, where: str, sentence: str) -> None:
        if (code, where) in self._seen:
            return
        self._met[code] += 1
        if self._met[code] <= _LISTED_MAX:
            self._seen.add((code, where))
            listed.append(Remark(code=code, where=where, sentence=sentence))

    def has_too_many(self, code: str, where: str) -> bool:
        """Whether to go on is of no use, for there is more of a fault than any accident makes."""
        if self._met[code] < _UNREADABLE_MAX:
            return False
        self.problem("too-many-faults", where, "From here on it was not read.")
        return True

    def problems(self) -> tuple[Remark, ...]:
        return self._closed(self._problems)

    def notes(self) -> tuple[Remark, ...]:
        return self._closed(self._notes)

    def _closed(self, listed: list[Remark]) -> tuple[Remark, ...]:
        more = [
            Remark(
                code=code,
                where="further on",
                sentence=f"{self._met[code] - _LISTED_MAX} more like this are not listed.",
            )
            for code in dict.fromkeys(remark.code for remark in listed)
            if self._met[code] > _LISTED_MAX
        ]
        return (*listed, *more)


# --- Where the files lie ---------------------------------------------------------------------


class _Bag(Protocol):
    """The files of a bag by their path below its base folder, with their sizes in bytes."""

    sizes: dict[str, int]

    def open(self, name: str) -> IO[bytes]: ...

    def close(self) -> None: ...


class _Folder:
    def __init__(self, base: Path, finds: _Finds) -> None:
        self._base = base
        self.sizes: dict[str, int] = {}
        for folder, folders, files in os.walk(base):
            here = Path(folder)
            for name in sorted((*folders, *files)):
                path = here / name
                mode = path.lstat().st_mode
                shown = path.relative_to(base).as_posix()
                if stat.S_ISREG(mode):
                    self.sizes[shown] = path.lstat().st_size
                elif not stat.S_ISDIR(mode):
                    finds.problem(
                        "file-not-plain",
                        f"file {shown}",
                        "This is a link or a device, not a file; it was not followed.",
                    )
        if "bagit.txt" not in self.sizes:
            raise UnreadableBundle(
                f"There is no bagit.txt in {base}: this is no bundle, or only a part of one. "
                "Name the folder that holds bagit.txt."
            )

    def open(self, name: str) -> IO[bytes]:
        return (self._base / name).open("rb")

    def close(self) -> None:
        """There is nothing to close."""


class _Archive:
    def __init__(self, path: Path, finds: _Finds) -> None:
        try:
            self._zip = zipfile.ZipFile(path)
        except (zipfile.BadZipFile, RuntimeError, ValueError, OverflowError) as error:
            raise UnreadableBundle(
                f"{path} is no readable archive ({error}): name a bundle folder or its .zip."
            ) from error
        try:
            self._members = self._plain_members(finds)
            self._refuse_bomb(path)
            base = self._base(path)
        except UnreadableBundle:
            self._zip.close()
            raise
        self._infos = {}
        for name, info in self._members.items():
            if name.startswith(base):
                self._infos[name.removeprefix(base)] = info
            else:
                finds.problem(
                    "file-added", f"file {name}", "This file lies beside the bundle's own folder."
                )
        self.sizes = {name: info.file_size for name, info in self._infos.items()}

    def _plain_members(self, finds: _Finds) -> dict[str, zipfile.ZipInfo]:
        members: dict[str, zipfile.ZipInfo] = {}
        folded: set[str] = set()
        for info in self._zip.infolist():
            name = info.orig_filename
            if info.flag_bits & 0x1:
                raise UnreadableBundle(
                    f"{name} in the archive is encrypted: ask for a bundle without a password."
                )
            if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                raise UnreadableBundle(
                    f"{name} in the archive is packed in a way this checker does not read: "
                    "unpack the archive and name the folder."
                )
            if name.endswith("/") and not _leads_outside(name[:-1]):
                continue
            if _leads_outside(name):
                finds.problem(
                    "path-outside",
                    f"file {name}",
                    "This path leads out of the bundle's folder. It was not read; "
                    "do not unpack this archive.",
                )
            elif stat.S_ISLNK(info.external_attr >> 16):
                finds.problem(
                    "file-not-plain", f"file {name}", "This is a link, not a file; not followed."
                )
            elif name in members or name.casefold() in folded:
                finds.problem(
                    "file-doubled",
                    f"file {name}",
                    "The archive holds two files of this name; the first was read.",
                )
            else:
                members[name] = info
                folded.add(name.casefold())
        return members

    def _refuse_bomb(self, path: Path) -> None:
        unpacked = sum(info.file_size for info in self._members.values())
        if unpacked > max(_SMALL_FILE_BYTES_MAX, _UNPACK_RATIO_MAX * path.stat().st_size):
            raise UnreadableBundle(
                f"{path} would unpack to {unpacked} bytes, more than {_UNPACK_RATIO_MAX} times "
                "its size: it was not read. Ask for the bundle as a folder."
            )

    def _base(self, path: Path) -> str:
        bases = [
            name.removesuffix("bagit.txt")
            for name in self._members
            if name == "bagit.txt" or (name.endswith("/bagit.txt") and name.count("/") == 1)
        ]
        if len(bases) != 1:
            raise UnreadableBundle(
                f"{path} holds {len(bases)} files bagit.txt in its first folder, and a bundle has "
                "exactly one: this is no bundle."
            )
        return bases[0]

    def open(self, name: str) -> IO[bytes]:
        info = self._infos[name]
        if hasattr(info, "CRC"):
            # Without the archive's own checksum an altered file is read to its end, so that we
            # can say which entry was altered; the SHA-256 of the manifest is the judge.
            del info.CRC
        return self._zip.open(info)

    def close(self) -> None:
        self._zip.close()


def _leads_outside(name: str) -> bool:
    return "\\" in name or ":" in name or any(part in ("", ".", "..") for part in name.split("/"))


# ValueError, RuntimeError and OverflowError: what zipfile makes of headers that contradict.
_READ_ERRORS = (
    OSError,
    EOFError,
    zipfile.BadZipFile,
    zlib.error,
    ValueError,
    RuntimeError,
    OverflowError,
)


def _open_bag(path: Path, finds: _Finds) -> _Bag:
    if path.is_dir():
        return _Folder(path, finds)
    if not path.exists():
        raise UnreadableBundle(f"There is nothing at {path}: name a bundle folder or its .zip.")
    if not path.is_file():
        raise UnreadableBundle(f"{path} is a pipe or a device: name a bundle folder or its .zip.")
    return _Archive(path, finds)


def _small_file(bag: _Bag, name: str) -> bytes:
    """The bytes of a tag file or of bundle.json; raises UnreadableBundle if it is too big."""
    if bag.sizes[name] > _SMALL_FILE_BYTES_MAX:
        raise UnreadableBundle(
            f"{name} has {bag.sizes[name]} bytes, more than any honest one: it was not read."
        )
    try:
        with bag.open(name) as source:
            return source.read()
    except _READ_ERRORS as error:
        raise UnreadableBundle(f"{name} cannot be read ({error}).") from error


# --- The bag: files against manifests --------------------------------------------------------


def _check_bag(bag: _Bag, finds: _Finds) -> None:
    declaration = _text(bag, "bagit.txt", finds).split("\n")
    if declaration[:2] != ["BagIt-Version: 1.0", "Tag-File-Character-Encoding: UTF-8"]:
        finds.problem(
            "bag-version",
            "file bagit.txt",
            "It does not declare BagIt 1.0 in UTF-8, the only form this checker knows.",
        )
    payload = {name for name in bag.sizes if name.startswith("data/")}
    finds.counts["files"] = len(payload)
    _check_manifest(bag, "manifest-sha256.txt", payload, finds)
    _check_manifest(bag, _TAG_MANIFEST, set(bag.sizes) - payload - {_TAG_MANIFEST}, finds)
    for name in _TAG_FILES:
        if name not in bag.sizes:
            finds.problem("file-missing", f"file {name}", "A bundle must hold this file.")
    _check_oxum(bag, payload, finds)


def _text(bag: _Bag, name: str, finds: _Finds) -> str:
    """The text of a tag file, its line ends as line feeds; empty if there is none."""
    if name not in bag.sizes:
        return ""
    try:
        text = _small_file(bag, name).decode()
    except UnicodeDecodeError:
        finds.problem("bag-malformed", f"file {name}", "It is not UTF-8 text.")
        return ""
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _check_manifest(bag: _Bag, manifest: str, present: set[str], finds: _Finds) -> None:
    listed: dict[str, str] = {}
    for number, line in enumerate(_text(bag, manifest, finds).splitlines(), start=1):
        where = f"file {manifest} line {number}"
        match = _MANIFEST_LINE.fullmatch(line)
        if match is None:
            finds.problem("bag-malformed", where, "This is no line of fingerprint and path.")
            if finds.has_too_many("bag-malformed", where):
                break
            continue
        name = match[2].replace("%0A", "\n").replace("%0D", "\r").replace("%25", "%")
        if _leads_outside(name):
            finds.problem("path-outside", where, f"{name} leads out of the bundle.")
        elif name in listed:
            finds.problem("bag-malformed", where, f"{name} is listed twice.")
        else:
            listed[name] = match[1].lower()
    if manifest not in bag.sizes:
        finds.problem(
            "file-missing", f"file {manifest}", "Without it no file can be compared with its list."
        )
        return
    for name in sorted(present - set(listed)):
        finds.problem("file-added", f"file {name}", f"It is here, but not listed in {manifest}.")
    for name in sorted(listed):
        if name not in present:
            finds.problem("file-missing", f"file {name}", f"It is listed in {manifest}, not here.")
        else:
            _check_file(bag, name, listed[name], manifest, finds)


def _check_file(bag: _Bag, name: str, listed: str, manifest: str, finds: _Finds) -> None:
    digest = hashlib.sha256()
    try:
        with bag.open(name) as source:
            while chunk := source.read(_CHUNK_BYTES):
                digest.update(chunk)
    except _READ_ERRORS as error:
        finds.problem("file-altered", f"file {name}", f"It cannot be read to its end ({error}).")
        return
    if digest.hexdigest() != listed:
        finds.problem(
            "file-altered",
            f"file {name}",
            f"Its bytes do not give the fingerprint in {manifest}: it was changed afterwards.",
        )


def _check_oxum(bag: _Bag, payload: set[str], finds: _Finds) -> None:
    if "bag-info.txt" not in bag.sizes:
        return
    lines = _text(bag, "bag-info.txt", finds).splitlines()
    given = [match for line in lines if (match := _OXUM.fullmatch(line))]
    found = f"{sum(bag.sizes[name] for name in payload)}.{len(payload)}"
    stated = f"{int(given[0][1])}.{int(given[0][2])}" if len(given) == 1 else "nothing readable"
    if stated != found:
        finds.problem(
            "oxum-wrong",
            "file bag-info.txt",
            f"Payload-Oxum (bytes.files) says {stated}; below data there are {found}.",
        )


# --- The card: what the log should hold ------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Head:
    """The last entry of a chain as the bundle states it, and how many entries the chain has."""

    seq: int
    hash: str
    entries: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Card:
    """bundle.json. `trip` is None in a store bundle; `beside` is empty there."""

    scope: str
    trip: str | None
    heads: dict[str, _Head]
    beside: frozenset[str]
    invented: bool
    withheld: dict[str, int] | None
    made_at: str | None


def _read_card(bag: _Bag, finds: _Finds) -> _Card | None:
    if _CARD not in bag.sizes:
        finds.problem(
            "file-missing",
            f"file {_CARD}",
            "Without it nothing says which entries should be here: only single lines are checked.",
        )
        return None
    try:
        data = _SAID_DECODER.decode(_small_file(bag, _CARD).decode())
        if isinstance(data, dict) and data.get("format", BUNDLE_FORMAT) != BUNDLE_FORMAT:
            raise UnreadableBundle(
                f"This bundle has the format {data['format']!r}; this checker reads "
                f"{BUNDLE_FORMAT}. Use the verify.py that belongs to the bundle's format."
            )
        return _card(data)
    except UnreadableBundle:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        finds.problem(
            "bundle-malformed", f"file {_CARD}", f"It is not as FORMAT.md describes it ({error})."
        )
        return None


def _card(data: Any) -> _Card:
    if data["format"] != BUNDLE_FORMAT or data["scope"] not in ("trip", "store"):
        raise ValueError("no known format or scope")
    heads = {}
    for device, head in data["heads"].items():
        if type(head["seq"]) is not int or type(head["entries"]) is not int:
            raise ValueError(f"the head of {device} has no whole numbers")
        heads[device] = _Head(
            seq=head["seq"], hash=_need_hash(head["hash"]), entries=head["entries"]
        )
    is_trip = data["scope"] == "trip"
    trip = data["trip"]
    if is_trip != (isinstance(trip, str) and bool(_NAME.fullmatch(trip))) or (
        not is_trip and trip is not None
    ):
        raise ValueError("a trip bundle names its trip, a store bundle has null there")
    if type(data["invented"]) is not bool:
        raise ValueError("invented is neither true nor false")
    listed = data.get("beside", [])
    if not isinstance(listed, list):
        raise ValueError("beside is no list")
    beside = frozenset(_need_hash(each) for each in listed)
    if beside and not is_trip:
        raise ValueError("a store bundle has nothing beside its chains")
    withheld = data.get("withheld")
    if withheld is not None and not (
        isinstance(withheld, dict) and all(type(count) is int for count in withheld.values())
    ):
        raise ValueError("withheld is not a number for each field")
    return _Card(
        scope=data["scope"],
        trip=trip,
        heads=heads,
        beside=beside,
        invented=data["invented"],
        withheld=withheld,
        made_at=data.get("made_at"),
    )


_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,63}")


def _need_hash(value: Any) -> str:
    if not isinstance(value, str) or not _HASH.fullmatch(value):
        raise ValueError(f"{value!r} is no SHA-256 in lower-case hex")
    return value


# --- One entry -------------------------------------------------------------------------------


def _whole_number(text: str) -> int:
    # The length goes first: to read a number of a million digits takes its time.
    if len(text) > 17 or not -_INTEGER_MAX <= int(text) <= _INTEGER_MAX:
        raise ValueError(f"the number {text[:30]} is beyond 2^53 - 1")
    return int(text)


def _no_number(text: str) -> Any:
    raise ValueError(f"{text[:30]} is no whole number")


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    names = dict(pairs)
    if len(names) != len(pairs):
        doubled = next(name for name, count in Counter(n for n, _ in pairs).items() if count > 1)
        raise ValueError(f"the name {doubled!r} stands twice in one object")
    return names


_DECODER = json.JSONDecoder(
    parse_int=_whole_number, parse_float=_no_number, parse_constant=_no_number
)
_SAID_DECODER = json.JSONDecoder(
    object_pairs_hook=_no_doubles,
    parse_int=_whole_number,
    parse_float=_no_number,
    parse_constant=_no_number,
)
_DOUBLES_DECODER = json.JSONDecoder(object_pairs_hook=_no_doubles)
_ENCODER = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def canonical_bytes(value: Any) -> bytes:
    """The canonical bytes of a value of the restricted set (RFC 8785; see FORMAT.md)."""
    return _ENCODER.encode(value).encode()


def _why_not_canonical(text: str, value: Any) -> str | None:
    """Why this JSON text is not the canonical form of its value; None if it is."""
    if canonical_bytes(value) != text.encode():
        try:
            _DOUBLES_DECODER.decode(text)
        except ValueError as error:
            return str(error)
        return "order, white space or escapes differ from the canonical form"
    if not text.isascii() and not _has_ascii_names(value):
        return "a name in an object is not ASCII"
    return None


def _has_ascii_names(value: Any) -> bool:
    if isinstance(value, dict):
        return all(name.isascii() and _has_ascii_names(each) for name, each in value.items())
    return not isinstance(value, list) or all(_has_ascii_names(each) for each in value)


@dataclass(slots=True)
class _Entry:
    """The fields of a stored entry that this check uses; None where the entry has null.

    `said` is the body. `attached` is the fingerprint and the path of a file that goes with it,
    `destroyed` the fingerprints of such files that an entry says are gone.
    """

    hash: str
    device: str
    seq: int
    prev: str | None
    trip_prev: str | None
    kind: str
    event_time: datetime
    entry_time: datetime
    clock_source: str
    boot: str | None
    boot_ms: int | None
    trip: str | None
    follows: str | None
    private: dict[str, str]
    trip_heads: dict[str, str]
    said: dict[str, Any]
    attached: tuple[str, str] | None
    destroyed: tuple[str, ...]

    @property
    def where(self) -> str:
        return f"device {self.device} entry {self.seq}"


def _entry(data: Any, digest: str) -> _Entry:
    """The entry of this parsed line; raises ValueError if a field is missing or of no use."""
    if not isinstance(data, dict):
        raise ValueError("the line is no JSON object")
    missing = [name for name in _FIELDS if name not in data]
    if missing:
        raise ValueError(f"without the field {missing[0]}")
    for name in ("device", "kind", "by", "via"):
        if not isinstance(data[name], str) or not data[name]:
            raise ValueError(f"{name} is no text")
    if type(data["seq"]) is not int or data["seq"] < 0 or type(data["v"]) is not int:
        raise ValueError("seq and v are not whole numbers from 0")
    clock, body, private = data["clock"], data["body"], data["private"]
    if not (isinstance(clock, dict) and isinstance(body, dict) and isinstance(private, dict)):
        raise ValueError("clock, body and private are not objects")
    if not isinstance(clock.get("source"), str):
        raise ValueError("clock names no source")
    boot, boot_ms = clock.get("boot_id"), clock.get("boot_ms")
    trip = data["trip"]
    if trip is not None and not isinstance(trip, str):
        raise ValueError("trip is neither text nor null")
    if trip is None and data["trip_prev"] is not None:
        raise ValueError("trip_prev without a trip")
    heads = body.get("trip_heads", {})
    if not isinstance(heads, dict):
        raise ValueError("trip_heads is no object")
    return _Entry(
        hash=digest,
        device=data["device"],
        seq=data["seq"],
        prev=_hash_or_none(data["prev"]),
        trip_prev=_hash_or_none(data["trip_prev"]),
        kind=data["kind"],
        event_time=_time(data["event_time"]),
        entry_time=_time(data["entry_time"]),
        clock_source=clock["source"],
        boot=boot if isinstance(boot, str) else None,
        boot_ms=boot_ms if type(boot_ms) is int else None,
        trip=trip,
        follows=_hash_or_none(data["follows"]),
        private={name: _need_hash(value) for name, value in private.items()},
        trip_heads={name: _need_hash(value) for name, value in heads.items()},
        said=body,
        attached=_attached(body),
        destroyed=_destroyed(body) if data["kind"] == _DESTROYED else (),
    )


def _attached(body: dict[str, Any]) -> tuple[str, str] | None:
    """The file that a body names with its fingerprint; None if it names none."""
    digest, file = body.get("digest"), body.get("file")
    if not isinstance(digest, str) or not isinstance(file, str) or not _HASH.fullmatch(digest):
        return None
    return digest, file


def _destroyed(body: dict[str, Any]) -> tuple[str, ...]:
    digests = body.get("attachments", [])
    if not isinstance(digests, list):
        raise ValueError("attachments is no list")
    return tuple(_need_hash(each) for each in digests)


def _plain_line() -> re.Pattern[str]:
    """What stands behind the body of an entry that has no other fields and no escapes there.

    The names stand in the order of RFC 8785 and the values in the one way it allows: what fits this
    is canonical, and need not be written again to see that.
    """
    skipped, text = r'"[ !#-\[\]-~]+"', r'"([ !#-\[\]-~]+)"'
    text_or_null = r'(?:null|"([ !#-\[\]-~]*)")'
    digest, time = r'(?:null|"([0-9a-f]{64})")', rf'"({_TIME.pattern})"'
    number, number_or_null = r"(?:0|-?[1-9]\d{0,14})", r"(?:null|(0|-?[1-9]\d{0,14}))"
    clock = rf'\{{"boot_id":{text_or_null},"boot_ms":{number_or_null},"source":{text}\}}'
    parts = {
        "by": skipped,
        "clock": clock,
        "device": text,
        "entry_time": time,
        "event_offset_min": number,
        "event_time": time,
        "follows": digest,
        "idem": skipped,
        "kind": text,
        "prev": digest,
        "private": r"(\{[^{}]*\})",
        "seq": r"(0|[1-9]\d{0,14})",
        "trip": text_or_null,
        "trip_prev": digest,
        "v": number,
        "via": skipped,
    }
    behind_body = "".join(f',"{name}":{part}' for name, part in parts.items())
    return re.compile(behind_body + r"\}\n", re.ASCII)


_PLAIN_LINE = _plain_line()
_BODY_AT = len('{"body":')


def _plain_entries(lines: list[bytes]) -> list[_Entry | None]:
    """The entries of lines in the form nearly all have; None: one has to be read the long way.

    It takes nothing that the long way does not take as canonical, and finds the same in it. Bodies
    are written again all at once to compare them, which takes half the time of one after the other.
    """
    values: list[Any] = []
    texts: list[str] = []
    entries = [_plain_entry(line, values, texts) for line in lines]
    if _are_canonical(values, texts):
        return entries
    return [None] if len(lines) == 1 else [_plain_entries([line])[0] for line in lines]


def _are_canonical(values: list[Any], texts: list[str]) -> bool:
    """Whether each text, which is one whole object, is the canonical form of its value.

    They are compared strung together. As an object's text ends where its last brace does, texts
    that differ cannot make up for each other.
    """
    try:
        return _ENCODER.encode(values) == f"[{','.join(texts)}]"
    except (ValueError, RecursionError):
        return False


def _plain_entry(line: bytes, values: list[Any], texts: list[str]) -> _Entry | None:
    """The entry of a line if the values that are added, with their texts, are canonical."""
    try:
        text = line.decode()
        if not text.startswith('{"body":{'):
            return None
        body, end = _DECODER.raw_decode(text, _BODY_AT)
        match = _PLAIN_LINE.fullmatch(text, end)
        if match is None or not (text.isascii() or _has_ascii_names(body)):
            return None
        fields = match.groups()
        boot, boot_ms, source, device, entry_time, event_time, follows = fields[:7]
        kind, prev, private_text, seq, trip, trip_prev = fields[7:]
        private = {}
        if private_text != "{}":
            private = _DECODER.decode(private_text)
            for commitment in private.values():
                _need_hash(commitment)
        heads = {}
        if "trip_heads" in body:
            heads = body["trip_heads"]
            if not isinstance(heads, dict):
                return None
            for head in heads.values():
                _need_hash(head)
        if trip is None and trip_prev is not None:
            return None
        written = datetime.fromisoformat(entry_time)
        # By place: with names this call alone would take as long as the hash.
        entry = _Entry(
            hashlib.sha256(line[:-1]).hexdigest(),
            device,
            int(seq),
            prev,
            trip_prev,
            kind,
            written if event_time == entry_time else datetime.fromisoformat(event_time),
            written,
            source,
            boot,
            None if boot_ms is None else int(boot_ms),
            trip,
            follows,
            private,
            heads,
            body,
            _attached(body) if "digest" in body else None,
            _destroyed(body) if kind == _DESTROYED else (),
        )
    except (ValueError, RecursionError):
        return None
    values += (body, private) if private else (body,)
    texts += (text[_BODY_AT:end], private_text) if private else (text[_BODY_AT:end],)
    return entry


def _hash_or_none(value: Any) -> str | None:
    return None if value is None else _need_hash(value)


def _time(value: Any) -> datetime:
    if not isinstance(value, str) or not _TIME.fullmatch(value):
        raise ValueError(f"{value!r} is no time like 2026-05-04T12:30:00.000Z")
    return datetime.fromisoformat(value)


# --- Lines -----------------------------------------------------------------------------------


def _lines(bag: _Bag, name: str) -> Iterator[tuple[int, bytes]]:
    """Each line with its number and its line feed; a line too long to be honest is cut short."""
    if name not in bag.sizes:
        return
    # A file that breaks off is reported with its manifest; the lines before it still count.
    try:
        with bag.open(name) as source:
            number = 0
            while line := source.readline(_LINE_BYTES_MAX):
                number += 1
                yield number, line
                while len(line) == _LINE_BYTES_MAX and not line.endswith(b"\n"):
                    line = source.readline(_LINE_BYTES_MAX)
    except _READ_ERRORS:
        return


def _parsed(line: bytes) -> tuple[Any, str | None]:
    """The value of a line and why it is not canonical, or None; raises ValueError if no JSON."""
    try:
        text = line.removesuffix(b"\n").decode()
        value = _DECODER.decode(text)
        why = _why_not_canonical(text, value)
    except RecursionError:
        raise ValueError("objects nested too deeply") from None
    if why is None and not line.endswith(b"\n"):
        why = "the line does not end with a line feed"
    return value, why


def _said(line: bytes) -> Any:
    """The value of a line that need not be canonical; two readers may not see two values in it."""
    try:
        return _SAID_DECODER.decode(line.removesuffix(b"\n").decode())
    except RecursionError:
        raise ValueError("objects nested too deeply") from None


def _read_entries(bag: _Bag) -> Iterator[tuple[int, bytes, _Entry | None]]:
    """Each line of the log with its number, and its entry if that could be read the quick way."""
    numbered: list[tuple[int, bytes]] = []
    held_bytes = 0
    for number, line in _lines(bag, _ENTRIES):
        numbered.append((number, line))
        held_bytes += len(line)
        if len(numbered) >= _LINES_AT_ONCE or held_bytes >= _CHUNK_BYTES:
            yield from _with_entries(numbered)
            numbered, held_bytes = [], 0
    yield from _with_entries(numbered)


def _with_entries(
    numbered: list[tuple[int, bytes]],
) -> Iterator[tuple[int, bytes, _Entry | None]]:
    entries = _plain_entries([line for _, line in numbered])
    return ((number, line, entry) for (number, line), entry in zip(numbered, entries, strict=True))


def _digest(line: bytes) -> str:
    return hashlib.sha256(line.removesuffix(b"\n")).hexdigest()


def _look_up(bag: _Bag, wanted: set[str]) -> dict[str, _Entry]:
    """The entries of these hashes, as far as they are in the bundle: one pass over the file."""
    found: dict[str, _Entry] = {}
    if not wanted:
        return found
    empty = 0
    for _, line in _lines(bag, _ENTRIES):
        if line == b"\n":
            empty += 1
            if empty >= _UNREADABLE_MAX:
                break
            continue
        digest = _digest(line)
        if digest in wanted and digest not in found:
            try:
                found[digest] = _entry(_parsed(line)[0], digest)
            except ValueError:
                continue  # reported when the line itself was checked
    return found


# --- Checkpoints: signed heads, and the tree under them --------------------------------------

_OF_CHECKPOINTS = frozenset(
    (
        *("key_recorded", "checkpoint_signed", "checkpoint_withheld", "countersignature_taken"),
        *("time_stamp_taken", "head_given", "head_received"),
    )
)
_ORIGIN = "triplog-log/"
_ED25519 = b"\x01"
_SIGNATURES_MAX = 64
_SIGNATURES_OF_A_KEY_MAX = 4
_NOTE_BYTES_MAX = 64 << 10
_HASH_BYTES = 32

_P = 2**255 - 19
_ORDER = 2**252 + 27742317777372353535851937790883648493
_D = -121665 * pow(121666, -1, _P) % _P
_ROOT_OF_MINUS_ONE = pow(2, (_P - 1) // 4, _P)
_Point = tuple[int, int, int, int]
_NEUTRAL: _Point = (0, 1, 1, 0)


def _sum(one: _Point, other: _Point) -> _Point:
    a = (one[1] - one[0]) * (other[1] - other[0]) % _P
    b = (one[1] + one[0]) * (other[1] + other[0]) % _P
    c = 2 * one[3] * other[3] * _D % _P
    d = 2 * one[2] * other[2] % _P
    e, f, g, h = b - a, d - c, d + c, b + a
    return e * f % _P, g * h % _P, f * g % _P, e * h % _P


def _times(factor: int, point: _Point) -> _Point:
    total = _NEUTRAL
    while factor:
        if factor & 1:
            total = _sum(total, point)
        point = _sum(point, point)
        factor >>= 1
    return total


def _x_of(y: int, is_odd: bool) -> int | None:
    square = (y * y - 1) * pow(_D * y * y + 1, -1, _P) % _P
    x = pow(square, (_P + 3) // 8, _P)
    if (x * x - square) % _P:
        x = x * _ROOT_OF_MINUS_ONE % _P
    if (x * x - square) % _P or (x == 0 and is_odd):
        return None
    return x if bool(x & 1) == is_odd else _P - x


def _point(data: bytes) -> _Point | None:
    y = int.from_bytes(data, "little")
    is_odd, y = bool(y >> 255), y & ((1 << 255) - 1)
    x = _x_of(y, is_odd) if y < _P else None
    return None if x is None else (x, y, 1, x * y % _P)


def _point_bytes(point: _Point) -> bytes:
    over = pow(point[2], -1, _P)
    x, y = point[0] * over % _P, point[1] * over % _P
    return (y | (x & 1) << 255).to_bytes(_HASH_BYTES, "little")


_BASE_Y = 4 * pow(5, -1, _P) % _P
_BASE_X = _x_of(_BASE_Y, False) or 0
_BASE: _Point = (_BASE_X, _BASE_Y, 1, _BASE_X * _BASE_Y % _P)


def ed25519_holds(public: bytes, message: bytes, signature: bytes) -> bool:
    """Whether an Ed25519 signature of a message was made with a public key (RFC 8032, 5.1.7)."""
    if len(public) != _HASH_BYTES or len(signature) != 2 * _HASH_BYTES:
        return False
    key = _point(public)
    factor = int.from_bytes(signature[_HASH_BYTES:], "little")
    if key is None or factor >= _ORDER:
        return False
    digest = hashlib.sha512(signature[:_HASH_BYTES] + public + message).digest()
    challenge = int.from_bytes(digest, "little") % _ORDER
    minus_key = (_P - key[0], key[1], 1, _P - key[3])
    found = _sum(_times(factor, _BASE), _times(challenge, minus_key))
    return _point_bytes(found) == signature[:_HASH_BYTES]


def _leaf(line: bytes) -> bytes:
    return hashlib.sha256(b"\x00" + line.removesuffix(b"\n")).digest()


def _node(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(b"\x01" + left + right).digest()


class Tree:
    """The RFC 6962 tree over leaves that stream by: only its complete subtrees are kept.

    The last leaves wait until there are enough of them for a whole subtree, which is quicker to
    work out at one go.
    """

    def __init__(self) -> None:
        self.size = 0
        self._waiting: list[bytes] = []
        self._whole: list[bytes] = []

    def add(self, leaf: bytes) -> None:
        self.size += 1
        self._waiting.append(leaf)
        if len(self._waiting) == _WAITING_LEAVES:
            level = self._waiting
            # The sum of `_node`, written out: a call for each would take as long again.
            while len(level) > 1:
                level = [
                    hashlib.sha256(b"\x01" + left + right).digest()
                    for left, right in zip(level[::2], level[1::2], strict=True)
                ]
            _push(self._whole, level[0], self.size // _WAITING_LEAVES - 1)
            self._waiting = []

    def root(self) -> bytes:
        last: list[bytes] = []
        for number, leaf in enumerate(self._waiting):
            _push(last, leaf, number)
        whole = self._whole + last
        if not whole:
            return hashlib.sha256(b"").digest()
        here = whole.pop()
        while whole:
            here = _node(whole.pop(), here)
        return here


_WAITING_LEAVES = 128


def _push(whole: list[bytes], subtree: bytes, number: int) -> None:
    """Put subtree `number` of equal ones behind those that are whole, and join what is complete."""
    while number & 1:
        subtree = _node(whole.pop(), subtree)
        number >>= 1
    whole.append(subtree)


def _climb(place: int, last: int, proof: list[bytes]) -> Iterator[tuple[bytes, bool]]:
    """Each hash of a proof and whether it lies to the left; ValueError if their number is wrong."""
    for beside in proof:
        if last == 0:
            raise ValueError("it has too many hashes")
        if place & 1 or place == last:
            yield beside, True
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            yield beside, False
        place, last = place >> 1, last >> 1
    if last:
        raise ValueError("it has too few hashes")


def root_of_inclusion(seq: int, size: int, leaf: bytes, proof: list[bytes]) -> bytes:
    """The root that a leaf leads to (RFC 9162, 2.1.3.2); ValueError if it can lead to none."""
    if not 0 <= seq < size:
        raise ValueError(f"entry {seq} is not among the first {size}")
    here = leaf
    for beside, is_left in _climb(seq, size - 1, proof):
        here = _node(beside, here) if is_left else _node(here, beside)
    return here


def roots_of_consistency(
    old: int, size: int, old_root: bytes, proof: list[bytes]
) -> tuple[bytes, bytes]:
    """The two roots that a proof leads to (RFC 9162, 2.1.4.2); ValueError if it leads to none."""
    if not 0 < old <= size:
        raise ValueError(f"{old} entries are not the first of {size}")
    if old == size:
        if proof:
            raise ValueError("two heads of one size need no hashes")
        return old_root, old_root
    path = list(proof) if old & (old - 1) else [old_root, *proof]
    if not path:
        raise ValueError("it has too few hashes")
    place, last = old - 1, size - 1
    while place & 1:
        place, last = place >> 1, last >> 1
    old_here = new_here = path[0]
    for beside, is_left in _climb(place, last, path[1:]):
        if is_left:
            old_here = _node(beside, old_here)
        new_here = _node(beside, new_here) if is_left else _node(new_here, beside)
    return old_here, new_here


@dataclass(frozen=True, slots=True, kw_only=True)
class _Checkpoint:
    """A signed head: the first `size` entries of a device have `root`. `lines`: its signatures."""

    device: str
    size: int
    root: bytes
    text: str
    lines: tuple[tuple[str, bytes], ...]

    @property
    def code(self) -> str:
        """The twenty letters that stand on paper for it."""
        return base64.b32encode(hashlib.sha256(self.text.encode()).digest()).decode()[:20]


def _unpacked(encoded: str) -> bytes:
    try:
        raw = base64.b64decode(encoded, validate=True)
    except (binascii.Error, ValueError):
        raise ValueError("no base64") from None
    if base64.b64encode(raw).decode() != encoded:
        raise ValueError("no base64 as it is written")
    return raw


def _checkpoint(text: Any) -> _Checkpoint:
    """The checkpoint of a signed note; ValueError, in words, if it is none."""
    if not isinstance(text, str):
        raise ValueError("it is no text")
    body, gap, below = text.rpartition("\n\n")
    parts = body.split("\n")
    if not gap or not below.endswith("\n") or len(parts) != 3:
        raise ValueError("it is not three lines, an empty line, and signatures")
    origin, size, root = parts
    if not origin.startswith(_ORIGIN) or any(letter.isspace() for letter in origin):
        raise ValueError(f"its log is {origin[:60]!r}")
    if not re.fullmatch("0|[1-9][0-9]{0,15}", size) or int(size) > _INTEGER_MAX:
        raise ValueError(f"its size is {size[:30]!r}")
    lines = []
    for line in below[:-1].split("\n")[:_SIGNATURES_MAX]:
        dash, _, rest = line.partition(" ")
        name, _, encoded = rest.partition(" ")
        if dash != "\u2014" or not name:
            raise ValueError("a signature is a long dash, a name and the signature")
        lines.append((name, _unpacked(encoded)))
    found = _unpacked(root)
    if len(found) != _HASH_BYTES:
        raise ValueError("its root has not 32 bytes")
    return _Checkpoint(
        device=origin.removeprefix(_ORIGIN),
        size=int(size),
        root=found,
        text=f"{body}\n",
        lines=tuple(lines),
    )


def _public_key(text: Any) -> tuple[str, bytes, bytes]:
    """The name, id and bytes of a written public key; ValueError if it is none."""
    name, _, rest = str(text).partition("+")
    written, _, encoded = rest.partition("+")
    raw = _unpacked(encoded)
    key_id = hashlib.sha256(name.encode() + b"\n" + raw).digest()[:4]
    if raw[:1] != _ED25519 or len(raw) != 1 + _HASH_BYTES or written != key_id.hex():
        raise ValueError("it is no Ed25519 key with its name and id")
    return name, key_id, raw[1:]


def _is_signed(checkpoint: _Checkpoint, key: tuple[str, bytes, bytes]) -> bool:
    """Whether a key signed it; ValueError if it says so and the signature does not fit."""
    name, key_id, public = key
    found = {raw[4:] for signer, raw in checkpoint.lines if (signer, raw[:4]) == (name, key_id)}
    if len(found) > _SIGNATURES_OF_A_KEY_MAX:
        raise ValueError(f"one key stands there with {len(found)} signatures")
    for raw in sorted(found):
        if not ed25519_holds(public, checkpoint.text.encode(), raw):
            raise ValueError("the signature does not fit what is signed")
    return bool(found)


# --- Time-stamps: what an authority says of a signed head (RFC 3161) --------------------------

_STAMPS = "data/stamps/"
_TOKEN_BYTES_MAX = 64 << 10
_SEQUENCE, _SET, _INTEGER, _OCTETS, _OID, _GENERALIZED, _CONTEXT_0 = (
    *(0x30, 0x31, 0x02, 0x04, 0x06, 0x18, 0xA0),
)
_OID_SIGNED_DATA = bytes.fromhex("2a864886f70d010702")
_OID_TIME_STAMP = bytes.fromhex("2a864886f70d0109100104")
_OID_SHA256 = bytes.fromhex("608648016503040201")
_GEN_TIME = re.compile(r"(\d{14})(?:\.(\d*[1-9]))?Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class DerItem:
    """One value in DER (ITU-T X.690): its tag, its content, and all its bytes."""

    tag: int
    content: bytes
    whole: bytes


def der_items(data: bytes) -> list[DerItem]:
    """The values that stand one behind the other; ValueError, in words, if it is no DER."""
    items: list[DerItem] = []
    at = 0
    while at < len(data):
        start, tag = at, data[at]
        if tag & 0x1F == 0x1F or at + 1 >= len(data):
            raise ValueError("it breaks off, or has a tag of several bytes")
        length = data[at + 1]
        at += 2
        if length & 0x80:
            width = length & 0x7F
            length = int.from_bytes(data[at : at + width])
            if not 1 <= width <= 4 or length < max(0x80, 1 << 8 * (width - 1)):
                raise ValueError("a length is not written as DER writes it")
            at += width
        if at + length > len(data):
            raise ValueError("it breaks off")
        items.append(
            DerItem(tag=tag, content=data[at : at + length], whole=data[start : at + length])
        )
        at += length
    return items


def der_inside(data: bytes, tag: int = _SEQUENCE) -> list[DerItem]:
    """What stands in the one value of this tag that `data` is; ValueError if it is another."""
    items = der_items(data)
    if len(items) != 1 or items[0].tag != tag:
        raise ValueError("another value stands where one was expected")
    return der_items(items[0].content)


def _der_of(items: list[DerItem], place: int, tag: int) -> bytes:
    if place >= len(items) or items[place].tag != tag:
        raise ValueError("a value is missing, or is of another type")
    return items[place].content


def _der_integer(content: bytes) -> int:
    if not content or (len(content) > 1 and content[0] in (0, 0xFF) and not _needs_lead(content)):
        raise ValueError("a number is not written as DER writes it")
    return int.from_bytes(content, signed=True)


def _needs_lead(content: bytes) -> bool:
    """Whether the first byte of a number is needed for its sign."""
    return (content[0] == 0) == bool(content[1] & 0x80)


def _oid_text(content: bytes) -> str:
    if not content or content[-1] & 0x80 or len(content) > 64:
        raise ValueError("an object identifier breaks off")
    numbers, number = list[int](), 0
    for byte in content:
        number = number << 7 | byte & 0x7F
        if not byte & 0x80:
            numbers.append(number)
            number = 0
    first = min(numbers[0] // 40, 2)
    return ".".join(map(str, (first, numbers[0] - 40 * first, *numbers[1:])))


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeStamp:
    """What a time-stamp token says; whether its signature holds was not looked at.

    `imprint` is the SHA-256 that was handed in; `gen_time` the authority's clock, UTC; `info` the
    bytes that its signature stands for; `nonce` None: it repeats none.
    """

    imprint: bytes
    gen_time: datetime
    policy: str
    serial: int
    nonce: int | None
    info: bytes


def time_stamp_of(token: bytes) -> TimeStamp:
    """Read a TimeStampToken (RFC 3161, 2.4.2); ValueError, in words, if it is none."""
    if len(token) > _TOKEN_BYTES_MAX:
        raise ValueError(f"it has more than {_TOKEN_BYTES_MAX} bytes")
    outer = der_inside(token)
    if _der_of(outer, 0, _OID) != _OID_SIGNED_DATA:
        raise ValueError("it is no signed message")
    signed = der_inside(_der_of(outer, 1, _CONTEXT_0))
    capsule = der_items(_der_of(signed, 2, _SEQUENCE))
    if _der_of(capsule, 0, _OID) != _OID_TIME_STAMP:
        raise ValueError("it is a signed message of another kind")
    info = _der_of(der_items(_der_of(capsule, 1, _CONTEXT_0)), 0, _OCTETS)
    said = der_inside(info)
    if _der_integer(_der_of(said, 0, _INTEGER)) != 1:
        raise ValueError("it is of another version than 1")
    imprint = der_items(_der_of(said, 2, _SEQUENCE))
    method = der_items(_der_of(imprint, 0, _SEQUENCE))
    digest = _der_of(imprint, 1, _OCTETS)
    if _der_of(method, 0, _OID) != _OID_SHA256 or len(digest) != _HASH_BYTES:
        raise ValueError("what it stamps is no SHA-256")
    nonces = [item.content for item in said[5:] if item.tag == _INTEGER]
    return TimeStamp(
        imprint=digest,
        gen_time=_gen_time(_der_of(said, 4, _GENERALIZED)),
        policy=_oid_text(_der_of(said, 1, _OID)),
        serial=_der_integer(_der_of(said, 3, _INTEGER)),
        nonce=_der_integer(nonces[0]) if nonces else None,
        info=info,
    )


def _gen_time(content: bytes) -> datetime:
    match = _GEN_TIME.fullmatch(content.decode("ascii", "replace"))
    if match is None:
        raise ValueError("its time is not as the standard writes it")
    moment = datetime.strptime(f"{match[1]}+0000", "%Y%m%d%H%M%S%z")
    return moment + timedelta(microseconds=int(f"{match[2] or '0':0<6}"[:6]))


class _Stamps:
    """Time-stamps of signed heads against the heads they name, as the entries stream by."""

    def __init__(self, bag: _Bag, finds: _Finds) -> None:
        self._bag = bag
        self._finds = finds
        self._heads: dict[str, tuple[_Checkpoint, datetime]] = {}
        self._met: list[tuple[_Entry, TimeStamp]] = []

    def head(self, entry: _Entry, head: _Checkpoint) -> None:
        """Meet the entry of a signed head."""
        self._heads[entry.hash] = (head, entry.entry_time)

    def stamp(self, entry: _Entry) -> None:
        """Meet the entry of a time-stamp, and compare it with its file."""
        try:
            token = _unpacked(str(entry.said.get("token")))
            found = time_stamp_of(token)
        except ValueError as error:
            self._finds.problem("stamp-malformed", entry.where, f"It holds no time-stamp: {error}.")
            return
        self._met.append((entry, found))
        name = _stamp_file(entry)
        try:
            beside = _small_file(self._bag, name) if name in self._bag.sizes else b""
        except UnreadableBundle:
            beside = b""
        if beside != token:
            self._finds.problem(
                "stamp-differs",
                f"file {name}",
                "It is missing, or is not the time-stamp that was written down.",
            )

    def settle(self) -> None:
        """Compare each with its head, when every entry has streamed by."""
        for entry, found in self._met:
            head, signed_at = self._heads.get(str(entry.said.get("head")), (None, None))
            if head is None or signed_at is None:
                self._finds.problem(
                    "stamp-differs", entry.where, "The head that it is said to stamp is not here."
                )
                continue
            imprint = hashlib.sha256(head.text.encode()).digest()
            if found.imprint != imprint or entry.said.get("imprint") != imprint.hex():
                self._finds.problem(
                    "stamp-differs",
                    entry.where,
                    f"It does not stamp the head over {head.size} entries that it is said to: the "
                    "time-stamp, or the head, was changed.",
                )
                continue
            self._finds.counts["time_stamps"] += 1
            self._finds.note(
                "time-stamp",
                entry.where,
                f"It says that the head over {head.size} entries existed no later than "
                f"{_shown(found.gen_time)} by an authority's clock; by this device's it was "
                f"signed {_before(found.gen_time - signed_at)}. The authority's signature is not "
                f"checked here: openssl ts -verify -digest {imprint.hex()} -in "
                f"{_stamp_file(entry)} -token_in -CAfile AUTHORITY.pem",
            )


def _stamp_file(entry: _Entry) -> str:
    return f"{_STAMPS}{entry.hash[:16]}.tst"


def _before(delay: timedelta) -> str:
    if delay < timedelta(0):
        return f"{_span(-delay)} later: one of the two clocks is wrong"
    return f"{_span(delay)} earlier"


class _Checkpoints:
    """Signed heads against the entries, the tree and each other, as the entries stream by.

    In a store bundle the tree is worked out from the entries themselves; in a trip bundle an entry
    leads to the root by its proof, because the entries beside it are not here.
    """

    def __init__(
        self,
        bag: _Bag,
        card: _Card | None,
        keys: Iterable[tuple[str, bytes, bytes]],
        outside: Iterable[_Checkpoint],
        finds: _Finds,
    ) -> None:
        self._bag = bag
        self._finds = finds
        self._is_store = card is not None and card.scope == "store"
        self._keys: dict[str, list[tuple[str, bytes, bytes]]] = {}
        self._recorded: dict[str, list[bytes]] = {}
        self._keys_outside = tuple(keys)
        for key in self._keys_outside:
            self._keys.setdefault(key[0], []).append(key)
        self._outside = tuple(outside)
        self._trees: dict[str, Tree] = {}
        self._disordered: set[str] = set()
        self._leaves: dict[tuple[str, int], bytes] = {}
        self._heads: dict[tuple[str, int], tuple[str, _Checkpoint]] = {}
        self._roots: dict[tuple[str, int], bytes] = {}
        self._ways: dict[int, list[bytes]] = {}
        self._countersigned: list[tuple[str, _Checkpoint, tuple[str, bytes, bytes]]] = []
        self._received: Counter[str] = Counter()
        self._signed: set[str] = set()
        self._led: dict[str, tuple[str, int]] = {}
        self._stamps = _Stamps(bag, finds)
        self._last = self._bundle_checkpoint()
        self._after = 0
        self._given: list[_Entry] = []
        self._by_entry: dict[str, _Checkpoint] = {}
        self._wanted = {(head.device, head.size) for head in self._outside}
        if self._last is not None:
            self._wanted.add((self._last.device, self._last.size))

    def compare_codes(self, codes: Iterable[str]) -> None:
        """Compare codes held outside with the heads met that lead to the entries here.

        A head that only stands written down says nothing: a copy of it costs nobody a key.
        """
        met = {head.code for _, head in self._heads.values()}
        for letters, code in {re.sub("[^A-Z2-7]", "", one.upper()): one for one in codes}.items():
            if letters in self._led:
                self._finds.vouched(*self._led[letters])
            elif letters in met:
                self._finds.problem(
                    "outside-head-unconnected",
                    f"code from outside {code}",
                    "A head with this code is written down here, and it does not lead to the "
                    "entries: they are not those it was taken from, or its proof was left out.",
                )
            else:
                self._finds.problem(
                    "outside-head-missing",
                    f"code from outside {code}",
                    "No checkpoint here has this code: it was taken from another history, from a "
                    "later one, or was misread (0, 1, 8 and 9 do not occur in it).",
                )

    def take(self, entry: _Entry, line: bytes) -> None:
        """Meet an entry, in the order of the file."""
        is_head = entry.kind in _OF_CHECKPOINTS and self._learn(entry)
        if self._last is not None and entry.device == self._last.device:
            self._after += entry.seq >= self._last.size
        if not self._is_store:
            self._leaves.setdefault((entry.device, entry.seq), _leaf(line))
            return
        tree = self._trees.get(entry.device)
        if tree is None:
            tree = self._trees[entry.device] = Tree()
        if tree.size != entry.seq:
            self._disordered.add(entry.device)
        elif entry.device not in self._disordered:
            if is_head or (self._wanted and (entry.device, entry.seq) in self._wanted):
                self._roots[entry.device, entry.seq] = tree.root()
            tree.add(_leaf(line))

    def _learn(self, entry: _Entry) -> bool:
        """Take up what an entry about keys and heads says; whether it holds a head."""
        if entry.kind == "key_recorded":
            self._learn_key(entry)
        elif entry.kind == "checkpoint_withheld":
            self._finds.note(
                "checkpoint-withheld",
                entry.where,
                "The device signed no head here: its log did not follow the last head that it had "
                "signed. An old copy was put back, or two copies went different ways.",
            )
        elif entry.kind == "countersignature_taken":
            self._learn_countersignature(entry)
        elif entry.kind == "head_received":
            self._learn_received(entry)
        elif entry.kind == "time_stamp_taken":
            self._stamps.stamp(entry)
        elif entry.kind == "head_given":
            self._given.append(entry)
        else:
            return self._learn_head(entry)
        return False

    def settle(self) -> None:
        """Compare what was met, when every entry has streamed by."""
        for device, tree in self._trees.items():
            self._roots[device, tree.size] = tree.root()
        last = self._last
        self._note_given()
        if _CHECKPOINT not in self._bag.sizes:
            self._miss_checkpoint()
        if last is not None:
            self._note_signature(last, f"file {_CHECKPOINT}")
            self._heads.setdefault((last.device, last.size), (f"file {_CHECKPOINT}", last))
            if self._is_store:
                self._refuse_proofs()
            else:
                self._read_proofs(last)
            self._note_what_comes_after(last)
        for where, head in self._heads.values():
            self._refuse_later(head, where)
            if self._compare(head, where, "checkpoint-differs"):
                self._led[head.code] = (head.device, head.size - 1)
                if head.text in self._signed:
                    self._finds.counts["signatures"] += 1
                    self._finds.reached(self._finds.signed, head.device, head.size - 1)
        if last is not None and last.text in self._signed:
            # It stands here twice: beside the entries, and in the entry that tells of it.
            twice = self._heads[last.device, last.size][0] != f"file {_CHECKPOINT}"
            self._finds.counts["signatures"] += twice
        self._compare_keys()
        self._settle_countersigned()
        self._stamps.settle()
        for head in self._outside:
            where = f"checkpoint from outside, {head.size} entries of device {head.device}"
            self._note_signature(head, where)
            if self._compare(head, where, "outside-head-differs"):
                self._finds.vouched(head.device, head.size - 1)

    def _compare_keys(self) -> None:
        """Whether the heads that lead to the entries are signed by the keys held outside.

        A log may name a new key by itself, and whoever writes it anew does: so a key held outside
        vouches for what it has signed, and where the heads of its log go on under another, that is
        said.
        """
        by_log: dict[str, list[tuple[str, bytes, bytes]]] = {}
        for key in self._keys_outside:
            by_log.setdefault(key[0], []).append(key)
        led = sorted(
            (head for _, head in self._heads.values() if head.code in self._led),
            key=lambda head: head.size,
        )
        for name, keys in by_log.items():
            where = f"key from outside of {name}"
            own = [head for head in led if _ORIGIN + head.device == name]
            # A witness's key is of another log: what it countersigned is compared by itself.
            is_witness = any(key in keys for _, _, key in self._countersigned) or any(
                _is_signed(head, key) for head in self._outside for key in keys
            )
            if not own and not is_witness:
                self._finds.problem(
                    "outside-key-unconnected",
                    where,
                    "No head of its log leads to the entries here, so it vouches for none of them.",
                )
            other = [head for head in own if not any(_is_signed(head, key) for key in keys)]
            if other:
                self._finds.problem(
                    "outside-key-differs",
                    where,
                    f"The head over {other[0].size} entries is signed by another key, which the "
                    "log has named by itself. Where the key was changed, ask its holder for the "
                    "new one and hand in both; else somebody else has written this.",
                )

    def _refuse_later(self, head: _Checkpoint, where: str) -> None:
        """The head that goes with the bundle is the last there was when it was made."""
        last = self._last
        if last is not None and last.device == head.device and head.size > last.size:
            self._finds.problem(
                "checkpoint-older",
                where,
                f"A head over {head.size} entries was signed here, and {_CHECKPOINT} covers "
                f"{last.size}: it was exchanged for an older one.",
            )

    def _miss_checkpoint(self) -> None:
        """A log that has a key signs a head with each bundle, or its device refused to."""
        signed = {_ORIGIN + head.device for _, head in self._heads.values()}
        for name in sorted({*self._recorded, *signed}):
            self._finds.problem(
                "checkpoint-missing",
                f"device {name.removeprefix(_ORIGIN)}",
                f"Its log has a key, and there is no {_CHECKPOINT}: it was taken out, or the "
                "device signed none because its log did not follow the last head that it signed.",
            )

    def _bundle_checkpoint(self) -> _Checkpoint | None:
        if _CHECKPOINT not in self._bag.sizes:
            return None
        try:
            return _checkpoint(_small_file(self._bag, _CHECKPOINT).decode())
        except (ValueError, *_READ_ERRORS) as error:
            self._finds.problem(
                "checkpoint-malformed", f"file {_CHECKPOINT}", f"It is no checkpoint: {error}."
            )
            return None

    def _learn_key(self, entry: _Entry) -> None:
        try:
            key = _public_key(entry.said.get("key"))
            if key[0] != _ORIGIN + entry.device:
                raise ValueError("it belongs to another log")
        except ValueError as error:
            self._finds.problem("key-malformed", entry.where, f"The key it names: {error}.")
            return
        before = self._recorded.setdefault(key[0], [])
        if before and key[2] not in before:
            self._finds.note(
                "key-changed",
                entry.where,
                "From here on another key signs for this device, by the log's own word: whoever "
                "wrote the log from here on needed none of the earlier ones.",
            )
        before.append(key[2])
        held = self._keys.setdefault(key[0], [])
        if key not in held:
            held.append(key)

    @property
    def last(self) -> _Checkpoint | None:
        """The checkpoint that goes with the bundle; None: there is none."""
        return self._last

    def _note_given(self) -> None:
        """Whose hands heads went into, as the log says: there a code can be had from outside."""
        for entry in self._given:
            head = self._by_entry.get(str(entry.said.get("head")))
            what = "A head" if head is None else f"The head over {head.size} entries"
            self._finds.note(
                "head-given",
                entry.where,
                f"{what} was given away ({str(entry.said.get('where'))[:40]}), it says. Whoever "
                "got it holds a code from outside: ask for it, and give it with --code. One taken "
                "from this bundle shows nothing.",
            )

    def _learn_head(self, entry: _Entry) -> bool:
        try:
            head = _checkpoint(entry.said.get("signed_note"))
            if (head.device, head.size) != (entry.device, entry.seq):
                raise ValueError("it is not about the entries before it")
        except ValueError as error:
            self._finds.problem(
                "checkpoint-malformed", entry.where, f"It holds no checkpoint: {error}."
            )
            return False
        self._finds.counts["checkpoints"] += 1
        self._heads[head.device, head.size] = (entry.where, head)
        self._by_entry[entry.hash] = head
        self._stamps.head(entry, head)
        self._note_signature(head, entry.where)
        return True

    def _learn_countersignature(self, entry: _Entry) -> None:
        try:
            head = _checkpoint(entry.said.get("signed_note"))
            key = _public_key(entry.said.get("key"))
            if head.device != entry.device or key[0] == _ORIGIN + entry.device:
                raise ValueError("it is not about this log, or not by another")
            if not _is_signed(head, key):
                raise ValueError("the key it names has not signed it")
        except ValueError as error:
            self._finds.problem(
                "checkpoint-malformed", entry.where, f"It holds no countersigned head: {error}."
            )
            return
        self._countersigned.append((entry.where, head, key))

    def _learn_received(self, entry: _Entry) -> None:
        """A head that another log came with, as a witness's own log tells it.

        Whoever writes a log writes such entries too: only a key held outside makes one count.
        """
        if "signed_note" not in entry.said:
            return
        try:
            head = _checkpoint(entry.said.get("signed_note"))
            if head.device != entry.said.get("of") or head.device == entry.device:
                raise ValueError("it is not about the log it names, or about its own")
            keys = [
                key
                for key in self._keys_outside
                if key[0] != _ORIGIN + head.device and _is_signed(head, key)
            ]
        except ValueError as error:
            self._finds.problem(
                "checkpoint-malformed", entry.where, f"It holds no countersigned head: {error}."
            )
            return
        self._countersigned += [(entry.where, head, key) for key in keys]
        self._received[entry.device] += not keys

    def _note_received(self) -> None:
        for device, count in sorted(self._received.items()):
            if count:
                self._finds.note(
                    "heads-received",
                    f"device {device}",
                    f"Its log says that it received and signed {count} heads of other logs. That "
                    "shows nothing by itself: ask whoever keeps it for its key, and hand it in.",
                )

    def _settle_countersigned(self) -> None:
        self._note_received()
        for where, head, key in self._countersigned:
            compared = self._compare(head, where, "checkpoint-differs")
            if key not in self._keys_outside:
                self._finds.note(
                    "countersigned",
                    where,
                    f"{key[0]} signed the head over {head.size} entries as well. Whose that key is "
                    "stands here by this log's own word: ask its holder for it, and hand it in.",
                )
            elif compared:
                self._finds.vouched(head.device, head.size - 1)

    def _note_signature(self, head: _Checkpoint, where: str) -> None:
        keys = self._keys.get(_ORIGIN + head.device, [])
        try:
            signed = sum(_is_signed(head, key) for key in keys)
        except ValueError as error:
            self._finds.problem("checkpoint-forged", where, f"It was not signed so: {error}.")
            return
        if signed:
            self._signed.add(head.text)
        else:
            self._finds.problem(
                "checkpoint-unsigned",
                where,
                "No key that its log has recorded here, or that was handed in, has signed it.",
            )

    def _compare(self, head: _Checkpoint, where: str, code: str) -> bool:
        """Whether a head leads to the entries here and holds; told where it does not."""
        root = self._root_for(head)
        if root is None and code == "checkpoint-differs" and self._lacks_proof(head):
            self._finds.problem(
                "proof-missing",
                where,
                f"No proof in {_PROOFS} leads from this signed head to that of the bundle.",
            )
        elif root is None and code == "outside-head-differs":
            self._finds.problem(
                "outside-head-unconnected",
                where,
                "Nothing here leads from it to the entries, so it vouches for none of them. Where "
                "it is later than this bundle, or of another device, ask for a bundle that leads "
                "to it: one made since, or of the whole store.",
            )
        elif root is None:
            self._finds.note(
                "head-not-comparable",
                where,
                "Nothing here leads from this head to the entries: it says nothing about them.",
            )
        elif root != head.root:
            self._finds.problem(
                code,
                where,
                "The entries here do not give this head: one of them was altered, removed or put "
                "in, or another history was written.",
            )
        return root == head.root

    def _lacks_proof(self, head: _Checkpoint) -> bool:
        """Whether a bundle of a trip has to hold a proof for a head of its own, and does not."""
        last = self._last
        return (
            not self._is_store
            and last is not None
            and (head.device, head.size) in self._heads
            and last.device == head.device
            and 0 < head.size < last.size
        )

    def _root_for(self, head: _Checkpoint) -> bytes | None:
        """The root the bundle has at the size of a head; None if it cannot be told."""
        if self._is_store:
            tree = self._trees.get(head.device)
            if tree is not None and head.device not in self._disordered and tree.size < head.size:
                self._finds.problem(
                    "tail-cut",
                    f"device {head.device}",
                    f"A signed head covers {head.size} entries; only {tree.size} are here.",
                )
            return self._roots.get((head.device, head.size))
        last = self._last
        if last is None or last.device != head.device or head.size > last.size:
            return None
        if head.size == last.size:
            return last.root
        way = self._ways.get(head.size)
        if way is None:
            return None
        try:
            roots = roots_of_consistency(head.size, last.size, head.root, way)
        except ValueError:
            return b""
        return head.root if roots == (head.root, last.root) else b""

    def _refuse_proofs(self) -> None:
        """Where whole logs are, nothing rests on a proof, and none says anything."""
        for number, _ in _lines(self._bag, _PROOFS):
            where = f"{_PROOFS} line {number}"
            sentence = "It proves nothing: in a bundle of whole logs the root follows from entries."
            self._finds.problem("proof-wrong", where, sentence)
            if self._finds.has_too_many("proof-wrong", where):
                break

    def _note_what_comes_after(self, last: _Checkpoint) -> None:
        """No signature covers what came after the bundle's head, nor the entry that holds it."""
        self._finds.counts["after_head"] += self._after
        where, head = self._heads.get((last.device, last.size), ("", last))
        others = self._after - (head.text == last.text and where != f"file {_CHECKPOINT}")
        if others > 0:
            self._finds.problem(
                "after-the-head",
                f"device {last.device}",
                f"{others} entries stand after the signed head over {last.size} entries, and the "
                "entry about the bundle is the last that can: they were put in later, without the "
                "key, or the checkpoint was exchanged for an older one.",
            )

    def _read_proofs(self, last: _Checkpoint) -> None:
        """Lead each entry of the device to the root of the bundle's checkpoint."""
        proven: set[int] = set()
        for number, line in _lines(self._bag, _PROOFS):
            where = f"{_PROOFS} line {number}"
            try:
                data = _said(line)
                hashes = [bytes.fromhex(_need_hash(one)) for one in data["hashes"]]
                if data["device"] != last.device:
                    raise ValueError("it is of another device than the checkpoint")
                if "old" in data:
                    self._ways[_size(data["old"])] = hashes
                    continue
                seq = _size(data["seq"])
                leaf = self._leaves.get((last.device, seq))
                if leaf is None:
                    raise ValueError(f"entry {seq} is not here")
                if root_of_inclusion(seq, last.size, leaf, hashes) != last.root:
                    raise ValueError(f"entry {seq} is not under the checkpoint")
                proven.add(seq)
            except (ValueError, KeyError, TypeError) as error:
                self._finds.problem("proof-wrong", where, f"It proves nothing: {error}.")
                if self._finds.has_too_many("proof-wrong", where):
                    break
        self._finds.counts["proven"] += len(proven)
        for device, seq in self._leaves:
            if device == last.device and seq < last.size and seq not in proven:
                self._finds.problem(
                    "proof-missing",
                    f"device {device} entry {seq}",
                    "No proof leads from this entry to the signed head.",
                )


def _size(value: Any) -> int:
    if type(value) is not int or not 0 <= value <= _INTEGER_MAX:
        raise ValueError("a number from 0 is needed")
    return value


# --- The trail: entries against each other ---------------------------------------------------


@dataclass(slots=True, kw_only=True)
class _Broken:
    """A link that does not fit the entry that stands before it here, to be explained at the end.

    `before` is that entry's number, None if there is none; `unread` is how many lines between
    them could not be read.
    """

    seq: int
    wanted: str
    before: int | None
    unread: int


@dataclass(slots=True, kw_only=True)
class _Gap:
    """Numbers of a device that have not been met yet, both ends included."""

    low: int
    high: int
    unread: int


@dataclass(slots=True)
class _Chain:
    """What is kept of one device's entries while they stream by.

    `twins` are the hashes met under the last number: more than one means a fork there. The
    `trip_` fields are used in a trip bundle, for the entries of its trip.
    """

    device: str
    last: int | None = None
    twins: set[str] = field(default_factory=set)
    entries: int = 0
    trip_last: int | None = None
    trip_twins: set[str] = field(default_factory=set)
    trip_entries: int = 0
    gaps: list[_Gap] = field(default_factory=list)
    links: list[_Broken] = field(default_factory=list)
    trip_links: list[_Broken] = field(default_factory=list)
    moved: bool = False
    damaged: bool = False
    altered: set[int] = field(default_factory=set)
    added: set[int] = field(default_factory=set)
    event_time_max: datetime | None = None
    before: _Entry | None = None

    def where(self, seq: int) -> str:
        return f"device {self.device} entry {seq}"

    def gap_of(self, seq: int) -> _Gap | None:
        return next((gap for gap in self.gaps if gap.low <= seq <= gap.high), None)

    def fill(self, gap: _Gap, seq: int) -> None:
        self.gaps.remove(gap)
        for low, high in ((gap.low, seq - 1), (seq + 1, gap.high)):
            if low <= high:
                self.gaps.append(_Gap(low=low, high=high, unread=gap.unread))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pointer:
    """A reference to an entry that may stand anywhere: a correction, or a recorded trip head.

    `device` is the device whose trip head is recorded, None for a correction.
    """

    where: str
    kind: str
    wanted: str
    device: str | None
    beside: bool


class _Explainer:
    """Says of one device's chain, once all its entries have gone by, what is wrong with it."""

    def __init__(self, chain: _Chain, card: _Card, finds: _Finds) -> None:
        self._chain = chain
        self._head = card.heads.get(chain.device)
        self._trip = card.trip
        self._finds = finds

    def explain(self, found: Mapping[str, _Entry]) -> None:
        """Name each fault; `found` are the entries here that a broken link names."""
        self._conclude_head()
        # From the end: an entry known to be altered is no witness against the one before.
        if self._trip is not None:
            for link in sorted(self._chain.trip_links, key=lambda link: -link.seq):
                self._explain_trip_link(link, found.get(link.wanted))
        for link in sorted(self._chain.links, key=lambda link: -link.seq):
            self._explain_link(link, found.get(link.wanted))
        if self._trip is None:
            self._explain_gaps()
            self._explain_store_trip_links()
        self._conclude_count()

    def _damage(self, code: str, where: str, sentence: str) -> None:
        self._chain.damaged = True
        self._finds.problem(code, where, sentence)

    def _alter(self, seq: int, sentence: str) -> None:
        self._chain.altered.add(seq)
        self._damage("entry-altered", self._chain.where(seq), sentence)

    def _conclude_head(self) -> None:
        last, twins = (
            (self._chain.trip_last, self._chain.trip_twins)
            if self._trip is not None
            else (self._chain.last, self._chain.twins)
        )
        where = f"device {self._chain.device}"
        if self._head is None:
            if last is not None:
                self._damage("entry-added", where, f"{_CARD} names no chain of this device.")
        elif last is None:
            self._damage(
                "tail-cut",
                where,
                f"{_CARD} says that its chain reaches entry {self._head.seq}; "
                "nothing of it is here.",
            )
        elif last < self._head.seq:
            self._damage(
                "tail-cut",
                where,
                f"{_CARD} says that its chain reaches entry {self._head.seq}; "
                f"here it ends with entry {last}.",
            )
        elif last > self._head.seq:
            self._damage(
                "entry-added",
                self._chain.where(last),
                f"{_CARD} says that the chain ends with entry {self._head.seq}.",
            )
        elif self._head.hash not in twins:
            self._alter(last, f"Its bytes do not give the fingerprint that {_CARD} states for it.")

    def _explain_link(self, link: _Broken, target: _Entry | None) -> None:
        before = link.seq - 1
        if target is not None:
            if (target.device, target.seq) != (self._chain.device, before):
                self._damage(
                    "link-wrong",
                    self._chain.where(link.seq),
                    f"It is linked to entry {target.seq} of device {target.device} "
                    f"instead of entry {before}.",
                )
        elif before < 0:
            self._damage(
                "link-wrong",
                self._chain.where(link.seq),
                "It has number 0 and names an entry before it.",
            )
        elif self._chain.gap_of(before) is None and before not in self._chain.added:
            self._accuse(before, link.seq)

    def _accuse(self, before: int, seq: int) -> None:
        """The bytes of `before` do not fit what `seq` recorded of them."""
        if seq in self._chain.altered:
            self._damage(
                "link-broken",
                self._chain.where(seq),
                f"What it says of entry {before} does not fit. As it was altered itself, "
                f"entry {before} may be as it was, or altered too.",
            )
        else:
            self._alter(
                before,
                f"Its bytes do not give the fingerprint that entry {seq} recorded of it: "
                "it was changed after it was written.",
            )

    def _explain_gaps(self) -> None:
        for gap in self._chain.gaps:
            one = gap.low == gap.high
            which = f"entry {gap.low}" if one else f"entries {gap.low} to {gap.high}"
            where = f"device {self._chain.device} {which}"
            if gap.unread == gap.high - gap.low + 1:
                self._damage("entry-altered", where, "What stands in its place cannot be read.")
            else:
                self._damage(
                    "entry-removed",
                    where,
                    f"The chain goes from entry {gap.low - 1} to entry {gap.high + 1}: what was "
                    "between them is not here."
                    if gap.low
                    else f"The chain begins with entry {gap.high + 1}: its beginning is not here.",
                )

    def _explain_trip_link(self, link: _Broken, target: _Entry | None) -> None:
        before = link.before
        between = f"device {self._chain.device} between entries {before} and {link.seq}"
        is_own = target is not None and (target.device, target.trip) == (
            self._chain.device,
            self._trip,
        )
        if target is not None:
            if is_own and self._chain.moved:
                return
            if is_own and before is not None and target.seq < before:
                self._chain.added.add(before)
                self._damage(
                    "entry-added",
                    self._chain.where(before),
                    f"Entry {link.seq} follows directly on entry {target.seq}: "
                    "this one was put in between.",
                )
            else:
                self._damage(
                    "link-wrong", self._chain.where(link.seq), "It is linked to a wrong entry."
                )
        elif before is None:
            self._damage(
                "entry-removed",
                f"device {self._chain.device} before entry {link.seq}",
                "It names an entry of this trip before it, which is not here.",
            )
        elif link.unread:
            self._damage("entry-altered", between, "What stands there cannot be read.")
        elif (
            before + 1 < link.seq
            and self._head is not None
            and self._chain.trip_entries < self._head.entries
        ):
            self._damage(
                "entry-removed",
                between,
                f"Entry {link.seq} names another entry before it than entry {before}, and this "
                f"device has {self._chain.trip_entries} entries of the trip here instead of "
                f"{self._head.entries}.",
            )
        else:
            self._accuse(before, link.seq)

    def _explain_store_trip_links(self) -> None:
        # Where the chain itself is broken, a trip's links break with it and say nothing new.
        if self._chain.damaged or self._chain.moved:
            return
        for link in self._chain.trip_links:
            self._damage(
                "link-wrong",
                self._chain.where(link.seq),
                "It is not linked to the entry before it of the same trip.",
            )

    def _conclude_count(self) -> None:
        entries = self._chain.trip_entries if self._trip is not None else self._chain.entries
        if (
            self._head is not None
            and entries != self._head.entries
            and not self._chain.damaged
            and not self._chain.moved
        ):
            self._damage(
                "count-wrong",
                f"device {self._chain.device}",
                f"{_CARD} states {self._head.entries} entries; there are {entries}.",
            )


class _Trail:
    """The entries of a bundle: order, links, times, references, openings."""

    def __init__(
        self,
        bag: _Bag,
        card: _Card | None,
        outside: Iterable[OutsideHead],
        checkpoints: _Checkpoints,
        finds: _Finds,
    ) -> None:
        self._bag = bag
        self._card = card
        self._finds = finds
        self._is_trip = card is not None and card.scope == "trip"
        self._outside = {(head.device, head.seq): head.hash for head in outside}
        self._outside_met: set[tuple[str, int]] = set()
        self._openings = _Openings(bag, finds)
        self._attachments = _Attachments(bag, finds)
        self._plans = _Plans(bag, finds)
        self._exported: dict[str, _Entry] = {}
        self._checkpoints = checkpoints
        self._chains: dict[str, _Chain] = {}
        self._trip_last: dict[tuple[str, str], str] = {}
        self._pointers: list[_Pointer] = []
        self._missing_heads: list[_Pointer] = []
        self._beside_met: set[str] = set()
        self._strays: list[str] = []
        self._unread = 0
        self._passes = 0
        self.destroyed: set[tuple[str, str]] = set()
        """The hash of an entry, and the name of a private field of it, that cannot be opened."""
        self._recent: dict[str, _Entry] = {}
        self._less_recent: dict[str, _Entry] = {}
        self.invented = card is not None and card.invented
        self.own_export: _Entry | None = None
        """The entry about this bundle, where it is under its signed head."""

    def check(self) -> None:
        """Read every entry once, then look up what could not be settled on the way."""
        if _ENTRIES not in self._bag.sizes:
            self._finds.problem(
                "file-missing", f"file {_ENTRIES}", "The log itself is not in this bundle."
            )
        counts = self._finds.counts
        entries = 0
        for number, line, plain in _read_entries(self._bag):
            entry = plain or self._read(number, line)
            if entry is None:
                self._unread += 1
                counts["lines_unread"] += 1
                if counts["lines_unread"] >= _UNREADABLE_MAX:
                    self._too_many(f"{_ENTRIES} line {number}")
                    break
                continue
            entries += 1
            self._place(entry)
            self._remember(entry)
            self._checkpoints.take(entry, line)
            if entry.attached is not None or entry.destroyed:
                self._attachments.take(entry)
            self._unread = 0
        counts["entries"] += entries
        if not counts["entries"]:
            self._finds.problem(
                "no-entries", f"file {_ENTRIES}", "There is no entry: this bundle shows nothing."
            )
        counts["devices"] = len(self._chains)
        self._settle_pointers()
        self._openings.settle()
        self._attachments.settle()
        self._checkpoints.settle()
        self._conclude()
        self._plans.settle()
        _compare_retold(self._bag, self._finds, is_trip=self._is_trip)

    def heads(self) -> tuple[str, ...]:
        """The last entry of each device as it is here, as DEVICE:SEQ:HASH."""
        lasts = [
            (device, chain.trip_last, chain.trip_twins)
            if self._is_trip
            else (device, chain.last, chain.twins)
            for device, chain in sorted(self._chains.items())
        ]
        return tuple(
            f"{device}:{seq}:{digest}"
            for device, seq, twins in lasts
            if seq is not None
            for digest in sorted(twins)
        )

    def reaches(self) -> tuple[Reach, ...]:
        """How far the chain of each device goes and is vouched for."""
        return tuple(
            Reach(
                device=device,
                last=chain.trip_last if self._is_trip else chain.last,
                signed=self._finds.signed.get(device),
                outside=self._finds.outside.get(device),
                chain=self._finds.chained.get(device),
            )
            for device, chain in sorted(self._chains.items())
        )

    def _read(self, number: int, line: bytes) -> _Entry | None:
        where = f"{_ENTRIES} line {number}"
        try:
            value, why = _parsed(line)
        except ValueError as error:
            self._finds.problem(
                "not-canonical", where, f"This line is no entry that can be read ({error})."
            )
            return None
        if why is not None:
            self._finds.problem(
                "not-canonical", where, f"These are not the bytes of a stored entry: {why}."
            )
        try:
            return _entry(value, _digest(line))
        except ValueError as error:
            self._finds.problem("entry-malformed", where, f"This is no whole entry: {error}.")
            return None

    def _place(self, entry: _Entry) -> None:
        chain = self._chains.get(entry.device)
        if chain is None:
            chain = self._chains[entry.device] = _Chain(entry.device)
            if not _NAME.fullmatch(entry.device):
                sentence = "The name of its device is not of small letters, digits and hyphens."
                self._finds.problem("entry-malformed", entry.where, sentence)
        if entry.clock_source == "demo":
            self.invented = True
        if entry.kind == "openings_destroyed":
            self.destroyed |= _pairs_destroyed(entry.said)
        if entry.private or entry.hash == self._openings.awaited:
            self._openings.check(entry)
        if self._outside:
            self._compare_outside(entry)
        self._note_delay(chain, entry)
        if self._card is None:
            return
        of_trip = self._is_trip and entry.trip == self._card.trip
        if self._order(chain, entry):
            chain.entries += 1
            self._note_clock(chain, entry)
            if not self._is_trip:
                self._store_trip_link(chain, entry)
            elif of_trip:
                self._trip_link(chain, entry)
        self._take(entry, of_trip=of_trip)
        if entry.follows is not None or entry.trip_heads:
            self._point(entry, beside=self._is_trip and not of_trip)

    def _take(self, entry: _Entry, *, of_trip: bool) -> None:
        if entry.kind == "exported":
            self._exported[entry.device] = entry
        if of_trip:
            self._plans.take(entry)
        elif self._is_trip:
            self._note_beside(entry)

    # Order and links

    def _order(self, chain: _Chain, entry: _Entry) -> bool:
        """Place the entry in its device's row; False if another one has its number already."""
        expected = 0 if chain.last is None else chain.last + 1
        if entry.seq < expected:
            return self._out_of_order(chain, entry)
        if entry.seq > expected:
            self._open_gap(chain, expected, entry.seq - 1)
        elif entry.prev not in chain.twins and (entry.prev or chain.last is not None):
            self._break(chain.links, entry.seq, entry.prev, chain.last, entry.where)
        elif len(chain.twins) > 1:
            self._finds.note(
                "fork-goes-on",
                entry.where,
                f"Of the entries numbered {chain.last} the chain goes on from {entry.prev}.",
            )
        if entry.seq > expected and not self._is_trip:
            self._break(chain.links, entry.seq, entry.prev, chain.last, entry.where)
        chain.last = entry.seq
        chain.twins = {entry.hash}
        return True

    def _out_of_order(self, chain: _Chain, entry: _Entry) -> bool:
        gap = chain.gap_of(entry.seq)
        if gap is None:
            same = entry.seq == chain.last and entry.hash in chain.twins
            self._finds.problem(
                "entry-doubled",
                entry.where,
                "This entry stands here twice."
                if same
                else "Another entry of this device has the same number: "
                "two histories were written, or one of them was put in.",
            )
            if entry.seq == chain.last:
                chain.twins.add(entry.hash)
            if entry.seq == chain.trip_last:
                chain.trip_twins.add(entry.hash)
            return False
        chain.fill(gap, entry.seq)
        chain.moved = True
        self._finds.problem(
            "entries-reordered",
            entry.where,
            f"It stands behind entry {chain.last} of the same device: the order was changed.",
        )
        if not self._is_trip and entry.prev is not None:
            self._break(chain.links, entry.seq, entry.prev, entry.seq - 1, entry.where)
        return True

    def _open_gap(self, chain: _Chain, low: int, high: int) -> None:
        if len(chain.gaps) < _GAPS_MAX:
            chain.gaps.append(_Gap(low=low, high=high, unread=self._unread))
        else:
            self._too_many(chain.where(low))

    def _break(
        self,
        links: list[_Broken],
        seq: int,
        wanted: str | None,
        before: int | None,
        where: str,
    ) -> None:
        if wanted is None:
            self._finds.problem(
                "link-wrong", where, "It says that it is the first of its chain, and is not."
            )
        elif len(links) < _LOOKED_UP_AT_ONCE:
            links.append(_Broken(seq=seq, wanted=wanted, before=before, unread=self._unread))
        else:
            self._too_many(where)

    def _too_many(self, where: str) -> None:
        self._finds.problem(
            "too-many-faults", where, "More is broken here than this checker explains one by one."
        )

    def _trip_link(self, chain: _Chain, entry: _Entry) -> None:
        chain.trip_entries += 1
        fits = entry.trip_prev in chain.trip_twins or (
            entry.trip_prev is None and chain.trip_last is None
        )
        moved = chain.trip_last is not None and entry.seq < chain.trip_last
        if not fits and not (moved and entry.trip_prev is None):
            self._break(chain.trip_links, entry.seq, entry.trip_prev, chain.trip_last, entry.where)
        if not moved:
            chain.trip_last = entry.seq
            chain.trip_twins = {entry.hash}

    def _store_trip_link(self, chain: _Chain, entry: _Entry) -> None:
        if entry.trip is None:
            return
        key = (entry.device, entry.trip)
        if entry.trip_prev != self._trip_last.get(key) and len(chain.trip_links) < _LISTED_MAX:
            chain.trip_links.append(
                _Broken(seq=entry.seq, wanted=entry.trip_prev or "", before=None, unread=0)
            )
        self._trip_last[key] = entry.hash

    def _note_beside(self, entry: _Entry) -> None:
        assert self._card is not None
        self._finds.counts["beside"] += 1
        if entry.hash in self._card.beside:
            self._beside_met.add(entry.hash)
        elif len(self._strays) < _LOOKED_UP_AT_ONCE:
            self._strays.append(entry.where)
        else:
            self._too_many(entry.where)

    def _compare_outside(self, entry: _Entry) -> None:
        held = self._outside.get((entry.device, entry.seq))
        if held is None:
            return
        self._outside_met.add((entry.device, entry.seq))
        if held == entry.hash:
            self._finds.vouched(entry.device, entry.seq, by_chain=self._is_trip)
        else:
            self._finds.problem(
                "outside-head-differs",
                entry.where,
                f"The head held outside says {held}, this entry gives {entry.hash}: this is not "
                "the entry it was then, or not the history it stood in.",
            )

    # Times

    def _note_delay(self, chain: _Chain, entry: _Entry) -> None:
        latest = chain.event_time_max
        if entry.event_time is entry.entry_time:
            if latest is None or entry.event_time > latest:
                chain.event_time_max = entry.event_time
            return
        delay = entry.entry_time - entry.event_time
        if delay > _LATE:
            is_back_dated = (
                entry.follows is None and latest is not None and latest - entry.event_time > _LATE
            )
            self._finds.counts["back_dated" if is_back_dated else "late"] += 1
            self._finds.note(
                "back-dated" if is_back_dated else "late",
                entry.where,
                f"{entry.kind} of {_shown(entry.event_time)} was written down {_span(delay)} "
                f"later{', when later things had already been written down' * is_back_dated}.",
            )
        elif delay < timedelta(0):
            self._finds.note(
                "ahead",
                entry.where,
                f"{entry.kind} is dated {_span(-delay)} after it was written down.",
            )
        # What is dated ahead of its writing says nothing about what had happened by then.
        happened = min(entry.event_time, entry.entry_time)
        if latest is None or happened > latest:
            chain.event_time_max = happened

    def _note_clock(self, chain: _Chain, entry: _Entry) -> None:
        before = chain.before
        if before is not None and entry.seq < before.seq:
            return
        chain.before = entry
        if before is None:
            return
        passed = entry.entry_time - before.entry_time
        if passed < timedelta(0):
            self._finds.note(
                "clock-back",
                entry.where,
                f"The machine's clock stood {_span(-passed)} earlier than at entry {before.seq}, "
                "which was written before.",
            )
        elif (
            entry.boot is not None
            and entry.boot == before.boot
            and entry.boot_ms is not None
            and before.boot_ms is not None
        ):
            counted = entry.boot_ms - before.boot_ms
            if abs(passed.total_seconds() * 1000 - counted) < _CLOCK_STEP_MS - 1:
                return
            step = passed - timedelta(milliseconds=counted)
            if abs(step) > _CLOCK_STEP:
                self._finds.note(
                    "clock-stepped",
                    entry.where,
                    f"Since entry {before.seq} the clock moved {_span(abs(step))} "
                    f"{'more' if step > timedelta(0) else 'less'} than the machine's own counter.",
                )

    # References

    def _point(self, entry: _Entry, *, beside: bool) -> None:
        if entry.follows is not None:
            self._follow_up(entry, entry.follows, None, beside)
        for device, digest in entry.trip_heads.items():
            # An entry's own link is checked already; in a hand-over it is the usual head.
            is_own_link = device == entry.device and digest == entry.trip_prev
            if not beside and not is_own_link:
                self._follow_up(entry, digest, device, False)

    def _follow_up(self, entry: _Entry, wanted: str, device: str | None, beside: bool) -> None:
        """Settle a reference at once if it leads a short way back; else keep it for a pass."""
        pointer = _Pointer(
            where=entry.where, kind=entry.kind, wanted=wanted, device=device, beside=beside
        )
        target = self._recent.get(wanted) or self._less_recent.get(wanted)
        if target is not None:
            self._settle_pointer(pointer, target)
            return
        self._pointers.append(pointer)
        if len(self._pointers) >= _LOOKED_UP_AT_ONCE:
            self._passes += 1
            if self._passes <= _PASSES_MAX:
                self._settle_pointers()
            else:
                self._pointers.clear()
                self._too_many(entry.where)

    def _remember(self, entry: _Entry) -> None:
        """Keep the last entries at hand: most references lead to one of them."""
        self._recent[entry.hash] = entry
        if len(self._recent) == _RECENT:
            self._recent, self._less_recent = {}, self._recent

    def _settle_pointers(self) -> None:
        pointers, self._pointers = self._pointers, []
        found = _look_up(self._bag, {pointer.wanted for pointer in pointers})
        for pointer in pointers:
            self._settle_pointer(pointer, found.get(pointer.wanted))

    def _settle_pointer(self, pointer: _Pointer, target: _Entry | None) -> None:
        if pointer.device is None:
            self._settle_follows(pointer, target)
        elif target is None:
            if len(self._missing_heads) < _LOOKED_UP_AT_ONCE:
                self._missing_heads.append(pointer)
            else:
                self._too_many(pointer.where)
        elif target.device != pointer.device:
            self._finds.problem(
                "link-wrong",
                pointer.where,
                f"It records a head of device {pointer.device} that is one of "
                f"device {target.device}.",
            )

    def _settle_follows(self, pointer: _Pointer, target: _Entry | None) -> None:
        if target is None:
            say = self._finds.note if pointer.beside else self._finds.problem
            say(
                "follows-missing",
                pointer.where,
                f"This {pointer.kind} follows an entry that is not here ({pointer.wanted}).",
            )
        elif pointer.kind in (target.kind, "entry_withdrawn"):
            self._finds.counts["corrections"] += 1
            verb = "replaces" if pointer.kind == target.kind else "takes back"
            self._finds.note(
                "correction",
                pointer.where,
                f"This {pointer.kind} {verb} entry {target.seq} of device {target.device}, "
                f"the {target.kind} of {_shown(target.event_time)}; both stand.",
            )

    # The end

    def _conclude(self) -> None:
        if self._card is None:
            return
        if self.invented and not self._card.invented:
            self._finds.problem(
                "invented-denied",
                f"file {_CARD}",
                "It says that nothing here is invented; the clock of entries here is the demo's.",
            )
        for device in sorted(set(self._card.heads) | set(self._chains)):
            chain = self._chains.setdefault(device, _Chain(device))
            found = _look_up(self._bag, {link.wanted for link in (*chain.links, *chain.trip_links)})
            _Explainer(chain, self._card, self._finds).explain(found)
        self._conclude_beside()
        self._conclude_recorded_heads()
        self._conclude_outside()

    def _conclude_beside(self) -> None:
        assert self._card is not None
        self.own_export = self._own_export()
        if self.own_export is not None:
            self._compare_with_export(self._card, self.own_export)
        missing = sorted(self._card.beside - self._beside_met)
        for where in self._strays:
            if missing:
                missing.pop()
                self._finds.problem(
                    "entry-altered",
                    where,
                    f"Its bytes give none of the fingerprints that {_CARD} lists for entries "
                    "beside the trip, and one of those is missing.",
                )
            else:
                self._finds.problem(
                    "entry-added", where, f"It is not of this trip, and {_CARD} does not list it."
                )
        for digest in missing:
            self._finds.problem(
                "entry-removed",
                f"beside the trip, {digest}",
                f"{_CARD} lists this entry, and it is not here.",
            )

    def _own_export(self) -> _Entry | None:
        """The entry about this bundle: the last under its signed head."""
        last = self._checkpoints.last
        if last is None:
            return None
        about = self._exported.get(last.device)
        if about is None or about.seq != last.size - 1:
            self._finds.problem(
                "export-missing",
                f"file {_CHECKPOINT}",
                "The last entry under it is the one about this bundle, and that is not here: the "
                "end was cut off, or the checkpoint is that of another bundle or device.",
            )
            return None
        return about

    def _compare_with_export(self, card: _Card, about: _Entry) -> None:
        """Compare what the bundle says of itself with what the log says of it."""
        recorded = about.said.get("beside")
        lines = "".join(f"{one}\n" for one in sorted(card.beside))
        if isinstance(recorded, str) and hashlib.sha256(lines.encode()).hexdigest() != recorded:
            self._finds.problem(
                "beside-differs",
                about.where,
                f"It recorded another list of entries beside the trip than {_CARD} has: one was "
                "left out since, or put in.",
            )
        withheld = about.said.get("withheld", {})
        if (card.withheld or {}) != withheld:
            self._finds.problem(
                "export-differs",
                about.where,
                f"It recorded other counts of withheld fields than {_CARD} has: some were left "
                "out since.",
            )
        for device, head in sorted(card.heads.items()):
            if device != about.device and about.trip_heads.get(device) != head.hash:
                self._finds.problem(
                    "export-differs",
                    f"device {device}",
                    f"{about.where}, which is about this bundle, does not know its entries up to "
                    "the head here: they were put in, or cut off, since.",
                )
        if card.made_at != _stamp(about.entry_time):
            self._finds.problem(
                "export-differs",
                f"file {_CARD}",
                f"{_CARD} says that the bundle was made at {card.made_at}; the log says "
                f"{_stamp(about.entry_time)}.",
            )

    def _conclude_recorded_heads(self) -> None:
        for pointer in self._missing_heads:
            chain = self._chains.get(pointer.device or "")
            is_cut = chain is None or not (chain.damaged or chain.moved)
            self._finds.problem(
                "tail-cut" if is_cut else "recorded-head-missing",
                f"device {pointer.device}, recorded by {pointer.where}",
                f"This {pointer.kind} recorded that device {pointer.device} had reached "
                f"{pointer.wanted} on the trip; no such entry is here.",
            )

    def _conclude_outside(self) -> None:
        for device, seq in sorted(set(self._outside) - self._outside_met):
            chain = self._chains.get(device)
            where = f"device {device} entry {seq}, head from outside"
            if self._is_trip:
                self._finds.problem(
                    "outside-head-unconnected",
                    where,
                    "This entry is not in this bundle, and the bundle of one trip need not hold "
                    "it. Compare it with a bundle of the whole store, or give a head of the trip.",
                )
            elif chain is None or chain.last is None or chain.last < seq:
                self._finds.problem(
                    "tail-cut", where, "The chain here does not reach this entry any more."
                )
            else:
                self._finds.problem("outside-head-missing", where, "This entry is not here.")


# --- Openings of private fields --------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Opening:
    """What a commitment was made from, for one field of the entry with the hash `entry`."""

    line: int
    entry: str
    field: str
    commitment: str
    value: Any

    @property
    def where(self) -> str:
        return f"{_OPENINGS} line {self.line}"


def _read_openings(bag: _Bag, finds: _Finds) -> Iterator[_Opening]:
    for number, line in _lines(bag, _OPENINGS):
        try:
            data = _said(line)
            if not isinstance(data["field"], str) or not _SALT.fullmatch(data["salt"]):
                raise ValueError("no field, or no salt of 32 hex digits")
            yield _Opening(
                line=number,
                entry=_need_hash(data["entry"]),
                field=data["field"],
                commitment=hashlib.sha256(
                    canonical_bytes([data["salt"], data["field"], data["value"]])
                ).hexdigest(),
                value=data["value"],
            )
        except (ValueError, KeyError, TypeError, RecursionError) as error:
            where = f"{_OPENINGS} line {number}"
            finds.problem("opening-malformed", where, f"It is unreadable: {error}.")
            if finds.has_too_many("opening-malformed", where):
                return


class _Openings:
    """Compares openings with the entries as they stream by.

    FORMAT.md asks for openings in the order of their entries; what comes out of order is looked
    up at the end.
    """

    def __init__(self, bag: _Bag, finds: _Finds) -> None:
        self._bag = bag
        self._finds = finds
        self._source = _read_openings(bag, finds)
        self._next: _Opening | None = None
        self.awaited: str | None = None
        """The hash of the entry that the next opening names."""
        self._step()

    def _step(self) -> None:
        self._next = next(self._source, None)
        self.awaited = None if self._next is None else self._next.entry

    def check(self, entry: _Entry) -> None:
        self._finds.counts["private_fields"] += len(entry.private)
        self._finds.closed.update(entry.private.keys())
        opened: set[str] = set()
        while self._next is not None and self._next.entry == entry.hash:
            self._compare(self._next, entry, opened)
            self._step()

    def settle(self) -> None:
        """Look up the openings that no entry has taken so far."""
        for _ in range(_PASSES_MAX):
            batch: list[_Opening] = []
            while self._next is not None and len(batch) < _LOOKED_UP_AT_ONCE:
                batch.append(self._next)
                self._step()
            if not batch:
                return
            self._settle_some(batch)
        if self._next is not None:
            self._finds.problem(
                "too-many-faults",
                self._next.where,
                "More openings stand out of the order of their entries than are looked up.",
            )

    def _settle_some(self, batch: list[_Opening]) -> None:
        found = _look_up(self._bag, {opening.entry for opening in batch})
        opened: dict[str, set[str]] = {}
        # What was opened before these, in order or in an earlier pass, may be opened again.
        fields = {(opening.entry, opening.field) for opening in batch}
        for earlier in _read_openings(self._bag, _Finds()):
            if earlier.line >= batch[0].line:
                break
            entry = found.get(earlier.entry)
            if (
                (earlier.entry, earlier.field) in fields
                and entry is not None
                and entry.private.get(earlier.field) == earlier.commitment
            ):
                opened.setdefault(earlier.entry, set()).add(earlier.field)
        for opening in batch:
            entry = found.get(opening.entry)
            if entry is None:
                self._finds.problem(
                    "opening-stray",
                    opening.where,
                    f"It opens a field of an entry that is not here ({opening.entry}).",
                )
            else:
                self._compare(opening, entry, opened.setdefault(entry.hash, set()))

    def _compare(self, opening: _Opening, entry: _Entry, opened: set[str]) -> None:
        if entry.private.get(opening.field) != opening.commitment:
            self._finds.problem(
                "opening-wrong",
                opening.where,
                f"What it gives for {opening.field!r} of entry {entry.seq} of device "
                f"{entry.device} is not what was written down.",
            )
        elif opening.field in opened:
            self._finds.problem("opening-doubled", opening.where, "This field is opened twice.")
        else:
            opened.add(opening.field)
            self._finds.counts["opened"] += 1
            self._finds.closed[opening.field] -= 1


def _pairs_destroyed(said: Mapping[str, Any]) -> set[tuple[str, str]]:
    """What an entry `openings_destroyed` names: the hashes of entries, and a field of each."""
    listed = said.get("openings")
    return {
        (one["entry"], one["field"])
        for one in (listed if isinstance(listed, list) else [])
        if isinstance(one, dict)
        and isinstance(one.get("entry"), str)
        and isinstance(one.get("field"), str)
    }


def _count_destroyed(bag: _Bag, pairs: set[tuple[str, str]], finds: _Finds) -> dict[str, int]:
    """How many values of each field here cannot be opened by anybody, as entries here say."""
    destroyed: Counter[str] = Counter()
    if not pairs:
        return {}
    found = _look_up(bag, {entry for entry, _ in pairs})
    opened = _opened_values(bag, found)
    for digest, name in sorted(pairs):
        entry = found.get(digest)
        if entry is None or name not in entry.private:
            continue
        if (digest, name) in opened:
            finds.note(
                "destroyed-opened",
                entry.where,
                f"An entry says that its {name} was destroyed, and here it can be read.",
            )
        else:
            destroyed[name] += 1
            finds.closed[name] -= 1
    return dict(sorted(destroyed.items()))


def _compare_withheld(card: _Card | None, exported: _Entry | None, finds: _Finds) -> None:
    """Compare how many private fields cannot be read with how many were left out when it was made.

    With the entry about the bundle this is a fault; else the card's word is compared, for a note.
    """
    if exported is not None:
        recorded = exported.said.get("withheld", {})
        told = recorded if isinstance(recorded, dict) else {}
        for name in sorted({*told, *finds.closed}):
            if told.get(name, 0) != finds.closed[name]:
                finds.problem(
                    "export-differs",
                    f"private field {name}",
                    f"{finds.closed[name]} of them cannot be read here, and nobody destroyed them; "
                    f"{told.get(name, 0)} were left out when the bundle was made.",
                )
        return
    if card is None or card.withheld is None:
        return
    for name in sorted({*card.withheld, *finds.closed}):
        stated, found = card.withheld.get(name, 0), finds.closed[name]
        if stated != found:
            finds.note(
                "withheld-differs",
                f"private field {name}",
                f"{_CARD} says that {stated} of them were withheld; {found} cannot be read here.",
            )


def _opened_values(bag: _Bag, wanted: Mapping[str, _Entry]) -> dict[tuple[str, str], Any]:
    """The values of private fields of these entries that can be read: one pass over the file."""
    values: dict[tuple[str, str], Any] = {}
    for opening in _read_openings(bag, _Finds()):
        entry = wanted.get(opening.entry)
        if entry is not None and entry.private.get(opening.field) == opening.commitment:
            values[opening.entry, opening.field] = opening.value
    return values


# --- The story of a trip: known at departure, and later ---------------------------------------

_CHANGES_MAX = 1_000
_VALUE_SHOWN = 2_000


def _told(bag: _Bag, trip: str, finds: _Finds) -> Story:
    """What was written down up to the departure of a trip, and what came after it."""
    first: dict[str, _Entry] = {}
    departures = 0
    followers: list[_Entry] = []
    for _, entry in _sound_entries(bag):
        if entry.trip == trip and entry.kind == "departed" and entry.follows is None:
            departures += 1
            # On one device the order of writing counts, whatever its clock said.
            if entry.device not in first or entry.seq < first[entry.device].seq:
                first[entry.device] = entry
        if entry.follows is not None and len(followers) < _CHANGES_MAX:
            followers.append(entry)
    departed = min(first.values(), key=lambda entry: entry.entry_time, default=None)
    if departures > 1:
        finds.note(
            "departed-twice",
            f"trip {trip}",
            f"{departures} departures stand here. What follows tells what was known at the first "
            "that was written down.",
        )
    vouched = departed is not None and departed.seq <= max(
        reach.get(departed.device, -1) for reach in (finds.outside, finds.chained)
    )
    before: Counter[str] = Counter()
    after: Counter[str] = Counter()
    beside = 0
    beside_after: Counter[str] = Counter()
    for _, entry in _sound_entries(bag):
        stood = departed is not None and _stood(entry, departed)
        if entry.trip == trip:
            (before if stood else after)[entry.kind] += 1
        elif stood:
            beside += 1
        else:
            beside_after[entry.kind] += 1
    return Story(
        departed=None if departed is None else departed.where,
        vouched=vouched,
        happened=None if departed is None else _stamp(departed.event_time),
        written=None if departed is None else _stamp(departed.entry_time),
        before=dict(sorted(before.items())),
        beside=beside,
        after=dict(sorted(after.items())),
        beside_after=dict(sorted(beside_after.items())),
        changes=tuple(_changes(bag, followers)),
    )


def _sound_entries(bag: _Bag) -> Iterator[tuple[int, _Entry]]:
    unread = 0
    for number, line, plain in _read_entries(bag):
        try:
            yield number, plain or _entry(_parsed(line)[0], _digest(line))
        except ValueError:
            # Reported when the line itself was checked, which ended after as many.
            unread += 1
            if unread >= _UNREADABLE_MAX:
                return


def _stood(entry: _Entry, departed: _Entry) -> bool:
    """Whether an entry had been written down when the departure was."""
    if entry.device == departed.device:
        return entry.seq <= departed.seq
    return entry.entry_time <= departed.entry_time


def _changes(bag: _Bag, followers: list[_Entry]) -> Iterator[Change]:
    targets = _look_up(bag, {entry.follows for entry in followers if entry.follows is not None})
    met = targets | {entry.hash: entry for entry in followers}
    opened = _opened_values(bag, met)
    # What takes something back comes first: nothing else says that it is gone.
    for entry in sorted(
        followers,
        key=lambda entry: (
            entry.kind != "entry_withdrawn",
            entry.entry_time,
            entry.device,
            entry.seq,
        ),
    ):
        target = targets.get(entry.follows or "")
        if target is None or entry.kind not in (target.kind, "entry_withdrawn"):
            continue
        takes_back = entry.kind != target.kind
        why = opened.get((entry.hash, "reason" if takes_back else "correction_reason"))
        yield Change(
            kind=target.kind,
            where=entry.where,
            happened=_stamp(entry.event_time),
            written=_stamp(entry.entry_time),
            takes_back=takes_back,
            of_where=target.where,
            of_happened=_stamp(target.event_time),
            of_written=_stamp(target.entry_time),
            differences=() if takes_back else tuple(_differences(target, entry, opened)),
            why=why if isinstance(why, str) else None,
        )


def _differences(
    old: _Entry, new: _Entry, opened: Mapping[tuple[str, str], Any]
) -> Iterator[Difference]:
    if old.event_time != new.event_time:
        yield Difference(name="event_time", was=_stamp(old.event_time), now=_stamp(new.event_time))
    for name in sorted({*old.said, *new.said}):
        was, now = _value_text(old.said, name), _value_text(new.said, name)
        if was != now:
            was, now = _cut_alike(was, now)
            yield Difference(name=name, was=was, now=now)
    for name in sorted({*old.private, *new.private} - {"correction_reason"}):
        was = _value_text(opened, (old.hash, name))
        now = _value_text(opened, (new.hash, name))
        if was != now or was is None:
            was, now = _cut_alike(was, now)
            yield Difference(name=f"{name} (private)", was=was, now=now)


def _value_text(values: Mapping[Any, Any], name: Any) -> str | None:
    if name not in values:
        return None
    value = values[name]
    return value if isinstance(value, str) else canonical_bytes(value).decode()


def _cut_alike(was: str | None, now: str | None) -> tuple[str | None, str | None]:
    """Two long texts from where they begin to differ, so that the difference can be seen."""
    if max(len(was or ""), len(now or "")) <= _SHOWN_LETTERS:
        return was, now
    pairs = enumerate(zip_longest(was or "", now or ""))
    alike = next((place for place, (one, other) in pairs if one != other), 0)
    begin = max(0, alike - _SHOWN_LETTERS // 4)

    def cut(text: str | None) -> str | None:
        if text is None:
            return None
        left = text[begin : begin + _VALUE_SHOWN]
        more = "..." if len(text) > begin + _VALUE_SHOWN else ""
        return f"{'...' if begin else ''}{left}{more}"

    return cut(was), cut(now)


def _stamp(moment: datetime) -> str:
    return f"{moment:%Y-%m-%dT%H:%M:%S}.{moment.microsecond // 1000:03d}Z"


# --- Files that go with entries --------------------------------------------------------------

_DESTROYED = "openings_destroyed"
_PHOTOS = "data/photos/"


_TRAIL = "data/trail.json"
_ADDED_IN_TRAIL = frozenset(("hash", "entered_late_by_s", "opened", "withheld"))


def _compare_retold(bag: _Bag, finds: _Finds, *, is_trip: bool) -> None:
    """Compare the records of trail.json, which people read, with the entries that they retell.

    The values that could be read are compared in the bundle of a trip; in a store they are too many
    to be held, and the openings have them.
    """
    if _TRAIL not in bag.sizes or _ENTRIES not in bag.sizes:
        return
    opened: dict[str, dict[str, Any]] = {}
    for opening in _read_openings(bag, _Finds()) if is_trip else ():
        opened.setdefault(opening.entry, {})[opening.field] = opening.value
    retold = (
        line.strip().rstrip(b",") for _, line in _lines(bag, _TRAIL) if line.strip() not in _ENDS
    )
    entries = (line.removesuffix(b"\n") for _, line in _lines(bag, _ENTRIES))
    for number, (told, entry) in enumerate(zip_longest(retold, entries), start=1):
        if told is None or entry is None or not _retells(told, entry, opened if is_trip else None):
            finds.problem(
                "trail-differs",
                f"{_TRAIL} record {number}",
                "It does not retell the entry that stands in the same place of the log. It is the "
                "first that does not; from here on the two were not compared.",
            )
            return


_ENDS = (b"[", b"]", b"[]", b"")


def _retells(told: bytes, entry: bytes, opened: Mapping[str, Mapping[str, Any]] | None) -> bool:
    try:
        record = _said(told)
        digest = _digest(entry)
        own = {name: value for name, value in record.items() if name not in _ADDED_IN_TRAIL}
        late = _time(own["entry_time"]) - _time(own["event_time"])
        return (
            canonical_bytes(own) == entry
            and record.get("hash") == digest
            and record.get("entered_late_by_s") == max(0, int(late.total_seconds()))
            and (opened is None or record.get("opened") == opened.get(digest, {}))
        )
    except (ValueError, KeyError, AttributeError, RecursionError):
        return False


_PLANS = "data/plans/"
_REVISIONS = "data/plans/revisions.json"


class _Plans:
    """Compares the files of plans and findings of a trip, and their list, with its entries."""

    def __init__(self, bag: _Bag, finds: _Finds) -> None:
        self._bag = bag
        self._finds = finds
        self._plans: dict[str, _Entry] = {}
        self._judged: dict[str, _Entry] = {}
        self._departed_with: set[object] = set()
        self._followers: set[tuple[str, str]] = set()
        self._followed: set[str] = set()

    def take(self, entry: _Entry) -> None:
        """Meet an entry of the trip."""
        if entry.kind == "plan_recorded":
            self._plans[entry.hash] = entry
        elif entry.kind == "plan_judged":
            self._judged[entry.hash] = entry
        elif entry.kind == "departed":
            self._departed_with.add(entry.said.get("revision"))
        if entry.follows is not None:
            self._followers.add((entry.follows, entry.kind))

    def settle(self) -> None:
        """Compare the files, when every entry has streamed by."""
        for one in (*self._plans.values(), *self._judged.values()):
            # Only what replaces it or takes it back frees it.
            if self._followers & {(one.hash, one.kind), (one.hash, "entry_withdrawn")}:
                self._followed.add(one.hash)
        here = [name for name in sorted(self._bag.sizes) if name.startswith(_PLANS)]
        if not here:
            return
        named = {self._plan_file(one): one.said.get("document") for one in self._plans.values()}
        named |= {
            self._findings_file(one): one.said.get("findings") for one in self._judged.values()
        }
        for name in here:
            if name == _REVISIONS:
                self._compare_list()
            elif name not in named:
                self._differs(name, "No entry here is about a plan or findings of this name.")
            elif self._read(name) != canonical_bytes(named[name]):
                self._differs(name, "It is not what the entry it is named by has recorded.")
        # What was replaced or taken back need not be here.
        for one in (*self._plans.values(), *self._judged.values()):
            of_plan = one.kind == "plan_recorded"
            name = self._plan_file(one) if of_plan else self._findings_file(one)
            if one.hash not in self._followed and name not in self._bag.sizes:
                self._finds.problem("plan-missing", f"file {name}", f"{one.where} is about it.")

    def _differs(self, name: str, sentence: str) -> None:
        self._finds.problem("plan-differs", f"file {name}", sentence)

    def _read(self, name: str) -> bytes | None:
        try:
            return canonical_bytes(_said(_small_file(self._bag, name)))
        except (ValueError, RecursionError, *_READ_ERRORS):
            return None

    def _number(self, revision: object) -> int:
        entry = self._plans.get(revision) if isinstance(revision, str) else None
        number = None if entry is None else entry.said.get("number")
        return number if type(number) is int else 0

    def _plan_file(self, entry: _Entry) -> str:
        return f"{_PLANS}plan-{self._number(entry.hash):03d}-{entry.hash[:8]}.json"

    def _findings_file(self, entry: _Entry) -> str:
        number = self._number(entry.said.get("revision"))
        return f"{_PLANS}findings-{number:03d}-{entry.hash[:8]}.json"

    def _compare_list(self) -> None:
        """Compare the list of revisions: which one departed, what was found about each."""
        try:
            listed = _said(_small_file(self._bag, _REVISIONS))
            said = {one["revision"]: canonical_bytes(_ordered(one)) for one in listed}
            whole = len(said) == len(listed)
        except (ValueError, KeyError, TypeError, RecursionError, *_READ_ERRORS):
            said, whole = {}, False
        true = {digest: canonical_bytes(self._revision(one)) for digest, one in self._plans.items()}
        needed = true.keys() - self._followed
        if (
            not whole
            or not needed <= said.keys()
            or any(true.get(digest) != told for digest, told in said.items())
        ):
            self._differs(_REVISIONS, "It does not list the plans and findings as recorded.")

    def _revision(self, entry: _Entry) -> dict[str, Any]:
        found = [
            {
                "file": self._findings_file(one).removeprefix("data/"),
                "entry": one.hash,
                "entry_time": _stamp(one.entry_time),
                "rules": _rules_judged(one),
            }
            for one in self._judged.values()
            if one.said.get("revision") == entry.hash and one.hash not in self._followed
        ]
        return _ordered(
            {
                "number": self._number(entry.hash),
                "revision": entry.hash,
                "entry_time": _stamp(entry.entry_time),
                "departed_with": entry.hash in self._departed_with,
                "plan": self._plan_file(entry).removeprefix("data/"),
                "findings": found,
            }
        )


def _ordered(revision: dict[str, Any]) -> dict[str, Any]:
    """A revision with its findings in an order of their own."""
    return revision | {"findings": sorted(revision["findings"], key=lambda one: str(one["entry"]))}


def _rules_judged(entry: _Entry) -> list[Any]:
    findings = entry.said.get("findings")
    used = findings.get("rule_sets") if isinstance(findings, dict) else None
    return [one.get("id") for one in used or () if isinstance(one, dict)]


class _Attachments:
    """Compares the files that entries name by their fingerprints, such as photos."""

    def __init__(self, bag: _Bag, finds: _Finds) -> None:
        self._bag = bag
        self._finds = finds
        self._named: dict[str, dict[str, str]] = {}
        self._destroyed: set[str] = set()

    def take(self, entry: _Entry) -> None:
        """Meet an entry, in the order of the file."""
        self._destroyed.update(entry.destroyed)
        if entry.attached is not None:
            digest, file = entry.attached
            self._named.setdefault(f"data/{file}", {}).setdefault(digest, entry.where)

    def settle(self) -> None:
        """Compare what was met, when every entry has streamed by."""
        for name, digests in self._named.items():
            found = _digest_of_file(self._bag, name) if name in self._bag.sizes else None
            for digest, where in digests.items():
                self._compare(name, digest, found, where)
        for name in sorted(self._bag.sizes):
            if name.startswith(_PHOTOS) and name not in self._named:
                self._finds.problem(
                    "attachment-stray", f"file {name}", "No entry here says that it goes with it."
                )

    def _compare(self, name: str, digest: str, found: str | None, where: str) -> None:
        self._finds.counts["attachments"] += 1
        if found is not None and found != digest:
            self._finds.problem(
                "attachment-altered",
                where,
                f"{name} is not the file that this entry goes with: its bytes do not give the "
                "fingerprint that was written down.",
            )
        elif found is None and digest in self._destroyed:
            self._finds.counts["attachments_destroyed"] += 1
            self._finds.note(
                "attachment-destroyed", where, f"{name} was destroyed; an entry here says so."
            )
        elif found is None:
            self._finds.problem("attachment-missing", where, f"{name} goes with it; not here.")


def _digest_of_file(bag: _Bag, name: str) -> str:
    """The fingerprint of a file as far as it can be read."""
    digest = hashlib.sha256()
    try:
        with bag.open(name) as source:
            while chunk := source.read(_CHUNK_BYTES):
                digest.update(chunk)
    except _READ_ERRORS:
        return "unreadable"
    return digest.hexdigest()


# --- The whole check -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """What somebody holds from elsewhere, to compare a bundle with.

    `trip_heads` are hashes of entries that must be in it, `checkpoints` signed notes, `codes` the
    letters of a checkpoint as they stand on paper, `keys` public keys as a log records them.
    """

    heads: tuple[OutsideHead, ...] = ()
    trip_heads: tuple[str, ...] = ()
    checkpoints: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()


def verify(path: str | Path, outside: Outside | None = None) -> Report:
    """Check the bundle at `path`, a folder or a .zip, against itself and what is held outside.

    Raises `UnreadableBundle` if there is nothing that can be checked, `ValueError` for something
    held outside that is not what it should be.
    """
    outside = outside or Outside()
    keys = [_public_key(text) for text in outside.keys]
    signed = [_checkpoint(text) for text in outside.checkpoints]
    finds = _Finds()
    try:
        with closing(_open_bag(Path(path), finds)) as bag:
            _check_bag(bag, finds)
            card = _read_card(bag, finds)
            checkpoints = _Checkpoints(bag, card, keys, signed, finds)
            trail = _Trail(bag, card, outside.heads, checkpoints, finds)
            trail.check()
            _compare_trip_heads(bag, outside.trip_heads, finds)
            checkpoints.compare_codes(outside.codes)
            destroyed = _count_destroyed(bag, trail.destroyed, finds)
            _compare_withheld(card, trail.own_export, finds)
            of_trip = card is not None and card.trip is not None
            story = _told(bag, card.trip, finds) if of_trip and card and card.trip else None
    except OSError as error:
        raise UnreadableBundle(
            f"{path} cannot be read ({error.strerror or error}): look at the medium and the "
            "rights, and try again."
        ) from error
    counts = finds.counts
    counts["destroyed"] = sum(destroyed.values())
    counts["withheld"] = counts["private_fields"] - counts["opened"] - counts["destroyed"]
    return Report(
        scope=card.scope if card else None,
        trip=card.trip if card else None,
        invented=trail.invented,
        problems=finds.problems(),
        notes=finds.notes(),
        counts=dict(sorted(counts.items())),
        heads=trail.heads(),
        limits=tuple(_limits(card, counts)),
        withheld={name: count for name, count in sorted(finds.closed.items()) if count > 0},
        destroyed=destroyed,
        reaches=trail.reaches(),
        story=story,
    )


def entry_lines(path: str | Path) -> Iterator[bytes]:
    """The bytes of each entry of a bundle as they stand there; nothing is checked.

    Raises `UnreadableBundle` if there is no bundle.
    """
    yield from lines_in(path, "entries.jsonl")


def lines_in(path: str | Path, name: str) -> Iterator[bytes]:
    """The lines of a file of a bundle, named below data/, as they stand there; none without it.

    Nothing is checked. Raises `UnreadableBundle` if there is no bundle.
    """
    with closing(_open_bag(Path(path), _Finds())) as bag:
        for _, line in _lines(bag, f"data/{name}"):
            yield line.removesuffix(b"\n")


def file_in(path: str | Path, name: str) -> bytes | None:
    """The bytes of a file of a bundle, named below data/, as they are there; None without it.

    Nothing is checked. Raises `UnreadableBundle` if there is no bundle.
    """
    with closing(_open_bag(Path(path), _Finds())) as bag:
        if f"data/{name}" not in bag.sizes:
            return None
        with bag.open(f"data/{name}") as source:
            return source.read()


def _compare_trip_heads(bag: _Bag, trip_heads: tuple[str, ...], finds: _Finds) -> None:
    found = _look_up(bag, set(trip_heads))
    for digest in trip_heads:
        if digest in found:
            finds.vouched(found[digest].device, found[digest].seq, by_chain=True)
        else:
            finds.problem(
                "outside-head-missing",
                f"head from outside {digest}",
                "No entry here has this fingerprint: the entry it was taken from was altered or "
                "removed, or belongs to something else.",
            )


def _limits(card: _Card | None, counts: Counter[str]) -> Iterator[str]:
    yield (
        "The log is tamper-evident: a change shows against a fingerprint held elsewhere. "
        "Nothing in it stops anybody from making the change."
    )
    yield (
        "Tables, sheets, the worksheet, figures and pictures were compared with the list of files "
        "alone, which can be made anew with them. Where one differs from the entries, the entries "
        "hold. Plans, findings and trail.json were compared with the entries, where they are here."
    )
    if counts["outside_heads_compared"]:
        yield (
            "What a head from outside vouches for was not changed since that head left. "
            "Entries after it, and on other devices, rest on this bundle alone."
        )
    else:
        yield (
            "No head from outside was compared. Whoever holds the machine could have written the "
            "whole log anew before this bundle was made, and nothing in here would show it."
        )
    if counts["time_stamps"]:
        yield (
            "A time-stamp counts once its signature has been checked against the authority's own "
            "certificate: then nothing under that head was written, or changed, after its time."
        )
    if counts["after_head"]:
        yield (
            "No signature in here covers what stands after the signed head, or holds it: entries "
            f"at the end, {counts['after_head']} in number."
        )
    if card is not None and card.scope == "trip":
        yield (
            "This is one trip. What else the devices recorded is not here, and what was recorded "
            "after the last entry here cannot be seen."
        )
    hidden = counts["withheld"] + counts["destroyed"]
    if hidden:
        yield (
            f"{hidden} private fields are withheld or were destroyed. "
            "What they say is not known, and may matter."
        )
    yield (
        "Whether an entry is true, whether anybody looked at the load, and what was never "
        "entered, no check of a file can tell."
    )


def _shown(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M:%S} UTC"


def _span(span: timedelta) -> str:
    minutes = int(span.total_seconds()) // 60
    if minutes < 1:
        return f"{int(span.total_seconds())} s"
    if minutes < 60:
        return f"{minutes} min"
    return f"{minutes // 60} h {minutes % 60} min"


# --- On a terminal ---------------------------------------------------------------------------


_WIDTH = 79
_REMARKS_SHOWN = 6
_NOTES_SHOWN = 1
_CHANGES_SHOWN = 3
_DIFFERENCES_SHOWN = 4
_SHOWN_LETTERS = 60


def as_text(report: Report) -> str:
    """The report as about a page for people; what is cut short says so, and as_dict has all."""
    counts = report.counts
    lines = []
    if report.invented:
        lines += ["INVENTED   This bundle holds invented demonstration data.", ""]
    what = {"trip": f"one trip, {report.trip}", "store": "a whole store"}
    lines += [
        f"bundle     {what.get(report.scope or '', 'does not say what it holds')}",
        *_under(
            "read       ",
            f"{counts.get('files', 0)} files, {counts.get('entries', 0)} entries of "
            f"{counts.get('devices', 0)} devices; each line written again in its one form and "
            f"compared ({MODE})",
        ),
        *_signed(counts),
        *_under("outcome    ", _outcome(report)),
    ]
    lines += _remark_lines("Does not match", report.problems, _REMARKS_SHOWN)
    if report.story is not None:
        lines += _story_lines(report.story)
    lines += _note_lines(report.notes, has_story=report.story is not None)
    lines += ["", "Private fields", *_private_lines(report)]
    lines += ["", "Is anything missing, and up to where can that be said"]
    lines += _reach_lines(report)
    lines += ["", "What this check cannot know"]
    for limit in report.limits:
        lines += _under("  ", limit)
    lines += ["", "Last entries found (to note down, or to compare with what you hold)"]
    lines += _cut([f"  {head}" for head in report.heads] or ["  none"], _REMARKS_SHOWN)
    # A log can hold any text: what would steer a terminal is shown as its code.
    return "".join(
        char if char.isprintable() or char == "\n" else f"U+{ord(char):04X}"
        for char in "\n".join((*lines, ""))
    )


def _under(lead: str, text: str) -> list[str]:
    """Text behind a lead, broken to the width of a page, each line below the first's text."""
    return textwrap.wrap(
        " ".join(text.split()),
        _WIDTH,
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
        break_long_words=False,
        break_on_hyphens=False,
    )


def _cut(lines: list[str], most: int) -> list[str]:
    if len(lines) <= most:
        return lines
    return [*lines[:most], f"  and {len(lines) - most} more; --json has all"]


def _remark_lines(title: str, remarks: Sequence[Remark], most: int) -> Iterator[str]:
    if remarks:
        yield ""
        yield title
    for remark in remarks[:most]:
        yield f"  {remark.code}: {remark.where}"
        yield from _under("      ", remark.sentence)
    if len(remarks) > most:
        yield f"  and {len(remarks) - most} more; --json has all"


def _note_lines(notes: Sequence[Remark], *, has_story: bool) -> Iterator[str]:
    """Each sort of note with its number and the first of it; changes are in a trip's story."""
    shown = [note for note in notes if not (has_story and note.code == "correction")]
    if shown:
        yield ""
        yield "To look at"
    for code in dict.fromkeys(note.code for note in shown):
        alike = [note for note in shown if note.code == code]
        for note in alike[:_NOTES_SHOWN]:
            yield from _under("  ", f"{code}: {note.where}. {note.sentence}")
        if len(alike) > _NOTES_SHOWN:
            yield f"    and {len(alike) - _NOTES_SHOWN} more {code}; --json has all"


def _story_lines(story: Story) -> Iterator[str]:
    yield ""
    yield "Known at departure"
    if story.departed is None:
        yield "  No departure stands here."
        yield from _under("  entered: ", _kinds(story.after))
    else:
        yield from _under(
            "  ",
            f"Departed {_read_time(story.happened)}, entered {_read_time(story.written)} as "
            f"{story.departed}. With it stood {sum(story.before.values())} entries of the trip and "
            f"{story.beside} beside it (people, vehicle, gear):",
        )
        yield from _under("  ", _kinds(story.before))
        yield ""
        yield "Added afterwards"
        yield from _under("  ", _kinds(story.after) or "nothing")
        if story.beside_after:
            yield from _under("  ", f"beside the trip: {_kinds(story.beside_after)}")
    yield ""
    yield "Changed (both stand)"
    if not story.changes:
        yield "  Nothing was corrected or taken back."
    for change in story.changes[:_CHANGES_SHOWN]:
        yield from _change_lines(change, story)
    if len(story.changes) > _CHANGES_SHOWN:
        yield f"  and {len(story.changes) - _CHANGES_SHOWN} more; --json has all"


def _change_lines(change: Change, story: Story) -> Iterator[str]:
    when = ""
    if story.written is not None:
        when = " after" if change.written > story.written else " before"
        when = f",{when} the departure was entered"
    yield from _under(
        "  ",
        f"{_kind(change.kind)}: {change.where} {'takes back' * change.takes_back}"
        f"{'replaces' * (not change.takes_back)} {change.of_where}{when}",
    )
    yield f"      was  of {_read_time(change.of_happened)}, entered {_read_time(change.of_written)}"
    yield f"      now  of {_read_time(change.happened)}, entered {_read_time(change.written)}"
    for one in change.differences[:_DIFFERENCES_SHOWN]:
        yield from _under("      ", f"{one.name}: {_brief(one.was)} -> {_brief(one.now)}")
    more = len(change.differences) - _DIFFERENCES_SHOWN
    if more > 0:
        yield f"      and {more} more fields; --json has all"
    yield from _under("      ", f"why: {_brief(change.why)}")


def _brief(value: str | None) -> str:
    if value is None:
        return "(none, or cannot be read)"
    return value if len(value) <= _SHOWN_LETTERS else f"{value[:_SHOWN_LETTERS]}..."


def _kind(name: str) -> str:
    return name.replace("_", " ")


def _kinds(counts: Mapping[str, int]) -> str:
    return ", ".join(f"{count} {_kind(name)}" for name, count in counts.items())


def _read_time(text: str | None) -> str:
    return "" if text is None else f"{text[:10]} {text[11:19]} UTC"


def _private_lines(report: Report) -> Iterator[str]:
    counts = report.counts
    yield f"  {counts.get('opened', 0)} of {counts.get('private_fields', 0)} can be read"
    for lead, by_name in (("withheld", report.withheld), ("destroyed", report.destroyed)):
        if by_name:
            named = ", ".join(f"{name} {count}" for name, count in by_name.items())
            yield from _under("  ", f"{lead}: {sum(by_name.values())} ({named})")


def _reach_lines(report: Report) -> Iterator[str]:
    whose = "of this trip " if report.scope == "trip" else ""
    here = [reach for reach in report.reaches if reach.last is not None]
    if not here:
        yield "  Nothing can be said."
    for reach in here[:_REMARKS_SHOWN]:
        said = f"device {reach.device}: entries {whose}up to number {reach.last} are here (its"
        said += " first is number 0)"
        said += ", each linked to the one before. " if report.matches else "; see above. "
        if reach.signed is None:
            said += "No signed head covers them. "
        else:
            said += f"A signed head covers numbers up to {reach.signed}. "
        if reach.outside is not None:
            said += f"A head given as held outside vouches for numbers up to {reach.outside}. "
        if reach.chain is not None:
            said += f"One of an entry vouches for those of the trip up to {reach.chain}. "
        if reach.outside is None and reach.chain is None:
            said += "No head from outside was compared."
        yield from _under("  ", said)
    if len(here) > _REMARKS_SHOWN:
        yield f"  and {len(here) - _REMARKS_SHOWN} more devices; --json has all"


def _signed(counts: Mapping[str, int]) -> Iterator[str]:
    """How many signed heads hold, and what leads to them; nothing where there is none."""
    heads, proven = counts.get("signatures", 0), counts.get("proven", 0)
    if heads:
        led = f"; {proven} entries lead to the last by their proofs" if proven else ""
        yield from _under("signed     ", f"{heads} heads of the log, with its own key{led}")


def _outcome(report: Report) -> str:
    if report.matches:
        whole = "everything that can be compared matches"
        outside = report.counts.get("outside_heads_compared", 0)
        heads = f"; what was given from outside leads here, {outside} in number" if outside else ""
        if outside and report.story is not None and not report.story.vouched:
            heads += ", and vouches for no departure"
        return f"{whole} (tables, sheets, figures and pictures cannot, see below){heads}"
    count = len(report.problems)
    return f"{count} {'thing does' if count == 1 else 'things do'} not match"


def outside_head(text: str) -> OutsideHead:
    """The head that DEVICE:SEQ:HASH names; raises ValueError if it is written otherwise."""
    device, _, rest = text.partition(":")
    seq, _, digest = rest.partition(":")
    if not device or not re.fullmatch("[0-9]+", seq) or not _HASH.fullmatch(digest.lower()):
        raise ValueError(
            f"{text!r} is no head: write DEVICE:SEQ:HASH, with the 64 hex digits of a SHA-256."
        )
    return OutsideHead(device=device, seq=int(seq), hash=digest.lower())


def _trip_head(text: str) -> str:
    if not _HASH.fullmatch(text.lower()):
        raise ValueError(f"{text!r} is no trip head: write the 64 hex digits of a SHA-256.")
    return text.lower()


def note_in(path: Path) -> str:
    """The text of a checkpoint in a file; ValueError, in words, if it cannot be read."""
    if path.exists() and not path.is_file():
        raise ValueError(f"{path} is no file: name the file of a checkpoint.")
    try:
        with path.open("rb") as file:
            return file.read(_NOTE_BYTES_MAX).decode()
    except OSError as error:
        raise ValueError(f"{path} cannot be read: {error.strerror or error}.") from error
    except UnicodeDecodeError as error:
        raise ValueError(f"{path} is no text, so no checkpoint: name the file of one.") from error


def main(arguments: list[str]) -> int:
    """Run the check as a command; the answer is the exit code."""
    parser = argparse.ArgumentParser(
        prog="verify.py", description="Check a bundle of a trip log. Nothing is changed or sent."
    )
    parser.add_argument("bundle", metavar="BUNDLE", help="a bundle folder, or its .zip")
    parser.add_argument(
        "--head",
        action="append",
        default=[],
        metavar="DEVICE:SEQ:HASH",
        help="a head you hold from elsewhere; may be given more than once",
    )
    parser.add_argument(
        "--trip-head",
        action="append",
        default=[],
        metavar="HASH",
        help="the fingerprint of an entry that must be in here; may be given more than once",
    )
    parser.add_argument(
        "--checkpoint",
        action="append",
        default=[],
        metavar="FILE",
        help="a signed checkpoint you hold from elsewhere; may be given more than once",
    )
    parser.add_argument(
        "--code",
        action="append",
        default=[],
        metavar="LETTERS",
        help="the twenty letters of a checkpoint on paper; may be given more than once",
    )
    parser.add_argument(
        "--public-key",
        action="append",
        default=[],
        metavar="KEY",
        help="a public key you hold from elsewhere; may be given more than once",
    )
    parser.add_argument("--json", action="store_true", help="print the report as JSON")
    chosen = parser.parse_args(arguments)
    try:
        report = verify(
            chosen.bundle,
            Outside(
                heads=tuple(outside_head(text) for text in chosen.head),
                trip_heads=tuple(_trip_head(text) for text in chosen.trip_head),
                checkpoints=tuple(note_in(Path(name)) for name in chosen.checkpoint),
                codes=tuple(chosen.code),
                keys=tuple(chosen.public_key),
            ),
        )
    except ValueError as error:
        print(f"verify.py: {error}", file=sys.stderr)
        return 2
    if chosen.json:
        print(json.dumps(report.as_dict(), indent=2))
    else:
        sys.stdout.write(as_text(report))
    return 0 if report.matches else 1


if __name__ == "__main__":
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    raise SystemExit(main(sys.argv[1:]))
