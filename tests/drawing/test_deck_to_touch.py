"""The deck to touch: a handle for each tie-down, none over another, a link and a name for each."""

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from triplog.drawing.deck_to_touch import Deck, deck_to_touch
from triplog.securement.model import Plan
from triplog.securement.plan_read import plan_from_document

_SVG = "{http://www.w3.org/2000/svg}"
HANDLE_LEAST = 60.0


def document(count: int, *, placed: bool, anchored: bool = True) -> dict[str, object]:
    """A plan with so many tie-downs over one article; `anchored`: where its anchor points are."""
    article: dict[str, object] = {"id": "A", "what": "crate", "mass": "1000 lb"}
    if placed:
        article |= {"length": "12 ft", "width": "6 ft", "height": "4 ft", "at": ["1 ft", "centre"]}
    anchors = [
        {"id": f"{side[0].upper()}{n}"}
        | ({"at": [f"{n} ft", f"{side} 3 ft 9 in"]} if anchored else {})
        for side in ("left", "right")
        for n in range(1, count + 1)
    ]
    tie_downs = [
        {"id": f"T{n}", "holds": ["A"], "path": "over", "from": f"L{n}", "to": f"R{n}"}
        for n in range(1, count + 1)
    ]
    return {
        "format": "triplog-plan/1",
        "vehicle": {"deck_length": "24 ft", "deck_width": "8 ft"},
        "article": [article],
        "anchor": anchors,
        "tie_down": tie_downs,
    }


def drawn(plan: Plan) -> ElementTree.Element:
    picture = seen(plan).drawing
    assert picture is not None
    return ElementTree.fromstring(picture.svg)


def seen(plan: Plan) -> Deck:
    return deck_to_touch(plan, "the deck", "front", "{name}: say what was found")


@given(count=st.integers(1, 20), placed=st.booleans())
def test_each_tie_down_has_a_handle_of_its_own(count: int, placed: bool) -> None:
    links = drawn(plan_from_document(document(count, placed=placed))).findall(f"{_SVG}a")
    assert sorted(link.get("href") or "" for link in links) == sorted(
        f"#T{n}" for n in range(1, count + 1)
    )
    boxes = []
    for link in links:
        handle = link.findall(f"{_SVG}rect")[-1]
        top, height = (float(handle.get(name) or "0") for name in ("y", "height"))
        assert height >= HANDLE_LEAST
        assert float(handle.get("width") or "0") >= HANDLE_LEAST
        boxes.append((top, top + height))
        assert re.fullmatch(r"T\d+: say what was found", link.get("aria-label") or "")
    boxes.sort()
    assert all(one[1] <= other[0] for one, other in pairwise(boxes))


def test_handles_stand_in_the_order_of_the_deck_from_the_front() -> None:
    plan = plan_from_document(document(3, placed=True))
    turned = replace(plan, tie_downs=tuple(reversed(plan.tie_downs)))
    links = drawn(turned).findall(f"{_SVG}a")
    assert [link.get("href") for link in links] == ["#T1", "#T2", "#T3"]


@given(count=st.integers(0, 5), anchored=st.booleans(), placed=st.booleans())
def test_what_the_plan_places_is_drawn_and_the_rest_is_named(
    count: int, anchored: bool, placed: bool
) -> None:
    deck = seen(plan_from_document(document(count, placed=placed, anchored=anchored)))
    names = [f"T{n}" for n in range(1, count + 1)]
    assert list(deck.unplaced) == ([] if placed else ["A"]) + ([] if anchored else names)
    assert (deck.drawing is None) == (not placed and not (anchored and names))


def test_a_strap_over_an_article_of_unknown_height_goes_straight_from_anchor_to_anchor() -> None:
    plan = plan_from_document(document(2, placed=True))
    flat = replace(plan, articles=tuple(replace(one, height=None) for one in plan.articles))
    links = drawn(flat).findall(f"{_SVG}a")
    lines = [link.findall(f"{_SVG}polyline")[0].get("points") or "" for link in links]
    ends = [[point.split(",") for point in line.split()] for line in lines]
    assert all(len(one) == 2 and one[0][1] == one[1][1] for one in ends)
    assert ends[0][0][1] != ends[1][0][1]
    # The article itself is there: hatched, with its outline and its name.
    assert [one.text for one in drawn(flat).iter(f"{_SVG}text")].count("A") == 1
