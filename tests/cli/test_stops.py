"""What is said of planned stops: at departure and at every entry of a stop, never while driving.

Where a case names no source, what it holds is our reading.
"""

from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, REFUSED


@pytest.fixture
def stopped(tmp_path: Path) -> Terminal:
    """A trip that has left for a stop ten miles beyond its first limit, and stands now."""
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip planned", terminal)
    said = terminal.type(
        "depart", "--odometer", "24130", "--next-stop", "the mill", "--next-stop-odometer", "+60"
    )
    assert "the check is due by odometer 24,180 mi (50 mi)" in said.out
    assert "the mill, odometer 24,190 mi, is 10 mi beyond it" in said.out
    terminal.clock.forward(minutes=30)
    assert BEYOND in terminal.type("duty", "on duty").out
    return terminal


BEYOND = "is 10 mi beyond it: look before rolling or stop earlier"


@pytest.mark.parametrize(
    "line", ["odometer 24150", "check --all-fine --odometer 24131", "stops list"]
)
def test_it_is_said_at_a_stop(line: str, stopped: Terminal) -> None:
    said = stopped.type(*line.split())
    assert "planned stop: the mill" in said.out or BEYOND in said.out


def test_driving_on_says_it_before_it_is_recorded_and_a_nearer_stop_settles_it(
    stopped: Terminal,
) -> None:
    said = stopped.type("duty", "driving")
    assert said.out.index(BEYOND) < said.out.index("duty status driving")
    stopped.clock.forward(minutes=5)
    stopped.type("duty", "on duty")
    said = stopped.type("duty", "driving", "--next-stop-odometer", "24170")
    assert "odometer 24,170 mi, 10 mi before the 50 mi limit, 24,180 mi" in said.out
    assert BEYOND not in said.out


def test_a_delivery_says_it_too(stopped: Terminal) -> None:
    stopped.type("article", "add", "a box", "--mass", "40 lb", "--commodity", "general")
    assert "planned stop: the mill" in stopped.type("deliver", "A", "--odometer", "24150").out


def test_nothing_is_planned_while_driving_but_with_the_stop_itself(stopped: Terminal) -> None:
    stopped.type("duty", "driving")
    assert stopped.type("stops", "add", "the yard").code == REFUSED
    stopped.clock.forward(minutes=10)
    stopped.type("duty", "on duty", "--next-stop", "the yard")
    assert "the yard; cannot tell" in stopped.type("stops", "list").out


def test_a_stop_without_a_reading_says_what_would_tell(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a first check made", terminal)
    said = terminal.type("stops", "add", "the yard")
    assert said.code == DONE
    assert "the yard; cannot tell whether a limit comes before it" in said.out
    assert "what the odometer will read there" in said.out


def test_without_a_stop_the_list_says_how_to_name_one(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a first check made", terminal)
    assert "triplog stops add" in terminal.type("stops", "list").out
