"""What in a scene cannot be worked with, found before any sum is begun."""

import math
from collections.abc import Iterator
from itertools import pairwise

from triplog.securement.equilibrium.closed import outline
from triplog.securement.equilibrium.scene import (
    Block,
    Body,
    Face,
    Leg,
    Point,
    Reason,
    Refusal,
    Scene,
    Strap,
)

LEAST_M = 1e-6
"""Points nearer than this are one point."""


def refusal_of(scene: Scene) -> Refusal | None:
    """The first thing in a scene that no number can be given for; None: there is none."""
    return next((Refusal(reason=reason, about=about) for reason, about in _faults(scene)), None)


Fault = tuple[Reason, tuple[str, ...]]


def _faults(scene: Scene) -> Iterator[Fault]:
    if not scene.bodies:
        yield "no-body", ()
    for things in (scene.bodies, scene.straps, scene.blocks, scene.anchors):
        ids = [thing.id for thing in things]
        for number, one in enumerate(ids):
            if one in ids[:number]:
                yield "doubled-id", (one,)
    for body in scene.bodies:
        yield from _body(body)
    bodies = {body.id for body in scene.bodies}
    anchors = {anchor.id for anchor in scene.anchors}
    for anchor in scene.anchors:
        if not _finite(anchor.limit_n):
            yield "not-a-number", (anchor.id,)
        elif anchor.limit_n <= 0.0:
            yield "limit-not-positive", (anchor.id,)
    for strap in scene.straps:
        yield from _strap(strap)
        for leg in strap.legs:
            yield from _leg(strap.id, leg, bodies, anchors)
    for block in scene.blocks:
        yield from _block(block, bodies)
    for face in scene.faces:
        yield from _face(face, bodies)
    yield from _at_rest(scene)
    yield from _shape(scene)


def _finite(*values: float) -> bool:
    return all(math.isfinite(value) for value in values)


def _body(body: Body) -> Iterator[Fault]:
    points = (body.cog_m, *body.base_m)
    if not all(_finite(*point) for point in points) or not _finite(
        body.weight_n, body.friction, body.vertical_factor
    ):
        yield "not-a-number", (body.id,)
        return
    if body.weight_n <= 0.0:
        yield "weight-not-positive", (body.id,)
    if body.vertical_factor <= 0.0:
        yield "vertical-factor-not-positive", (body.id,)
    if body.friction < 0.0:
        yield "friction-negative", (body.id,)
    heights = [point[2] for point in body.base_m]
    if len(outline(body.base_m)) < 3 or _narrow(body.base_m):
        yield "base-without-area", (body.id,)
    elif max(heights) - min(heights) > LEAST_M:
        yield "base-not-level", (body.id,)
    elif body.cog_m[2] < min(heights):
        yield "centre-of-gravity-below-base", (body.id,)


def _narrow(points: tuple[Point, ...]) -> bool:
    """Whether the points lie within a hair of one line."""
    corners = outline(points)
    longest = max(math.dist(one, two) for one in corners for two in corners)
    area = sum(
        one[0] * two[1] - two[0] * one[1]
        for one, two in zip(corners, [*corners[1:], corners[0]], strict=True)
    )
    return area < LEAST_M * longest


def _strap(strap: Strap) -> Iterator[Fault]:
    about = (strap.id,)
    numbers = (strap.fixed_n, strap.limit_n, strap.retained_n, strap.rate_n_per_m)
    if not _finite(*(number for number in numbers if number is not None)):
        yield "not-a-number", about
        return
    if not strap.legs:
        yield "strap-without-legs", about
    if (strap.fixed_n is None) == (strap.limit_n is None):
        yield "strap-neither-fixed-nor-limited", about
    if strap.retained_n < 0.0 or (strap.fixed_n or 0.0) < 0.0:
        yield "tension-negative", about
    if strap.limit_n is not None:
        if strap.limit_n <= 0.0:
            yield "limit-not-positive", about
        elif strap.retained_n > strap.limit_n:
            yield "retained-over-limit", about
        if strap.rate_n_per_m is None or strap.rate_n_per_m <= 0.0:
            yield "rate-not-positive", about


