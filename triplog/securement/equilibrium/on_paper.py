"""The closed sums behind a value, tie-down by tie-down: sliding, tipping, with a stop and without.

What `closed.py` says in one number stands here with its parts, for a reader who adds them up.
"""

import math
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from triplog.securement.equilibrium.asking import View
from triplog.securement.equilibrium.assembly import Assembly, Stop
from triplog.securement.equilibrium.closed import (
    SLIGHT,
    Edge,
    Reached,
    least_friction,
    power,
    slide,
    slide_unmoved,
    squarely,
    tip,
    tip_unmoved,
)
from triplog.securement.equilibrium.scene import Leg, Point, Scene
from triplog.securement.equilibrium.vectors import (
    Wrench,
    less,
    times,
    total,
    unit,
    wrench,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulled:
    """A tie-down in a sum. `back` and `down`: what a newton in it pulls against the heading and
    presses down; `arm_m`: its moment about the edge; `lengthens_m`: by the movement, None where
    its tension is fixed or nothing moves yet."""

    id: str
    tension_n: float
    retained_n: float
    rate_n_per_m: float | None
    lengthens_m: float | None
    back: float
    down: float
    arm_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Summed:
    """A sum of one body. Sliding: friction on what presses down, and what pulls and stops.

    Tipping over an edge: the moments of the weight, the tie-downs and the stops (`stops_n` at
    `stops_up_m` above the edge) over the height of the centre of gravity. `movement`: metres slid
    or radians tipped, 0 where nothing has moved yet; `square`: how squarely the edge lies across
    the heading, 1 where it slides. `pressing_n`: the part of the weight that presses down.
    """

    way: Literal["slide", "tip"]
    g: float
    movement: float
    full: tuple[str, ...]
    weight_n: float
    pressing_n: float
    friction: float
    pulled: tuple[Pulled, ...]
    stops: tuple[str, ...]
    stops_n: float
    stops_up_m: float
    edge_m: Point
    facing_deg: float
    reach_m: float
    height_m: float
    square: float


def elastic_sum(view: View, scene: Scene, ids: Collection[str], heading_rad: float) -> Summed:
    """The sum of the elastic value of bodies as one, of which `view` is."""
    heading = (math.cos(heading_rad), math.sin(heading_rad))
    sums = _Sums(view.assembly, scene, ids, heading)
    facing = [(edge, square) for edge, _, square in view.facing(heading)]
    moved = _least([sums.slid(), *(sums.tipped(edge, square) for edge, square in facing)])
    against = view.against(heading)
    if not against:
        return moved
    over = (sums.over(edge, square, against, adverse=True) for edge, square in facing)
    unmoved = _least([*over, sums.stopped(against)])
    return moved if max(moved.g, 0.0) > unmoved.g else unmoved


def over_stops_sum(
    view: View, scene: Scene, ids: Collection[str], heading_rad: float, edge: Edge
) -> Summed:
    """The sum of the filtered limit where bodies tip over an edge and the stops in front of it."""
    heading = (math.cos(heading_rad), math.sin(heading_rad))
    square = edge.facing[0] * heading[0] + edge.facing[1] * heading[1]
    sums = _Sums(view.assembly, scene, ids, heading)
    return sums.over(edge, square, view.against(heading), adverse=False)


def _least(sums: Iterable[Summed]) -> Summed:
    return min(sums, key=lambda one: one.g)


class _Sums:
    """The sums of one assembly towards one heading."""

    def __init__(
        self, assembly: Assembly, scene: Scene, ids: Collection[str], heading: tuple[float, float]
    ) -> None:
        self.assembly, self.heading = assembly, heading
        self.straps = [
            (strap, total(_on(leg, assembly.about_m) for leg in strap.legs))
            for strap in scene.straps
            if {leg.body for leg in strap.legs} <= set(ids)
        ]

    def slid(self) -> Summed:
        """With all tie-downs lengthened by one straight movement."""
        reached = slide(self.assembly, self.heading)
        pulled = self._pulled(None, lambda _, back: back * reached.movement)
        return self._slide(reached, pulled, ())

    def stopped(self, against: Sequence[Stop]) -> Summed:
        """Before anything moves, with the stops in full."""
        value = slide_unmoved(self.assembly, self.heading, against)
        return self._slide(Reached(value, 0.0, ()), self._pulled(None, None), against)

    def _slide(
        self, reached: Reached, pulled: tuple[Pulled, ...], against: Sequence[Stop]
    ) -> Summed:
        return Summed(
            way="slide",
            g=reached.value,
            movement=reached.movement,
            full=reached.full,
            weight_n=self.assembly.weight_n,
            pressing_n=self.assembly.pressing_n,
            friction=least_friction(self.assembly),
            pulled=pulled,
            stops=tuple(stop.id for stop in against),
            stops_n=sum(stop.limit_n * squarely(stop, self.heading) for stop in against),
            stops_up_m=0.0,
            edge_m=self.assembly.about_m,
            facing_deg=math.degrees(math.atan2(self.heading[1], self.heading[0])) % 360.0,
            reach_m=0.0,
            height_m=0.0,
            square=1.0,
        )

    def tipped(self, edge: Edge, square: float) -> Summed:
        """With all tie-downs lengthened by one turning over an edge."""
        reached = tip(self.assembly, edge)
        pulled = self._pulled(edge, lambda arm, _: arm * reached.movement)
        return self._tip(edge, square, reached, pulled)

    def over(self, edge: Edge, square: float, against: Sequence[Stop], *, adverse: bool) -> Summed:
        """While the stops hold and tie-downs have what they retain."""
        value = tip_unmoved(self.assembly, edge, against, adverse=adverse)
        pulled = [one for one in self._pulled(edge, None) if adverse or _counts(one)]
        told = self._tip(edge, square, Reached(value, 0.0, ()), tuple(pulled))
        stops = [stop for stop in against if squarely(stop, edge.facing) > SLIGHT]
        if not stops:
            return told
        top = min(max(point[2] for point in stop.points_m) for stop in stops) - edge.point_m[2]
        held = told.pressing_n * told.reach_m + sum(one.tension_n * one.arm_m for one in pulled)
        pushed = value * told.weight_n * told.height_m - held
        return replace(
            told,
            stops=tuple(stop.id for stop in stops),
            stops_n=pushed / top if top > SLIGHT and math.isfinite(pushed) else 0.0,
            stops_up_m=max(0.0, top),
        )

    def _tip(
        self, edge: Edge, square: float, reached: Reached, pulled: tuple[Pulled, ...]
    ) -> Summed:
        assembly = self.assembly
        return Summed(
            way="tip",
            g=reached.value / square,
            movement=reached.movement,
            full=reached.full,
            weight_n=assembly.weight_n,
            pressing_n=assembly.pressing_n,
            friction=least_friction(assembly),
            pulled=pulled,
            stops=(),
            stops_n=0.0,
            stops_up_m=0.0,
            edge_m=edge.point_m,
            facing_deg=edge.facing_deg,
            reach_m=edge.reach_m,
            height_m=assembly.cog_m[2] - edge.point_m[2],
            square=square,
        )

    def _pulled(
        self, edge: Edge | None, lengthens: Callable[[float, float], float] | None
    ) -> tuple[Pulled, ...]:
        """The tie-downs; `lengthens` takes the arm and the share back, None: nothing moves."""
        facing = self.heading if edge is None else edge.facing
        pulled = []
        for strap, whole in self.straps:
            back = -(whole[0] * facing[0] + whole[1] * facing[1])
            arm = 0.0 if edge is None else -power(whole, edge, self.assembly.about_m)
            longer = None
            tension = strap.retained_n if strap.fixed_n is None else strap.fixed_n
            if strap.fixed_n is None and lengthens is not None:
                assert strap.rate_n_per_m is not None
                longer = lengthens(arm, back)
                tension = max(0.0, strap.retained_n + strap.rate_n_per_m * longer)
            pulled.append(
                Pulled(
                    id=strap.id,
                    tension_n=tension,
                    retained_n=strap.retained_n,
                    rate_n_per_m=strap.rate_n_per_m,
                    lengthens_m=longer,
                    back=back,
                    down=-whole[2],
                    arm_m=arm,
                )
            )
        return tuple(pulled)


def _counts(one: Pulled) -> bool:
    """Whether tipping does not slacken it, or its tension is fixed."""
    return one.arm_m > 0.0 or one.rate_n_per_m is None


def _on(leg: Leg, about: Point) -> Wrench:
    """What a newton in its tie-down does through a leg."""
    return wrench(times(leg.share, unit(less(leg.anchor_m, leg.cargo_m))), leg.cargo_m, about)
