"""Scenes for the tests of the envelope: by hand, and at random from a seed."""

import math
from collections.abc import Sequence
from itertools import pairwise
from random import Random

from triplog.securement.equilibrium.scene import (
    Anchor,
    Block,
    Body,
    Face,
    Leg,
    Point,
    Scene,
    Strap,
)

ELONGATION = 0.07


def box(
    name: str = "box",
    *,
    weight_n: float = 40000.0,
    size_m: Point = (3.0, 2.4, 1.2),
    friction: float = 0.4,
    at: Point = (0.0, 0.0, 0.0),
    cog_m: Point | None = None,
    on: str | None = None,
    vertical_factor: float = 1.0,
) -> Body:
    """A box whose base has its middle at a point; its centre of gravity in its middle."""
    length, width, height = size_m
    return Body(
        id=name,
        weight_n=weight_n,
        cog_m=cog_m or (at[0], at[1], at[2] + height / 2),
        base_m=tuple(
            (at[0] + x * length / 2, at[1] + y * width / 2, at[2])
            for x, y in ((1, 1), (1, -1), (-1, 1), (-1, -1))
        ),
        friction=friction,
        on=on,
        vertical_factor=vertical_factor,
    )


def leg(
    cargo_m: Point,
    anchor_m: Point,
    *,
    body: str = "box",
    share: float = 1.0,
    anchor: str | None = None,
) -> Leg:
    """A leg on the only body."""
    return Leg(body=body, cargo_m=cargo_m, anchor_m=anchor_m, share=share, anchor=anchor)


def fixed(name: str, tension_n: float, *legs: Leg) -> Strap:
    """A tie-down at a fixed tension."""
    return Strap(id=name, legs=legs, fixed_n=tension_n)


def limited(name: str, limit_n: float, *legs: Leg, retained_n: float = 0.0) -> Strap:
    """A tie-down up to a limit, as stiff as webbing of its length."""
    length = sum(math.dist(one.cargo_m, one.anchor_m) for one in legs)
    return Strap(
        id=name,
        legs=legs,
        limit_n=limit_n,
        retained_n=retained_n,
        rate_n_per_m=limit_n / (ELONGATION * length),
    )


def random_scene(seed: int) -> Scene:
    """One body, a stack or a row, with tie-downs of every kind; the same for the same seed."""
    chance = Random(seed)
    kind = chance.choices(("one", "stack", "row"), (6, 2, 2))[0]
    if kind == "one":
        bodies: tuple[Body, ...] = (_random_box(chance, "box", (0.0, 0.0, 0.0)),)
        return _tied(chance, bodies, ())
    count = chance.randint(2, 4)
    size = (chance.uniform(0.8, 3.0), chance.uniform(0.6, 1.5), chance.uniform(0.4, 1.5))
    names = [f"box {number}" for number in range(count)]
    friction = chance.uniform(0.1, 0.7)
    if kind == "stack":
        bodies = tuple(
            box(
                name,
                weight_n=chance.uniform(3000, 30000),
                size_m=size,
                friction=chance.uniform(0.1, 0.7),
                at=(0.0, 0.0, number * size[2]),
                on=None if number == 0 else names[number - 1],
            )
            for number, name in enumerate(names)
        )
        return _tied(chance, bodies, ())
    bodies = tuple(
        box(
            name,
            weight_n=chance.uniform(3000, 30000),
            size_m=size,
            friction=friction,
            at=(0.0, number * size[1], 0.0),
        )
        for number, name in enumerate(names)
    )
    face_friction = chance.choice((0.0, 0.0, 0.3))
    faces = tuple(
        face_between(one, two, size, (number + 0.5) * size[1], face_friction)
        for number, (one, two) in enumerate(pairwise(names))
    )
    return _tied(chance, bodies, faces)


def face_between(one: str, two: str, size: Point, across: float, friction: float) -> Face:
    """The face of two boxes of a row that goes to the left."""
    return Face(
        between=(one, two),
        normal=(0.0, 1.0, 0.0),
        points_m=tuple((x * size[0] / 2, across, z) for x in (1, -1) for z in (0.0, size[2])),
        friction=friction,
    )


def _random_box(chance: Random, name: str, at: Point) -> Body:
    size = (chance.uniform(0.8, 6.0), chance.uniform(0.6, 2.5), chance.uniform(0.3, 2.8))
    cog = (
        at[0] + size[0] * chance.uniform(-0.15, 0.15),
        at[1] + size[1] * chance.uniform(-0.15, 0.15),
        at[2] + size[2] * chance.uniform(0.3, 0.6),
    )
    return box(
        name,
        weight_n=chance.uniform(5000, 150000),
        size_m=size,
        friction=chance.choice((0.0, 0.2, 0.3, chance.uniform(0.05, 0.8))),
        at=at,
        cog_m=cog,
        vertical_factor=chance.choice((1.0, 1.0, 0.8)),
    )


