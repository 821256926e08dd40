"""The deck as a picture: well-formed, everything in it, or named below it."""

import re
from xml.etree import ElementTree

import pytest

from triplog.drawing.deck import deck_from_above, deck_from_the_side
from triplog.drawing.svg import Drawing, hatching
from triplog.securement.model import Plan
from triplog.securement.plan_file import read_plan

NAMESPACE = "{http://www.w3.org/2000/svg}"
PLAN = """
format = "triplog-plan/1"
[vehicle]
deck_length = "6 m"
deck_width = "2.4 m"
[[anchor]]
id = "L1"
at = ["2 m", "left 1.1 m"]
wll = "2000 daN"
[[anchor]]
id = "R1"
at = ["2 m", "right 1.1 m"]
[[article]]
id = "A"
what = "crate <of> pumps & parts"
length = "2 m"
width = "{width}"
height = "1 m"
at = ["1 m", "centre"]
blocked = {{ forward = "headboard" }}
[[tie_down]]
id = "T1"
holds = ["A"]
path = "over"
from = "L1"
to = "R1"
edge_protection = {{ needed = 2, fitted = 1 }}
[[tie_down]]
id = "T2"
holds = ["A"]
path = "direct"
from = "L1"
to = "lug"
"""


def plan(width: str = "1.6 m") -> Plan:
    return read_plan(PLAN.format(width=width).encode(), "plan.toml").plan


def elements(drawing: Drawing, name: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(drawing.svg).iter(f"{NAMESPACE}{name}"))


def texts(drawing: Drawing) -> list[str]:
    return [one.text or "" for one in elements(drawing, "text")]


def test_what_is_drawn_and_what_is_not_is_also_said_in_words() -> None:
    drawing = deck_from_above(plan(), {"A": "does not meet, us-393.110-count"})
    for said in (
        "A crate <of> pumps & parts",
        "T1 over the top from L1 to R1, holds A",
        "T2 is not drawn, not known: the places of contact of T2 with the article",
        "A: blocked forward by headboard",
        "A: does not meet, us-393.110-count",
    ):
        assert said in drawing.alt.split("; ")
    assert ElementTree.fromstring(drawing.svg).get("aria-label") == drawing.alt


def test_every_thing_carries_its_id() -> None:
    for drawing in (deck_from_above(plan(), {}), deck_from_the_side(plan(), {})):
        assert {"A", "T1", "L1 2000 daN"} <= set(texts(drawing))


def test_a_missing_protector_is_an_open_square_and_a_fitted_one_is_filled() -> None:
    squares = [
        one.get("fill")
        for one in elements(deck_from_above(plan(), {}), "rect")
        if one.get("width") == one.get("height") == "10"
    ]
    assert squares == ["black", "white"]


def test_a_tie_down_that_is_not_settled_is_dashed() -> None:
    def dashed(marks: dict[str, str]) -> int:
        return deck_from_above(plan(), marks).svg.count("stroke-dasharray")

    assert (dashed({}), dashed({"T1": "cannot tell"})) == (0, 1)


def test_an_article_without_a_size_is_named_and_not_drawn() -> None:
    told = PLAN.format(width="1.6 m").replace('height = "1 m"\n', "")
    drawing = deck_from_above(read_plan(told.encode(), "plan.toml").plan, {})
    assert "A is not drawn, not known: the height of A" in texts(drawing)
    assert "A" not in texts(drawing)


def test_only_black_and_white_are_used() -> None:
    drawing = deck_from_above(plan(), {"A": "cannot tell", "T1": "cannot tell"})
    colours = set(re.findall(r'(?:fill|stroke)="([^"]*)"', drawing.svg))
    assert colours == {"none", "black", "white"}


def test_nothing_is_drawn_outside_the_picture() -> None:
    for drawing in (deck_from_above(plan(), {}), deck_from_the_side(plan("9 m"), {})):
        box = ElementTree.fromstring(drawing.svg).get("viewBox", "").split()
        right, bottom = float(box[2]), float(box[3])
        for points in re.findall(r'points="([^"]*)"', drawing.svg):
            for point in points.split():
                x, y = (float(number) for number in point.split(","))
                assert -1 <= x <= right + 1
                assert -1 <= y <= bottom + 1


@pytest.mark.parametrize("count", [500])
def test_hundreds_of_tie_downs_are_drawn(count: int) -> None:
    more = "".join(
        f'[[tie_down]]\nid = "X{number}"\nholds = ["A"]\npath = "over"\nfrom = "L1"\nto = "R1"\n'
        for number in range(count)
    )
    drawing = deck_from_above(
        read_plan((PLAN.format(width="1.6 m") + more).encode(), "plan.toml").plan, {}
    )
    assert {f"X{number}" for number in range(count)} <= set(texts(drawing))


def test_a_plan_of_nothing_but_an_article_without_a_place_has_a_picture() -> None:
    bare = read_plan(b'format = "triplog-plan/1"\n[[article]]\nid = "A"\n', "plan.toml").plan
    assert "A is not drawn" in deck_from_above(bare, {}).alt
    assert "A is not drawn" in deck_from_the_side(bare, {}).alt


def test_hatching_stays_inside_its_rectangle() -> None:
    for element in hatching((10, 20), (40, 90)):
        points = re.findall(r"([\d.]+),([\d.]+)", element)
        assert all(10 <= float(x) <= 40 and 20 <= float(y) <= 90 for x, y in points)
