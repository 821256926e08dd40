"""A check at a terminal: a few keys where nothing is found; left in the middle, nothing is lost.

Where a case names no source, what it holds is our reading.
"""

from pathlib import Path

import pytest

from tests.cli.test_at_a_terminal import ENTER, at_a
from tests.cli.typist import CTRL_C
from triplog.cli.exit_codes import DONE, FOUND, REFUSED

MOST_PRESSES_WHERE_ALL_IS_FINE = 6


def test_a_check_where_all_is_fine_takes_at_most_six_presses(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip rolling", tmp_path)
    said = typist.type(
        "check",
        answers=[
            ("Stopped off the road?", "y\n"),
            ("All looked at, and none slack?", "y\n"),
            ("What the odometer reads", ENTER),
        ],
    )
    assert said.code == DONE
    assert said.presses <= MOST_PRESSES_WHERE_ALL_IS_FINE
    checked = terminal.type("entries", terminal.entry_of("check_completed")).out
    assert checked.count('"found": "fine"') == 2
    assert checked.count('"looked_at": true') == 8
    assert "answers: first check, within 50 mi" in said.screen
    assert "392.9(b)(2)" in said.screen
    assert "next: check at the latest every" in said.screen


def test_a_check_asks_for_each_tie_down_where_not_all_is_fine(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "check",
        answers=[
            ("All looked at, and none slack?", "n\n"),
            ("But every tie-down looked at", "n\n"),
            ("T1", "2\n"),
            ("T2", "slack, tightened\n"),
            ("how many notches", "about three\n"),
            ("'about three' is no number of notches", ""),
            ("how many notches", "3\n"),
            ("Looked at besides", "1 9\n"),
            ("type numbers from 1 to 8", ""),
            ("Looked at besides", "13\n"),
            ("Of these not as it should be", ENTER),
            ("What the odometer reads", "24156\n"),
        ],
    )
    assert said.code == DONE
    checked = terminal.type("entries", terminal.entry_of("check_completed")).out
    assert '"notches": 3' in checked
    assert checked.count('"looked_at": true') == 2
    assert "not looked at dunnage and blocking, hooks" in " ".join(
        terminal.type("slip").out.split()
    )


def test_a_check_takes_what_is_wrong_beside_the_tie_downs_without_asking_for_each_of_them(
    tmp_path: Path,
) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "check",
        answers=[
            ("All looked at, and none slack?", "n\n"),
            ("But every tie-down looked at", "y\n"),
            ("Looked at besides", "all\n"),
            ("Of these not as it should be", "67\n"),
            ("tails  1", "loose\n"),
            ("put right?", "y\n"),
            ("tarps  1", "4\n"),
            ("put right?", "n\n"),
            ("What the odometer reads", ENTER),
        ],
    )
    assert said.code == FOUND
    shown = " ".join(said.screen.split())
    assert "not said to be put right: tarps damaged. Do it before driving on" in shown
    checked = terminal.type("entries", terminal.entry_of("check_completed")).out
    assert checked.count('"found": "fine"') == 2
    assert checked.count('"looked_at": true') == 8
    slip = " ".join(terminal.type("slip").out.split())
    assert "tails loose, put right" in slip
    assert "tarps damaged, not said to be put right" in slip


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("tarps", "says nothing that can be found"),
        ("tarps: torn", "with one of loose, open, moved, damaged, missing"),
        ("t: loose", "'t' is none of: cargo"),
        ("spare wheel: loose", "'spare wheel' is none of"),
        ("tarps: loose, later", "', put right' where it was"),
    ],
)
def test_what_was_found_in_other_words_is_told_and_nothing_is_recorded(
    typed: str, told: str, tmp_path: Path
) -> None:
    _, terminal = at_a("a trip stopped", tmp_path)
    said = terminal.type("check", "--all-fine", "--found", typed)
    assert said.code == REFUSED
    assert told in " ".join(said.err.split())


def test_with_options_all_are_fine_and_one_thing_beside_them_is_not(tmp_path: Path) -> None:
    _, terminal = at_a("a trip stopped", tmp_path)
    said = terminal.type("check", "--all-fine", "--found", "edge: missing, put right")
    assert said.code == DONE
    checked = terminal.type("entries", terminal.entry_of("check_completed")).out
    assert '"found": "missing"' in checked


