"""The first minutes are on the screen before anything is asked; breaking off loses nothing told."""

from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.cli.typist import CTRL_C, Typist
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, REFUSED
from triplog.wording.incident import FIRST_MINUTES, PICTURES, PIECES


def at_a(scene: str, folder: Path) -> Terminal:
    terminal = Terminal(folder=folder)
    set_scene(scene, terminal)
    return terminal


def test_the_list_needs_no_journal_and_records_nothing(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    said = terminal.type("incident", "--list")
    assert said.code == DONE
    for line in (*FIRST_MINUTES, *(what for _, what in PICTURES), *PIECES):
        assert line in said.out
    assert said.out.splitlines()[0].startswith(" 1  People first")
    assert not terminal.store.exists()


def test_the_list_is_printed_even_where_nothing_can_be_recorded(tmp_path: Path) -> None:
    said = Terminal(folder=tmp_path).type("incident", "--injured", "1")
    assert said.out.splitlines()[0].startswith(" 1  People first")
    assert said.code != DONE
    assert "no journal" in said.err


def test_the_list_stands_before_the_first_question_and_no_is_enough(tmp_path: Path) -> None:
    terminal = at_a("a trip stopped", tmp_path)
    before = terminal.entry_count()
    talk = Typist(terminal).follow("incident", knows={"out of danger": "n"})
    assert talk.code == DONE
    assert talk.screen.index("People first") < talk.screen.index("out of danger, and")
    assert "nothing was recorded; when everybody is out of danger" in " ".join(talk.screen.split())
    assert terminal.entry_count() == before


def test_every_answer_may_be_left_empty_and_the_hold_is_placed(tmp_path: Path) -> None:
    terminal = at_a("a trip stopped", tmp_path)
    before = terminal.entry_count()
    talk = Typist(terminal).follow("incident", knows={"out of danger": "y"})
    assert talk.code == DONE
    assert terminal.entry_count() == (before or 0) + 2
    assert "under an evidence hold" in " ".join(talk.screen.split())


def test_broken_off_what_was_told_is_recorded_and_held(tmp_path: Path) -> None:
    terminal = at_a("a trip stopped", tmp_path)
    answers = [
        ("out of danger", "y\n"),
        ("When did it happen", "5 min ago\n"),
        ("Nearest town", "Fern Hollow, Ohio\n"),
        ("Did the load move", CTRL_C),
    ]
    talk = Typist(terminal).type("incident", answers=answers)
    assert "broken off: what was told until here is recorded" in talk.screen
    shown = terminal.type("incident", "--open")
    assert "Fern Hollow, Ohio" in shown.out
    assert "under an evidence hold" in terminal.type("trip", "list").out


@pytest.mark.parametrize(
    "words",
    [("--list", "--add"), ("--open", "--list"), ("--injured", "some"), ("--told", "a friend")],
)
def test_what_makes_no_sense_is_refused_and_records_nothing(
    words: tuple[str, ...], tmp_path: Path
) -> None:
    terminal = at_a("a trip stopped", tmp_path)
    before = terminal.entry_count()
    assert terminal.type("incident", *words).code == REFUSED
    assert terminal.entry_count() == before
