"""The derived tables: what stands in them, and what never does."""

import sqlite3
from dataclasses import replace

import pytest
from sqlmodel import SQLModel

from tests.builders import (
    DRIVER,
    TRIP,
    Journal,
    check_completed,
    depart,
    departed,
    duty_changed,
    gear_recorded,
    gear_standing_set,
    odometer_read,
    person_recorded,
    plan_recorded,
    trip_opened,
    vehicle_recorded,
    withdrawn,
)
from triplog.journal.entries import Draft


def _rows(journal: Journal, query: str) -> list[tuple[object, ...]]:
    return journal.store.raw.execute(query).fetchall()


def _raised(number: int = 1, *, since: str) -> Draft:
    body: dict[str, object] = {
        "due": f"{TRIP}/us-392.9-first/{since}",
        "rule": "us-392.9-first",
        "since": since,
        "stage": "due",
        "channel": "tone",
        "number": number,
        "state": "due",
        "basis": "known",
    }
    return Draft(kind="prompt_raised", trip=TRIP, body=body, by="nobody", via="program")


def test_a_trip_shows_where_it_stands(on_the_road: Journal) -> None:
    columns = "label, state, is_open, driver, revision_number, duty"
    assert _rows(on_the_road, f"SELECT {columns} FROM trip") == [
        ("T-1", "rolling", 1, DRIVER, 1, "driving")
    ]
    on_the_road.record(duty_changed("on duty"))
    on_the_road.record(Draft(kind="trip_withdrawn", trip=TRIP, body={}, by=DRIVER))
    assert _rows(on_the_road, f"SELECT {columns} FROM trip") == [
        ("T-1", "withdrawn", 0, DRIVER, 1, "on duty")
    ]


def test_a_plan_shows_its_articles_and_tie_downs(on_the_road: Journal) -> None:
    """1 lb is 0.45359237 kg exactly (international agreement of 1959), 1 ft 0.3048 m."""
    assert _rows(on_the_road, "SELECT id, mass, mass_kg, length_m FROM article") == [
        ("A1", "6200 lb", pytest.approx(6200 * 0.45359237), pytest.approx(9 * 0.3048)),
        ("A2", "2000 lb", pytest.approx(2000 * 0.45359237), pytest.approx(4 * 0.3048)),
    ]
    assert _rows(on_the_road, "SELECT id, holds, gear FROM tie_down ORDER BY id")[0] == (
        "T1",
        "A1",
        "S-1",
    )


def test_a_reading_keeps_what_was_typed_beside_whole_millimetres(on_the_road: Journal) -> None:
    """1 mi is 1,609.344 m exactly."""
    on_the_road.record(odometer_read("24131 mi"))
    query = "SELECT odometer, odometer_mm FROM odometer_reading ORDER BY odometer"
    assert _rows(on_the_road, query) == [
        ("24130 mi", 24130 * 1_609_344),
        ("24131 mi", 24131 * 1_609_344),
    ]


def test_a_correction_replaces_the_row_of_what_it_corrects(on_the_road: Journal) -> None:
    reading = on_the_road.record(odometer_read("24311 mi"))
    correction = on_the_road.record(odometer_read("24131 mi", follows=reading.hash))
    query = "SELECT entry FROM odometer_reading WHERE odometer <> '24130 mi'"
    assert _rows(on_the_road, query) == [(correction.hash,)]
    on_the_road.record(withdrawn(correction))
    assert _rows(on_the_road, query) == [(reading.hash,)]


def test_a_check_shows_each_of_its_lines_and_ends_the_first_check(on_the_road: Journal) -> None:
    plan = next(on_the_road.store.entries("kind = 'plan_recorded'"))
    assert ("us-392.9-first",) in _rows(on_the_road, "SELECT rule_id FROM due")
    on_the_road.record(check_completed(plan.hash))
    assert _rows(on_the_road, "SELECT tie_down, found, notches FROM check_line LIMIT 2") == [
        ("T1", "fine", None),
        ("T2", "slack, tightened", 2),
    ]
    rules = {rule for (rule,) in _rows(on_the_road, "SELECT rule_id FROM due")}
    assert rules
    assert "us-392.9-first" not in rules


def test_what_is_due_goes_with_the_end_of_the_trip(on_the_road: Journal) -> None:
    assert _rows(on_the_road, "SELECT count(*) FROM due") != [(0,)]
    on_the_road.record(Draft(kind="trip_withdrawn", trip=TRIP, body={}, by=DRIVER))
    assert _rows(on_the_road, "SELECT count(*) FROM due") == [(0,)]


