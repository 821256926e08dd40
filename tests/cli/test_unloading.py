"""`triplog plan unloading`: text for the loader, a picture, and 1 where something is left open."""

from pathlib import Path

from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, REFUSED


def test_it_is_planned_shown_and_drawn(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip planned", terminal)
    assert terminal.type("plan", "unloading").code == REFUSED
    said = terminal.type("plan", "unloading", "--stop", "A:right", "--to", "out")
    assert said.code == DONE
    assert "stop 1: A, from the right\n  let off: T1, T2\n" in said.out
    assert "before the first tie-down is touched: the release list" in said.out
    assert (tmp_path / "out" / "unloading-order.svg").exists()
    assert "stop 1: A, from the right" in terminal.type("plan", "unloading").out
