"""`triplog due --first N`: one line for each of the checks due first."""

import json
from pathlib import Path

from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, REFUSED


def test_the_checks_due_first_are_one_line_each_and_the_others_are_left_out(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip rolling", terminal)
    said = terminal.type("due", "--first", "1")
    assert said.code == DONE
    assert len(said.out.splitlines()) == 1
    assert said.out.startswith("trip T-1: ")
    found = json.loads(terminal.type("due", "--first", "2", "--json").out)
    assert [one["trip"] for one in found["due"]] == ["T-1", "T-1"]


def test_the_checks_due_first_are_those_of_all_open_trips(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip rolling", terminal)
    assert terminal.type("due", "--first", "1", "--trip", "T-1").code == REFUSED
