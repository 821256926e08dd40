"""A time that cannot be right, at a terminal and without one: asked, kept as stated, told."""

from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.cli.test_at_a_terminal import at_a
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, FOUND, REFUSED


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip stopped", terminal)
    return terminal


def test_at_a_terminal_it_is_asked_about_and_the_time_that_was_meant_is_taken(
    tmp_path: Path,
) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "odometer",
        "24156",
        "--at",
        "2026-03-02 18:00",
        answers=[
            ("2026-03-02 18:00 has not come yet", ""),
            ("1 typed wrongly", "1\n"),
            ("When was it", "07:52\n"),
        ],
    )
    assert said.code == DONE
    read = terminal.type("entries", terminal.entry_of("odometer_read")).out
    assert '"time_first": "2026-03-03T00:00:00.000Z"' in read
    assert "time_doubt" not in read


def test_at_a_terminal_it_is_kept_where_it_is_to_stand(tmp_path: Path) -> None:
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "check",
        "--all-fine",
        "--at",
        "05:00",
        answers=[
            ("05:00 is before trip T-1 departed", ""),
            ("2 to stand as stated", "2\n"),
            ("What the odometer reads", "\n"),
        ],
    )
    assert said.code == FOUND
    assert "nothing is answered by it" in " ".join(said.screen.split())
    assert "answers:" not in said.screen
    assert "check_completed" in terminal.type("entries").out


@pytest.mark.parametrize(
    "words",
    [
        ("check", "--all-fine"),
        ("odometer", "24187"),
        ("duty", "off duty"),
        ("duty", "driving"),
        ("event", "hard braking"),
    ],
    ids=" ".join,
)
@pytest.mark.parametrize("at", ["2026-03-02 18:00", "05:00"])
def test_in_a_script_it_needs_an_explicit_yes_and_is_listed_with_its_doubt(
    words: tuple[str, ...], at: str, terminal: Terminal
) -> None:
    before = terminal.entry_count()
    refused = terminal.type(*words, "--at", at)
    assert refused.code == REFUSED
    assert "--as-stated" in refused.err
    assert terminal.entry_count() == before
    due = terminal.type("due").out
    assert terminal.type(*words, "--at", at, "--as-stated").code == FOUND
    assert terminal.type("due").out == due
    last = terminal.type("entries", "--last", "1").out
    assert "counts for nothing" in last
    assert " ".join(terminal.type("slip").out.split()).count("counts for nothing") == 1


def test_before_the_departure_only_a_trip_that_is_named_is_meant(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip planned", terminal)
    assert "no trip is rolling or stopped" in terminal.type("check", "--all-fine").err
    told = terminal.type("check", "--all-fine", "--trip", "T-1")
    assert "trip T-1 is planned: it has not departed" in told.err
    for words in (("check", "--all-fine"), ("duty", "on duty"), ("odometer", "24100")):
        assert terminal.type(*words, "--trip", "T-1", "--as-stated").code == FOUND


def test_the_correction_it_names_makes_it_count(terminal: Terminal) -> None:
    said = terminal.type("check", "--all-fine", "--at", "05:00", "--as-stated")
    start = said.out.split("`triplog correct ")[1][:8]
    mended = terminal.type("correct", start, "--at", "07:52", "--reason", "a slip of the hour")
    assert mended.code == DONE
    assert "counts for nothing" not in terminal.type("slip").out
