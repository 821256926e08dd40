"""A second checker of bundles, written from exports/FORMAT.md alone.

It shares no code with `exports/verify.py`, says less, reads everything at once and leans on general
libraries (rfc8785, cryptography). Where the two do not agree on a bundle, one of them or the page
is wrong.
"""

import hashlib
import json
import re
import zipfile
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import rfc8785

from tests.exports.second_reader_heads import Signed, climb, follows, is_signed, root, signed

FIELDS = {
    "device", "seq", "prev", "trip", "trip_prev", "kind", "v", "event_time", "event_offset_min",
    "entry_time", "clock", "by", "via", "body", "private", "follows", "idem",
}  # fmt: skip
_TAGS = {"bagit.txt", "bag-info.txt", "manifest-sha256.txt"}
_HEX = re.compile("[0-9a-f]{64}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")


class NoBundle(ValueError):
    """There is nothing here that this page describes."""


@dataclass(slots=True)
class Reading:
    """What was found: faults in words, and counts."""

    faults: list[str] = field(default_factory=list)
    entries: int = 0
    private_fields: int = 0
    opened: int = 0
    signatures: int = 0
    proven: int = 0

    def need(self, holds: bool, fault: str) -> None:
        if not holds:
            self.faults.append(fault)


def read(path: Path) -> Reading:
    """Read and compare a whole bundle; NoBundle where there is none of this format."""
    found = Reading()
    files = _files(path, found)
    _folder(files, found)
    card = _card(files, found)
    lines = files.get("data/entries.jsonl", b"").split(b"\n")
    found.need(lines.pop() == b"", "the last line is not ended")
    entries = [one for one in (_entry(line, found) for line in lines) if one]
    found.entries = len(entries)
    found.need(bool(entries), "no entries")
    by_hash = dict(entries)
    _openings(files.get("data/openings.jsonl", b""), by_hash, found)
    if card:
        _chains(entries, card, found)
        _references(entries, by_hash, card, found)
        _checkpoints(files, entries, lines, card, found)
    return found


def _files(path: Path, found: Reading) -> dict[str, bytes]:
    if path.is_dir():
        there = [one for one in path.rglob("*") if one.is_symlink() or not one.is_dir()]
        found.need(not any(one.is_symlink() for one in there), "a link")
        return {
            one.relative_to(path).as_posix(): one.read_bytes()
            for one in there
            if not one.is_symlink()
        }
    try:
        with zipfile.ZipFile(path) as archive:
            members = [one for one in archive.infolist() if not one.is_dir()]
            outside = [one for one in members if ".." in one.filename or "\\" in one.filename]
            found.need(not outside, "a path outside")
            tops = {one.filename.split("/")[0] for one in members if one not in outside}
            packed = sum(one.compress_size for one in members)
            if len(tops) != 1 or sum(one.file_size for one in members) > 200 * max(packed, 1):
                raise NoBundle("not one folder, or no honest archive")
            plain = [one for one in members if one not in outside]
            return {one.filename.split("/", 1)[1]: _member(archive, one, found) for one in plain}
    except (zipfile.BadZipFile, OSError, IndexError) as problem:
        raise NoBundle(str(problem)) from problem


def _member(archive: zipfile.ZipFile, member: zipfile.ZipInfo, found: Reading) -> bytes:
    try:
        return archive.read(member)
    except zipfile.BadZipFile:
        found.faults.append(f"{member.filename} is damaged")
        return b""


def _folder(files: dict[str, bytes], found: Reading) -> None:
    """BagIt 1.0, narrowed."""
    if "bagit.txt" not in files:
        raise NoBundle("no bagit.txt")
    declared = b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    found.need(files["bagit.txt"] == declared, "another BagIt")
    found.need("fetch.txt" not in files, "fetch.txt")
    payload = {name for name in files if name.startswith("data/")}
    tags = set(files) - payload - {"tagmanifest-sha256.txt"}
    for manifest, listed in (("manifest-sha256.txt", payload), ("tagmanifest-sha256.txt", tags)):
        found.need(_manifest(files.get(manifest, b"")) == {
            name: hashlib.sha256(files[name]).hexdigest() for name in listed
        }, f"{manifest} and the files differ")  # fmt: skip
    found.need(tags >= _TAGS, "a tag file is missing")
    oxum = f"{sum(len(files[name]) for name in payload)}.{len(payload)}"
    info = files.get("bag-info.txt", b"").decode(errors="replace").splitlines()
    found.need(f"Payload-Oxum: {oxum}" in info, "the oxum differs")


