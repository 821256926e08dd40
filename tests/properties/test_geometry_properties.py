"""What holds of every route: a mirror image, a taut line, never through what it goes over."""

import math
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.securement.plans import anchor, length, plan, tie_down
from triplog.securement.geometry import (
    PIERCED_M,
    SAME_POINT_M,
    Route,
    Unrouted,
    Vector,
    articles_pierced,
    boxes_of,
    route_of,
)
from triplog.securement.model import Article, Path, Plan, Position

centimetres = st.integers(min_value=-400, max_value=400)
sizes = st.integers(min_value=5, max_value=300)


def at(back_cm: int, left_cm: int, up_cm: int = 0) -> Position:
    return Position(
        from_front_m=Fraction(back_cm, 100),
        left_m=Fraction(left_cm, 100),
        up_m=Fraction(up_cm, 100),
    )


@st.composite
def crates(draw: st.DrawFn, name: str) -> Article:
    long, wide, high = (length(f"{draw(sizes)} cm") for _ in range(3))
    return Article(
        id=name, length=long, width=wide, height=high, at=at(draw(centimetres), draw(centimetres))
    )


@st.composite
def over_crates(draw: st.DrawFn) -> Plan:
    """One to four crates, one on another now and then, under a strap between any two points."""
    articles = [draw(crates(name)) for name in "ABCD"[: draw(st.integers(1, 4))]]
    for number, article in enumerate(articles[1:], 1):
        if draw(st.booleans()):
            articles[number] = replace(article, on=articles[number - 1].id)
    ends = [
        replace(anchor(name), at=at(draw(centimetres), draw(centimetres), draw(st.integers(0, 50))))
        for name in ("L", "R")
    ]
    held = draw(st.integers(1, len(articles)))
    strap = tie_down(holds=[one.id for one in articles[:held]], ends=("L", "R"))
    return plan(articles, [], [replace(strap, gear=None)], anchors=ends)


def mirrored(whole: Plan) -> Plan:
    """The same plan, left for right."""

    def turned(place: Position | None) -> Position | None:
        return None if place is None else replace(place, left_m=-place.left_m)

    return replace(
        whole,
        anchors=tuple(replace(one, at=turned(one.at)) for one in whole.anchors),
        articles=tuple(replace(one, at=turned(one.at)) for one in whole.articles),
    )


def route(whole: Plan) -> Route | Unrouted:
    return route_of(whole.tie_downs[0], whole)


def close(one: Vector, other: Vector) -> bool:
    return math.dist(one, other) < 1e-9


@given(whole=over_crates())
@settings(max_examples=150)
def test_left_and_right_are_mirror_images(whole: Plan) -> None:
    here, there = route(whole), route(mirrored(whole))
    if isinstance(here, Unrouted) or isinstance(there, Unrouted):
        assert here == there
        return
    assert math.isclose(here.length_m, there.length_m, abs_tol=1e-9)
    assert all(close(one, (x, -y, z)) for one, (x, y, z) in zip(here.line, there.line, strict=True))
    assert articles_pierced(here, whole) == articles_pierced(there, mirrored(whole))


@given(whole=over_crates())
@settings(max_examples=150)
def test_a_strap_laid_from_the_other_end_is_the_same(whole: Plan) -> None:
    one = whole.tie_downs[0]
    turned = replace(whole, tie_downs=(replace(one, from_anchor=one.to, to=one.from_anchor),))
    here, there = route(whole), route(turned)
    if isinstance(here, Unrouted) or isinstance(there, Unrouted):
        assert here == there
        return
    assert all(map(close, here.line, reversed(there.line)))
    assert [one.article for one in here.contacts] == [
        one.article for one in reversed(there.contacts)
    ]


@given(whole=over_crates())
@settings(max_examples=150)
def test_the_order_of_articles_does_not_matter(whole: Plan) -> None:
    here, there = route(whole), route(replace(whole, articles=whole.articles[::-1]))
    assert here == there


@given(whole=over_crates())
@settings(max_examples=200)
def test_a_taut_strap_is_never_inside_a_crate_it_goes_over(whole: Plan) -> None:
    """But for an end that starts under a crate: that one is named as running through it."""
    found = route(whole)
    assume(isinstance(found, Route))
    assert isinstance(found, Route)
    held = set(whole.tie_downs[0].holds)
    boxes = boxes_of(whole)
    under = {
        name
        for name, box in boxes.items()
        if any(
            all(box.low[axis] - SAME_POINT_M <= end[axis] <= box.high[axis] + SAME_POINT_M
                for axis in (0, 1))
            for end in (found.line[0], found.line[-1])
        )
    }  # fmt: skip
    assert set(articles_pierced(found, whole)) & held <= under
    for here, there in pairwise(found.line):
        for step in range(1, 10):
            point = [
                one + (other - one) * step / 10 for one, other in zip(here, there, strict=True)
            ]
            for name in held - under:
                box = boxes[name]
                inside = min(
                    min(point[axis] - box.low[axis], box.high[axis] - point[axis])
                    for axis in range(3)
                )
                assert inside <= PIERCED_M


@given(whole=over_crates())
@settings(max_examples=150)
def test_a_route_is_never_shorter_than_the_straight_line(whole: Plan) -> None:
    found = route(whole)
    if isinstance(found, Route):
        assert found.length_m >= math.dist(found.line[0], found.line[-1]) - 1e-9
        assert all(math.isclose(math.hypot(*leg.pull), 1.0, rel_tol=1e-9) for leg in found.legs)
        assert all(0 <= one.turn_rad <= math.pi for one in found.contacts)


@given(
    whole=over_crates(),
    path=st.sampled_from([Path.DIRECT, Path.SAME_SIDE, Path.SPRING]),
    points=st.lists(st.tuples(centimetres, centimetres, centimetres), max_size=4),
)
@settings(max_examples=150)
def test_touches_that_are_told_always_make_a_route_or_a_reason(
    whole: Plan, path: Path, points: list[tuple[int, int, int]]
) -> None:
    """Below the deck, on top of each other, on the anchor itself: nothing of it is an error."""
    one = replace(whole.tie_downs[0], path=path, touches=tuple(at(*point) for point in points))
    found = route(replace(whole, tie_downs=(one,)))
    if isinstance(found, Unrouted):
        assert found.why == "no leg"
    else:
        assert all(leg.length_m >= SAME_POINT_M for leg in found.legs)
        assert found.length_m >= math.dist(found.line[0], found.line[-1]) - 1e-9
