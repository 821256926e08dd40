"""Something happened on the road: what is said at the terminal, at once and once driven on."""

from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import FOUND
from triplog.wording.happened import HAPPENED

NOW = "the nearest safe place now, not at the next planned stop"


def in_scene(scene: str, folder: Path) -> Terminal:
    terminal = Terminal(folder=folder, columns=200)
    set_scene(scene, terminal)
    return terminal


@pytest.mark.parametrize("what", HAPPENED)
def test_each_thing_that_may_happen_is_due_at_once_and_stands_before_driving_on(
    what: str, tmp_path: Path
) -> None:
    """Which events count is common practice, no source."""
    terminal = in_scene("a first check made", tmp_path)
    terminal.type("event", what)
    due = terminal.type("due").out
    assert due.index("due  ") < due.index(f"check after: {what}") < due.index("nothing due")
    terminal.clock.forward(minutes=3)
    said = terminal.type("duty", "driving")
    assert said.code == FOUND
    assert said.out.index(f"check after: {what}") < said.out.index("duty status driving")
    assert "driven on without it" in terminal.type("due").out


def test_at_departure_it_is_said_that_a_moving_load_is_stopped_for_at_once(tmp_path: Path) -> None:
    """GOV.UK, Securing loads on HGVs and goods vehicles, chapter 3: stop at the nearest place."""
    said = in_scene("a trip planned", tmp_path).type("depart", "--odometer", "24130")
    assert f"Load seen, heard or felt to move: stop at {NOW}." in said.out


def test_driven_on_with_a_moved_load_every_screen_says_stop_now(tmp_path: Path) -> None:
    """GOV.UK, Securing loads on HGVs and goods vehicles, chapter 3."""
    terminal = in_scene("a first check made", tmp_path)
    terminal.type("event", "load moved")
    terminal.clock.forward(minutes=3)
    terminal.type("duty", "driving")
    assert f"stop at {NOW}" in terminal.type("due").out
    assert f"next: at {NOW}, once it stands: triplog check" in terminal.type().out
