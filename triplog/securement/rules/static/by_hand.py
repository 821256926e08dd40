"""The estimate once more with pencil and paper, for one article under tie-downs that only press.

Sliding or tipping alone, without the turning that the whole estimate allows: so a little above it
at most, and a check of it. Where tie-downs pull up to a limit, or a stop holds, there is none.
"""

import math
from dataclasses import dataclass
from typing import Literal

from triplog.securement.equilibrium.scene import Body, Leg, Scene


@dataclass(frozen=True, slots=True, kw_only=True)
class ByHand:
    """`g` in shares of the weight. Sliding: what the legs press down and pull against it.

    Tipping: how far the centre of gravity is behind the edge and above the base, and the moment
    of the legs about the edge.
    """

    way: Literal["slide", "tip"]
    g: float
    friction: float
    down_n: float
    against_n: float
    behind_m: float
    up_m: float
    moment_nm: float


def by_hand(scene: Scene, heading_rad: float, way: Literal["slide", "tip"]) -> ByHand | None:
    """The sum for one way of giving; None where it is no sum for a piece of paper."""
    if len(scene.bodies) != 1 or scene.blocks:
        return None
    if any(strap.fixed_n is None for strap in scene.straps):
        return None
    (body,) = scene.bodies
    towards = (math.cos(heading_rad), math.sin(heading_rad))
    pulls = [
        (leg, _pull_n(leg, strap.fixed_n or 0.0)) for strap in scene.straps for leg in strap.legs
    ]
    down_n = sum(-pull[2] for _, pull in pulls)
    against_n = -sum(pull[0] * towards[0] + pull[1] * towards[1] for _, pull in pulls)
    weight_n = body.weight_n
    edge_m = max(_along(point, towards) for point in body.base_m)
    base_m = body.base_m[0][2]
    behind_m, up_m = edge_m - _along(body.cog_m, towards), body.cog_m[2] - base_m
    moment_nm = sum(
        -pull[2] * (edge_m - _along(leg.cargo_m, towards))
        - (pull[0] * towards[0] + pull[1] * towards[1]) * (leg.cargo_m[2] - base_m)
        for leg, pull in pulls
    )
    g = (
        _slides_at(body, down_n, against_n)
        if way == "slide"
        else (weight_n * body.vertical_factor * behind_m + moment_nm) / (weight_n * up_m)
    )
    return ByHand(
        way=way,
        g=g,
        friction=body.friction,
        down_n=down_n,
        against_n=against_n,
        behind_m=behind_m,
        up_m=up_m,
        moment_nm=moment_nm,
    )


def _slides_at(body: Body, down_n: float, against_n: float) -> float:
    pressed_n = body.weight_n * body.vertical_factor + down_n
    return (body.friction * pressed_n + against_n) / body.weight_n


def _pull_n(leg: Leg, tension_n: float) -> tuple[float, float, float]:
    length_m = math.dist(leg.cargo_m, leg.anchor_m)
    x, y, z = (
        (there - here) / length_m * tension_n * leg.share
        for here, there in zip(leg.cargo_m, leg.anchor_m, strict=True)
    )
    return x, y, z


def _along(point: tuple[float, float, float], towards: tuple[float, float]) -> float:
    return point[0] * towards[0] + point[1] * towards[1]
