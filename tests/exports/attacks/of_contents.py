"""Signed heads forged, openings exchanged, files swapped; every list of files made anew."""

import base64
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from tests.exports.attacks.attack import FOR_READING, Attack, Made
from tests.exports.attacks.signed_day import (
    AT_DEPARTURE,
    ENTRIES,
    OTHER_KEY,
    bag,
    head,
    proofs,
    signed_day,
)
from tests.exports.mutations.bag import MANIFEST, Files, relisted
from tests.specimens import builder
from tests.specimens.builder import Log, sha256
from triplog.journal.checkpoint import signed_of

PICTURE, OTHER_PICTURE = b"\xff\xd8\xff a strap at T1", b"\xff\xd8\xff a strap at T2"


def _changed(home: Path, day: Log, change: Callable[[Files], Files], *, trip: bool = True) -> Path:
    """The day's bundle after a change to its files, the lists made anew."""
    path = bag(home / "bundle", day, trip=trip)
    files = {
        one.relative_to(path).as_posix(): one.read_bytes()
        for one in path.rglob("*")
        if one.is_file()
    }
    after = relisted(change(files))
    for name in set(files) - set(after):
        (path / name).unlink()
    for name, data in after.items():
        (path / name).parent.mkdir(parents=True, exist_ok=True)
        (path / name).write_bytes(data)
    assert MANIFEST in after
    return path


# Signed heads


def _with_note(home: Path, note: str, *codes: str, trip: bool = False) -> Attack:
    day = signed_day()
    return Attack(path=bag(home / "bundle", day, trip=trip, note=note), alone=frozenset(codes))


def head_over_more_entries(home: Path) -> Attack:
    whole = head(signed_day()).text
    longer = whole.replace(f"\n{ENTRIES}\n", f"\n{ENTRIES + 1}\n")
    return _with_note(home, longer, "checkpoint-forged", "tail-cut")


def head_with_another_root(home: Path) -> Attack:
    whole = head(signed_day())
    other = base64.b64encode(bytes(32)).decode()
    root = base64.b64encode(whole.checkpoint.root).decode()
    note = whole.text.replace(root, other)
    return _with_note(home, note, "checkpoint-forged", "checkpoint-differs")


def head_of_another_log(home: Path) -> Attack:
    note = head(signed_day()).text.replace("triplog-log/dev-1\n", "triplog-log/dev-2\n")
    return _with_note(home, note, "checkpoint-unsigned")


def head_with_the_signature_of_another_head(home: Path) -> Attack:
    day = signed_day()
    (line,) = head(day, AT_DEPARTURE).signatures
    note = f"{head(day).checkpoint.text}\n{line.line}\n"
    return _with_note(home, note, "checkpoint-forged")


def head_signed_by_another_in_this_key_s_name(home: Path) -> Attack:
    day = signed_day()
    (own,), (other,) = head(day).signatures, head(day, key=OTHER_KEY).signatures
    raw = base64.b64encode(own.key_id + other.raw).decode()
    note = f"{head(day).checkpoint.text}\n— {own.name} {raw}\n"
    return _with_note(home, note, "checkpoint-forged")


def head_with_a_changed_signature_beside_the_true_one(home: Path) -> Attack:
    whole = head(signed_day())
    (line,) = whole.signatures
    raw = base64.b64encode(line.key_id + bytes(64)).decode()
    return _with_note(home, f"{whole.text}— {line.name} {raw}\n", "checkpoint-forged")


def head_in_an_entry_forged(home: Path) -> Attack:
    """The entry's own head is over another history; everything after it follows rightly."""
    true, other = signed_day(), signed_day(plan="26'")
    notes = [head(other, AT_DEPARTURE).text, ""]
    day = signed_day(notes=notes[:1])
    assert signed_of(notes[0]).checkpoint.root != head(true, AT_DEPARTURE).checkpoint.root
    return Attack(path=bag(home / "bundle", day), alone=frozenset({"checkpoint-differs"}))


