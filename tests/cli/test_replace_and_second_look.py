"""Replacing gear, a second look and closing, typed without a terminal: nothing is asked."""

from pathlib import Path

import pytest

from tests.cli.terminal import Answer, Terminal
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, FOUND, REFUSED


def at_a(scene: str, folder: Path) -> Terminal:
    terminal = Terminal(folder=folder)
    set_scene(scene, terminal)
    return terminal


def replace(terminal: Terminal, *more: str) -> Answer:
    return terminal.type("replace", "T2", "--with", "S-3", *more)


@pytest.mark.parametrize(
    ("given", "missing"),
    [
        ((), "--new-on"),
        (("--old-off",), "--new-on"),
        (("--new-on",), "--old-off"),
        (("--old-first", "--new-on"), "--old-off"),
        (("--old-first", "--old-off"), "--new-on"),
    ],
)
def test_a_step_that_is_not_done_is_named_and_nothing_is_recorded(
    given: tuple[str, ...], missing: str, tmp_path: Path
) -> None:
    terminal = at_a("a trip stopped", tmp_path)
    before = terminal.entry_count()
    said = replace(terminal, *given)
    assert said.code == REFUSED
    assert missing in said.err.partition(")")[0]
    assert terminal.entry_count() == before


def test_in_order_it_ends_well_and_the_other_way_round_with_one(tmp_path: Path) -> None:
    terminal = at_a("a trip stopped", tmp_path)
    said = replace(terminal, "--new-on", "--old-off", "--cause", "frayed")
    assert said.code == DONE
    assert "T2: S-3 in place of S-2" in said.out
    terminal.clock.forward(minutes=5)
    said = terminal.type(
        "replace", "T1", "--with", "S-4", "--old-first", "--new-on", "--old-off", "--cause", "worn"
    )
    assert said.code == FOUND
    assert "the old one was let off first; that is recorded" in said.out


def test_after_a_broken_strap_a_cause_that_was_not_found_is_said_and_ends_with_one(
    tmp_path: Path,
) -> None:
    terminal = at_a("a trip stopped", tmp_path)
    terminal.type("event", "broken strap", "--tie-down", "T2")
    terminal.clock.forward(minutes=3)
    said = replace(terminal, "--new-on", "--old-off")
    assert said.code == FOUND
    assert "why it had to be replaced is not known" in said.out


def test_a_piece_replaced_before_it_breaks_needs_no_cause(tmp_path: Path) -> None:
    said = replace(at_a("a trip stopped", tmp_path), "--new-on", "--old-off")
    assert said.code == DONE
    assert "why it had to be replaced" not in said.out


def test_driving_on_with_a_broken_strap_ends_with_one_until_it_is_planned_anew(
    tmp_path: Path,
) -> None:
    terminal = at_a("a first check made", tmp_path)
    terminal.type("event", "broken strap", "--tie-down", "T2")
    terminal.clock.forward(minutes=5)
    terminal.type("check", "--all-fine")
    said = terminal.type("duty", "driving")
    assert said.code == FOUND
    assert "have a second person look" in said.out
    terminal.clock.forward(minutes=5)
    terminal.type("duty", "on duty")
    replace(terminal, "--new-on", "--old-off", "--cause", "frayed")
    terminal.type("check", "--all-fine", "--odometer", "24157", "--sure")
    terminal.clock.forward(minutes=5)
    assert terminal.type("duty", "driving").code == DONE


def test_a_second_look_says_how_it_was_and_ends_with_one_where_it_does_not_count(
    tmp_path: Path,
) -> None:
    terminal = at_a("a trip planned", tmp_path)
    terminal.type("person", "add", "yard-hand", "--role", "loads")
    assert "second-look" in terminal.type("loaded", "--first-time").out
    look = ("second-look", "--by", "yard-hand")
    assert terminal.type(*look).code == REFUSED
    assert terminal.type(*look, "--how", "on the spot").code == REFUSED
    said = terminal.type(*look, "--how", "by photo, no answer")
    assert said.code == FOUND
    assert "nobody answered is no second look" in said.out
    departing = terminal.type("depart", "--odometer", "24130")
    assert departing.code == FOUND
    assert "carried for the first time, and a photo was sent to yard-hand" in departing.out


def test_closing_without_counting_ends_with_one_and_names_the_gear(tmp_path: Path) -> None:
    terminal = at_a("a first check made", tmp_path)
    said = terminal.type("close", "--release-done")
    assert said.code == FOUND
    assert "not counted back, and recorded as that: S-1, S-2" in said.out


def test_closing_says_one_thing_about_the_gear(tmp_path: Path) -> None:
    terminal = at_a("a first check made", tmp_path)
    both = terminal.type("close", "--release-done", "--all-back", "--missing", "S-2")
    assert both.code == REFUSED
    said = terminal.type("close", "--release-done", "--missing", "S-2")
    assert said.code == DONE
    assert "missing, and set aside until found: S-2" in said.out
