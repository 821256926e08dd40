"""Routes over boxes: contacts, legs, angles, lengths; what is not known is named, never guessed.

Values are plane trigonometry worked out by hand beside each case.
"""

import math
from fractions import Fraction

import pytest

from triplog.securement.geometry import (
    Box,
    Route,
    Unrouted,
    articles_pierced,
    box_of,
    boxes_of,
    centre_of_gravity,
    route_of,
)
from triplog.securement.model import Anchor, Article, Path, Plan, Position, TieDown
from triplog.securement.plan_file import read_plan
from triplog.securement.quantity import Dimension, Quantity

DECK = """
format = "triplog-plan/1"
[[anchor]]
id = "L"
at = ["{along}", "left {across}"]
[[anchor]]
id = "R"
at = ["{along}", "right {across}"]
[[article]]
id = "A"
length = "3 m"
width = "2 m"
height = "1.5 m"
at = ["1 m", "centre"]
[[tie_down]]
id = "T"
holds = ["A"]
from = "L"
to = "R"
{more}
"""


def routed(more: str = 'path = "over"', along: str = "2 m", across: str = "1.25 m") -> Route:
    route = either(more, along, across)
    assert isinstance(route, Route)
    return route


def either(more: str, along: str = "2 m", across: str = "1.25 m") -> Route | Unrouted:
    text = DECK.format(along=along, across=across, more=more)
    plan = read_plan(text.encode(), "plan.toml").plan
    return route_of(plan.tie_downs[0], plan)


def test_over_a_box_the_strap_bends_at_both_upper_edges() -> None:
    route = routed()
    assert [contact.at for contact in route.contacts] == [(-2.0, 1.0, 1.5), (-2.0, -1.0, 1.5)]
    assert route.assumed
    run = math.hypot(0.25, 1.5)  # from the anchor to the upper edge
    assert route.length_m == pytest.approx(2 * run + 2.0)
    for leg in route.legs:
        assert leg.angle_rad == pytest.approx(math.atan2(1.5, 0.25))
    assert route.legs[0].pull == pytest.approx((0.0, 0.25 / run, -1.5 / run))
    assert route.contacts[0].turn_rad == pytest.approx(math.atan2(1.5, 0.25))


def test_a_strap_beside_the_article_has_no_route() -> None:
    refused = either('path = "over"', along="6 m")
    assert isinstance(refused, Unrouted)
    assert refused.why == "beside the article"


def test_an_anchor_under_the_article_makes_a_leg_that_runs_through_it() -> None:
    text = DECK.format(along="2 m", across="0.5 m", more='path = "over"')
    plan = read_plan(text.encode(), "plan.toml").plan
    route = route_of(plan.tie_downs[0], plan)
    assert isinstance(route, Route)
    assert articles_pierced(route, plan) == ("A",)


def test_a_rigged_route_runs_through_nothing() -> None:
    text = DECK.format(along="2 m", across="1.25 m", more='path = "over"')
    plan = read_plan(text.encode(), "plan.toml").plan
    route = route_of(plan.tie_downs[0], plan)
    assert isinstance(route, Route)
    assert articles_pierced(route, plan) == ()


def test_touches_that_are_told_go_before_the_boxes() -> None:
    more = (
        'path = "over"\ntouches = [["2 m", "left 0.8 m", "1.7 m"], ["2 m", "right 0.8 m", "1.7 m"]]'
    )
    route = routed(more)
    assert not route.assumed
    assert route.legs[0].cargo_at == (-2.0, 0.8, 1.7)


def test_a_direct_tie_down_has_one_leg_and_no_contact() -> None:
    route = routed('path = "direct"\ntouches = [["4 m", "left 1 m", "1 m"]]')
    assert len(route.legs) == 1
    assert route.contacts == ()
    assert route.legs[0].cargo_at == (-4.0, 1.0, 1.0)
    assert route.length_m == pytest.approx(math.sqrt(2**2 + 0.25**2 + 1))


