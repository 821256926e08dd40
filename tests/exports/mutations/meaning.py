"""What a bundle means, told without the checker, and so what has to come of a damage.

Two bundles mean the same if their lists fit alike and the same entries, openings, proofs, signed
head and facts of bundle.json stand in them, however these are spaced, ordered or spelled where
FORMAT.md leaves that free.
"""

import hashlib
import json
import re
from collections import Counter
from enum import StrEnum
from typing import Any

from tests.exports.mutations.bag import INFO, MANIFEST, TAG_MANIFEST, Files

CARD, ENTRIES, OPENINGS = "data/bundle.json", "data/entries.jsonl", "data/openings.jsonl"
PROOFS, CHECKPOINT = "data/proofs.jsonl", "data/checkpoint.txt"
PHOTOS = "data/photos/"
EVIDENCE = (CARD, ENTRIES, OPENINGS, PROOFS, CHECKPOINT)
_DECLARED = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8"
# Where no head is signed, when a bundle was made stands on the word of whoever made it.
_OWN_WORD = ("made_at",)
_FACTS = ("format", "scope", "trip", "heads", "invented")


class Outcome(StrEnum):
    """What has to come of a damage."""

    NAMED = "changes what is meant"
    WITHHELD = "leaves private values out, which is counted"
    FOR_READING = "changes what is only for reading, with its lists"
    NOTHING = "changes nothing that is meant"


def outcome(whole: Files, damaged: Files) -> Outcome:
    """What the checker has to say of the second, when the first was whole."""
    if not _fits_its_lists(damaged):
        return Outcome.NAMED
    before, after = _evidence(whole), _evidence(damaged)
    opened, open_before = after.pop("openings"), before.pop("openings")
    if before != after or opened - open_before or not _retold(whole, damaged):
        return Outcome.NAMED
    if opened != open_before:
        # The entry about a bundle, under its signed head, says how many were left out.
        return Outcome.WITHHELD if before["head"] is None else Outcome.NAMED
    same = _for_reading(whole) == _for_reading(damaged)
    return Outcome.NOTHING if same else Outcome.FOR_READING


def _fits_its_lists(files: Files) -> bool:
    payload = {name for name in files if name.startswith("data/")}
    size = sum(len(files[name]) for name in payload)
    try:
        info = files[INFO].decode()
        oxum = re.findall(r"^Payload-Oxum:[ \t]*(\d+)\.(\d+)[ \t]*$", info, re.M | re.A)
        declared = "\n".join(re.split(r"\r\n|\r|\n", files["bagit.txt"].decode())[:2])
        return (
            declared == _DECLARED
            and [(int(bytes_), int(count)) for bytes_, count in oxum] == [(size, len(payload))]
            and _listed(files, MANIFEST) == _found(files, payload)
            and _listed(files, TAG_MANIFEST) == _found(files, set(files) - payload - {TAG_MANIFEST})
        )
    except (KeyError, ValueError):
        return False


def _listed(files: Files, manifest: str) -> dict[str, str]:
    listed: dict[str, str] = {}
    lines = re.split(r"\r\n|\r|\n", files[manifest].decode())
    for line in lines[:-1] if lines[-1] == "" else lines:
        match = re.fullmatch(r"([0-9a-fA-F]{64})[ \t]+\*?(.+)", line)
        if match is None or match[2] in listed:
            raise ValueError("no line of a list")
        listed[match[2]] = match[1].lower()
    return listed


def _found(files: Files, names: set[str]) -> dict[str, str]:
    return {name: hashlib.sha256(files[name]).hexdigest() for name in names}


def _evidence(files: Files) -> dict[str, Any]:
    text = files.get(CHECKPOINT)
    return {
        "entries": files.get(ENTRIES),
        "openings": Counter(_values(files.get(OPENINGS, b""), ("entry", "field", "salt", "value"))),
        "proofs": set(_values(files.get(PROOFS, b""), ("device", "seq", "old", "hashes"))),
        "head": None if text is None else _head(text),
        "card": _card(files.get(CARD)),
        "made_at": None if text is None else _made_at(files.get(CARD)),
        "photos": _photos(files),
    }


def _plans(files: Files) -> dict[str, object]:
    """What each file of plans and findings says, and the list of them, by name."""
    found: dict[str, object] = {}
    for name, data in files.items():
        if name.startswith("data/plans/"):
            try:
                found[name] = _read(data)
            except (ValueError, RecursionError):
                found[name] = data
    return found


def _retold(whole: Files, damaged: Files) -> bool:
    """Whether the plans and findings are those, each under its name, or all of them are gone."""
    left = _plans(damaged)
    return left == _plans(whole) or not left


def _photos(files: Files) -> Files:
    """What lies beside the log and goes with an entry of it."""
    return {name: data for name, data in files.items() if name.startswith(PHOTOS)}


def _head(text: bytes) -> tuple[bytes, frozenset[bytes]]:
    """What is signed, and the lines below it; one that stands there twice says nothing new."""
    signed, gap, below = text.rpartition(b"\n\n")
    return signed + gap, frozenset(below.splitlines(keepends=True))


def _values(data: bytes, names: tuple[str, ...]) -> list[str]:
    """What each line of objects says under these names; a line that cannot be read, as it is."""
    said: list[str] = []
    for line in data.removesuffix(b"\n").split(b"\n") if data else ():
        try:
            value = _read(line)
            said.append(json.dumps([value.get(name, "absent") for name in names]))
        except (ValueError, AttributeError, RecursionError):
            said.append(repr(line))
    return said


def _card(data: bytes | None) -> object:
    if data is None:
        return None
    try:
        card = _read(data)
        beside = sorted(set(card.get("beside", [])))
        if not isinstance(card.get("beside", []), list):
            raise TypeError("beside is no list")
        heads = {
            device: {name: head[name] for name in ("seq", "hash", "entries")}
            for device, head in card["heads"].items()
        }
        facts = card | {"heads": heads}
        return json.dumps([[facts.get(name, "absent") for name in _FACTS], beside], sort_keys=True)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return data


def _made_at(data: bytes | None) -> object:
    """When the card says that the bundle was made; what cannot be read, as it is."""
    try:
        return None if data is None else _read(data).get("made_at")
    except (ValueError, AttributeError, RecursionError):
        return data


def _read(data: bytes) -> Any:
    """A value of the set that entries are made of: no name twice, no fraction, no long number."""
    return json.loads(data.decode(), object_pairs_hook=_once, parse_float=_none, parse_int=_whole)


def _none(text: str) -> object:
    raise ValueError(f"{text} is no whole number")


def _whole(text: str) -> int:
    if len(text) > 17 or abs(int(text)) >= 2**53:
        raise ValueError("a number beyond the set")
    return int(text)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    names = dict(pairs)
    if len(names) != len(pairs):
        raise ValueError("a name stands twice")
    return names


def _for_reading(files: Files) -> tuple[Files, object]:
    rest = {n: d for n, d in files.items() if n.startswith("data/") and n not in EVIDENCE}
    card = json.loads(files[CARD])
    return rest, [card.get(name) for name in _OWN_WORD]
