"""A scene as wrenches about one point: its bodies jointly, or those above an interface as one."""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from triplog.securement.equilibrium.scene import Leg, Point, Scene, Strap
from triplog.securement.equilibrium.vectors import Wrench, less, times, total, unit, wrench


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """A rigid body: its weight, the part that presses down, and where."""

    id: str
    weight_n: float
    pressing_n: float
    cog_m: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """Points where a body touches what is below or beside it (None: the deck)."""

    body: int
    against: int | None
    normal: Point
    points_m: tuple[Point, ...]
    friction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """A tie-down: what a newton in it does to each body; how it may be tensioned.

    `limit_n`: the most it holds, the anchors only it is hooked to counted; for a fixed one its
    tension, as is `retained_n`. `shares`: what a newton in it pulls on each shared anchor.
    """

    id: str
    fixed: bool
    limit_n: float
    retained_n: float
    rate_n_per_m: float
    on: Mapping[int, Wrench]
    whole: Wrench
    shares: Mapping[str, float]

    def lengthens(self, heading: tuple[float, float]) -> float:
        """How far it lengthens when all bodies slide a metre towards a heading."""
        return -(self.whole[0] * heading[0] + self.whole[1] * heading[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A block at one body; `limit_n` infinite: more than will ever come."""

    id: str
    body: int
    normal: Point
    points_m: tuple[Point, ...]
    limit_n: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """Bodies that move freely of each other, in wrenches about `about_m`; `size_m` scales them.

    `anchors_n`: what is left of each shared anchor's limit beside the fixed tensions on it.
    `lowest`: the id of the body whose base it slides or tips on.
    """

    lowest: str
    masses: tuple[Mass, ...]
    patches: tuple[Patch, ...]
    pulls: tuple[Pull, ...]
    stops: tuple[Stop, ...]
    anchors_n: Mapping[str, float]
    about_m: Point
    size_m: float

    @property
    def weight_n(self) -> float:
        """The weight of all."""
        return sum(mass.weight_n for mass in self.masses)

    @property
    def pressing_n(self) -> float:
        """The weight that presses down, of all."""
        return sum(mass.pressing_n for mass in self.masses)

    @property
    def cog_m(self) -> Point:
        """The centre of gravity of all."""
        weight = self.weight_n
        along, across, up = (
            sum(mass.weight_n * mass.cog_m[axis] for mass in self.masses) / weight
            for axis in range(3)
        )
        return (along, across, up)


def jointly(scene: Scene) -> Assembly:
    """Every body on its own, with what they do to each other; a common strap squeezes a row."""
    numbers = {body.id: number for number, body in enumerate(scene.bodies)}
    patches = [
        Patch(
            body=numbers[body.id],
            against=None if body.on is None else numbers[body.on],
            normal=(0.0, 0.0, 1.0),
            points_m=body.base_m,
            friction=body.friction,
        )
        for body in scene.bodies
    ]
    patches += [
        Patch(
            body=numbers[face.between[1]],
            against=numbers[face.between[0]],
            normal=unit(face.normal),
            points_m=face.points_m,
            friction=face.friction,
        )
        for face in scene.faces
    ]
    return _assembled(scene, numbers, patches)


def as_one(scene: Scene, bodies: Collection[str], lowest: str) -> Assembly:
    """Some bodies as one rigid body on the bases of those that stand on nothing among them."""
    numbers = {body.id: 0 for body in scene.bodies if body.id in bodies}
    patches = [
        Patch(
            body=0,
            against=None,
            normal=(0.0, 0.0, 1.0),
            points_m=body.base_m,
            friction=body.friction,
        )
        for body in scene.bodies
        if body.id in bodies and body.on not in bodies
    ]
    apart = _assembled(scene, numbers, patches, lowest)
    one = Mass(id=lowest, weight_n=apart.weight_n, pressing_n=apart.pressing_n, cog_m=apart.cog_m)
    return Assembly(
        lowest=lowest,
        masses=(one,),
        patches=apart.patches,
        pulls=apart.pulls,
        stops=apart.stops,
        anchors_n=apart.anchors_n,
        about_m=apart.about_m,
        size_m=apart.size_m,
    )


def _assembled(
    scene: Scene, numbers: Mapping[str, int], patches: list[Patch], lowest: str | None = None
) -> Assembly:
    bodies = [body for body in scene.bodies if body.id in numbers]
    base = patches[0].points_m
    about = (
        math.fsum(point[0] for point in base) / len(base),
        math.fsum(point[1] for point in base) / len(base),
        math.fsum(point[2] for point in base) / len(base),
    )
    reach = [point for patch in patches for point in patch.points_m]
    reach += [body.cog_m for body in bodies]
    limited = [strap for strap in scene.straps if strap.fixed_n is None]
    left = {anchor.id: anchor.limit_n for anchor in scene.anchors}
    users: dict[str, set[str]] = {anchor: set() for anchor in left}
    for strap in scene.straps:
        for anchor, share in _shares(strap).items():
            left[anchor] -= share * (strap.fixed_n or 0.0)
    for strap in limited:
        for anchor in _shares(strap):
            users[anchor].add(strap.id)
    shared = {anchor: left[anchor] for anchor in left if len(users[anchor]) > 1}
    pulls = [
        _pull(strap, numbers, about, left, shared)
        for strap in scene.straps
        if any(leg.body in numbers for leg in strap.legs)
    ]
    return Assembly(
        lowest=lowest or scene.bodies[0].id,
        masses=tuple(
            Mass(
                id=body.id,
                weight_n=body.weight_n,
                pressing_n=body.weight_n * body.vertical_factor,
                cog_m=body.cog_m,
            )
            for body in bodies
        ),
        patches=tuple(patches),
        pulls=tuple(pulls),
        stops=tuple(
            Stop(
                id=block.id,
                body=numbers[block.body],
                normal=unit(block.normal),
                points_m=block.points_m,
                limit_n=math.inf if block.limit_n is None else block.limit_n,
            )
            for block in scene.blocks
            if block.body in numbers
        ),
        anchors_n=shared,
        about_m=about,
        size_m=max(math.dist(point, about) for point in reach),
    )


def _shares(strap: Strap) -> dict[str, float]:
    """What a newton in a tie-down pulls on each anchor that has a limit."""
    shares: dict[str, float] = {}
    for leg in strap.legs:
        if leg.anchor is not None:
            shares[leg.anchor] = shares.get(leg.anchor, 0.0) + leg.share
    return shares


def _pull(
    strap: Strap,
    numbers: Mapping[str, int],
    about: Point,
    left: Mapping[str, float],
    shared: Mapping[str, float],
) -> Pull:
    forces: dict[int, list[Wrench]] = {}
    for leg in strap.legs:
        if leg.body in numbers:
            force = times(leg.share, unit(less(leg.anchor_m, leg.cargo_m)))
            forces.setdefault(numbers[leg.body], []).append(wrench(force, leg.cargo_m, about))
    if len(forces) == 2:
        _squeeze(strap.legs, numbers, about, forces)
    on = {body: total(parts) for body, parts in forces.items()}
    shares = _shares(strap)
    fixed = strap.fixed_n
    if fixed is None:
        alone = [left[one] / share for one, share in shares.items() if one not in shared]
        limit = min([strap.limit_n or 0.0, *alone])
    else:
        limit = fixed
    return Pull(
        id=strap.id,
        fixed=fixed is not None,
        limit_n=limit,
        retained_n=strap.retained_n if fixed is None else fixed,
        rate_n_per_m=strap.rate_n_per_m or 0.0,
        on=on,
        whole=total(on.values()),
        shares={one: share for one, share in shares.items() if one in shared},
    )


def _squeeze(
    legs: tuple[Leg, ...],
    numbers: Mapping[str, int],
    about: Point,
    forces: dict[int, list[Wrench]],
) -> None:
    """The run across the top of a row pulls its outer bodies together, with the lesser tension."""
    first, second = legs
    way = unit(less(second.cargo_m, first.cargo_m))
    share = min(first.share, second.share)
    for leg, sign in ((first, share), (second, -share)):
        forces[numbers[leg.body]].append(wrench(times(sign, way), leg.cargo_m, about))
