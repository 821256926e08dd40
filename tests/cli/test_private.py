"""`triplog private`: what private values there are, and destroying them, as a person types it."""

import contextlib
from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.desk.private_story import TEXTS, tell_story

FOR_GOOD = ("--why", "asked for by the person", "--reason", "a letter", "--for-good")


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    told, seat = tell_story(tmp_path)
    with contextlib.closing(seat.desk.store):
        return told


def test_the_list_names_field_and_state_and_never_the_value(terminal: Terminal) -> None:
    listed = terminal.type("private", "list", "--trip", "T-1").out
    for field in ("origin", "destination", "note", "place", "reason", "next_stop"):
        assert f":{field}" in listed
    assert "zz" not in listed
    assert "destroyed  " not in listed


def test_a_person_asks_and_their_name_goes(terminal: Terminal) -> None:
    said = terminal.type("private", "destroy", "--person", "helper", *FOR_GOOD)
    assert said.code == 0
    assert "1 private value destroyed" in said.out
    assert "nothing of it is left there" in said.out
    assert "copies, prints, messages" in said.out
    assert "destroyed" in terminal.type("private", "list", "--person", "helper").out
    assert TEXTS["helper"] not in terminal.type("person", "list").out
    (entry,) = [
        line.split(":")[0]
        for line in terminal.type("private", "list", "--person", "helper").out.splitlines()
        if "person recorded" in line
    ]
    shown = terminal.type("entries", entry).out
    assert '"destroyed"' in shown
    assert TEXTS["helper"] not in shown


def test_of_a_trip_one_kind_of_field_goes_or_all(terminal: Terminal) -> None:
    said = terminal.type("private", "destroy", "--trip", "T-1", "--field", "place", *FOR_GOOD)
    assert "3 private values destroyed" in said.out
    said = terminal.type("private", "destroy", "--trip", "T-1", *FOR_GOOD)
    assert said.code == 0
    listed = terminal.type("private", "list", "--trip", "T-1").out
    # What the acts themselves say of their reason stays.
    readable = [line for line in listed.splitlines() if "readable" in line]
    assert readable
    assert all("openings destroyed" in line for line in readable)
    assert terminal.type("entries", "--check").code == 0


def test_restoring_says_what_it_destroyed_again(terminal: Terminal, tmp_path: Path) -> None:
    kept, home = str(tmp_path / "kept.sqlite3"), str(tmp_path / "second home")
    assert terminal.type("backup", kept).code == 0
    terminal.type("private", "destroy", "--person", "helper", *FOR_GOOD)
    said = terminal.type("--home", home, "restore", kept)
    assert "1 private value(s) destroyed before were destroyed again" in said.out
