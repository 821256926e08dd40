"""The stated top road speed: asked for at departure; until it is stated some cannot be told.

Where a case names no source, what it holds is our reading.
"""

from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.cli.typist import Typist
from tests.errors.scenes import set_scene

TOLD = (
    ("vehicle", "add", "flatbed", "--deck-length", "20 ft", "--deck-width", "8 ft"),
    ("trip", "new", "--what", "crated pump", "--mass", "5200 lb"),
)


@pytest.fixture
def planned(tmp_path: Path) -> Terminal:
    """A trip planned with a vehicle whose card has no top road speed."""
    terminal = Terminal(folder=tmp_path)
    set_scene("a journal just begun", terminal)
    for line in TOLD:
        said = terminal.type(*line)
        assert said.code == 0, said.err
    return terminal


def test_it_is_asked_for_at_departure_and_then_the_limits_are_foretold(planned: Terminal) -> None:
    """Our reading: 50 mi of 49 CFR 392.9(b)(2) at 65 mph are 46 min."""
    said = Typist(planned).type(
        "depart",
        answers=[
            ("Carried a load like this before", "\n"),
            ("Why depart all the same", "\n"),
            ("Top road speed of this vehicle", "fast\n"),
            ("Top road speed of this vehicle", "65 mph\n"),
            ("What the odometer reads", "\n"),
            ("Countries the trip touches", "\n"),
            ("Where you will stop next to look", "\n"),
        ],
    )
    assert "cannot tell" not in said.screen.split("departed")[1]
    planned.clock.forward(minutes=47)
    assert "due, by estimate" in planned.type("due").out


def test_until_it_is_stated_it_cannot_be_told_and_what_decides_is_said(planned: Terminal) -> None:
    planned.type("depart")
    planned.clock.forward(minutes=20)
    due = " ".join(planned.type("due").out.split())
    assert "cannot tell first check, within 50 mi" in due
    assert "read the odometer now" in due and "top_speed=" in due
    planned.type(
        "correct",
        planned.entry_of("departed"),
        "top_speed=65 mph",
        "--reason",
        "from its papers",
    )
    assert "cannot tell" not in planned.type("due").out
