"""A day by the prompts alone: what is missing is asked for, and the next step fits what stands."""

from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.cli.typist import Typist
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, REFUSED
from triplog.cli.lines import fitted


def at_a(scene: str, folder: Path) -> tuple[Typist, Terminal]:
    """Somebody at a terminal, in a scene."""
    terminal = Terminal(folder=folder)
    set_scene(scene, terminal)
    return Typist(terminal), terminal


def test_a_vehicle_and_gear_are_asked_for_where_nothing_is_given(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip planned", tmp_path)
    vehicle = typist.type(
        "vehicle",
        "add",
        answers=[
            ("What people call the vehicle", "TR-9\n"),
            ("Its gross mass rating", "26000 lb\n"),
            ("Is it used in business between states", "y\n"),
            ("Length of the deck", "24 ft\n"),
            ("Width of the deck", "8 ft\n"),
            ("Front structure", "none\n"),
        ],
    )
    assert vehicle.code == DONE
    assert "next: triplog vehicle anchors TR-9" in vehicle.screen
    gear = typist.type(
        "gear",
        "add",
        answers=[
            ("What is written on it", "S-90\n"),
            ("The width", "2 inches wide\n"),
            ("The width", "2 in\n"),
            ("Its hooks", "flat hook, snap hook\n"),
            ("The rating", "3333 lb\n"),
            ("Its length", "27 ft\n"),
            ("How many alike", "\n"),
        ],
    )
    assert gear.code == DONE
    shown = terminal.type("gear", "show", "S-90").out
    assert all(one in shown for one in ("3333 lb", "2 in", "flat hook", "snap hook"))


def test_begin_tells_how_to_hear_the_next_step(tmp_path: Path) -> None:
    typist = Typist(Terminal(folder=tmp_path))
    said = typist.type(
        "begin", "--carrier", "c", "--person", "p", answers=[("Your name, kept private", "\n")]
    )
    assert "triplog alone says the next step" in said.screen


@pytest.mark.parametrize("words", [("vehicle", "add"), ("gear", "add")])
def test_without_a_terminal_a_missing_label_is_refused_in_words(
    words: tuple[str, ...], tmp_path: Path
) -> None:
    _, terminal = at_a("a trip planned", tmp_path)
    said = terminal.type(*words)
    assert (said.code, said.out) == (REFUSED, "")
    assert "refused, nothing was recorded: LABEL is missing" in said.err


def test_a_delivery_asks_what_is_delivered(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type("deliver", answers=[("What is delivered, of A", "A\n")])
    assert "delivered A" in said.screen
    assert "next: triplog close" in terminal.type().out


def test_without_a_terminal_a_delivery_of_nothing_lists_what_there_is(tmp_path: Path) -> None:
    _, terminal = at_a("a trip stopped", tmp_path)
    said = terminal.type("deliver")
    assert said.code == REFUSED
    assert "name what is delivered; there is: A" in said.err


def test_an_event_without_a_word_is_refused(tmp_path: Path) -> None:
    _, terminal = at_a("a trip stopped", tmp_path)
    said = terminal.type("event", " ")
    assert said.code == REFUSED
    assert "say what happened" in said.err


def test_a_tie_down_asks_which_article_it_holds(tmp_path: Path) -> None:
    typist, _ = at_a("a trip planned", tmp_path)
    said = typist.type(
        "tie-down",
        "add",
        answers=[
            ("Which gear", "S-3\n"),
            ("Which article it holds", "A\n"),
            ("From which anchor point", "L4\n"),
            ("To which anchor point", "R4\n"),
            ("Edge protectors", "\n"),
            ("Any knot in it?", "n\n"),
        ],
    )
    assert said.code == DONE


def test_the_new_gear_is_asked_for_at_a_replacement(tmp_path: Path) -> None:
    typist, _ = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "replace",
        "T2",
        answers=[("Which gear takes the place of S-2", "S-3\n"), ("1. S-3 is on as T2", "n\n")],
    )
    assert said.code == REFUSED


def test_a_word_is_chosen_by_how_it_begins_and_another_answer_is_told(tmp_path: Path) -> None:
    typist, _ = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "check",
        answers=[
            ("All looked at", "n\n"),
            ("But every tie-down", "n\n"),
            ("T1  1 not looked at", "9\n"),
            ("type a number from 1 to 5", ""),
            ("T1  1 not looked at", "f\n"),
            ("T2  1 not looked at", "fine\n"),
            ("Looked at besides", "all\n"),
            ("Of these not as it should be", "\n"),
            ("What the odometer reads", "\n"),
        ],
    )
    assert said.code == DONE