@pytest.mark.parametrize("path", ["direct", "same side", "spring"])
def test_a_path_that_is_not_over_the_top_asks_for_its_touches(path: str) -> None:
    refused = either(f'path = "{path}"')
    assert isinstance(refused, Unrouted)
    assert [missing.field for missing in refused.missing] == ["touches"]


def test_what_is_not_known_is_named() -> None:
    text = """
format = "triplog-plan/1"
[[anchor]]
id = "L"
[[article]]
id = "A"
width = "2 m"
[[tie_down]]
id = "T"
holds = ["A"]
from = "L"
"""
    plan = read_plan(text.encode(), "plan.toml").plan
    route = route_of(plan.tie_downs[0], plan)
    assert isinstance(route, Unrouted)
    assert {(one.about, one.field) for one in route.missing} == {
        ("L", "at"), ("T", "to"), ("T", "path"), ("T", "touches"),
        ("A", "length"), ("A", "height"), ("A", "at"),
    }  # fmt: skip


@pytest.mark.parametrize(
    "more", ['path = "over"\ntouches = []', 'path = "direct"\ntouches = [["2 m", "left 1.25 m"]]']
)
def test_a_tie_down_without_a_leg_has_no_route(more: str) -> None:
    refused = either(more)
    assert isinstance(refused, Unrouted)
    assert refused.why == "no leg"


def test_a_row_of_two_boxes_is_touched_at_its_outer_edges_only() -> None:
    text = """
format = "triplog-plan/1"
anchor = [{ id = "L", at = ["1 m", "left 1.2 m"] }, { id = "R", at = ["1 m", "right 1.2 m"] }]
article = [
  { id = "A", length = "2 m", width = "1 m", height = "1 m", at = ["0 m", "left 0.5 m"] },
  { id = "B", length = "2 m", width = "1 m", height = "1 m", at = ["0 m", "right 0.5 m"] },
]
tie_down = [{ id = "T", holds = ["A", "B"], path = "over", from = "L", to = "R" }]
"""
    plan = read_plan(text.encode(), "plan.toml").plan
    route = route_of(plan.tie_downs[0], plan)
    assert isinstance(route, Route)
    assert [contact.article for contact in route.contacts] == ["A", "B"]
    assert route.contacts[0].at == pytest.approx((-1.0, 1.0, 1.0))
    assert route.contacts[1].at == pytest.approx((-1.0, -1.0, 1.0))


def test_a_stacked_article_stands_on_the_one_below() -> None:
    text = """
format = "triplog-plan/1"
[[article]]
id = "A"
length = "2 m"
width = "1 m"
height = "1 m"
at = ["0 m", "centre"]
[[article]]
id = "B"
on = "A"
length = "1 m"
width = "1 m"
height = "0.5 m"
at = ["0.5 m", "centre"]
cog = { back = "0.25 m", across = "left 0.1 m", up = "0.2 m" }
"""
    plan = read_plan(text.encode(), "plan.toml").plan
    box = box_of(plan.articles[1], plan)
    assert isinstance(box, Box)
    assert (box.low, box.high) == ((-1.5, -0.5, 1.0), (-0.5, 0.5, 1.5))
    assert centre_of_gravity(plan.articles[1], box) == pytest.approx((-0.75, 0.1, 1.2))


def test_an_anchor_above_all_it_should_hold_has_no_leg() -> None:
    text = DECK.format(along="2 m", across="1.25 m", more='path = "over"')
    text = text.replace('"left 1.25 m"]', '"left 1.25 m", "2 m"]')
    text = text.replace('"right 1.25 m"]', '"right 1.25 m", "2 m"]')
    plan = read_plan(text.encode(), "plan.toml").plan
    route = route_of(plan.tie_downs[0], plan)
    assert isinstance(route, Unrouted)
    assert route.why == "no leg"


