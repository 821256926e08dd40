"""The CSV tables: every query runs on a real store, every figure names its unit."""

import csv
import io
import json
from decimal import Decimal
from pathlib import Path

import pytest

from exports.csv_sheet import CsvColumn, write_csv
from tests.dossier.scene import Office, office
from triplog.desk.checking import Found
from triplog.desk.mending import correct
from triplog.desk.road import read_odometer, report_event
from triplog.desk.scope import scope_of
from triplog.dossier.tables import TABLES, CsvTable, write_table
from triplog.journal.trip import Trip

EVERY_TABLE = pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Office:
    """Two trips: one under way with a check, an event and a prompt, one planned."""
    yard = office(tmp_path_factory.mktemp("office"))
    trip = yard.departed(yard.judged(yard.loaded(2, 5)))
    trip = yard.checked(trip, odometer="24150 mi", T2=Found.SLACK).trip
    report_event(yard.desk, trip, "rough road", stopped=True, tie_downs=[], moved=None, at=None,
                 note=None, place=None)  # fmt: skip
    yard.judged(yard.loaded(1, 2, "T-2"))
    return yard


def rows(yard: Office, table: CsvTable, trip: Trip | None = None) -> list[dict[str, str]]:
    scope = scope_of(yard.desk, trip)
    query = table.query(one_trip=trip is not None)
    out = io.StringIO(newline="")
    write_csv(table.columns, yard.desk.store.raw.execute(query, scope.parameters), out)
    return list(csv.DictReader(io.StringIO(out.getvalue(), newline="")))


def named(name: str) -> CsvTable:
    return next(table for table in TABLES if table.name == name)


@EVERY_TABLE
def test_every_query_runs_for_the_store_and_for_a_trip(yard: Office, table: CsvTable) -> None:
    whole = rows(yard, table)
    of_trip = rows(yard, table, yard.trip("T-1"))
    assert [row for row in whole if row in of_trip] == of_trip
    # Nothing was said aloud on these trips, nor a photo taken.
    assert whole or table.name in ("prompts", "photos")


@EVERY_TABLE
def test_every_figure_has_its_unit_in_the_name_of_its_column(table: CsvTable) -> None:
    for column in table.columns:
        if column.kind == "figure":
            assert column.unit
            assert column.title.endswith(f"_{column.unit}")
        assert not {"mass", "length", "wll", "odometer", "required"} & {column.title}


@EVERY_TABLE
def test_every_time_is_in_utc_with_its_offset_beside(yard: Office, table: CsvTable) -> None:
    titles = [column.title for column in table.columns]
    assert ("event_time_utc" in titles) == ("event_offset_min" in titles)
    for row in rows(yard, table):
        for title in titles:
            if title.endswith("_utc") and row[title]:
                assert row[title].endswith("Z")
        if "event_offset_min" in row:
            assert row["event_offset_min"] == "-360"


@EVERY_TABLE
def test_a_trip_has_only_what_took_part_in_it(yard: Office, table: CsvTable) -> None:
    trip = yard.trip("T-2")
    for row in rows(yard, table, trip):
        if "trip" in row and table.name != "entries":
            assert row["trip"] == trip.id


def test_the_gear_of_a_trip_is_the_gear_that_was_planned_on_it(yard: Office) -> None:
    assert [row["label"] for row in rows(yard, named("gear"), yard.trip("T-2"))] == ["S-6", "S-7"]
    assert len(rows(yard, named("gear"))) == 44
    assert [row["label"] for row in rows(yard, named("people"), yard.trip("T-2"))] == ["driver"]
    assert len(rows(yard, named("anchors"), yard.trip("T-2"))) == 24


def test_figures_are_exact_beside_what_was_typed(yard: Office) -> None:
    first = rows(yard, named("articles"), yard.trip("T-2"))[0]
    assert first["mass_as_given"] == "3000 lb"
    # 1 lb = 0.45359237 kg (NIST SP 811, appendix B.8).
    assert Decimal(first["mass_kg"]) == Decimal("1360.777110")
    strap = rows(yard, named("gear"), yard.trip("T-2"))[0]
    assert strap["wll_as_marked"] == "3335 lb"
    # 3335 lb under standard gravity: 3335 x 0.45359237 x 9.80665 N.
    assert Decimal(strap["wll_N"]) == Decimal("14834.819")


def test_a_finding_carries_its_figures_with_their_unit(yard: Office) -> None:
    aggregate = next(
        row
        for row in rows(yard, named("findings"), yard.trip("T-2"))
        if row["rule"] == "us-393.106-aggregate"
    )
    assert aggregate["required_as_judged"] == "1500 lb"
    assert aggregate["provided_as_judged"] == "6670 lb"


def test_the_entries_of_a_trip_are_those_of_its_raw_file(yard: Office) -> None:
    trip = yard.trip("T-1")
    lines = [json.loads(line) for line in scope_of(yard.desk, trip).raw_entries()]
    table = rows(yard, named("entries"), trip)
    assert [(row["device"], int(row["seq"])) for row in table] == [
        (line["device"], line["seq"]) for line in lines
    ]
    assert {line["trip"] for line in lines} == {trip.id, None}


def test_a_trip_tells_the_plan_it_departed_with_apart_from_the_last(tmp_path: Path) -> None:
    yard = office(tmp_path)
    judged = yard.judged(yard.loaded(2, 5))
    assert judged.plan is not None
    (planned,) = rows(yard, named("trips"))
    assert (planned["revision_at_departure"], planned["last_revision_number"]) == ("", "8")
    yard.with_strap(yard.checked(yard.departed(judged)).trip, "S-9")
    (row,) = rows(yard, named("trips"))
    assert row["revision_at_departure"] == judged.plan.entry.hash
    assert (row["revision_number_at_departure"], row["last_revision_number"]) == ("8", "9")


def test_a_check_tells_how_many_other_looks_were_made(yard: Office) -> None:
    trip = yard.trip("T-1")
    (row,) = rows(yard, named("checks"), trip)
    made = [look for look in rows(yard, named("check_looks"), trip) if look["looked_at"] == "1"]
    assert (row["all_tie_downs_looked_at"], row["other_looks_made"]) == ("1", str(len(made)))


def test_what_was_corrected_names_the_entry_it_replaces(tmp_path: Path) -> None:
    yard = office(tmp_path)
    trip = yard.departed(yard.judged(yard.loaded(2, 5)))
    yard.clock.forward(minutes=30)
    read = read_odometer(yard.desk, trip, "24150 mi", stopped=True)
    correct(yard.desk, read.hash, changes={"odometer": "24151 mi"}, at=None, reason="misread")
    table = rows(yard, named("odometer_readings"))
    told = {row["odometer_as_given"]: row["replaces"] for row in table}
    assert told == {"24130 mi": "", "24151 mi": read.hash}


def test_no_private_value_stands_in_a_table(yard: Office) -> None:
    for table in TABLES:
        for row in rows(yard, table):
            assert "the orchard behind the mill" not in row.values()
            assert "the driver's own name" not in row.values()


def test_only_what_is_invented_says_so_in_a_column() -> None:
    told = {}
    for invented in (False, True):
        out = io.StringIO(newline="")
        write_table((CsvColumn(name="label"),), [("S-1",), ("S-2",)], out, invented=invented)
        told[invented] = out.getvalue().split()
    assert told == {False: ["label", "S-1", "S-2"], True: ["label,invented", "S-1,yes", "S-2,yes"]}
