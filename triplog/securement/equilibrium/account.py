"""All forces at the value a scene withstands, body by body, so that anyone can add them up.

Worked out where somebody asks, for it takes as long as a heading: the value itself needs none of
it. At the limit of the program the forces are its own. Below it (a closed sum is less, or another
part of the load gives way first) they are one set of forces within their limits that balances.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from triplog.securement.equilibrium.asking import Carried, View
from triplog.securement.equilibrium.assembly import Patch, as_one, jointly
from triplog.securement.equilibrium.on_paper import Summed, elastic_sum, over_stops_sum
from triplog.securement.equilibrium.scene import Body, Point, Refusal, Scene, Strap
from triplog.securement.equilibrium.simplex import NoAnswerWithinLimit
from triplog.securement.equilibrium.vectors import less, times, unit
from triplog.securement.equilibrium.withstands import CONE_SIDES, TIE, views_of

How = Literal["at the limit", "as summed", "within the limits"]

_RANKS = {"weight": 0, "push": 0, "leg": 1, "across": 1, "stop": 2, "contact": 3}

NOTHING_N = 1e-6
"""A force of this share of the weight or less is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Acting:
    """A force on a body, and where. `id`: the body whose weight it is, the tie-down, the stop, or
    of a contact the body on its other side ("": the deck); `to_m`: where a leg or the run across
    the top of a row leads to. Of a contact, `normal` points into the body.
    """

    kind: Literal["weight", "push", "leg", "across", "stop", "contact"]
    id: str
    at_m: Point
    force_n: Point
    to_m: Point | None = None
    normal: Point | None = None
    friction: float = 0.0

    @property
    def rank(self) -> int:
        """Its place in a table: weight, tie-downs, stops, contacts."""
        return _RANKS[self.kind]