def test_an_anchor_straight_above_the_edge_of_an_article_does_not_bend_round_it() -> None:
    """From 2 m above the edge of a box 1.5 m high the strap runs down past the other edge only."""
    text = DECK.format(along="2 m", across="1 m", more='path = "over"')
    text = text.replace('"left 1 m"]', '"left 1 m", "2 m"]')
    plan = read_plan(text.encode(), "plan.toml").plan
    route = route_of(plan.tie_downs[0], plan)
    assert isinstance(route, Route)
    assert [contact.at for contact in route.contacts] == [(-2.0, -1.0, 1.5)]


def test_a_tie_down_on_one_point_has_no_route() -> None:
    refused = either('path = "over"', across="0 m")
    assert isinstance(refused, Unrouted)
    assert refused.why == "one point"


def test_a_direct_tie_down_bends_at_all_its_touches_but_the_last() -> None:
    more = 'path = "direct"\ntouches = [["4 m", "left 1 m", "1.5 m"], ["4 m", "centre", "1.5 m"]]'
    route = routed(more)
    assert [contact.at for contact in route.contacts] == [(-4.0, 1.0, 1.5)]
    assert route.contacts[0].turn_rad > 0
    assert route.line == ((-2.0, 1.25, 0.0), (-4.0, 1.0, 1.5), (-4.0, 0.0, 1.5))


def test_an_attachment_within_the_article_s_box_is_no_hindrance() -> None:
    """A box is more than the article: an axle lies within it."""
    text = DECK.format(
        along="2 m", across="1.25 m", more='path = "direct"\ntouches = [["2 m", "centre", "1 m"]]'
    )
    plan = read_plan(text.encode(), "plan.toml").plan
    route = route_of(plan.tie_downs[0], plan)
    assert isinstance(route, Route)
    assert articles_pierced(route, plan) == ()


def test_another_article_in_the_way_of_the_upper_run_is_named() -> None:
    """B, twice as high, stands between A and C, and the strap is told to hold only A and C."""
    text = """
format = "triplog-plan/1"
anchor = [{ id = "L", at = ["1 m", "left 2 m"] }, { id = "R", at = ["1 m", "right 2 m"] }]
article = [
  { id = "A", length = "2 m", width = "1 m", height = "1 m", at = ["0 m", "left 1 m"] },
  { id = "B", length = "2 m", width = "1 m", height = "2 m", at = ["0 m", "centre"] },
  { id = "C", length = "2 m", width = "1 m", height = "1 m", at = ["0 m", "right 1 m"] },
]
tie_down = [{ id = "T", holds = ["A", "C"], path = "over", from = "L", to = "R" }]
"""
    plan = read_plan(text.encode(), "plan.toml").plan
    route = route_of(plan.tie_downs[0], plan)
    assert isinstance(route, Route)
    assert articles_pierced(route, plan) == ("B",)


def test_five_hundred_straps_over_five_hundred_articles_are_routed_at_once() -> None:
    """No clock is asked; working out 500 boxes anew for each strap would be felt."""
    pallet = Quantity(value=Fraction(1), unit="m", dimension=Dimension.LENGTH, typed="1 m")
    names = range(500)
    articles = tuple(
        Article(id=f"A{name}", length=pallet, width=pallet, height=pallet, at=place(name, 0))
        for name in names
    )
    anchors = tuple(
        Anchor(id=f"{side}{name}", at=place(name + Fraction(1, 2), left))
        for name in names
        for side, left in (("L", 1), ("R", -1))
    )
    ties = tuple(
        TieDown(
            id=f"T{name}",
            holds=(f"A{name}",),
            path=Path.OVER,
            from_anchor=f"L{name}",
            to=f"R{name}",
        )
        for name in names
    )
    plan = Plan(articles=articles, anchors=anchors, tie_downs=ties)
    boxes = boxes_of(plan)
    for tie_down in ties:
        route = route_of(tie_down, plan)
        assert isinstance(route, Route)
        assert articles_pierced(route, plan, boxes) == ()


def place(back_m: Fraction | int, left_m: int) -> Position:
    return Position(from_front_m=Fraction(back_m), left_m=Fraction(left_m))