def _manifest(data: bytes) -> dict[str, str]:
    listed = {}
    for line in data.decode(errors="replace").splitlines():
        digest, _, name = line.partition(" ")
        for coded, plain in (("%0A", "\n"), ("%0D", "\r"), ("%25", "%")):
            name = name.replace(coded, plain)
        listed[name.strip(" \t")] = digest.lower()
    return listed


def _card(files: dict[str, bytes], found: Reading) -> dict[str, Any] | None:
    try:
        card = json.loads(files["data/bundle.json"])
        if card["format"] != "triplog-bundle/1":
            raise NoBundle(f"format {card['format']}")
        for head in card["heads"].values():
            if not (_HEX.fullmatch(head["hash"]) and head["seq"] >= 0 and head["entries"] > 0):
                raise ValueError(head)
        if card["scope"] not in ("store", "trip") or (card["scope"] == "trip") != bool(
            card["trip"]
        ):
            raise ValueError(card["scope"])
    except NoBundle:
        raise
    except (KeyError, TypeError, ValueError, AttributeError):
        found.faults.append("bundle.json is not as described")
        return None
    return dict(card)


def _entry(line: bytes, found: Reading) -> tuple[str, dict[str, Any]] | None:
    try:
        entry = json.loads(line)
        found.need(rfc8785.dumps(entry) == line, "a line is not canonical")
        found.need(not any(isinstance(one, float) for one in _values(entry)), "a fraction")
        whole = (
            entry.keys() >= FIELDS
            and type(entry["seq"]) is type(entry["v"]) is int
            and entry["seq"] >= 0
            and all(_TIME.fullmatch(entry[name]) for name in ("event_time", "entry_time"))
            and all(type(entry[name]) is str for name in ("device", "kind", "by", "via"))
            and all(type(entry[name]) is dict for name in ("clock", "body", "private"))
            and all(
                entry[name] is None or _HEX.fullmatch(entry[name])
                for name in ("prev", "trip_prev", "follows")
            )
        )
    except (ValueError, TypeError, AttributeError, rfc8785.CanonicalizationError):
        whole = False
    if not whole:
        found.faults.append("a line is no entry")
        return None
    return hashlib.sha256(line).hexdigest(), entry


def _values(value: Any) -> Iterator[Any]:
    if isinstance(value, dict):
        value = [*value.values()]
    if isinstance(value, list):
        for one in value:
            yield from _values(one)
    else:
        yield value


Entries = list[tuple[str, dict[str, Any]]]


def _chains(entries: Entries, card: dict[str, Any], found: Reading) -> None:
    of_trip = card["scope"] == "trip"
    chains: dict[str, Entries] = defaultdict(list)
    beside = []
    for digest, entry in entries:
        if not of_trip or entry["trip"] == card["trip"]:
            chains[entry["device"]].append((digest, entry))
        else:
            beside.append(digest)
    found.need(sorted(beside) == sorted(card.get("beside") or []), "what lies beside differs")
    found.need(set(chains) == set(card["heads"]), "the devices differ")
    link = "trip_prev" if of_trip else "prev"
    for device, chain in chains.items():
        before: str | None = None
        for number, (digest, entry) in enumerate(chain):
            found.need(entry[link] == before, f"{device} {entry['seq']}: {link} does not fit")
            found.need(of_trip or entry["seq"] == number, f"{device}: number {number} is missing")
            before = digest
        head = card["heads"].get(device)
        told = {"hash": chain[-1][0], "seq": chain[-1][1]["seq"], "entries": len(chain)}
        found.need(head == told, f"{device}: the head differs")
    _order(entries, found)
    if not of_trip:
        _trip_links(entries, found)


def _order(entries: Entries, found: Reading) -> None:
    """Numbers of a device rise; `prev` fits wherever two follow each other."""
    last: dict[str, tuple[str, int]] = {}
    for digest, entry in entries:
        device, seq = entry["device"], entry["seq"]
        before, number = last.get(device, ("", -1))
        found.need(seq > number, f"{device} {seq} stands behind {number}")
        if seq == number + 1 and seq:
            found.need(entry["prev"] == before, f"{device} {seq}: prev does not fit")
        found.need((seq == 0) == (entry["prev"] is None), f"{device} {seq}: first or not")
        last[device] = digest, seq