def signed_head_left_out(home: Path, *, trip: bool) -> Attack:
    """Without it, who has no key could write the rest anew."""

    def change(files: Files) -> Files:
        gone = ("data/checkpoint.txt", "data/proofs.jsonl")
        return {name: data for name, data in files.items() if name not in gone}

    path = _changed(home, signed_day(), change, trip=trip)
    return Attack(path=path, alone=frozenset({"checkpoint-missing"}))


def proofs_of_another_history(home: Path) -> Attack:
    other = proofs(signed_day(plan="26'"))
    path = _changed(home, signed_day(), lambda files: files | {"data/proofs.jsonl": other})
    return Attack(path=path, alone=frozenset({"proof-wrong", "proof-missing"}))


def earlier_head_without_its_proof(home: Path) -> Attack:
    def change(files: Files) -> Files:
        lines = files["data/proofs.jsonl"].splitlines(keepends=True)
        return files | {
            "data/proofs.jsonl": b"".join(line for line in lines if b'"old":5' not in line)
        }

    path = _changed(home, signed_day(), change)
    return Attack(path=path, alone=frozenset({"proof-missing"}))


# Openings


def _openings(
    home: Path, change: Callable[[list[dict[str, Any]]], list[dict[str, Any]]], *codes: str
) -> Attack:
    day = signed_day()
    day.openings = change(day.openings)
    return Attack(path=bag(home / "bundle", day, trip=True), alone=frozenset(codes))


def openings_exchanged_between_fields(home: Path) -> Attack:
    """The place's value under the name of the note, and the other way round."""

    def change(openings: list[dict[str, Any]]) -> list[dict[str, Any]]:
        one, other = openings[1], openings[2]
        return [
            *openings[:1],
            one | {"field": other["field"]},
            other | {"field": one["field"]},
            *openings[3:],
        ]

    return _openings(home, change, "opening-wrong")


def openings_exchanged_between_entries(home: Path) -> Attack:
    """The note of one entry is given as that of another."""

    def change(openings: list[dict[str, Any]]) -> list[dict[str, Any]]:
        one, other = openings[2], openings[4]
        return [
            *openings[:2],
            one | {"entry": other["entry"]},
            openings[3],
            other | {"entry": one["entry"]},
        ]

    return _openings(home, change, "opening-wrong")


def opening_twice_to_hide_one_left_out(home: Path) -> Attack:
    """The number of openings fits; one field is opened twice, out of order, another not at all."""
    return _openings(home, lambda all_: [*all_[:2], *all_[3:], all_[0]], "opening-doubled")


def opening_with_two_values(home: Path) -> Attack:
    """One reader takes the first value of a name that stands twice, another the last."""

    def change(files: Files) -> Files:
        told = files["data/openings.jsonl"].replace(b'"value":"driver"', b'"value":"x"', 1)
        two = told.replace(b'"value":"x"', b'"value":"x","value":"driver"')
        return files | {"data/openings.jsonl": two}

    path = _changed(home, signed_day(), change)
    return Attack(path=path, alone=frozenset({"opening-malformed"}))


def card_with_two_heads(home: Path) -> Attack:
    def change(files: Files) -> Files:
        card = files["data/bundle.json"].replace(b'"trip":', b'"trip":"trip-b","trip":', 1)
        return files | {"data/bundle.json": card}

    path = _changed(home, signed_day(), change)
    return Attack(path=path, alone=frozenset({"bundle-malformed"}))


def invented_data_given_out_as_real(home: Path) -> Attack:
    day = Log(source="demo")
    day.add("trip_opened")
    card = day.card() | {"invented": False}
    return Attack(
        path=builder.bag(home / "bundle", day.lines(), card), alone=frozenset({"invented-denied"})
    )


# Files


def tables_made_anew_by_a_stranger(home: Path) -> Attack:
    """What is for reading only says something else than the log; every list fits."""

    def change(files: Files) -> Files:
        name = "data/tables/checks.csv"
        return files | {name: files[name].replace(b"fine", b"firm")}

    return Attack(path=_changed(home, signed_day(), change), limit=FOR_READING)


