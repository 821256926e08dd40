"""What is private stands in no entry's bytes and in no derived table, and opens to whoever may."""

import contextlib
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.desk.seat import Seat
from triplog.journal.entries import commitment
from triplog.journal.kinds import CORRECTION_FIELDS, KINDS
from triplog.journal.store_file import STORE_NAME

WORDS = {
    name: f"private {name}"
    for name in ("carrier", "person", "origin", "destination", "reason", "note", "place", "stop")
}


@pytest.fixture
def told(tmp_path: Path) -> Terminal:
    """A journal into which every private field has been typed, each with its own words."""
    terminal = Terminal(folder=tmp_path)
    lines = (
        ("begin", "--carrier", WORDS["carrier"], "--person", "owner", "--name", WORDS["person"]),
        ("vehicle", "add", "van", "--note", WORDS["note"], "--top-speed", "65 mph"),
        ("gear", "add", "S-1", "--note", WORDS["note"]),
        ("gear", "set-aside", "S-1", "--reason", WORDS["reason"]),
        ("gear", "inspect", "S-1", "--damage", "nick 1 mm", "--used-in", "eu", "--note",
         WORDS["note"], "--allowed", "2 mm", "--allowed-by", WORDS["reason"]),
        ("gear", "hold", "S-1", "--reason", WORDS["reason"]),
        ("gear", "lift-hold", "S-1", "--reason", WORDS["reason"]),
        ("trip", "new", "--from", WORDS["origin"], "--to", WORDS["destination"], "--note",
         WORDS["note"], "--what", "crate"),
        ("article", "change", "A", "--mass", "90 lb", "--reason", WORDS["reason"]),
        ("loaded", "--note", WORDS["note"]),
        ("depart", "--reason", WORDS["reason"], "--next-stop", WORDS["stop"]),
        ("duty", "on duty", "--place", WORDS["place"], "--reason", WORDS["reason"]),
        ("event", "wind", "--place", WORDS["place"], "--note", WORDS["note"]),
        ("hear", "--note", WORDS["note"]),
        ("odometer", "100", "--note", WORDS["note"]),
        ("correct", "last", "odometer=101", "--reason", WORDS["reason"]),
        ("exempt", "--sealed", "7", "--ordered-by", WORDS["origin"], "--ordered-at", "1 min ago",
         "--driver-has-no-key"),
        ("exempt", "--impracticable", "--reason", WORDS["reason"], "--loaded-by", WORDS["origin"]),
        ("check", "--all-fine", "--place", WORDS["place"], "--note", WORDS["note"]),
        ("release", "--place", WORDS["place"], "--note", WORDS["note"]),
        ("deliver", "--all", "--place", WORDS["place"], "--note", WORDS["note"]),
        ("close", "--note", WORDS["note"], "--release-done"),
        ("withdraw", "@", "--reason", WORDS["reason"]),
    )  # fmt: skip
    for words in lines:
        terminal.clock.forward(minutes=3)
        last = [terminal.entry_of("trip_closed") if word == "@" else word for word in words]
        said = terminal.type(*last)
        assert said.code in (0, 1), (words, said.err)
    return terminal


def test_no_entry_and_no_list_holds_a_private_word(told: Terminal) -> None:
    with contextlib.closing(sqlite3.connect(told.home / STORE_NAME)) as raw:
        tables = [
            name for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        ]
        assert "entry" in tables
        assert "trip" in tables
        for table in tables:
            held = repr(raw.execute(f"SELECT * FROM {table}").fetchall())
            assert ("private " in held) is (table == "opening"), table


def test_each_private_word_opens_to_its_commitment(told: Terminal) -> None:
    with contextlib.closing(sqlite3.connect(told.home / STORE_NAME)) as raw:
        rows = raw.execute(
            "SELECT CAST(data AS TEXT), field, salt, value FROM entry JOIN opening ON hash = entry"
        ).fetchall()
    for data, field, salt, value in rows:
        assert f'"{field}":"{commitment(salt, field, value)}"' in data
    assert {value for *_, value in rows} >= set(WORDS.values())
    salts = [salt for _, _, salt, _ in rows]
    assert len(set(salts)) == len(salts)


def test_names_notes_reasons_and_places_are_private_in_every_kind() -> None:
    words = {
        "name",
        "names",
        "note",
        "reason",
        "place",
        "origin",
        "destination",
        "ordered_by",
        "next_stop",
        "loaded_by",
        "open_points",
        "positions",
        "report",
        "receiver",
        "address",
        "reach",
    }
    for kind in KINDS.values():
        assert not words & (kind.required | kind.optional), kind.name
        assert kind.private | CORRECTION_FIELDS <= words | CORRECTION_FIELDS


def test_the_screen_shows_private_words_through_their_openings(
    sit: Callable[[str], Seat],
) -> None:
    seat = sit("a journal just begun")
    assert seat.opened(seat.last("carrier_recorded")) == {"name": "the carrier"}