def test_the_outcome_of_a_prompt_stands_with_the_prompt(on_the_road: Journal) -> None:
    raised = on_the_road.record(_raised(since="a" * 64))
    other = on_the_road.record(_raised(2, since="a" * 64))
    on_the_road.record(
        Draft(
            kind="prompt_outcome",
            trip=TRIP,
            body={"raised": raised.hash, "outcomes": ["accepted"], "repeated": True},
            by="nobody",
            via="program",
        )
    )
    assert set(_rows(on_the_road, "SELECT entry, outcome, repeated FROM prompt")) == {
        (raised.hash, '["accepted"]', 1),
        (other.hash, None, 0),
    }
    assert on_the_road.rows() == on_the_road.rebuilt_rows()


def test_things_show_their_cards_and_where_gear_stands(journal: Journal) -> None:
    journal.record(gear_recorded("g1", "S-1"), vehicle_recorded(), person_recorded("p1", "driver"))
    aside = journal.record(gear_standing_set("g1", "set aside"))
    assert _rows(journal, "SELECT label, standing, wll FROM gear") == [
        ("S-1", "set aside", "3335 lb")
    ]
    assert _rows(journal, "SELECT id, from_front, across FROM anchor") == [
        ("L1", "2 ft", "left"),
        ("R1", "2 ft", "right"),
    ]
    assert _rows(journal, "SELECT label, roles FROM person") == [("driver", "driver")]
    journal.record(withdrawn(aside))
    assert _rows(journal, "SELECT standing FROM gear") == [("in stock",)]
    journal.record(replace(vehicle_recorded(), body=vehicle_recorded().body | {"anchors": []}))
    assert _rows(journal, "SELECT count(*) FROM anchor") == [(0,)]
    assert journal.rows() == journal.rebuilt_rows()


def test_a_private_value_is_in_no_derived_row(on_the_road: Journal) -> None:
    journal = on_the_road
    drafts = [
        person_recorded("p1", "driver"),
        gear_recorded("g1", "S-1"),
        gear_standing_set("g1", "set aside"),
        odometer_read(note="by the gate"),
        duty_changed("on duty"),
    ]
    last = [journal.record(draft) for draft in drafts][-1]
    journal.record(withdrawn(last))
    openings = [value for _, _, _, value in journal.store.opening_rows()]
    assert len(openings) >= 7
    shown = repr(journal.rows())
    assert [value for value in openings if value in shown] == []


def test_only_what_changed_is_written_again(on_the_road: Journal) -> None:
    """A reading leaves the trip's own row alone: each page touched costs the person a wait."""
    raw = on_the_road.store.raw
    raw.execute("CREATE TEMP TABLE written (name TEXT)")
    for name in ("trip", "plan_revision", "tie_down", "odometer_reading"):
        for act in ("INSERT", "UPDATE", "DELETE"):
            raw.execute(
                f"CREATE TEMP TRIGGER {act}_{name} AFTER {act} ON main.{name}"
                f" BEGIN INSERT INTO written VALUES ('{act} {name}'); END"
            )
    on_the_road.record(odometer_read())
    assert _rows(on_the_road, "SELECT name FROM written") == [("INSERT odometer_reading",)]


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [
        ("trip", "state", "lost"),
        ("trip", "is_open", 2),
        ("finding", "verdict", "pass"),
        ("gear", "standing", "on a trip"),
        ("duty_change", "status", "asleep"),
    ],
)
def test_a_word_that_is_none_is_refused_by_the_table_itself(
    on_the_road: Journal, table: str, column: str, value: object
) -> None:
    columns = SQLModel.metadata.tables[table].columns
    row = ["x" if one.name != column else value for one in columns]
    with pytest.raises(sqlite3.IntegrityError, match="CHECK"):
        on_the_road.store.raw.execute(
            f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})", row
        )


def test_tables_of_another_version_are_told_apart(on_the_road: Journal) -> None:
    assert on_the_road.store.fact("projection") == on_the_road.tables.version


def test_trips_side_by_side_keep_their_rows_apart(journal: Journal) -> None:
    depart(journal)
    journal.record(trip_opened("other", label="T-2"))
    plan = journal.record(plan_recorded("other"))
    journal.record(departed(plan.hash, "other"))
    reading = journal.record(odometer_read("500 mi", "other"))
    journal.record(withdrawn(reading))
    assert journal.rows() == journal.rebuilt_rows()
    assert len(_rows(journal, "SELECT 1 FROM odometer_reading")) == 2