def log_made_anew_by_a_stranger(home: Path, *, trip: bool) -> Attack:
    def change(files: Files) -> Files:
        name = "data/entries.jsonl"
        return files | {name: files[name].replace(b"120,345 mi", b"120,245 mi")}

    path = _changed(home, signed_day(), change, trip=trip)
    return Attack(path=path, alone=frozenset({"entry-altered"}))


def _day_with_photos() -> tuple[Log, dict[str, bytes]]:
    """Two photos, each in an entry with its digest, and their files."""
    day, files = Log(), {}
    day.add("trip_opened")
    for picture in (PICTURE, OTHER_PICTURE):
        digest = sha256(picture)
        file = f"photos/{digest}.jpg"
        day.add("photo_added", body={"digest": digest, "file": file, "bytes": len(picture)})
        files[file] = picture
    return day, files


def _photos(home: Path, change: Callable[[dict[str, bytes]], None], *codes: str) -> Attack:
    day, files = _day_with_photos()
    change(files)
    path = builder.bag(home / "bundle", day.lines(), day.card(), more=files)
    return Attack(path=path, alone=frozenset(codes))


def photo_replaced(home: Path) -> Attack:
    def change(files: dict[str, bytes]) -> None:
        files[next(iter(files))] = b"\xff\xd8\xff another load"

    return _photos(home, change, "attachment-altered")


def photos_exchanged(home: Path) -> Attack:
    def change(files: dict[str, bytes]) -> None:
        one, other = files
        files[one], files[other] = files[other], files[one]

    return _photos(home, change, "attachment-altered")


def photo_left_out(home: Path) -> Attack:
    return _photos(home, lambda files: files.popitem() and None, "attachment-missing")


def photo_put_in(home: Path) -> Attack:
    def change(files: dict[str, bytes]) -> None:
        files[f"photos/{sha256(b'another')}.jpg"] = b"another"

    return _photos(home, change, "attachment-stray")


def photo_replaced_with_its_name(home: Path) -> Attack:
    """The file has the name of its own digest; no entry has."""

    def change(files: dict[str, bytes]) -> None:
        files.popitem()
        files[f"photos/{sha256(b'another')}.jpg"] = b"another"

    return _photos(home, change, "attachment-missing", "attachment-stray")


def photo_said_to_be_destroyed_by_an_entry_of_the_forger(home: Path) -> Attack:
    """The entry that would excuse it has to be in the chain."""
    day, files = _day_with_photos()
    name, _ = files.popitem()
    card = day.card()
    digest = name.removeprefix("photos/").removesuffix(".jpg")
    forged = Log(entries=list(day.entries))
    forged.add("openings_destroyed", body={"openings": [], "attachments": [digest]})
    return Attack(
        path=builder.bag(home / "bundle", forged.lines(), card, more=files),
        alone=frozenset({"entry-added"}),
    )


_OF_BOTH = (signed_head_left_out, log_made_anew_by_a_stranger)
_OF_ONE = (
    head_over_more_entries,
    head_with_another_root,
    head_of_another_log,
    head_with_the_signature_of_another_head,
    head_signed_by_another_in_this_key_s_name,
    head_with_a_changed_signature_beside_the_true_one,
    head_in_an_entry_forged,
    proofs_of_another_history,
    earlier_head_without_its_proof,
    openings_exchanged_between_fields,
    openings_exchanged_between_entries,
    opening_twice_to_hide_one_left_out,
    opening_with_two_values,
    card_with_two_heads,
    invented_data_given_out_as_real,
    tables_made_anew_by_a_stranger,
    photo_replaced,
    photos_exchanged,
    photo_left_out,
    photo_put_in,
    photo_replaced_with_its_name,
    photo_said_to_be_destroyed_by_an_entry_of_the_forger,
)
ATTACKS: dict[str, Made] = {
    **{made.__name__: made for made in _OF_ONE},
    **{f"{made.__name__}-store": partial(made, trip=False) for made in _OF_BOTH},
    **{f"{made.__name__}-trip": partial(made, trip=True) for made in _OF_BOTH},
}
