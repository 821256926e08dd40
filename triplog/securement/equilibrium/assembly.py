"""A scene as wrenches about one point: its bodies jointly, or those above an interface as one."""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from triplog.securement.equilibrium.scene import Leg, Point, Scene, Strap
from triplog.securement.equilibrium.vectors import (
    Wrench,
    less,
    scaled,
    times,
    total,
    unit,
    wrench,
)


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
    """A limited tie-down: what a newton in it does to each body, and to all together.

    `limit_n`: the most it holds, the anchors only it is hooked to counted; `shares`: what a
    newton in it pulls on each shared anchor.
    """

    id: str
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

    Weight, the part of it that presses down, and centre of gravity are those of all together.
    `fixed`: what the tie-downs at a fixed tension do to each body; `fixed_whole`: to all together;
    `anchors_n`: what is left of each shared anchor's limit beside them; `lowest`: the id of the
    body whose base it slides or tips on.
    """

    lowest: str
    masses: tuple[Mass, ...]
    weight_n: float
    pressing_n: float
    cog_m: Point
    patches: tuple[Patch, ...]
    fixed: Mapping[int, Wrench]
    fixed_whole: Wrench
    pulls: tuple[Pull, ...]
    stops: tuple[Stop, ...]
    anchors_n: Mapping[str, float]
    about_m: Point
    size_m: float

    @property
    def rows(self) -> int:
        """How many equations it takes: six for each body, one for each shared anchor point."""
        return 6 * len(self.masses) + len(self.anchors_n)


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
    return replace(apart, masses=(one,))


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
    left = {anchor.id: anchor.limit_n for anchor in scene.anchors}
    users: dict[str, set[str]] = {anchor: set() for anchor in left}
    for strap in scene.straps:
        for anchor, share in _shares(strap).items():
            left[anchor] -= share * (strap.fixed_n or 0.0)
            if strap.fixed_n is None:
                users[anchor].add(strap.id)
    shared = {anchor: left[anchor] for anchor in left if len(users[anchor]) > 1}
    fixed: dict[int, list[Wrench]] = {}
    pulls = []
    for strap in scene.straps:
        on = _on_bodies(strap.legs, numbers, about)
        if strap.fixed_n is not None:
            for body, one in on.items():
                fixed.setdefault(body, []).append(scaled(strap.fixed_n, one))
        elif on:
            pulls.append(_pull(strap, on, left, shared))
    weight = sum(body.weight_n for body in bodies)
    cog_x, cog_y, cog_z = (
        sum(body.weight_n * body.cog_m[axis] for body in bodies) / weight for axis in range(3)
    )
    return Assembly(
        lowest=lowest or scene.bodies[0].id,
        weight_n=weight,
        pressing_n=sum(body.weight_n * body.vertical_factor for body in bodies),
        cog_m=(cog_x, cog_y, cog_z),
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
        fixed={body: total(parts) for body, parts in fixed.items()},
        fixed_whole=total(one for parts in fixed.values() for one in parts),
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


def _on_bodies(
    legs: tuple[Leg, ...], numbers: Mapping[str, int], about: Point
) -> dict[int, Wrench]:
    """What a newton in a tie-down does to each body it bears on."""
    forces: dict[int, list[Wrench]] = {}
    for leg in legs:
        if leg.body in numbers:
            force = times(leg.share, unit(less(leg.anchor_m, leg.cargo_m)))
            forces.setdefault(numbers[leg.body], []).append(wrench(force, leg.cargo_m, about))
    if len(forces) == 2:
        _squeeze(legs, numbers, about, forces)
    return {body: total(parts) for body, parts in forces.items()}


def _pull(
    strap: Strap, on: Mapping[int, Wrench], left: Mapping[str, float], shared: Mapping[str, float]
) -> Pull:
    assert strap.limit_n is not None and strap.rate_n_per_m is not None
    shares = _shares(strap)
    alone = [left[one] / share for one, share in shares.items() if one not in shared]
    return Pull(
        id=strap.id,
        limit_n=min([strap.limit_n, *alone]),
        retained_n=strap.retained_n,
        rate_n_per_m=strap.rate_n_per_m,
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