@pytest.mark.parametrize("slip", ["y", "31"])
def test_a_slip_of_the_finger_is_no_event(slip: str, tmp_path: Path) -> None:
    typist, _ = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "event",
        answers=[
            ("What happened", f"{slip}\n"),
            ("type a number from 1 to 9", ""),
            ("What happened", "1\n"),
        ],
    )
    assert "hard braking" in said.screen


def test_a_plan_that_is_not_whole_names_what_it_lacks(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    terminal.type("begin", "--carrier", "the carrier", "--person", "owner")
    terminal.type("trip", "new")
    assert "next: triplog plan vehicle LABEL" in terminal.type().out
    terminal.type("vehicle", "add", "TR-1")
    terminal.type("plan", "vehicle", "TR-1")
    assert "next: triplog article add" in terminal.type().out
    terminal.type("article", "add", "pump", "--mass", "2 t")
    assert "next: triplog tie-down add" in terminal.type().out


def test_while_rolling_the_next_step_waits_for_the_next_safe_place(tmp_path: Path) -> None:
    _, terminal = at_a("a trip rolling", tmp_path)
    terminal.type("event", "hard braking", "--stopped")
    terminal.type("duty", "driving")
    said = terminal.type().out
    assert "next: at the next safe place, once it stands: triplog check" in said


def test_after_a_broken_strap_the_next_step_is_its_replacement(tmp_path: Path) -> None:
    _, terminal = at_a("a trip stopped", tmp_path)
    terminal.type("check", "--fine", "T1", "--damaged", "T2")
    assert "next: add before you release: triplog replace T2" in terminal.type().out


def test_after_closing_the_export_of_that_trip_is_named(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    terminal.type("deliver", "--all")
    said = typist.type("close", "--release-done", answers=[("Counted, and all back?", "y\n")])
    assert "next: triplog export --trip T-1" in said.screen


def test_more_due_checks_may_be_asked_for_than_the_database_can_count(tmp_path: Path) -> None:
    _, terminal = at_a("a trip rolling", tmp_path)
    said = terminal.type("due", "--first", "9" * 30)
    assert (said.code, said.err) == (DONE, "")


def test_a_second_look_without_its_how_names_the_ways_and_finds_nothing(tmp_path: Path) -> None:
    _, terminal = at_a("a trip planned", tmp_path)
    said = terminal.type("second-look", "--as-planned")
    assert said.code == REFUSED
    assert "on the spot" in said.err
    assert "None" not in said.err


def test_a_long_line_breaks_at_a_space() -> None:
    line = "refused, nothing was recorded: the deck width is not known: give --across, or the width"
    parts = fitted(line, 80)
    assert all(len(part) <= 80 for part in parts)
    assert " ".join(part.strip() for part in parts) == line


def test_after_the_release_list_the_next_step_is_the_delivery_unless_something_was_a_no(
    tmp_path: Path,
) -> None:
    _, terminal = at_a("a first check made", tmp_path)
    terminal.type("release", "--answer", "level=no")
    assert "next: do not release; put right" in terminal.type().out
    terminal.type("release", "--all-yes")
    assert "next: triplog deliver" in terminal.type().out


def test_an_article_is_asked_about_until_its_place_can_be_read(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip planned", tmp_path)
    said = typist.type(
        "article",
        "add",
        answers=[
            ("What is it", "crate\n"),
            ("Its mass", "900 lb\n"),
            ("Its length", "4 ft\n"),
            ("Its width", "4 ft\n"),
            ("Its height", "4 ft\n"),
            ("Its front face", "in the middle\n"),
            ('write "10 ft, centre"', ""),
            ("Its front face", "10 ft, centre\n"),
            ("What kind of cargo", "1\n"),
            ("Blocked forward", "nothing\n"),
            ("Sharp edges", "n\n"),
            ("Can it roll", "n\n"),
            ("Fully contained", "n\n"),
            ("Does it stand", "y\n"),
        ],
    )
    assert said.code == DONE
    assert "article added: B" in said.screen
    assert "next: triplog tie-down add" in said.screen
    assert '"10 ft"' in terminal.type("plan", "show", "--json").out
