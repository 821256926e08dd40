"""An exempt trip at the terminal: what is asked, and what is said before driving all the same."""

from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.cli.test_at_a_terminal import at_a
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, REFUSED

STAYS = "the load must not shift or fall all the same, and the look before driving stays"
IMPRACTICABLE = ("--impracticable", "--reason", "full to the doors", "--loaded-by", "the mill")


def test_a_seal_is_asked_about_and_a_padlock_with_a_key_is_refused_at_once(tmp_path: Path) -> None:
    """The agency's guidance on 49 CFR 392.9, question 1."""
    typist, terminal = at_a("a trip stopped", tmp_path)
    before = terminal.entry_count()
    said = typist.type(
        "exempt",
        answers=[
            ("No check is owed", "1\n"),
            ("The seal's number", "48213\n"),
            ("Does the driver hold a key to it?", "y\n"),
        ],
    )
    assert said.code == REFUSED
    assert "no seal: the checks stay due" in " ".join(said.screen.split())
    assert terminal.entry_count() == before
    said = typist.type(
        "exempt",
        answers=[
            ("No check is owed", "1\n"),
            ("The seal's number", "48213\n"),
            ("Does the driver hold a key to it?", "n\n"),
            ("Who ordered it not to be opened", "the dock\n"),
            ("When", "07:05\n"),
        ],
    )
    assert said.code == DONE
    assert (
        '"driver_has_key": false'
        in terminal.type("entries", terminal.entry_of("checks_exempted")).out
    )


def test_impracticable_asks_why_and_who_loaded(tmp_path: Path) -> None:
    """49 CFR 392.9(b)(4); that both are asked for is our reading."""
    typist, terminal = at_a("a trip stopped", tmp_path)
    said = typist.type(
        "exempt",
        "--impracticable",
        answers=[("Why the load cannot", "full to the doors\n"), ("Who loaded it", "the mill\n")],
    )
    assert said.code == DONE
    recorded = terminal.type("entries", terminal.entry_of("checks_exempted")).out
    assert '"loaded_by": "the mill"' in recorded


def test_while_driving_nothing_is_asked(tmp_path: Path) -> None:
    typist, _ = at_a("a trip rolling", tmp_path)
    said = typist.type("exempt", answers=[])
    assert said.code == REFUSED
    assert "No check is owed" not in said.screen


@pytest.fixture
def lifted(tmp_path: Path) -> Terminal:
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip planned", terminal)
    assert STAYS in terminal.type("exempt", *IMPRACTICABLE).out
    return terminal


def test_the_look_before_driving_is_asked_for_on_an_exempt_trip_too(lifted: Terminal) -> None:
    """49 CFR 392.9(a) binds whoever drives; (b)(4) lifts the checks alone."""
    said = lifted.type("depart", "--odometer", "24130")
    assert "look before driving; law, 49 CFR 392.9(b)(1)" in said.out
    assert "exempt: inspection impracticable" in said.out
    lifted.clock.forward(minutes=90)
    lifted.type("duty", "on duty", "--place", "the mill")
    lifted.clock.forward(minutes=10)
    said = lifted.type("duty", "driving")
    assert said.code == DONE
    assert said.out.index(STAYS) < said.out.index("duty status driving")


def test_what_happened_to_an_exempt_load_is_due_all_the_same(lifted: Terminal) -> None:
    """Our reading: what is lifted is the checks of paragraph (b), not the look at what happened."""
    lifted.type("depart", "--odometer", "24130")
    lifted.clock.forward(minutes=30)
    lifted.type("event", "hard braking", "--stopped")
    lifted.clock.forward(minutes=5)
    said = lifted.type("duty", "driving")
    assert said.out.index("check after: hard braking") < said.out.index("duty status driving")


def test_a_part_unloading_ends_the_exemption_and_says_so(lifted: Terminal) -> None:
    """Our reading: a vehicle that was opened is sealed no more, and another load stands on it."""
    lifted.type("article", "add", "a box", "--mass", "40 lb", "--commodity", "general")
    lifted.type("depart", "--odometer", "24130")
    lifted.clock.forward(minutes=30)
    told = lifted.type("deliver", "B", "--stopped", "--odometer", "24150").out
    assert "checks are due again from here" in " ".join(told.split())
    lifted.clock.forward(minutes=3)
    said = lifted.type("duty", "driving")
    assert STAYS not in said.out
    assert "check after a change of duty status" in said.out
    assert "exempt" not in lifted.type("due").out
    assert "exempt" not in lifted.type("slip").out
    lifted.type("duty", "on duty")
    lifted.type("exempt", *IMPRACTICABLE)
    assert "exempt: inspection impracticable" in lifted.type("due").out