def _tied(chance: Random, bodies: tuple[Body, ...], faces: tuple[Face, ...]) -> Scene:
    low, high = _corners(bodies)
    weight = sum(body.weight_n for body in bodies)
    straps = []
    for number in range(chance.randint(0, 8)):
        straps.append(_random_strap(chance, f"strap {number}", bodies, (low, high), weight))
    anchors: tuple[Anchor, ...] = ()
    names = ("shared 1", "shared 2") if len(straps) > 3 and chance.random() < 0.5 else ()
    if names:
        straps = [
            Strap(
                id=strap.id,
                legs=(*strap.legs[:-1], _hooked(strap.legs[-1], names[number % 2])),
                fixed_n=strap.fixed_n,
                limit_n=strap.limit_n,
                retained_n=strap.retained_n,
                rate_n_per_m=strap.rate_n_per_m,
            )
            for number, strap in enumerate(straps)
        ]
        held = sum(strap.fixed_n or strap.retained_n for strap in straps)
        anchors = tuple(
            Anchor(id=name, limit_n=held + weight * chance.uniform(0.01, 0.5)) for name in names
        )
    blocks: list[Block] = []
    if chance.random() < 0.35:
        body = bodies[0]
        top = low[2] + (bodies[0].cog_m[2] - low[2]) * chance.uniform(0.1, 1.8)
        forward = max(point[0] for point in body.base_m)
        blocks.append(
            Block(
                id="block",
                body=body.id,
                normal=(-1.0, 0.0, 0.0),
                points_m=((forward, low[1], top), (forward, high[1], top)),
                limit_n=chance.choice((None, weight * chance.uniform(0.05, 1.0))),
            )
        )
    return Scene(
        bodies=bodies, straps=tuple(straps), blocks=tuple(blocks), faces=faces, anchors=anchors
    )


def _hooked(one: Leg, anchor: str) -> Leg:
    return Leg(
        body=one.body, cargo_m=one.cargo_m, anchor_m=one.anchor_m, share=one.share, anchor=anchor
    )


def _corners(bodies: Sequence[Body]) -> tuple[Point, Point]:
    """The lowest and the highest corner of boxes; a box is twice as high as its middle here."""
    points = [point for body in bodies for point in body.base_m]
    top = max(2 * body.cog_m[2] - body.base_m[0][2] for body in bodies)
    low = (min(p[0] for p in points), min(p[1] for p in points), min(p[2] for p in points))
    return low, (max(p[0] for p in points), max(p[1] for p in points), top)


def _random_strap(
    chance: Random, name: str, bodies: tuple[Body, ...], within: tuple[Point, Point], weight: float
) -> Strap:
    """Over the top, direct, looped back to one side, or round the front face."""
    low, high = within
    kind = chance.choice(("over", "over", "direct", "direct", "same side", "spring"))
    x = chance.uniform(low[0], high[0])
    lean = x + chance.uniform(-1.0, 1.0) * chance.choice((0, 1))
    out = chance.uniform(0.0, 0.6)
    left, right = bodies[-1].id, bodies[0].id
    if bodies[-1].on is not None:
        right = left
    if kind == "over":
        return fixed(
            name,
            weight * chance.uniform(0.01, 0.15),
            leg((x, high[1], high[2]), (lean, high[1] + out, low[2]), body=left),
            leg(
                (x, low[1], high[2]),
                (lean, low[1] - out, low[2]),
                body=right,
                share=chance.choice((1.0, 0.5)),
            ),
        )
    limit = weight * chance.uniform(0.02, 0.3)
    retained = limit * chance.choice((0.0, chance.uniform(0.0, 0.3)))
    up = chance.uniform(low[2] + 0.1, high[2])
    side, body = chance.choice(((low[1], right), (high[1], left)))
    outwards = math.copysign(out + 0.2, side - (low[1] + high[1]) / 2)
    if kind == "direct":
        legs: tuple[Leg, ...] = (leg((x, side, up), (lean, side + outwards, low[2]), body=body),)
    elif kind == "same side":
        legs = tuple(
            leg((end, side, up), (end * 1.05, side - 2 * outwards, low[2]), body=body)
            for end in (low[0], high[0])
        )
    else:
        ends = ((low[1], low[1] - 0.2), (high[1], high[1] + 0.2))
        held = chance.choice((left, right))
        legs = tuple(
            leg((high[0], y, up), (low[0], beside, low[2]), body=held) for y, beside in ends
        )
    return limited(name, limit, *legs, retained_n=retained)
