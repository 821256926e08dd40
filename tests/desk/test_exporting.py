"""Handing over: every form of a trip and of the store, and bundles that verify."""

import csv
import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.desk.exported import count, exported, faultless, member, under_way
from tests.dossier.scene import GENERAL, Office, office
from triplog.desk.delivering import deliver
from triplog.desk.exporting import FORMS, export
from triplog.desk.gear import add_gear, set_standing
from triplog.desk.people import add_person
from triplog.desk.planning import add_article
from triplog.desk.refused import Refused
from triplog.desk.scope import scope_of
from triplog.desk.setting_up import record_carrier
from triplog.journal.things import Standing
from triplog.journal.trip import Trip


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


@pytest.fixture
def trip(yard: Office) -> Trip:
    return under_way(yard)


# What is written


def test_every_form_of_a_trip_is_written(yard: Office, trip: Trip, tmp_path: Path) -> None:
    result = exported(yard, tmp_path / "out", trip)
    assert [path.name for path in result.files] == [
        "trip-T-1-csv",
        "trip-T-1-trail.json",
        "trip-T-1-entries.jsonl",
        "trip-T-1-sheet.pdf",
        "trip-T-1-plan.pdf",
        "trip-T-1-checks.pdf",
        "trip-T-1-slip.pdf",
        "trip-T-1-checks.ics",
        "trip-T-1-bundle.zip",
    ]
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(
        path.name for path in result.files
    )
    assert result.entry.body["files"] == [path.name for path in result.files]
    assert result.entry.body["form"] == [form for form in FORMS if form != "incident"]
    assert (tmp_path / "out/trip-T-1-sheet.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "out/trip-T-1-checks.ics").read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")


