"""A plan that meets the law of the United States and falls short forward: shown so, and mended."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.cli.terminal import Terminal
from tests.readme import README, plan_file_shown
from triplog.cli.exit_codes import DONE, FOUND


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    (tmp_path / "pump.toml").write_text(plan_file_shown(README.read_text()))
    return Terminal(folder=tmp_path)


def verdicts(terminal: Terminal, name: str) -> dict[str, str]:
    said = terminal.type("judge", "--file", name, "--json")
    return {one["rule"]: one["verdict"] for one in json.loads(said.out)["findings"]}


def test_every_rule_of_the_law_meets_and_only_forward_falls_short(terminal: Terminal) -> None:
    found = verdicts(terminal, "pump.toml")
    of_law = {verdict for rule, verdict in found.items() if rule.startswith("us-393")}
    assert of_law == {"meets", "does not apply"}
    assert found["static-forward"] == "does not meet"
    others = {found[f"static-{direction}"] for direction in ("rearward", "left", "right")}
    assert others == {"meets"}


def test_the_text_says_by_how_much_and_how_it_would_give_way(terminal: Terminal) -> None:
    said = terminal.type("judge", "--file", "pump.toml", "--unsettled")
    assert said.code == FOUND
    assert "does not meet   held forward, by estimate: A" in said.out
    assert "short by  212 lb" in said.out
    assert "then A slides" in said.out


def test_the_picture_shows_forward_open_and_the_other_directions_filled(
    terminal: Terminal, tmp_path: Path
) -> None:
    assert terminal.type("plan", "picture", "--file", "pump.toml", "--to", "out").code == DONE
    picture = ElementTree.parse(tmp_path / "out" / "withstands-1.svg").getroot()
    squares = [
        (float(one.get("x", "0")), one.get("fill"))
        for one in picture.iter("{http://www.w3.org/2000/svg}rect")
        if one.get("width") == "12"
    ]
    assert [fill for _, fill in sorted(squares)] == ["white", "black", "black", "black"]
    assert "forward: withstands only 0.69 g of the 0.80 g asked" in picture.get("aria-label", "")


def test_the_advice_from_stock_mends_it(terminal: Terminal, tmp_path: Path) -> None:
    said = terminal.type("advise", "--file", "pump.toml", "--json")
    assert said.code == DONE
    (added,) = json.loads(said.out)["added"]
    mended = plan_file_shown(README.read_text()) + (
        f'\n[[tie_down]]\nid = "T3"\nholds = ["A"]\npath = "over"\ngear = "{added["gear"]}"\n'
        f'from = "{added["from"]}"\nto = "{added["to"]}"\ntension = "315 daN"\nknots = false\n'
        'tension_basis = "hand force label"\n'
    )
    (tmp_path / "mended.toml").write_text(mended)
    assert set(verdicts(terminal, "mended.toml").values()) == {"meets", "does not apply"}


def test_a_wet_deck_takes_the_estimate_away_and_one_more_brings_it_back(terminal: Terminal) -> None:
    said = terminal.type("vary", "--file", "pump.toml", "--only", "wet", "--only", "one-more")
    wet, one_more = said.out.split("if one more like")
    assert "does not meet   held rearward, by estimate: A" in wet
    assert "meets           held forward, by estimate: A" in one_more
