"""The closed forms and the static envelope give one number where their assumptions coincide.

They coincide for one body, upright pairs of lashings in line with it, both legs alike, friction not
divided, f_s and f_mu left at 1. Worked out by us twice, by two ways; nothing here is published.
"""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from triplog.securement.closed_form import (
    direct_sliding_n,
    direct_tipping_nm,
    friction_force_n,
    overturning_moment_nm,
    standing_moment_nm,
    top_over_sliding_n,
    top_over_tipping_nm,
)
from triplog.securement.equilibrium.scene import Body, Leg, Point, Refusal, Scene, Strap
from triplog.securement.equilibrium.withstands import withstands

LENGTH_M, WIDTH_M, HEIGHT_M = 4.0, 2.0, 1.5
TO_THE_LEFT = math.pi / 2

weights = st.floats(1e4, 2e5)
mus = st.floats(0.1, 0.9)
tensions = st.floats(1e3, 1e4)
outs = st.floats(0.0, 1.5)
numbers = st.integers(0, 6)


def body(weight_n: float, mu: float, cog_up_m: float) -> Body:
    corners = [(x, y) for x in (-LENGTH_M / 2, LENGTH_M / 2) for y in (-WIDTH_M / 2, WIDTH_M / 2)]
    return Body(
        id="A", weight_n=weight_n, cog_m=(0.0, 0.0, cog_up_m), friction=mu,
        base_m=tuple((x, y, 0.0) for x, y in corners),
    )  # fmt: skip


def leg(x_m: float, side: float, out_m: float) -> Leg:
    """From the edge of the top down to a place so far out beside the body."""
    edge: Point = (x_m, side * WIDTH_M / 2, HEIGHT_M)
    return Leg(body="A", cargo_m=edge, anchor_m=(x_m, side * (WIDTH_M / 2 + out_m), 0.0))


def over(number: int, tension_n: float, out_m: float) -> tuple[Strap, ...]:
    """Lashings over the top, evenly along the body."""
    places = [LENGTH_M * ((one + 0.5) / number - 0.5) for one in range(number)]
    return tuple(
        Strap(id=f"T{n}", legs=(leg(x, 1, out_m), leg(x, -1, out_m)), fixed_n=tension_n)
        for n, x in enumerate(places)
    )


def withstood_g(scene: Scene, heading_rad: float = TO_THE_LEFT) -> float:
    answer = withstands(scene, heading_rad)
    assert not isinstance(answer, Refusal), answer
    return answer.withstands_g


@given(weight_n=weights, mu=mus, tension_n=tensions, out_m=outs, number=numbers)
@settings(max_examples=40, deadline=None)
def test_sliding_under_lashings_over_the_top(
    weight_n: float, mu: float, tension_n: float, out_m: float, number: int
) -> None:
    scene = Scene(bodies=(body(weight_n, mu, 0.01),), straps=over(number, tension_n, out_m))
    angle = math.atan2(HEIGHT_M, out_m)
    held_n = friction_force_n(weight_n, mu)
    held_n += number * top_over_sliding_n(tension_n, mu, angle, f_s=1.0)
    assert withstood_g(scene) == pytest.approx(held_n / weight_n, rel=1e-9)


@given(weight_n=weights, tension_n=tensions, out_m=outs, number=numbers, up_m=st.floats(1.0, 3.0))
@settings(max_examples=40, deadline=None)
def test_tipping_under_lashings_over_the_top(
    weight_n: float, tension_n: float, out_m: float, number: int, up_m: float
) -> None:
    scene = Scene(bodies=(body(weight_n, 20.0, up_m),), straps=over(number, tension_n, out_m))
    angle = math.atan2(HEIGHT_M, out_m)
    held_nm = standing_moment_nm(weight_n, WIDTH_M / 2)
    held_nm += number * top_over_tipping_nm(tension_n, angle, WIDTH_M, f_s=1.0)
    asked_nm = overturning_moment_nm(weight_n, 1.0, up_m)
    assert withstood_g(scene) == pytest.approx(held_nm / asked_nm, rel=1e-9)


def pair(limit_n: float, out_m: float) -> tuple[Strap, ...]:
    """Two direct lashings from the right edge of the top, which hold what goes to the left."""
    return tuple(
        Strap(id=f"C{n}", legs=(leg(x, -1, out_m),), limit_n=limit_n, rate_n_per_m=1e5)
        for n, x in enumerate((-1.0, 1.0))
    )


@given(weight_n=weights, mu=mus, share=st.floats(0.01, 0.2), out_m=st.floats(0.2, 2.0))
@settings(max_examples=40, deadline=None)
def test_sliding_against_a_direct_pair(
    weight_n: float, mu: float, share: float, out_m: float
) -> None:
    """Weaker than would pull the body over to their own side, which no closed form asks."""
    limit_n = share * weight_n
    scene = Scene(bodies=(body(weight_n, mu, 0.01),), straps=pair(limit_n, out_m))
    angle = math.atan2(HEIGHT_M, out_m)
    held_n = friction_force_n(weight_n, mu) + 2 * direct_sliding_n(limit_n, mu, angle, 0.0, 1.0)
    assert withstood_g(scene) == pytest.approx(held_n / weight_n, rel=1e-9)


@given(weight_n=weights, limit_n=tensions, out_m=st.floats(0.2, 2.0), up_m=st.floats(1.0, 3.0))
@settings(max_examples=40, deadline=None)
def test_tipping_against_a_direct_pair(
    weight_n: float, limit_n: float, out_m: float, up_m: float
) -> None:
    scene = Scene(bodies=(body(weight_n, 20.0, up_m),), straps=pair(limit_n, out_m))
    angle = math.atan2(HEIGHT_M, out_m)
    held_nm = standing_moment_nm(weight_n, WIDTH_M / 2)
    held_nm += 2 * direct_tipping_nm(limit_n, angle, 0.0, HEIGHT_M, WIDTH_M)
    asked_nm = overturning_moment_nm(weight_n, 1.0, up_m)
    assert withstood_g(scene) == pytest.approx(held_nm / asked_nm, rel=1e-9)
