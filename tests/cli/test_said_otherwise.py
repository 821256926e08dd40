"""What people type a little otherwise than meant: a letter, a time, a name left out."""

import json
from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.cli.typist import Typist
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, REFUSED
from triplog.desk.when import moment


def at_a(scene: str, folder: Path) -> tuple[Typist, Terminal]:
    """Somebody at a terminal, in a scene."""
    terminal = Terminal(folder=folder)
    set_scene(scene, terminal)
    return Typist(terminal), terminal


@pytest.mark.parametrize("typed", [["hard-braking"], ["Hard", "braking"], ["hard  braking"]])
def test_hyphens_and_quotes_make_no_other_event(typed: list[str], tmp_path: Path) -> None:
    _, terminal = at_a("a trip stopped", tmp_path)
    said = terminal.type("event", *typed)
    assert said.code == DONE
    assert "  hard braking  [" in said.out
    assert "hard braking" in terminal.type("due").out


def test_a_mistyped_event_is_asked_about(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type("event", "hard", "breaking", answers=[("Is that hard braking?", "y\n")])
    assert "  hard braking  [" in said.screen
    said = typist.type("event", "roof load", answers=[])
    assert "  roof load  [" in said.screen
    assert (
        '"what": "roof load"' in terminal.type("entries", terminal.entry_of("event_reported")).out
    )


def test_without_a_terminal_it_is_recorded_as_typed_and_the_near_word_told(tmp_path: Path) -> None:
    _, terminal = at_a("a trip stopped", tmp_path)
    said = terminal.type("event", "hard breaking")
    assert said.code == DONE
    assert "  hard breaking  [" in said.out
    assert "the listed word near it is 'hard braking'" in said.err


def test_a_mistyped_moved_load_is_told_to_stop_before_anything_is_asked(tmp_path: Path) -> None:
    _, terminal = at_a("a trip rolling", tmp_path)
    said = terminal.type("event", "load moves")
    assert said.code == REFUSED
    assert "stop at the nearest safe place now" in said.err


def test_a_reading_of_some_time_ago_records_its_stop_as_of_then(tmp_path: Path) -> None:
    _, terminal = at_a("a trip rolling", tmp_path)
    terminal.clock.forward(minutes=60)
    said = terminal.type("odometer", "24150", "--stopped", "--at", "20 min ago")
    assert "stopped off the road since" in said.out
    entry = terminal.type("entries", terminal.entry_of("duty_changed"), "--json").out
    (stop,) = json.loads(entry) if entry.lstrip().startswith("[") else [json.loads(entry)]
    then = moment("20 min ago", terminal.clock.read())
    assert then is not None
    assert stop["event_time"][:19] == then.isoformat()[:19]


def test_a_departure_before_its_plan_is_asked_about(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip planned", tmp_path)
    terminal.clock.forward(minutes=5)
    before = terminal.entry_count()
    said = typist.type("depart", "--at", "3 h ago", answers=[("right all the same?", "n\n")])
    assert said.code == REFUSED
    assert "the plan it leaves with was recorded at" in " ".join(said.screen.split())
    assert terminal.entry_count() == before


def test_without_a_terminal_a_departure_before_its_plan_is_told(tmp_path: Path) -> None:
    _, terminal = at_a("a trip planned", tmp_path)
    terminal.clock.forward(minutes=5)
    said = terminal.type(
        "depart", "--at", "3 h ago", "--odometer", "24130", "--top-speed", "65 mph"
    )
    assert said.code != REFUSED
    assert "after that; both times stay in the record" in said.err


def test_after_closing_the_export_needs_no_name_while_nothing_is_open(tmp_path: Path) -> None:
    _, terminal = at_a("a trip stopped", tmp_path)
    terminal.type("deliver", "--all")
    terminal.type("close", "--release-done", "--all-back")
    said = terminal.type("export", "--form", "csv")
    assert said.code == DONE
    assert "of trip T-1, closed last: none is open" in said.out


def test_the_picture_of_a_trip_takes_its_label(tmp_path: Path) -> None:
    _, terminal = at_a("a first check made", tmp_path)
    assert terminal.type("trip", "picture", "T-1").code == DONE
    said = terminal.type("trip", "picture", "T-1", "--trip", "T-2")
    assert said.code == REFUSED
    assert "which trip: T-1, or T-2?" in said.err
