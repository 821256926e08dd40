"""What people read of a bundle: the trail compared with the log, and the sheets as at departure."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from exports.verify import verify
from tests.desk.seat import Seat
from tests.exports.bags import Files, bundle_files, remade, write_folder
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