@dataclass(frozen=True, slots=True, kw_only=True)
class Balanced:
    """Bodies taken as one, all that acts on them, and the point that moments are taken about."""

    bodies: tuple[str, ...]
    about_m: Point
    acting: tuple[Acting, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A tie-down, anchor point or stop: newtons, and the most it may have here; `limit_n` is its
    own limit (more than `most_n` where the movement does not tighten it), None where its tension
    is fixed or a stop has no limit."""

    kind: Literal["tie-down", "anchor", "stop"]
    id: str
    newtons: float
    most_n: float | None
    limit_n: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Forces that balance at one value; `how`: at the most for which there are any; with the
    tensions of the closed sum; or otherwise within the limits."""

    g: float
    how: How
    balanced: tuple[Balanced, ...]
    held: tuple[Held, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """A value with the sum that sets it, if it is a closed one, and the balances at it: of the
    bodies that give way as one, and where there are several bodies of each on its own."""

    heading_rad: float
    g: float
    summed: Summed | None
    balances: tuple[Balance, ...]


def account(scene: Scene, heading_rad: float) -> Account | None:
    """The account of what a scene withstands towards a heading; None: no value, or no limit."""
    views = views_of(scene, CONE_SIDES)
    if isinstance(views, Refusal):
        return None
    try:
        return _account(scene, views, heading_rad)
    except NoAnswerWithinLimit:
        return None


def _account(scene: Scene, views: Sequence[View], heading_rad: float) -> Account | None:
    limits = [(view.filtered_limit(heading_rad, explained=False), view) for view in views]
    limit, view = min(limits, key=lambda one: one[0].g)
    elastic = [(one.elastic(heading_rad).g, one) for one in views if one.is_one]
    least, elastic_view = min(elastic, key=lambda one: one[0])
    summed, g = None, limit.g
    if least < g * (1.0 - TIE):
        g, view = least, elastic_view
        summed = elastic_sum(view, scene, _ids(scene, view), heading_rad)
    elif limit.edge is not None:
        summed = over_stops_sum(view, scene, _ids(scene, view), heading_rad, limit.edge)
    if not math.isfinite(g):
        return None
    asked = [_asked(scene, view)] if len(_ids(scene, view)) > 1 or len(scene.bodies) == 1 else []
    if view.is_one and len(scene.bodies) > 1:
        asked.append(_Asked(ids=tuple(body.id for body in scene.bodies), apart=True))
    found = [_balance(scene, one, heading_rad, g, summed) for one in asked]
    return Account(
        heading_rad=heading_rad,
        g=g,
        summed=summed,
        balances=tuple(one for one in found if one is not None),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """Bodies taken as one, from the lowest; or `apart`, each on its own."""

    ids: tuple[str, ...]
    apart: bool

    def view(self, scene: Scene) -> View:
        """Them in a scene."""
        if self.apart:
            return View(jointly(scene), CONE_SIDES)
        return View(as_one(scene, self.ids, self.ids[0]), CONE_SIDES)


def _ids(scene: Scene, view: View) -> tuple[str, ...]:
    """The bodies of a view: the lowest of them and all after it."""
    ids = [body.id for body in scene.bodies]
    return tuple(ids[ids.index(view.assembly.lowest) :])


def _asked(scene: Scene, view: View) -> _Asked:
    return _Asked(ids=_ids(scene, view), apart=len(view.assembly.masses) > 1)


def _balance(
    scene: Scene, asked: _Asked, heading_rad: float, g: float, summed: Summed | None
) -> Balance | None:
    """The forces with the tensions of the closed sum, or else within the bounds of the limit, or
    else anywhere within their own: the first that balance."""
    whole = asked.view(scene)
    limit = whole.filtered_limit(heading_rad, explained=False)
    at_most = summed is None and abs(limit.g - g) <= abs(g) * TIE
    ways: list[tuple[How, Scene, View, Sequence[float]]] = []
    if summed is not None:
        as_summed = _with_tensions(scene, summed, whole, heading_rad)
        view = asked.view(as_summed)
        ways.append(("as summed", as_summed, view, view.full()))
    if limit.uppers:
        how: How = "at the limit" if at_most else "within the limits"
        ways.append((how, scene, whole, limit.uppers))
    ways.append(("within the limits", scene, whole, whole.full()))
    for way, played, view, uppers in ways:
        carried = view.carried(heading_rad, uppers, g)
        if carried is not None:
            return Balance(
                g=g,
                how=way,
                balanced=tuple(_balanced(played, asked, view, carried, heading_rad, g)),
                held=tuple(_held(scene, played, asked, view, carried, uppers)),
            )
    return None


def _with_tensions(scene: Scene, summed: Summed, view: View, heading_rad: float) -> Scene:
    """The scene with the forces of a sum; a stop in the way is gone once something moved."""
    tensions = {one.id: one.tension_n for one in summed.pulled}
    heading = (math.cos(heading_rad), math.sin(heading_rad))
    gone = set() if summed.stops else {stop.id for stop in view.against(heading)}
    return replace(
        scene,
        straps=tuple(
            replace(strap, fixed_n=tensions[strap.id], limit_n=None)
            if strap.id in tensions
            else strap
            for strap in scene.straps
        ),
        blocks=tuple(
            replace(block, limit_n=summed.stops_n / len(summed.stops))
            if summed.way == "tip" and block.id in summed.stops
            else block
            for block in scene.blocks
            if block.id not in gone
        ),
    )


def _balanced(
    scene: Scene, asked: _Asked, view: View, carried: Carried, heading_rad: float, g: float
) -> Iterator[Balanced]:
    """The tables; contacts and stops come in the order of the assembly."""
    on: dict[str, list[Acting]] = {body: [] for body in asked.ids}
    for body in scene.bodies:
        if body.id in on:
            on[body.id] += _weight(body, heading_rad, g)
    tensions = _tensions(scene, view, carried)
    for strap in scene.straps:
        for held, one in _legs(strap, tensions.get(strap.id, 0.0), asked.apart):
            if held in on:
                on[held].append(one)
    newtons = iter(carried.stops)
    owners = {block.id: block.body for block in scene.blocks}
    for stop in view.assembly.stops:
        for point in stop.points_m:
            force = times(next(newtons), stop.normal)
            on[owners[stop.id]].append(Acting(kind="stop", id=stop.id, at_m=point, force_n=force))
    for pressed, one in _contacts(scene, asked, view, carried):
        on[pressed].append(one)
    least = NOTHING_N * view.assembly.weight_n
    bases = {body.id: body.base_m for body in scene.bodies}
    for ids in [(one,) for one in asked.ids] if asked.apart else [asked.ids]:
        acting = sorted((one for name in ids for one in on[name]), key=lambda one: one.rank)
        yield Balanced(
            bodies=ids,
            about_m=_middle(bases[ids[0]]),
            acting=tuple(one for one in acting if math.hypot(*one.force_n) > least),
        )


def _middle(points: Sequence[Point]) -> Point:
    x, y, z = (math.fsum(point[axis] for point in points) / len(points) for axis in range(3))
    return x, y, z


def _weight(body: Body, heading_rad: float, g: float) -> Iterator[Acting]:
    down = (0.0, 0.0, -body.weight_n * body.vertical_factor)
    along = times(g * body.weight_n, (math.cos(heading_rad), math.sin(heading_rad), 0.0))
    yield Acting(kind="weight", id=body.id, at_m=body.cog_m, force_n=down)
    yield Acting(kind="push", id=body.id, at_m=body.cog_m, force_n=along)


def _legs(strap: Strap, tension_n: float, apart: bool) -> Iterator[tuple[str, Acting]]:
    """What a tie-down does to each body; the run across a row pulls with the lesser tension."""
    for leg in strap.legs:
        way = unit(less(leg.anchor_m, leg.cargo_m))
        force = times(tension_n * leg.share, way)
        yield (
            leg.body,
            Acting(kind="leg", id=strap.id, at_m=leg.cargo_m, force_n=force, to_m=leg.anchor_m),
        )
    if apart and len({leg.body for leg in strap.legs}) == 2:
        share = min(leg.share for leg in strap.legs)
        for leg, other in zip(strap.legs, strap.legs[::-1], strict=True):
            force = times(tension_n * share, unit(less(other.cargo_m, leg.cargo_m)))
            across = Acting(
                kind="across", id=strap.id, at_m=leg.cargo_m, force_n=force, to_m=other.cargo_m
            )
            yield leg.body, across


def _contacts(
    scene: Scene, asked: _Asked, view: View, carried: Carried
) -> Iterator[tuple[str, Acting]]:
    """Each contact on its body, and against the body below or beside where that has a table."""
    forces = iter(carried.contacts)
    names = [body.id for body in scene.bodies]
    bottom = [body for body in scene.bodies if body.id in asked.ids and body.on not in asked.ids]
    for number, patch in enumerate(view.assembly.patches):
        upper = names[patch.body] if asked.apart else bottom[number].id
        below = _below(scene, asked, patch, upper)
        for point in patch.points_m:
            force = (next(forces), next(forces), next(forces))
            one = Acting(
                kind="contact",
                id=below,
                at_m=point,
                force_n=force,
                normal=patch.normal,
                friction=patch.friction,
            )
            yield upper, one
            if asked.apart and patch.against is not None:
                yield (
                    below,
                    replace(
                        one, id=upper, force_n=times(-1.0, force), normal=times(-1.0, patch.normal)
                    ),
                )


def _below(scene: Scene, asked: _Asked, patch: Patch, upper: str) -> str:
    """The body on the other side of a contact, "" for the deck."""
    if asked.apart:
        return "" if patch.against is None else scene.bodies[patch.against].id
    return next(body.on for body in scene.bodies if body.id == upper) or ""


def _tensions(scene: Scene, view: View, carried: Carried) -> dict[str, float]:
    fixed = {strap.id: strap.fixed_n for strap in scene.straps if strap.fixed_n is not None}
    pulls = (pull.id for pull in view.assembly.pulls)
    return {**fixed, **dict(zip(pulls, carried.tensions, strict=True))}


def _held(
    scene: Scene,
    played: Scene,
    asked: _Asked,
    view: View,
    carried: Carried,
    uppers: Sequence[float],
) -> Iterator[Held]:
    """The tie-downs on these bodies, the anchor points of all, and the stops."""
    whole = asked.view(scene)
    limits = {pull.id: pull.limit_n for pull in whole.assembly.pulls}
    most = {
        pull.id: upper * view.assembly.weight_n
        for pull, upper in zip(view.assembly.pulls, uppers[: len(carried.tensions)], strict=True)
    }
    tensions = _tensions(played, view, carried)
    for strap in scene.straps:
        if strap.legs[0].body in asked.ids:
            limit = limits.get(strap.id)
            yield Held(
                kind="tie-down",
                id=strap.id,
                newtons=tensions[strap.id],
                most_n=most.get(strap.id, limit),
                limit_n=limit,
            )
    if len(asked.ids) == len(scene.bodies):
        yield from _anchors(scene, tensions)
    newtons, stated = iter(carried.stops), {block.id: block.limit_n for block in scene.blocks}
    for stop in view.assembly.stops:
        pushed = sum(next(newtons) for _ in stop.points_m)
        limit = stated[stop.id]
        yield Held(kind="stop", id=stop.id, newtons=pushed, most_n=limit, limit_n=limit)


def _anchors(scene: Scene, tensions: dict[str, float]) -> Iterator[Held]:
    for anchor in scene.anchors:
        pulled = sum(
            tensions[strap.id] * leg.share
            for strap in scene.straps
            for leg in strap.legs
            if leg.anchor == anchor.id
        )
        yield Held(
            kind="anchor",
            id=anchor.id,
            newtons=pulled,
            most_n=anchor.limit_n,
            limit_n=anchor.limit_n,
        )
