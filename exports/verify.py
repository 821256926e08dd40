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
import hashlib
import io
import json
import os
import re
import stat
import sys
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, BinaryIO, Protocol

_MIN_PYTHON = (3, 11)
if sys.version_info[:2] < _MIN_PYTHON:
    sys.stderr.write("This checker needs Python 3.11 or later: run it with a newer Python.\n")
    raise SystemExit(2)

BUNDLE_FORMAT = "triplog-bundle/1"
REPORT_FORMAT = "triplog-verify/1"

_ENTRIES = "data/entries.jsonl"
_OPENINGS = "data/openings.jsonl"
_CARD = "data/bundle.json"
_TAG_FILES = ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")
_TAG_MANIFEST = "tagmanifest-sha256.txt"

_FIELDS = (
    "device", "seq", "prev", "trip_prev", "kind", "v", "event_time", "event_offset_min",
    "entry_time", "clock", "by", "via", "trip", "body", "private", "follows", "idem",
)  # fmt: skip
_HASH = re.compile(r"[0-9a-f]{64}")
_SALT = re.compile(r"[0-9a-f]{32}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", re.ASCII)
_MANIFEST_LINE = re.compile(r"([0-9A-Fa-f]{64})[ \t]+\*?(.+)")
_OXUM = re.compile(r"Payload-Oxum:[ \t]*(\d+)\.(\d+)[ \t]*", re.ASCII)

_LATE = timedelta(minutes=15)
_CLOCK_STEP = timedelta(minutes=1)

_CHUNK_BYTES = 1 << 16
_LINE_BYTES_MAX = 16 << 20
_SMALL_FILE_BYTES_MAX = 64 << 20
# An archive that unpacks to more than this many times its size is no honest bundle.
_UNPACK_RATIO_MAX = 200
_LISTED_MAX = 1_000
_LOOKED_UP_AT_ONCE = 20_000
_GAPS_MAX = 100_000
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
class Report:
    """What was found in a bundle.

    `problems` is what does not match, `notes` what a reader should see, `counts` how many of
    each thing were met, `limits` what this check cannot know. `heads` are the last entries as
    found, as DEVICE:SEQ:HASH. `scope` is "trip", "store" or None if the bundle does not say;
    `trip` is None in a store bundle. `invented` is true for demonstration data.
    """

    scope: str | None
    trip: str | None
    invented: bool
    problems: tuple[Remark, ...]
    notes: tuple[Remark, ...]
    counts: Mapping[str, int]
    heads: tuple[str, ...]
    limits: tuple[str, ...]

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
        }


def _remark_as_dict(remark: Remark) -> dict[str, str]:
    return {"code": remark.code, "where": remark.where, "sentence": remark.sentence}


class _Finds:
    """Collects problems and notes: each once, and no more of a code than anybody would read."""

    def __init__(self) -> None:
        self.counts: Counter[str] = Counter()
        self._problems: list[Remark] = []
        self._notes: list[Remark] = []
        self._met: Counter[str] = Counter()
        self._seen: set[tuple[str, str]] = set()

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

    def open(self, name: str) -> BinaryIO: ...

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

    def open(self, name: str) -> BinaryIO:
        return (self._base / name).open("rb")

    def close(self) -> None:
        """There is nothing to close."""


class _Archive:
    def __init__(self, path: Path, finds: _Finds) -> None:
        try:
            self._zip = zipfile.ZipFile(path)
        except (zipfile.BadZipFile, NotImplementedError, ValueError) as error:
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
        for info in self._zip.infolist():
            name = info.orig_filename
            if info.flag_bits & 0x1:
                raise UnreadableBundle(
                    f"{name} in the archive is encrypted: ask for a bundle without a password."
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
            elif name in members:
                finds.problem(
                    "file-doubled",
                    f"file {name}",
                    "The archive holds two files of this name; the first was read.",
                )
            else:
                members[name] = info
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

    def open(self, name: str) -> BinaryIO:
        info = self._infos[name]
        if hasattr(info, "CRC"):
            # Without the archive's own checksum an altered file is read to its end, so that we
            # can say which entry was altered; the SHA-256 of the manifest is the judge.
            del info.CRC
        return self._zip.open(info)  # type: ignore[return-value]

    def close(self) -> None:
        self._zip.close()


def _leads_outside(name: str) -> bool:
    return "\\" in name or ":" in name or any(part in ("", ".", "..") for part in name.split("/"))


_READ_ERRORS = (OSError, EOFError, zipfile.BadZipFile, zlib.error, NotImplementedError)


def _open_bag(path: Path, finds: _Finds) -> _Bag:
    if path.is_dir():
        return _Folder(path, finds)
    if not path.exists():
        raise UnreadableBundle(f"There is nothing at {path}: name a bundle folder or its .zip.")
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


def _read_card(bag: _Bag, finds: _Finds) -> _Card | None:
    if _CARD not in bag.sizes:
        finds.problem(
            "file-missing",
            f"file {_CARD}",
            "Without it nothing says which entries should be here: only single lines are checked.",
        )
        return None
    try:
        data = _DECODER.decode(_small_file(bag, _CARD).decode())
        if isinstance(data, dict) and data.get("format", BUNDLE_FORMAT) != BUNDLE_FORMAT:
            raise UnreadableBundle(
                f"This bundle has the format {data['format']!r}; this checker reads "
                f"{BUNDLE_FORMAT}. Use the verify.py that belongs to the bundle's format."
            )
        return _card(data)
    except UnreadableBundle:
        raise
    except (ValueError, KeyError, TypeError, RecursionError) as error:
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
    if is_trip != isinstance(trip, str) or (not is_trip and trip is not None):
        raise ValueError("a trip bundle names its trip, a store bundle has null there")
    if type(data["invented"]) is not bool:
        raise ValueError("invented is neither true nor false")
    beside = frozenset(_need_hash(each) for each in data.get("beside", []))
    if beside and not is_trip:
        raise ValueError("a store bundle has nothing beside its chains")
    return _Card(
        scope=data["scope"], trip=trip, heads=heads, beside=beside, invented=data["invented"]
    )


def _need_hash(value: Any) -> str:
    if not isinstance(value, str) or not _HASH.fullmatch(value):
        raise ValueError(f"{value!r} is no SHA-256 in lower-case hex")
    return value


# --- One entry -------------------------------------------------------------------------------


def _whole_number(text: str) -> int:
    number = int(text)
    if not -_INTEGER_MAX <= number <= _INTEGER_MAX:
        raise ValueError(f"the number {text[:30]} is beyond 2^53 - 1")
    return number


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


@dataclass(slots=True, kw_only=True)
class _Entry:
    """The fields of a stored entry that this check uses; None where the entry has null."""

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
    )


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


def _digest(line: bytes) -> str:
    return hashlib.sha256(line.removesuffix(b"\n")).hexdigest()


def _look_up(bag: _Bag, wanted: set[str]) -> dict[str, _Entry]:
    """The entries of these hashes, as far as they are in the bundle: one pass over the file."""
    found: dict[str, _Entry] = {}
    if not wanted:
        return found
    for _, line in _lines(bag, _ENTRIES):
        digest = _digest(line)
        if digest in wanted and digest not in found:
            try:
                found[digest] = _entry(_parsed(line)[0], digest)
            except ValueError:
                continue  # reported when the line itself was checked
    return found
