"""Where the assumptions of a sum on paper hold, the envelope gives its value to nine digits.

The sums are statics written out here; those of the standards have tests of their own.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.securement.equilibrium.scenes import box, fixed, leg, limited
from triplog.securement.equilibrium.scene import Block, Refusal, Scene
from triplog.securement.equilibrium.withstands import Withstood, polar, withstands

LEFT = math.pi / 2

frictions = st.floats(0.05, 0.9)
weights = st.floats(2e3, 3e5)
tensions = st.floats(100.0, 2e4)


def told(scene: Scene, heading_rad: float = 0.0) -> Withstood:
    """The value of a scene that is not refused."""
    found = withstands(scene, heading_rad)
    assert not isinstance(found, Refusal), found
    return found


@given(frictions, weights, tensions, st.floats(0.0, 1.0))
def test_over_the_top_sliding(friction: float, weight: float, tension: float, out: float) -> None:
    straps = tuple(
        fixed(
            f"{x}",
            tension,
            leg((x, 1.2, 0.2), (x, 1.2 + out, 0.0)),
            leg((x, -1.2, 0.2), (x, -1.2 - out, 0.0)),
        )
        for x in (-1.0, 1.0)
    )
    body = box(weight_n=weight, friction=friction, size_m=(9.0, 2.4, 0.2))
    upright = 0.2 / math.hypot(0.2, out)
    on_paper = friction * (weight + 4 * tension * upright) / weight
    assert told(Scene(bodies=(body,), straps=straps)).withstands_g == pytest.approx(
        on_paper, rel=1e-9
    )


@given(weights, st.floats(0.3, 2.0), st.floats(-0.2, 0.2), st.floats(0.0, 0.3))
def test_tipping_over_the_left_edge(
    weight: float, high: float, off: float, tension_share: float
) -> None:
    """The far leg acts at the whole width, the near one at none; level parts cancel."""
    tension = tension_share * weight
    strap = fixed(
        "over",
        tension,
        leg((0.0, 0.5, 2 * high), (0.0, 0.5, 0.0)),
        leg((0.0, -0.5, 2 * high), (0.0, -0.5, 0.0)),
    )
    body = box(weight_n=weight, friction=5.0, size_m=(3.0, 1.0, 2 * high), cog_m=(0.0, off, high))
    on_paper = (weight * (0.5 - off) + tension * 1.0) / (weight * high)
    found = told(Scene(bodies=(body,), straps=(strap,)), LEFT)
    assert found.withstands_g == pytest.approx(on_paper, rel=1e-9)
    assert (found.mode, found.binds[-1].id) == ("tip", "90")


@given(frictions, weights, st.floats(1e3, 4e4), st.floats(0.2, 1.5), st.floats(0.1, 1.0))
def test_a_direct_pair_sliding(
    friction: float, weight: float, limit: float, back: float, aside: float
) -> None:
    legs = [leg((4.5, y, 0.1), (4.5 - back, y + aside * y, 0.0)) for y in (1.2, -1.2)]
    straps = tuple(limited(f"{n}", limit, one) for n, one in enumerate(legs))
    body = box(weight_n=weight, friction=friction, size_m=(9.0, 2.4, 0.1))
    length = math.hypot(back, 1.2 * aside, 0.1)
    on_paper = friction + 2 * limit * (back + friction * 0.1) / length / weight
    found = told(Scene(bodies=(body,), straps=straps))
    if found.mode == "slide":
        assert found.withstands_g == pytest.approx(on_paper, rel=1e-9)
    assert found.withstands_g <= on_paper * (1 + 1e-9)
    assert found.movement_m == pytest.approx(0.07 * length * length / back, rel=1e-9)


@given(frictions, st.floats(0.1, 0.9))
def test_a_low_stop_is_tipped_over_without_help_from_what_scrapes(
    friction: float, top: float
) -> None:
    body = box(size_m=(1.2, 2.0, 2.4), friction=friction)
    stop = Block(
        id="heel", body="box", normal=(-1.0, 0.0, 0.0), points_m=((0.6, 0.8, top), (0.6, -0.8, top))
    )
    found = told(Scene(bodies=(body,), blocks=(stop,)))
    on_paper = 0.6 / (1.2 - top)
    assert found.withstands_g == pytest.approx(on_paper, rel=1e-9)
    assert found.plain_limit_g >= on_paper * (1 - 1e-9)


def test_a_stop_and_tie_downs_never_count_both_in_full() -> None:
    body = box(size_m=(6.0, 2.4, 0.6), friction=0.3)
    straps = tuple(limited(f"{y}", 10000.0, leg((3.0, y, 0.3), (1.5, y, 0.0))) for y in (1.2, -1.2))
    stop = Block(
        id="stop",
        body="box",
        normal=(-1.0, 0.0, 0.0),
        points_m=((3.0, 1.0, 0.1), (3.0, -1.0, 0.1)),
        limit_n=8000.0,
    )
    tied = told(Scene(bodies=(body,), straps=straps)).withstands_g
    stopped = told(Scene(bodies=(body,), blocks=(stop,))).withstands_g
    both = told(Scene(bodies=(body,), straps=straps, blocks=(stop,)))
    assert stopped == pytest.approx(0.3 + 8000.0 / 40000.0)
    assert both.withstands_g == pytest.approx(max(tied, stopped))
    assert both.plain_limit_g > 1.2 * both.withstands_g
    assert both.limited_by == "filtered"


def test_nothing_limits_a_low_box_against_a_wall_without_limit() -> None:
    wall = Block(
        id="wall",
        body="box",
        normal=(-1.0, 0.0, 0.0),
        points_m=tuple((1.5, y, z) for y in (1.2, -1.2) for z in (0.1, 1.0)),
    )
    assert math.isinf(told(Scene(bodies=(box(),), blocks=(wall,))).withstands_g)


def test_short_straps_are_full_while_long_ones_are_still_slack() -> None:
    """One pair a metre long, one four metres long, of one rating, side by side."""
    body = box(size_m=(9.0, 2.4, 0.2), friction=0.0)
    straps = tuple(
        limited(f"{long} {y}", 10000.0, leg((4.5, y, 0.1), (4.5 - long, y, 0.1)))
        for long in (1.0, 4.0)
        for y in (1.2, -1.2)
    )
    found = told(Scene(bodies=(body,), straps=straps))
    assert found.plain_limit_g == pytest.approx(1.0)
    assert found.elastic_g == pytest.approx(0.5 * (1.0 + 0.25))
    assert (found.limited_by, found.withstands_g) == ("elastic", found.elastic_g)
    assert found.movement_m == pytest.approx(0.07)
    assert {bind.id for bind in found.binds if bind.kind == "strap"} == {"1.0 1.2", "1.0 -1.2"}


def test_a_polygon_of_friction_is_inside_the_cone() -> None:
    scene = Scene(bodies=(box(friction=0.4),))
    for sides, most in ((8, 0.0762), (16, 0.0193), (32, 0.0049), (64, 0.0013)):
        values = polar(scene, 72, cone_sides=sides)
        assert not isinstance(values, Refusal)
        assert all(0.4 * (1 - most) <= g <= 0.4 + 1e-12 for _, g in values)


def test_the_polar_is_the_value_of_each_heading() -> None:
    straps = tuple(
        limited(f"{x} {y}", 9000.0, leg((x, y, 1.0), (x / 2, 1.3 * y, 0.0)), retained_n=500.0)
        for x in (1.5, -1.5)
        for y in (1.2, -1.0)
    )
    scene = Scene(bodies=(box(),), straps=straps)
    values = polar(scene, 24)
    assert not isinstance(values, Refusal)
    for degrees, g in values:
        assert g == pytest.approx(told(scene, math.radians(degrees)).withstands_g, rel=1e-9)
