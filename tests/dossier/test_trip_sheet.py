"""The trip sheet: the picture, each look with what it found, and everything else that happened."""

from pathlib import Path

import pytest

from exports.document import Document, Paragraph, Picture, Table
from exports.pdf_sheet import write_pdf
from tests.builders import OFFSET_MIN
from tests.dossier.scene import Office, office
from triplog.desk.checking import Found
from triplog.desk.road import report_event
from triplog.dossier.trip_sheet import trip_sheet
from triplog.journal.trip import Trip


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


def sheet(yard: Office, trip: Trip) -> Document:
    driver = {trip.facts[0].entry.by: "driver"}
    return trip_sheet(trip, driver, {}, yard.clock.wall, OFFSET_MIN, invented=False)


def tables(document: Document) -> list[Table]:
    return [one for one in document.blocks if isinstance(one, Table)]


def test_each_look_stands_with_what_it_found_and_how_late_it_was(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    yard.checked(trip, odometer="24150 mi", T2=Found.NOT_LOOKED_AT)
    trip = yard.checked(yard.trip("T-1"), odometer="24188 mi", minutes=60, T2=Found.SLACK).trip
    looks, moving, happened = tables(sheet(yard, trip))
    ((name, told_of_it),) = moving.rows
    assert name.startswith("T2")
    assert told_of_it.startswith("slack at 1 of 1 look")
    (part, whole) = looks.rows
    assert part[1:] == (
        "24150 mi",
        "driver",
        "1 tie-down looked at, none slack; not looked at: T2",
        "",
    )
    assert whole[3:] == ("T2 slack, tightened; 1 other not slack", "late by 8.0 mi")
    told = {row[1] for row in happened.rows}
    assert {"trip opened", "departed", "duty changed"} <= told
    assert not told & {"check completed", "check left open", "plan judged"}


def test_what_was_written_down_later_says_by_how_much(yard: Office) -> None:
    trip = yard.checked(yard.departed(yard.loaded(1, 2)), odometer="24150 mi").trip
    happened_at = yard.clock.wall
    yard.clock.forward(minutes=25)
    report_event(
        yard.desk,
        trip,
        "kerb",
        stopped=True,
        tie_downs=[],
        moved=None,
        at=happened_at,
        note=None,
        place=None,
    )
    row = next(
        row for row in tables(sheet(yard, yard.trip("T-1")))[-1].rows if row[1] == "event reported"
    )
    assert row[0].endswith(", entered 25 min later")
    assert row[3] == "kerb"


def test_it_is_set_with_its_picture(yard: Office, tmp_path: Path) -> None:
    trip = yard.checked(yard.departed(yard.loaded(1, 2)), odometer="24188 mi", minutes=60).trip
    document = sheet(yard, trip)
    assert [one for one in document.blocks if isinstance(one, Picture)]
    path = tmp_path / "trip.pdf"
    write_pdf(document, "letter", path, yard.clock.wall)
    assert path.read_bytes().startswith(b"%PDF-")


def test_before_departure_no_check_is_counted(yard: Office) -> None:
    document = sheet(yard, yard.loaded(1, 2))
    texts = [one.text for one in document.blocks if isinstance(one, Paragraph)]
    assert texts == ["No check is counted on this trip.", "photos: none"]
