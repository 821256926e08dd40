"""Facts of gear and anchor points that a plan file can tell and a command too."""

import json
from pathlib import Path

from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene


def seated(tmp_path: Path) -> Terminal:
    terminal = Terminal(folder=tmp_path)
    set_scene("a truck and gear", terminal)
    return terminal


def test_a_mat_is_told_with_the_friction_marked_on_it(tmp_path: Path) -> None:
    terminal = seated(tmp_path)
    assert (
        terminal.type("gear", "add", "M-1", "--kind", "friction mat", "--friction", "0.6").code == 0
    )
    assert "friction        0.6" in terminal.type("gear", "show", "M-1").out
    refused = terminal.type("gear", "add", "M-2", "--kind", "friction mat", "--friction", "6")
    assert refused.code != 0
    assert "gear M-2.friction: 6 is more than surfaces ever have" in refused.err


def test_the_breaking_strength_of_parts_is_told_and_the_rest_of_them_kept(tmp_path: Path) -> None:
    terminal = seated(tmp_path)
    told = terminal.type(
        "gear", "change", "S-1", "--hooks", "flat hook", "--hooks-wll", "3335 lb",
        "--tensioner", "ratchet", "--tensioner-wll", "3335 lb",
    )  # fmt: skip
    assert told.code == 0
    terminal.type(
        "gear", "change", "S-1", "--hooks-breaking", "10000 lb", "--tensioner-breaking", "11000 lb"
    )
    shown = terminal.type("gear", "show", "S-1").out
    for fact in ("flat hook", "3335 lb", "10000 lb", "ratchet", "11000 lb"):
        assert fact in shown
    terminal.type("gear", "change", "S-1", "--hooks", "snap hook")
    shown = json.loads(terminal.type("gear", "show", "S-1", "--json").out)
    assert shown["item"]["fittings"] == [{"kind": "snap hook"}, {"kind": "snap hook"}]


def test_a_vehicle_shows_what_its_anchor_points_take(tmp_path: Path) -> None:
    terminal = seated(tmp_path)
    before = terminal.type("vehicle", "show").out
    assert "opening" not in before and "breaking" not in before
    done = terminal.type(
        "vehicle", "anchor", "flatbed", "L2", "--breaking", "15000 lb", "--opening", "60 mm",
        "--accepts", "flat hook", "--accepts", "snap hook",
    )  # fmt: skip
    assert done.code == 0
    shown = terminal.type("vehicle", "show").out
    (line,) = [one for one in shown.splitlines() if one.strip().startswith("L2 ")]
    for fact in ("15000 lb", "60 mm", "flat hook, snap hook"):
        assert fact in line
    row = terminal.type(
        "vehicle", "anchors", "flatbed", "--side", "left", "--first", "1 ft", "--across", "3 ft",
        "--breaking", "9000 lb",
    )  # fmt: skip
    assert row.code == 0
    assert "9000 lb" in terminal.type("vehicle", "show").out