def test_the_exports_own_entry_and_its_checkpoint_are_the_last_of_what_is_exported(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    heads = yard.desk.store.trip_heads(trip.id)
    result = exported(yard, tmp_path / "out", trip, "lines", "json")
    lines = result.files[0].read_bytes().splitlines()
    assert [json.loads(line)["kind"] for line in lines[-2:]] == ["exported", "checkpoint_signed"]
    assert result.entry.body["trip_heads"] == heads
    assert lines[-2] == result.entry.data


def test_the_raw_lines_are_the_stored_bytes(yard: Office, trip: Trip, tmp_path: Path) -> None:
    result = exported(yard, tmp_path / "out", trip, "lines", "bundle")
    where, values = scope_of(yard.desk, yard.trip("T-1")).condition
    stored = yard.desk.store.raw.execute(
        f"SELECT data FROM entry WHERE {where} ORDER BY device, seq", values
    )
    lines = result.files[0].read_bytes()
    assert lines == b"".join(data + b"\n" for (data,) in stored)
    assert member(result.files[1], "entries.jsonl") == lines


def test_the_trail_holds_each_entry_with_hash_lateness_and_opened_values(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    result = exported(yard, tmp_path / "out", trip, "json")
    trail = json.loads(result.files[0].read_bytes())
    opened = next(one for one in trail if one["kind"] == "trip_opened")
    assert opened["opened"] == {
        "origin": "the yard",
        "destination": "the orchard behind the mill",
    }
    assert opened["entered_late_by_s"] == 0
    assert all(yard.desk.store.entry(one["hash"]).seq == one["seq"] for one in trail)


def test_an_entry_made_late_says_by_how_many_seconds(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    at = yard.clock.wall
    yard.clock.forward(minutes=20)
    deliver(yard.desk, trip, ["A"], stopped=True, at=at)
    result = exported(yard, tmp_path / "out", trip, "json")
    trail = json.loads(result.files[0].read_bytes())
    delivered = next(one for one in trail if one["kind"] == "article_delivered")
    assert delivered["entered_late_by_s"] == 1200


def test_a_calendar_without_a_time_is_left_out_and_not_named(yard: Office, tmp_path: Path) -> None:
    trip = yard.loaded(1, 2)
    result = exported(yard, tmp_path / "out", trip)
    assert "calendar" not in str(result.entry.body["form"])
    assert not any(path.suffix == ".ics" for path in result.files)
    with zipfile.ZipFile(result.files[-1]) as packed:
        assert not any(name.endswith(".ics") for name in packed.namelist())
    with pytest.raises(Refused, match="has a time that can be told"):
        exported(yard, tmp_path / "other", trip, "calendar")
    assert not (tmp_path / "other").exists()


def test_paper_and_sheet_are_those_asked_for(yard: Office, trip: Trip, tmp_path: Path) -> None:
    yard.clock.forward(minutes=1)
    letter = export(yard.desk, tmp_path / "us", ("sheet",), trip)
    yard.clock.forward(minutes=1)
    a4 = export(yard.desk, tmp_path / "other", ("sheet",), trip, paper="a4")
    # ISO 216: A4 is 210 x 297 mm; letter is 8.5 x 11 in. A point is 1/72 in.
    assert b"/MediaBox [0 0 612.00 792.00]" in letter.files[0].read_bytes()
    assert b"/MediaBox [0 0 595.28 841.89]" in a4.files[0].read_bytes()


# Bundles


def test_a_trip_bundle_verifies_with_its_cards_beside(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    yard.loaded(1, 2, "another")
    result = exported(yard, tmp_path / "out", trip, "bundle")
    faultless(result.files[0])
    kinds = [json.loads(line)["kind"] for line in
             member(result.files[0], "entries.jsonl").splitlines()]  # fmt: skip
    assert {"store_begun", "carrier_recorded", "person_recorded", "vehicle_recorded"} <= set(kinds)
    # Four straps were planned on this trip; the cards of the other forty are no part of it.
    assert kinds.count("gear_recorded") == 4
    assert kinds.count("trip_opened") == 1
    assert b"another" not in member(result.files[0], "entries.jsonl")


def test_gear_set_aside_after_the_trip_shows_in_its_bundle(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    set_standing(yard.desk, "S-1", Standing.SET_ASIDE, reason="a cut in the edge")
    result = exported(yard, tmp_path / "out", trip, "bundle")
    faultless(result.files[0])
    assert b'"gear_standing_set"' in member(result.files[0], "entries.jsonl")
    assert b"set aside" in member(result.files[0], "csv/gear.csv")


def test_the_store_bundle_verifies_from_the_first_entry_to_the_last(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    yard.loaded(1, 2, "another")
    result = exported(yard, tmp_path / "out", None)
    report = faultless(result.files[-1])
    assert [path.name for path in result.files] == [
        "store-csv",
        "store-trail.json",
        "store-entries.jsonl",
        "store-bundle.zip",
    ]
    assert len(member(result.files[-1], "entries.jsonl").splitlines()) == count(yard.desk)
    assert report.invented is False
    assert trip.id.encode() in member(result.files[-1], "entries.jsonl")


def test_the_bundle_holds_plans_findings_and_the_sheet(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    result = exported(yard, tmp_path / "out", trip, "bundle", "sheet", "plan")
    bundle, sheet, plan_sheet = result.files
    with zipfile.ZipFile(bundle) as packed:
        names = [name.partition("/data/")[2] for name in packed.namelist()]
    plans = [name for name in names if name.startswith("plans/plan-")]
    assert len(plans) == len(trip.of("plan_recorded"))
    assert any(name.startswith("plans/findings-007-") for name in names)
    assert member(bundle, "sheet.pdf") == sheet.read_bytes()
    assert member(bundle, "plan.pdf") == plan_sheet.read_bytes()
    assert json.loads(member(bundle, plans[-1]))["format"] == "triplog-plan/1"


def test_a_bare_python_verifies_the_bundle_by_itself(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    result = exported(yard, tmp_path / "out", trip, "bundle")
    alone = tmp_path / "alone"
    alone.mkdir()
    (alone / "verify.py").write_bytes(member(result.files[0], "verify.py"))
    done = subprocess.run(
        [sys.executable, "-I", "verify.py", str(result.files[0])],
        cwd=alone,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")


# Text that is no formula


def test_text_that_a_spreadsheet_would_run_stays_text(yard: Office, tmp_path: Path) -> None:
    evil = '=HYPERLINK("http://example.invalid";"look")'
    add_gear(yard.desk, label="@SUM(A1)", item={"kind": "chain", "size": "3/8 in"})
    add_person(yard.desk, label="+1+1", roles=["loads"], name=evil)
    trip = yard.opened(evil, origin=evil, note=evil)
    trip = yard.plan(
        trip, add_article(article=GENERAL | {"what": "-2+3"}, article_id=None, count=1)
    )
    result = exported(yard, tmp_path / "out", None, "csv")
    cells = []
    for path in result.files[0].iterdir():
        with path.open(newline="", encoding="utf-8") as table:
            cells += [cell for row in csv.reader(table) for cell in row]
    for text in (evil, "@SUM(A1)", "+1+1", "-2+3"):
        assert f"'{text}" in cells
        assert text not in cells
    # Local offsets are figures: they stay numbers.
    assert "-360" in cells


def test_a_label_never_leads_out_of_the_folder(yard: Office, tmp_path: Path) -> None:
    trip = yard.loaded(1, 1, "../../" + "x" * 300)
    result = exported(yard, tmp_path / "out", trip, "lines", "bundle")
    assert {path.parent for path in result.files} == {tmp_path / "out"}
    assert all(len(path.name) < 120 for path in result.files)
    faultless(result.files[1])


def test_a_carrier_of_several_lines_does_not_break_the_bag(yard: Office, tmp_path: Path) -> None:
    record_carrier(yard.desk, name="the test\ncarrier\u200d")
    result = exported(yard, tmp_path / "out", yard.loaded(1, 1), "bundle")
    faultless(result.files[0])
    with zipfile.ZipFile(result.files[0]) as packed:
        info = packed.read(f"{result.files[0].stem}/bag-info.txt").decode()
    assert "Source-Organization: the test carrier\n" in info
