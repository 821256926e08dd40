"""At a terminal the program asks for what is missing; few keys are pressed where nothing is odd.

Where a case names no source, what it holds is our reading.
"""

from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.cli.typist import CTRL_C, Typist
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, FOUND, REFUSED, STOPPED

ENTER = "\n"


def at_a(scene: str, folder: Path) -> tuple[Typist, Terminal]:
    """Somebody at a terminal, in a scene."""
    terminal = Terminal(folder=folder)
    set_scene(scene, terminal)
    return Typist(terminal), terminal


def test_begin_asks_who_the_carrier_is_and_who_types(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    said = Typist(terminal).type(
        "begin",
        answers=[
            ("Name of the carrier", "the carrier\n"),
            ("Your label", ENTER),
            ("Your label", "owner\n"),
            ("Your name, kept private", ENTER),
        ],
    )
    assert said.code == DONE
    assert terminal.type("person", "list").out.splitlines()[1].startswith("owner")


def test_depart_asks_why_where_something_is_not_met_or_not_known(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip planned", tmp_path)
    terminal.type("article", "add", "toolbox", "--on", "A")
    said = typist.type(
        "depart",
        answers=[
            ("Carried a load like this before", ENTER),
            ("Why depart all the same", "the toolbox is being tied now\n"),
            ("What the odometer reads", "24130\n"),
            ("Countries the trip touches", "Elsewhere\n"),
            ("Countries the trip touches", ENTER),
            ("look before driving; law, 49 CFR 392.9(b)(1)", ""),
            ("24,180 mi; law, 49 CFR 392.9(b)(2)", ""),
            ("Where you will stop next to look", "mile 30\n"),
            ("What the odometer will read there", "+30\n"),
        ],
    )
    assert said.code == FOUND
    assert "not met or not known" in said.screen
    departed = terminal.type("entries", terminal.entry_of("departed")).out
    assert '"reason": "the toolbox is being tied now"' in departed
    assert '"next_stop": "mile 30"' in departed
    assert '"next_stop_odometer": "24160 mi"' in departed


def test_no_entry_is_made_by_a_driver_who_has_not_stopped(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip rolling", tmp_path)
    before = terminal.entry_count()
    said = typist.type("odometer", "24140", answers=[("Stopped off the road?", "n\n")])
    assert said.code == REFUSED
    assert "stop off the road" in said.screen
    assert terminal.entry_count() == before


def test_driving_on_late_asks_why_and_shows_what_is_due_first(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    terminal.type("odometer", "24192", "--sure")
    said = typist.type(
        "duty", answers=[("Duty status", "3\n"), ("Why was the check not made", "no room here\n")]
    )
    assert said.code == FOUND
    assert said.screen.index("late by 12.0 mi") < said.screen.index("Why was the check not made")
    changed = terminal.type("entries", terminal.entry_of("duty_changed")).out
    assert '"reason": "no room here"' in changed


def test_release_asks_every_question_and_one_unknown_says_do_not_release(tmp_path: Path) -> None:
    typist, _ = at_a("a first check made", tmp_path)
    looked = ("Looked at the load", "nothing lean on")
    questions = (*looked, "Level ground", "stand alone", "Nobody on the far side")
    rest = ("unloading machine", "own mechanism", "No bar")
    said = typist.type("release", answers=[(one, "1\n") for one in (*questions, *rest)])
    assert said.code == DONE
    assert "ready to let off" in said.screen
    said = typist.type(
        "release", answers=[(one, "1\n") for one in questions] + [(one, "3\n") for one in rest]
    )
    assert said.code == FOUND
    assert "DO NOT RELEASE" in said.screen


def test_close_asks_whether_the_list_was_gone_through_and_what_is_missing(tmp_path: Path) -> None:
    typist, terminal = at_a("a first check made", tmp_path)
    said = typist.type(
        "close",
        answers=[
            ("Was the release list gone through", "n\n"),
            ("Counted, and all back?", "n\n"),
            ("Which are missing", "S-2\n"),
        ],
    )
    assert said.code == DONE
    assert "the release list was not gone through" in said.screen
    assert "missing, and set aside until found: S-2" in said.screen
    closed = terminal.type("entries", terminal.entry_of("trip_closed")).out
    assert '"release_done": false' in closed


def test_loaded_asks_whether_such_a_load_was_carried_before_and_then_for_a_second_person(
    tmp_path: Path,
) -> None:
    typist, terminal = at_a("a trip planned", tmp_path)
    answers = [("Carried a load like this before", "n\n"), ("All gear looked at", ENTER)]
    said = typist.type("loaded", answers=answers)
    assert "a second person's look is asked for" in said.screen
    terminal.type("person", "add", "yard-hand", "--role", "loads")
    said = typist.type(
        "second-look",
        answers=[
            ("Who looked", "yard-hand\n"),
            ("How did they look", "1\n"),
            ("nothing to put right?", "y\n"),
        ],
    )
    assert said.code == DONE
    said = typist.type(
        "depart",
        answers=[
            ("What the odometer reads", "24130\n"),
            ("Countries the trip touches", ENTER),
            ("Where you will stop next to look", "the mill\n"),
            ("What the odometer will read there", "+40 mi\n"),
        ],
    )
    assert said.code == DONE
    assert "the mill, odometer 24,170 mi, 10 mi before the 50 mi limit" in said.screen


def test_a_moved_load_is_told_to_stop_now_and_nothing_is_asked_before_it_stands(
    tmp_path: Path,
) -> None:
    typist, terminal = at_a("a trip rolling", tmp_path)
    before = terminal.entry_count()
    said = typist.type("event", "load moved", answers=[("Stopped off the road?", "n\n")])
    assert said.code == REFUSED
    assert said.screen.index("stop at the nearest safe place now") < said.screen.index("Stopped")
    assert terminal.entry_count() == before


def test_what_happened_is_chosen_by_its_number_once_the_vehicle_stands(tmp_path: Path) -> None:
    """The cautions: GOV.UK, Securing loads on HGVs and goods vehicles, section 3."""
    typist, terminal = at_a("a trip rolling", tmp_path)
    said = typist.type(
        "event",
        answers=[
            ("Stopped off the road?", "y\n"),
            ("What happened", "9\n"),
            ("How far the load moved", "40 mm\n"),
        ],
    )
    assert "touch nothing that leans" in said.screen
    assert "do not climb on the load" in said.screen
    assert "have a second person look" in " ".join(said.screen.split())
    reported = terminal.type("entries", terminal.entry_of("event_reported")).out
    assert '"what": "load moved"' in reported
    assert '"moved": "40 mm"' in reported


def test_what_happened_may_be_told_in_other_words(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    typist.type("event", answers=[("What happened", "a tree branch hit the tarp\n")])
    reported = terminal.type("entries", terminal.entry_of("event_reported")).out
    assert '"what": "a tree branch hit the tarp"' in reported


def test_a_broken_strap_is_asked_for_and_replaced_in_two_steps_in_their_order(
    tmp_path: Path,
) -> None:
    typist, _ = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "event", answers=[("What happened", "8\n"), ("Which tie-down broke", "T2\n")]
    )
    assert "add the new one first" in said.screen
    said = typist.type("replace", "T2", "--with", "S-3", answers=[("1. S-3 is on as T2", "n\n")])
    assert said.code == REFUSED
    assert "2." not in said.screen
    said = typist.type(
        "replace",
        "T2",
        "--with",
        "S-3",
        answers=[
            ("1. S-3 is on as T2", "y\n"),
            ("2. S-2 is off", "y\n"),
            ("Why S-2 had to be replaced", "cut at the rail\n"),
            ("Where S-2 is kept", "the side box\n"),
        ],
    )
    assert said.code == DONE


@pytest.mark.parametrize(
    ("replies", "recorded"),
    [
        ([("1 right", "1\n")], '"odometer": "24516 mi"'),
        ([("1 right", "2\n"), ("does the odometer read", "24161\n")], '"odometer": "24161 mi"'),
        ([("1 right", "3\n")], '"replaced": true'),
    ],
)
def test_an_odd_reading_is_asked_about_and_not_refused(
    replies: list[tuple[str, str]], recorded: str, tmp_path: Path
) -> None:
    typist, terminal = at_a("a first check made", tmp_path)
    said = typist.type("odometer", "24516", answers=replies)
    assert "two digits may be swapped" in said.screen
    assert recorded in terminal.type("entries", terminal.entry_of("odometer_read")).out


@pytest.mark.parametrize(("reply", "growth"), [("y\n", 1), ("n\n", 0)])
def test_the_same_within_two_minutes_is_asked_about(
    reply: str, growth: int, tmp_path: Path
) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    terminal.type("event", "hard braking")
    before = terminal.entry_count()
    said = typist.type("event", "hard braking", answers=[("Record it again?", reply)])
    assert said.code == DONE
    assert before is not None
    assert terminal.entry_count() == before + growth


def test_a_look_at_gear_asks_what_is_wrong_until_nothing_more_is(tmp_path: Path) -> None:
    typist, terminal = at_a("a truck and gear", tmp_path)
    said = typist.type(
        "gear",
        "inspect",
        "S-1",
        answers=[
            ("What is wrong", "cut 3/16 in\n"),
            ("nothing more", "no label\n"),
            ("nothing more", ENTER),
        ],
    )
    assert said.code == FOUND
    assert "look for: stitching whole" in said.screen
    assert "S-1 is set aside" in said.screen
    fine = typist.type("gear", "inspect", "S-2", answers=[("What is wrong", ENTER)])
    assert fine.code == DONE
    assert "nothing found" in fine.screen
    assert terminal.type("gear", "list", "--standing", "set aside").out.count("S-1") == 1


def test_ctrl_c_at_a_question_records_nothing(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip planned", tmp_path)
    before = terminal.entry_count()
    said = typist.type("depart", answers=[("Carried a load like this", CTRL_C)])
    assert said.code == STOPPED
    assert "stopped; what was recorded before stays recorded" in said.screen
    assert "Traceback" not in said.screen
    assert terminal.entry_count() == before


def test_the_end_of_the_input_at_a_question_is_refused_in_words(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip planned", tmp_path)
    before = terminal.entry_count()
    said = typist.type("article", "add", answers=[("What is it", "\x04")])
    assert said.code == REFUSED
    assert "the input ended before the question was answered" in said.screen
    assert terminal.entry_count() == before


@pytest.mark.parametrize("columns", [40, 80])
def test_lines_fit_the_terminal_and_break_at_spaces(columns: int, tmp_path: Path) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    terminal.columns = columns
    for command in ("judge", "due"):
        said = typist.type(command, answers=[])
        assert [line for line in said.screen.splitlines() if len(line) > columns] == []
        assert "392.9(b)(2)" in said.screen or "393.106(d)" in said.screen
