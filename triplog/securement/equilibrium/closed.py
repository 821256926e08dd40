"""Sums on paper for one rigid body: sliding along a heading, tipping about an edge of its base.

Each for tensions that all grow with one movement until the first tie-down reaches its limit, and
for the moment before anything moves. Coulomb friction; a stop pushes without friction.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from triplog.securement.equilibrium.assembly import Assembly, Pull, Stop
from triplog.securement.equilibrium.scene import Point
from triplog.securement.equilibrium.vectors import Wrench, cross, dot, less

SLIGHT = 1e-9
"""A rate of lengthening, per metre or radian, that counts as none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A tipping edge: the level direction it faces, a point on it, and how far in front of the
    centre of gravity it lies (negative: behind it)."""

    facing: tuple[float, float]
    point_m: Point
    reach_m: float

    @property
    def facing_deg(self) -> float:
        """0 forward, 90 left."""
        return math.degrees(math.atan2(self.facing[1], self.facing[0])) % 360.0


class Reached(NamedTuple):
    """The most a movement reaches: the value, how far, the tie-downs and anchors then full."""

    value: float
    movement: float
    full: tuple[str, ...]


def edges_of(assembly: Assembly) -> tuple[Edge, ...]:
    """The edges of the outline of the base, counter-clockwise."""
    on_deck = [patch for patch in assembly.patches if patch.against is None]
    corners = outline([point for patch in on_deck for point in patch.points_m])
    cog = assembly.cog_m
    edges = []
    for one, two in zip(corners, [*corners[1:], corners[0]], strict=True):
        length = math.hypot(two[0] - one[0], two[1] - one[1])
        facing = ((two[1] - one[1]) / length, (one[0] - two[0]) / length)
        reach = (one[0] - cog[0]) * facing[0] + (one[1] - cog[1]) * facing[1]
        edges.append(Edge(facing=facing, point_m=one, reach_m=reach))
    return tuple(edges)


def outline(points: Sequence[Point]) -> list[Point]:
    """The convex outline of level points, counter-clockwise, no three in a line."""
    ordered = sorted(set(points))
    size = max((math.dist(point, ordered[0]) for point in ordered), default=0.0)
    corners: list[Point] = []
    for way in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for point in way:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= SLIGHT * size * size:
                chain.pop()
            chain.append(point)
        corners += chain[:-1]
    return corners


def _turn(one: Point, two: Point, three: Point) -> float:
    return (two[0] - one[0]) * (three[1] - one[1]) - (two[1] - one[1]) * (three[0] - one[0])


def power(on: Wrench, edge: Edge, about: Point) -> float:
    """The power of a wrench as the body tips over an edge, a radian a second."""
    moment = less((on[3], on[4], on[5]), cross(less(edge.point_m, about), (on[0], on[1], on[2])))
    return moment[1] * edge.facing[0] - moment[0] * edge.facing[1]


def slide(
    assembly: Assembly, heading: tuple[float, float], *, enough_g: float = math.inf
) -> Reached:
    """The most g withstood by sliding along a heading, tensions by one common movement.

    `enough_g`: a value from which on nobody asks whether another movement reaches more.
    """
    lengthening = [pull.lengthens(heading) for pull in assembly.pulls]
    pressing = [-pull.whole[2] for pull in assembly.pulls]
    friction = least_friction(assembly)
    pressed, held = _at_least(assembly, heading)

    def held_n(tensions: Sequence[float]) -> float:
        normal = pressed + dot(tensions, pressing)
        return friction * max(0.0, normal) + held + dot(tensions, lengthening)

    return _most(assembly, lengthening, held_n, assembly.weight_n, enough_g)


def _at_least(assembly: Assembly, heading: tuple[float, float]) -> tuple[float, float]:
    """The pressure on the base and the pull against a heading, of weight and fixed tensions."""
    along, across, up, *_ = assembly.fixed_whole
    return assembly.pressing_n - up, -(along * heading[0] + across * heading[1])


def tip(assembly: Assembly, edge: Edge) -> Reached:
    """The most moment about an edge, over weight and height of the centre of gravity: the g
    withstood straight towards the edge. Infinite where the centre is no higher than the edge."""
    height = assembly.cog_m[2] - edge.point_m[2]
    arms = _arms_m(assembly, edge)
    held = _standing_nm(assembly, edge)

    def held_nm(tensions: Sequence[float]) -> float:
        return held + dot(tensions, arms)

    if height <= 0.0:
        return Reached(value=math.inf, movement=0.0, full=())
    return _most(assembly, arms, held_nm, assembly.weight_n * height)


def _standing_nm(assembly: Assembly, edge: Edge) -> float:
    """The moment about an edge of weight and fixed tensions."""
    fixed = power(assembly.fixed_whole, edge, assembly.about_m)
    return assembly.pressing_n * edge.reach_m - fixed


def _arms_m(assembly: Assembly, edge: Edge) -> list[float]:
    """How far each tie-down lengthens a radian of tipping; also the arm at which it holds back."""
    return [-power(pull.whole, edge, assembly.about_m) for pull in assembly.pulls]


def least_friction(assembly: Assembly) -> float:
    """The least friction of the base: nobody knows which part of it presses most."""
    return min(patch.friction for patch in assembly.patches)


def slide_unmoved(
    assembly: Assembly, heading: tuple[float, float], against: Sequence[Stop]
) -> float:
    """The g withstood before anything moves: pretensions, friction, and the stops in full."""
    tensions = [pull.retained_n for pull in assembly.pulls]
    pressed, held = _at_least(assembly, heading)
    normal = pressed - dot(tensions, [pull.whole[2] for pull in assembly.pulls])
    held += least_friction(assembly) * max(0.0, normal)
    held += dot(tensions, [pull.lengthens(heading) for pull in assembly.pulls])
    held += sum(stop.limit_n * squarely(stop, heading) for stop in against)
    return held / assembly.weight_n


def tip_unmoved(assembly: Assembly, edge: Edge, against: Sequence[Stop], *, adverse: bool) -> float:
    """The g withstood straight towards an edge while the stops hold, pretensions as they are.

    The body turns over the top of the lowest stop or over its edge; nothing scrapes back under
    it. `adverse`: whether tie-downs that tipping slackens count against it.
    """
    height = assembly.cog_m[2] - edge.point_m[2]
    moment = _standing_nm(assembly, edge)
    _, back = _at_least(assembly, edge.facing)
    for pull, arm in zip(assembly.pulls, _arms_m(assembly, edge), strict=True):
        if arm > 0.0 or adverse:
            moment += pull.retained_n * arm
            back += pull.retained_n * pull.lengthens(edge.facing)
    stops = [stop for stop in against if squarely(stop, edge.facing) > SLIGHT]
    if not stops:
        return moment / (assembly.weight_n * height) if height > 0.0 else math.inf
    top = min(max(point[2] for point in stop.points_m) for stop in stops) - edge.point_m[2]
    most = sum(_at_top_n(stop) * squarely(stop, edge.facing) for stop in stops)
    return _over_a_stop(moment, height, max(0.0, top), back, most) / assembly.weight_n


def _over_a_stop(moment: float, height: float, top: float, back: float, most: float) -> float:
    """The inertia at `height` that a moment balances with a stop at `top` that takes what the
    tie-downs leave (`back` is theirs), `most` newtons at most."""
    unloaded = moment / height if height > 0.0 else math.inf
    if unloaded <= back:
        return unloaded
    if height > top:
        turning = (moment - max(0.0, back) * top) / (height - top)
        if turning <= max(0.0, back) + most:
            return turning
    return (moment + most * top) / height if height > 0.0 and most < math.inf else math.inf


def _at_top_n(stop: Stop) -> float:
    """What a stop holds at its highest points."""
    top = max(point[2] for point in stop.points_m)
    highest = sum(point[2] >= top - SLIGHT for point in stop.points_m)
    return stop.limit_n * highest / len(stop.points_m)


def squarely(stop: Stop, heading: tuple[float, float]) -> float:
    """How squarely a stop stands against a heading: 1 square, 0 or less not at all."""
    return -(stop.normal[0] * heading[0] + stop.normal[1] * heading[1])


def _most(
    assembly: Assembly,
    lengthening: Sequence[float],
    held: Callable[[Sequence[float]], float],
    over: float,
    enough: float = math.inf,
) -> Reached:
    """The most held back over the movements at which a tie-down goes slack or the first is full.

    Between those the sums are straight lines, or bent upwards where lift begins.
    """
    movements, full = _first_full(assembly, lengthening)
    best, reached = -math.inf, 0.0
    for movement in reversed(movements):
        value = held(tensions_at(assembly.pulls, lengthening, movement)) / over
        if value >= best:
            best, reached = value, movement
        if best >= enough:
            break
    return Reached(value=best, movement=reached, full=full if reached == movements[-1] else ())


def tensions_at(
    pulls: Sequence[Pull], lengthening: Sequence[float], movement: float
) -> list[float]:
    """The tension of each after a movement, none below zero."""
    return [
        max(0.0, pull.retained_n + pull.rate_n_per_m * rate * movement)
        for pull, rate in zip(pulls, lengthening, strict=True)
    ]


def _first_full(
    assembly: Assembly, lengthening: Sequence[float]
) -> tuple[list[float], tuple[str, ...]]:
    """The movements that matter in order, from 0 to where the first part is full; which it is."""
    first, full = math.inf, list[str]()
    slack = {0.0}
    for pull, rate in zip(assembly.pulls, lengthening, strict=True):
        if abs(rate) <= SLIGHT:
            continue
        room = pull.limit_n if rate > 0.0 else 0.0
        movement = (room - pull.retained_n) / (pull.rate_n_per_m * rate)
        if rate < 0.0:
            slack.add(movement)
        elif movement < first - SLIGHT * movement:
            first, full = movement, [pull.id]
        elif movement <= first + SLIGHT * movement:
            full.append(pull.id)
    for anchor, limit in assembly.anchors_n.items():
        movement = _anchor_full(assembly, lengthening, anchor, limit, sorted(slack), first)
        if movement < first:
            first, full = movement, [anchor]
    movements = sorted(movement for movement in slack if movement < first)
    return (movements if math.isinf(first) else [*movements, first]), tuple(full)


def _anchor_full(
    assembly: Assembly,
    lengthening: Sequence[float],
    anchor: str,
    limit: float,
    slack: list[float],
    first: float,
) -> float:
    """The movement at which a shared anchor is full; infinite: not before `first`."""
    shares = [pull.shares.get(anchor, 0.0) for pull in assembly.pulls]

    def pulled_n(movement: float) -> float:
        return dot(shares, tensions_at(assembly.pulls, lengthening, movement))

    ends = [movement for movement in slack if movement < first]
    ends.append(first if first < math.inf else ends[-1] + 1.0)
    for start, end in pairwise(ends):
        before, after = pulled_n(start), pulled_n(end)
        if after > limit >= before:
            return start + (end - start) * (limit - before) / (after - before)
    return math.inf
