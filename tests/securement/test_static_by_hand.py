"""The sum for a piece of paper beside the static estimate: worked out by us from statics."""

import math

import pytest

from triplog.securement.equilibrium.scene import Block, Body, Leg, Scene, Strap
from triplog.securement.equilibrium.withstands import Withstood, withstands
from triplog.securement.rules.static.by_hand import by_hand

BOX = Body(
    id="A",
    weight_n=10_000.0,
    cog_m=(0.0, 0.0, 1.0),
    base_m=tuple((x, y, 0.0) for x in (-0.6, 0.6) for y in (-0.5, 0.5)),
    friction=0.4,
)


def upright(back_m: float, tension_n: float, far: float = 1.0) -> Strap:
    """Over the top with upright legs at the sides of the box."""
    return Strap(
        id=f"T{back_m}",
        legs=tuple(
            Leg(body="A", cargo_m=(back_m, y, 1.6), anchor_m=(back_m, y, 0.0), share=share)
            for y, share in ((0.5, 1.0), (-0.5, far))
        ),
        fixed_n=tension_n,
    )


def test_sliding_is_friction_on_the_weight_and_on_what_presses_down() -> None:
    told = by_hand(Scene(bodies=(BOX,), straps=(upright(0.0, 2_000.0),)), 0.0, "slide")
    assert told is not None
    assert told.down_n == pytest.approx(4_000)
    assert told.against_n == pytest.approx(0)
    assert told.g == pytest.approx(0.4 * 14_000 / 10_000)


def test_tipping_is_the_moment_about_the_edge() -> None:
    # Forward edge 0.6 m ahead of the centre of gravity, the strap's legs 0.6 m behind the edge.
    told = by_hand(Scene(bodies=(BOX,), straps=(upright(0.0, 2_000.0),)), 0.0, "tip")
    assert told is not None
    assert told.moment_nm == pytest.approx(2 * 2_000 * 0.6)
    assert told.g == pytest.approx((10_000 * 0.6 + 2_400) / 10_000)


@pytest.mark.parametrize("heading", [0.0, math.pi / 2, math.pi, 3 * math.pi / 2])
@pytest.mark.parametrize("far", [1.0, 0.5])
def test_the_whole_estimate_is_never_above_the_sum_by_hand(heading: float, far: float) -> None:
    scene = Scene(bodies=(BOX,), straps=(upright(0.2, 2_000.0, far), upright(-0.3, 900.0, far)))
    told = withstands(scene, heading)
    assert isinstance(told, Withstood)
    ways = [by_hand(scene, heading, way) for way in ("slide", "tip")]
    least = min(one.g for one in ways if one is not None)
    assert told.withstands_g <= least + 1e-9
    if far == 1.0:
        assert told.withstands_g == pytest.approx(least, rel=5e-3)


def test_where_a_stop_or_a_limit_holds_there_is_no_sum_by_hand() -> None:
    block = Block(id="B", body="A", normal=(-1.0, 0.0, 0.0), points_m=((0.6, 0.0, 0.2),))
    assert by_hand(Scene(bodies=(BOX,), blocks=(block,)), 0.0, "slide") is None
    leg = Leg(body="A", cargo_m=(0.6, 0.0, 0.8), anchor_m=(-0.4, 0.0, 0.0))
    pulling = Strap(id="T", legs=(leg,), limit_n=9_000.0, rate_n_per_m=1e5)
    assert by_hand(Scene(bodies=(BOX,), straps=(pulling,)), 0.0, "slide") is None