@pytest.mark.parametrize(
    "answers",
    [
        [("All looked at, and none slack?", "y\n"), ("What the odometer reads", CTRL_C)],
        [
            ("All looked at, and none slack?", "y\n"),
            ("What the odometer reads", "24192\n"),
            ("24192 is", "1\n"),
            ("The check is late; why", CTRL_C),
        ],
        [
            ("All looked at, and none slack?", "n\n"),
            ("But every tie-down looked at", "n\n"),
            ("T1", "2\n"),
            ("T2", "2\n"),
            ("Looked at besides", CTRL_C),
        ],
    ],
)
def test_a_check_left_at_its_last_questions_keeps_what_was_told_and_answers_nothing(
    answers: list[tuple[str, str]], tmp_path: Path
) -> None:
    """Opening and leaving a check resets nothing: our reading of 49 CFR 392.9(b)."""
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type("check", answers=answers)
    assert said.code == FOUND
    assert "left before the end" in said.screen
    part = terminal.type("entries", terminal.entry_of("check_left_open")).out
    assert part.count('"found": "fine"') == 2
    assert "answers: first check" in terminal.type("check", "--all-fine").out


def test_a_check_left_in_the_middle_is_recorded_as_a_part_look_and_told_at_the_next(
    tmp_path: Path,
) -> None:
    """A partial look is recorded as such and resets nothing: our reading of 49 CFR 392.9(b)."""
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "check",
        answers=[
            ("All looked at, and none slack?", "n\n"),
            ("But every tie-down looked at", "n\n"),
            ("T1", "2\n"),
            ("T2", CTRL_C),
        ],
    )
    assert said.code == FOUND
    assert "stopped in the middle: what was told by then is kept" in said.screen
    part = terminal.type("entries", terminal.entry_of("check_left_open")).out
    assert part.count('"found": "not looked at"') == 1
    said = typist.type(
        "check",
        answers=[
            ("a part look", ""),
            ("All looked at, and none slack?", "y\n"),
            ("What the odometer reads", ENTER),
        ],
    )
    assert said.code == DONE
    assert "answers: first check" in said.screen


def test_before_a_check_the_last_look_and_what_keeps_going_slack_are_shown(tmp_path: Path) -> None:
    """Slack at two of the last three looks: our reading."""
    typist, terminal = at_a("a trip stopped", tmp_path)
    terminal.type("check", "--slack", "T1:2", "--fine", "T2")
    terminal.type("--again", "check", "--slack", "T1:1", "--fine", "T2")
    said = typist.type(
        "check",
        answers=[
            ("last look:", ""),
            ("keeps going slack: find out why; slack at 2 of 2 looks", ""),
            ("All looked at, and none slack?", "y\n"),
            ("What the odometer reads", ENTER),
        ],
    )
    assert "T1" in said.screen


def test_a_check_asks_about_an_odd_reading_and_why_it_is_late_by_that_reading(
    tmp_path: Path,
) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "check",
        answers=[
            ("All looked at, and none slack?", "y\n"),
            ("What the odometer reads", "24192\n"),
            ("24192 is", "1\n"),
            ("The check is late; why", "no room to stop\n"),
        ],
    )
    assert said.code == FOUND
    checked = terminal.type("entries", terminal.entry_of("check_completed")).out
    assert '"reason": "no room to stop"' in checked


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--gauge", "T1:a lot"), "cannot be read as a force"),
        (("--gauge", "T9:280 daN"), "there is no tie-down 'T9'"),
        (("--looked", "mirrors"), "'mirrors' is none of"),
        (("--at", "05:00"), "departed"),
    ],
)
def test_what_cannot_be_used_is_told_before_anything_is_asked(
    words: tuple[str, str], told: str, tmp_path: Path
) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    before = terminal.entry_count()
    said = typist.type("check", *words, answers=[])
    assert said.code == REFUSED
    assert told in said.screen
    assert "none slack?" not in said.screen
    assert terminal.entry_count() == before


def test_a_gauge_reading_goes_with_the_line_that_is_asked_for(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    typist.type(
        "check",
        "--gauge",
        "T2:280 daN",
        answers=[
            ("All looked at, and none slack?", "y\n"),
            ("What the odometer reads", ENTER),
        ],
    )
    checked = terminal.type("entries", terminal.entry_of("check_completed")).out
    assert '"tension": "280 daN"' in checked


@pytest.mark.parametrize(
    ("replies", "recorded"),
    [
        (
            [("24516 is", "2\n"), ("What does the odometer read", "24156\n")],
            ('"odometer": "24156 mi"', '"typed_first": "24516 mi"'),
        ),
        ([("24516 is", "3\n")], ('"odometer": "24516 mi"', '"replaced": true')),
    ],
)
def test_a_reading_typed_wrongly_at_a_check_is_typed_again_and_both_are_kept(
    replies: list[tuple[str, str]], recorded: tuple[str, str], tmp_path: Path
) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "check",
        answers=[
            ("All looked at, and none slack?", "y\n"),
            ("What the odometer reads", "24516\n"),
            *replies,
        ],
    )
    assert said.code == DONE
    checked = terminal.type("entries", terminal.entry_of("check_completed")).out
    assert all(one in checked for one in recorded)
