"""`triplog handover` and `slip` as typed: what is printed, refused and written as a page."""

from pathlib import Path

import pytest

from tests.cli.terminal import Answer, Terminal
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, REFUSED


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    terminal = Terminal(folder=tmp_path)
    set_scene("a first check made", terminal)
    terminal.type("person", "add", "relief")
    return terminal


def over(terminal: Terminal, *more: str) -> Answer:
    return terminal.type("handover", "--to", "relief", *more)


def test_a_team_hands_over_and_the_slip_is_printed_with_it(terminal: Terminal) -> None:
    said = over(terminal, "--odometer", "24160", "--looked-together", "--open", "T2 wants watching")
    assert said.code == DONE
    assert "trip T-1: owner hands over to relief  [" in said.out
    assert "record each driver's duty with `triplog duty`" in said.out
    printed = said.out.partition("\n\n")[2]
    assert printed == terminal.type("slip").out
    for words in ("T2 wants watching", "No look by relief is recorded yet", "Looked together yes"):
        assert words in printed


def test_the_head_on_the_slip_is_that_of_the_record(terminal: Terminal) -> None:
    assert f"record [{over(terminal).out.split('[')[1][:8]}]" in terminal.type("slip").out
    assert f"[{terminal.entry_of('handed_over')}]" in terminal.type("slip").out


def test_after_the_first_check_of_the_relief_driver_the_slip_says_so(terminal: Terminal) -> None:
    over(terminal)
    terminal.clock.forward(minutes=5)
    terminal.type("--as", "relief", "check", "--all-fine")
    assert "yes, looked at 08:05, just now" in terminal.type("slip").out


def test_it_stands_in_the_lists_of_the_trip(terminal: Terminal) -> None:
    over(terminal, "--not-looked-together", "--odometer", "24160")
    shown = terminal.type("trip", "show").out
    assert "handed_over        24160 mi, looked together: no" in shown


def test_what_keeps_going_slack_stands_on_the_trip(terminal: Terminal) -> None:
    assert "gone slack" not in terminal.type("trip", "show").out
    assert '"slack_or_moved": {}' in terminal.type("trip", "show", "--json").out
    for _ in range(2):
        terminal.clock.forward(minutes=5)
        terminal.type("check", "--slack", "T2", "--fine", "T1")
    told = "keeps going slack: find out why; slack at 2 of 3 looks; from L3 to R3"
    assert told in terminal.type("trip", "show").out
    assert f'"T2 (S-2)": "{told}"' in terminal.type("trip", "show", "--json").out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("handover",), "--to is missing"),
        (("handover", "--to", "relieve"), "no person is called 'relieve'; there is: owner, relief"),
        (("handover", "--to", "owner"), "owner has the trip already"),
        (("handover", "--to", "relief", "--odometer", "lots"), "lots"),
        (("handover", "--to", "relief", "--at", "tomorrow-ish"), "tomorrow-ish"),
        (("slip", "--trip", "T-9"), "there is no trip 'T-9'"),
    ],
)
def test_bad_input_is_told_in_words_and_nothing_is_recorded(
    words: tuple[str, ...], told: str, terminal: Terminal
) -> None:
    before = terminal.entry_count()
    said = terminal.type(*words)
    assert said.code == REFUSED
    assert told in said.err
    assert terminal.entry_count() == before


def test_while_driving_it_waits_for_the_stop(terminal: Terminal) -> None:
    terminal.type("duty", "driving")
    assert over(terminal).code == REFUSED
    assert "Stopped off the road" in over(terminal).err or "--stopped" in over(terminal).err
    assert over(terminal, "--stopped").code == DONE


def test_the_same_hand_over_twice_is_asked_about(terminal: Terminal) -> None:
    over(terminal)
    said = over(terminal)
    assert said.code == REFUSED


def test_the_slip_is_exported_as_a_page(terminal: Terminal) -> None:
    over(terminal)
    said = terminal.type("export", "--form", "slip", "--to", "out")
    assert said.code == DONE
    assert (terminal.folder / "out" / "trip-T-1-slip.pdf").read_bytes().startswith(b"%PDF")