def _leg(strap: str, leg: Leg, bodies: set[str], anchors: set[str]) -> Iterator[Fault]:
    if not _finite(*leg.cargo_m, *leg.anchor_m, leg.share):
        yield "not-a-number", (strap,)
        return
    if leg.body not in bodies:
        yield "unknown-body", (strap, leg.body)
    if leg.anchor is not None and leg.anchor not in anchors:
        yield "unknown-anchor", (strap, leg.anchor)
    if leg.share <= 0.0:
        yield "share-not-positive", (strap,)
    if math.dist(leg.cargo_m, leg.anchor_m) < LEAST_M:
        yield "leg-without-length", (strap,)


def _block(block: Block, bodies: set[str]) -> Iterator[Fault]:
    numbers = [entry for point in (block.normal, *block.points_m) for entry in point]
    if not _finite(*numbers, *([] if block.limit_n is None else [block.limit_n])):
        yield "not-a-number", (block.id,)
        return
    if block.body not in bodies:
        yield "unknown-body", (block.id, block.body)
    if not block.points_m:
        yield "block-without-points", (block.id,)
    if math.hypot(*block.normal) < LEAST_M:
        yield "normal-without-length", (block.id,)
    if block.limit_n is not None and block.limit_n <= 0.0:
        yield "limit-not-positive", (block.id,)


def _face(face: Face, bodies: set[str]) -> Iterator[Fault]:
    numbers = [entry for point in (face.normal, *face.points_m) for entry in point]
    if not _finite(*numbers, face.friction):
        yield "not-a-number", face.between
        return
    for body in face.between:
        if body not in bodies:
            yield "unknown-body", face.between
    if len(face.points_m) < 2:
        yield "face-without-points", face.between
    if math.hypot(*face.normal[:2]) < LEAST_M or abs(face.normal[2]) > LEAST_M:
        yield "normal-without-length", face.between
    if face.friction < 0.0:
        yield "friction-negative", face.between


def _at_rest(scene: Scene) -> Iterator[Fault]:
    """Anchors that the pretension alone overloads."""
    for anchor in scene.anchors:
        pulled = sum(
            leg.share * (strap.retained_n if strap.fixed_n is None else strap.fixed_n)
            for strap in scene.straps
            for leg in strap.legs
            if leg.anchor == anchor.id
        )
        if pulled > anchor.limit_n:
            yield "anchor-over-limit-at-rest", (anchor.id,)


def _shape(scene: Scene) -> Iterator[Fault]:
    """Whether the bodies are one body, one stack or one row; and how tie-downs cross them."""
    bodies = [body.id for body in scene.bodies]
    stacked = [body.on for body in scene.bodies] == [None, *bodies[:-1]]
    row = all(body.on is None for body in scene.bodies) and [
        face.between for face in scene.faces
    ] == list(pairwise(bodies))
    if not (row or (stacked and not scene.faces)):
        yield "not-one-stack-or-row", tuple(bodies)
        return
    if row and any(
        abs(body.base_m[0][2] - scene.bodies[0].base_m[0][2]) > LEAST_M for body in scene.bodies
    ):
        yield "base-not-level", tuple(bodies)
    for strap in scene.straps:
        held = {leg.body for leg in strap.legs}
        if stacked and len(held) > 1:
            yield "strap-across-a-stack", (strap.id,)
        if len(held) > 2 or (len(held) == 2 and len(strap.legs) != 2):
            yield "strap-across-more-than-two", (strap.id,)
        elif len(held) == 2 and math.dist(*(leg.cargo_m for leg in strap.legs)) < LEAST_M:
            yield "leg-without-length", (strap.id,)
