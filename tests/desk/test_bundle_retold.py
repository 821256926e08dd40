"""What people read of a bundle: the trail compared with the log, and the sheets as at departure."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from exports.verify import verify
from tests.desk.seat import Seat
from tests.exports.bags import Files, bundle_files, remade, write_folder
from tests.specimens.builder import sha256
from triplog.desk.exporting import export
from triplog.desk.witness import give_head

Sit = Callable[[str], Seat]
TRAIL = "data/trail.json"


def handed_out(seat: Seat, folder: Path, *, of_trip: bool) -> Files:
    trip = seat.trip if of_trip else None
    return bundle_files(export(seat.desk, folder, ("bundle",), trip).files[0])


def codes(files: Files, folder: Path) -> set[str]:
    return {problem.code for problem in verify(write_folder(remade(files), folder)).problems}


@pytest.mark.parametrize("of_trip", [True, False])
def test_a_trail_made_to_say_something_else_is_told_although_the_manifests_fit(
    of_trip: bool, sit: Sit, tmp_path: Path
) -> None:
    files = handed_out(sit("a first check made"), tmp_path / "out", of_trip=of_trip)
    assert codes(files, tmp_path / "whole") == set()
    records = json.loads(files[TRAIL])
    place = next(n for n, one in enumerate(records) if one["kind"] == "check_completed")

    def told(name: str, changed: list[dict[str, object]]) -> set[str]:
        data = b"[\n" + b",\n".join(json.dumps(one).encode() for one in changed) + b"\n]\n"
        return codes(files | {TRAIL: data}, tmp_path / name)

    assert told("same", records) == set()
    for name, change in (
        ("value", {"event_time": "2026-05-04T12:00:00.000Z"}),
        ("hash", {"hash": "ab" * 32}),
        ("more", {"also": "this"}),
    ):
        changed = [*records[:place], records[place] | change, *records[place + 1 :]]
        assert told(name, changed) == {"trail-differs"}, name
    assert told("dropped", records[:place] + records[place + 1 :]) == {"trail-differs"}
    assert told("cut", records[:-1]) == {"trail-differs"}
    assert codes(files | {TRAIL: b"[]\n"}, tmp_path / "empty") == {"trail-differs"}
    assert codes(files | {TRAIL: b"no json\n"}, tmp_path / "none") == {"trail-differs"}


def test_a_private_value_told_otherwise_in_the_trail_of_a_trip_is_told(
    sit: Sit, tmp_path: Path
) -> None:
    files = handed_out(sit("a first check made"), tmp_path / "out", of_trip=True)
    records = json.loads(files[TRAIL])
    opened = next(one for one in records if one["opened"])
    opened["opened"] = dict.fromkeys(opened["opened"], "something else")
    data = b"[\n" + b",\n".join(json.dumps(one).encode() for one in records) + b"\n]\n"
    assert codes(files | {TRAIL: data}, tmp_path / "changed") == {"trail-differs"}


def test_whose_hands_a_head_went_into_is_told(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a first check made")
    _, head = give_head(seat.desk, seat.trip, "paper", to="the consignor", note=None, file=None)
    files = handed_out(seat, tmp_path / "out", of_trip=True)
    notes = verify(write_folder(files, tmp_path / "bag")).notes
    (note,) = [one for one in notes if one.code == "head-given"]
    assert f"The head over {head.size} entries was given away (paper)" in note.sentence


def test_the_sheets_of_departure_know_nothing_of_what_came_later(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a first check made")
    files = handed_out(seat, tmp_path / "out", of_trip=True)
    assert files["data/departure-sheet.pdf"] != files["data/sheet.pdf"]
    assert files["data/departure-plan.pdf"].startswith(b"%PDF-")
    before = handed_out(sit("a trip planned"), tmp_path / "before", of_trip=True)
    assert "data/departure-sheet.pdf" not in before


def test_a_card_beside_the_trip_cannot_be_left_out_of_everything(sit: Sit, tmp_path: Path) -> None:
    """Taken out of entries, openings, trail and list, with the manifests made anew."""
    files = handed_out(sit("a first check made"), tmp_path / "out", of_trip=True)
    card = json.loads(files["data/bundle.json"])
    lines = files["data/entries.jsonl"].splitlines(keepends=True)
    for line in lines:
        entry, digest = json.loads(line), sha256(line.removesuffix(b"\n"))
        if entry["kind"] == "gear_recorded" and digest in card["beside"]:
            break
    card["beside"].remove(digest)
    kept = [one for one in json.loads(files[TRAIL]) if one["hash"] != digest]
    proofs = files["data/proofs.jsonl"].splitlines(keepends=True)
    openings = files["data/openings.jsonl"].splitlines(keepends=True)
    changed = files | {
        "data/bundle.json": json.dumps(card).encode(),
        "data/entries.jsonl": b"".join(one for one in lines if one != line),
        "data/openings.jsonl": b"".join(o for o in openings if json.loads(o)["entry"] != digest),
        "data/proofs.jsonl": b"".join(
            o for o in proofs if json.loads(o).get("seq") != entry["seq"]
        ),
        TRAIL: b"[\n" + b",\n".join(json.dumps(one).encode() for one in kept) + b"\n]\n",
    }
    assert codes(changed, tmp_path / "bag") == {"beside-differs"}


@pytest.mark.parametrize("sort", ["plan", "findings"])
def test_a_plan_or_findings_file_made_to_say_something_else_is_told(
    sort: str, sit: Sit, tmp_path: Path
) -> None:
    files = handed_out(sit("a first check made"), tmp_path / "out", of_trip=True)
    name = next(one for one in sorted(files) if f"/plans/{sort}-" in one)
    told = json.loads(files[name])
    for number, data in enumerate((json.dumps(told | {"more": 1}).encode(), b"no json")):
        assert codes(files | {name: data}, tmp_path / f"bag{number}") == {"plan-differs"}
    again = json.dumps(told, indent=7).encode()
    assert codes(files | {name: again}, tmp_path / "same") == set()