def _trip_links(entries: Entries, found: Reading) -> None:
    last: dict[tuple[str, str], str] = {}
    for digest, entry in entries:
        if entry["trip"] is None:
            found.need(entry["trip_prev"] is None, "trip_prev without a trip")
            continue
        key = entry["device"], entry["trip"]
        found.need(entry["trip_prev"] == last.get(key), "trip_prev does not fit")
        last[key] = digest


def _references(
    entries: Entries, by_hash: dict[str, dict[str, Any]], card: dict[str, Any], found: Reading
) -> None:
    for _, entry in entries:
        if card["scope"] == "trip" and entry["trip"] != card["trip"]:
            continue
        follows = entry["follows"]
        found.need(follows is None or follows in by_hash, "what it follows is missing")
        for device, digest in entry["body"].get("trip_heads", {}).items():
            there = by_hash.get(digest)
            found.need(there is not None and there["device"] == device, "a recorded head is gone")


def _openings(data: bytes, by_hash: dict[str, dict[str, Any]], found: Reading) -> None:
    found.private_fields = sum(len(entry["private"]) for entry in by_hash.values())
    seen = set()
    for line in data.splitlines():
        try:
            one = json.loads(line)
            key = one["entry"], one["field"]
            made = hashlib.sha256(rfc8785.dumps([one["salt"], one["field"], one["value"]]))
            fits = by_hash[one["entry"]]["private"][one["field"]] == made.hexdigest()
        except (ValueError, KeyError, TypeError):
            found.faults.append("an opening opens nothing")
            continue
        found.need(fits, "an opening does not fit")
        found.need(key not in seen, "an opening stands twice")
        found.opened += fits and key not in seen
        seen.add(key)


def _checkpoints(
    files: dict[str, bytes],
    entries: Entries,
    lines: list[bytes],
    card: dict[str, Any],
    found: Reading,
) -> None:
    keys = [entry["body"].get("key") for _, entry in entries if entry["kind"] == "key_recorded"]
    notes = [
        entry["body"].get("signed_note")
        for _, entry in entries
        if entry["kind"] == "checkpoint_signed"
    ]
    try:
        heads = [signed(note) for note in notes]
        last = None
        if "data/checkpoint.txt" in files:
            last = signed(files["data/checkpoint.txt"].decode())
            heads.append(last)
        found.signatures = sum(is_signed(head, keys) for head in heads)
        found.need(found.signatures == len(heads), "a checkpoint is not signed by a key here")
    except (ValueError, TypeError, AttributeError):
        found.faults.append("a key or a checkpoint cannot be read")
        return
    if card["scope"] == "store":
        for head in heads:
            leaves = [
                line
                for line, (_, entry) in zip(lines, entries, strict=False)
                if entry["device"] == head.device
            ]
            whole = len(leaves) >= head.size
            found.need(
                whole and root(leaves[: head.size]) == head.root, "the entries give no such root"
            )
    elif last is not None:
        _proofs(files.get("data/proofs.jsonl", b""), entries, lines, heads, last, found)


def _proofs(
    data: bytes,
    entries: Entries,
    lines: list[bytes],
    heads: list[Signed],
    last: Signed,
    found: Reading,
) -> None:
    leaf = {
        entry["seq"]: hashlib.sha256(b"\x00" + line).digest()
        for line, (_, entry) in zip(lines, entries, strict=False)
        if entry["device"] == last.device
    }
    earlier = {head.size: head for head in heads if head.device == last.device}
    owed = {seq for seq in leaf if seq < last.size} | {
        -size for size in earlier if size != last.size
    }
    for line in data.splitlines():
        try:
            one = json.loads(line)
            hashes = [bytes.fromhex(each) for each in one["hashes"]]
            if "seq" in one:
                seq = one["seq"]
                holds = climb(seq, last.size, leaf[seq], hashes) == last.root
                found.proven += holds
                owed.discard(seq)
            else:
                old = earlier[one["old"]]
                holds = follows(old.size, last.size, old.root, last.root, hashes)
                owed.discard(-old.size)
        except (KeyError, ValueError, TypeError):
            holds = False
        found.need(holds, "a proof leads elsewhere")
    found.need(not owed, "proofs are missing")
