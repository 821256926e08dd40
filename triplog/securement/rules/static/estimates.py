"""What each load of a plan withstands by the static estimate, and what is not known of it."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from triplog.securement.equilibrium.scene import Refusal, Scene
from triplog.securement.equilibrium.withstands import Withstood, polar, withstands_each
from triplog.securement.finding import Missing
from triplog.securement.model import Direction, Plan
from triplog.securement.rules.en_12195.friction import Friction, friction_of
from triplog.securement.rules.static.assumed import Assumed, as_closed_forms, cautious
from triplog.securement.rules.static.loads import Load, loads_of
from triplog.securement.rules.static.scenes import scene_of, side_matters
from triplog.securement.rules.static.tied import Tied, tied

HEADINGS: dict[Direction, float] = {
    Direction.FORWARD: 0.0,
    Direction.REARWARD: math.pi,
    Direction.LEFT: math.pi / 2,
    Direction.RIGHT: 3 * math.pi / 2,
}
ByDirection = Mapping[Direction, Withstood]


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A load's values by direction, with all that is not known counting nothing.

    Empty where `refused` says why there are none, or `load.missing` what is not known. `beside`:
    with the assumptions of the closed forms; `as_tensioned`: with the tensions before the last
    look, empty without one; `scenes`: what `values` are of, two where it is open which leg has the
    tensioner; `at_best`: with the most that friction can be, empty where it is known
    or has no most.
    """

    load: Load
    ties: tuple[Tied, ...]
    friction: tuple[Friction, ...]
    assumed: Assumed
    refused: str = ""
    refused_about: tuple[str, ...] = ()
    values: ByDirection
    beside: ByDirection
    as_tensioned: ByDirection
    at_best: ByDirection
    scenes: tuple[Scene, ...] = ()

    @property
    def friction_missing(self) -> tuple[Missing, ...]:
        """What would tell the friction."""
        return tuple(one for friction in self.friction for one in friction.missing)


def estimates(plan: Plan) -> tuple[Estimate, ...]:
    """One estimate per load."""
    return tuple(_estimate(load, plan) for load in loads_of(plan))


def _estimate(load: Load, plan: Plan) -> Estimate:
    ties = tuple(tied(one, plan) for one in load.tie_downs)
    friction = tuple(friction_of(one, plan) for one in load.articles)
    assumed = cautious(plan)
    kinds = {one.stiff for one in ties if one.route is not None and not one.presses}
    refused = load.refused or ("mixed" if len(kinds) > 1 else "")
    values: dict[str, ByDirection] = {}
    about: tuple[str, ...] = load.ids
    scenes: tuple[Scene, ...] = ()
    if not refused and not load.missing:
        lows = _each(load, friction, lambda one: one.mu.low)
        variants = _variants(load, ties, plan, assumed, lows, friction)
        scenes = tuple(variants["values"])
        for name, variant in variants.items():
            found = _least_of(variant)
            if not isinstance(found, Refusal):
                values[name] = found
            elif name == "values":
                refused, about = found.reason, found.about or load.ids
                break
    return Estimate(
        load=load,
        ties=ties,
        friction=friction,
        assumed=assumed,
        refused=refused,
        refused_about=about,
        values=values.get("values", {}),
        beside=values.get("beside", {}),
        as_tensioned=values.get("as_tensioned", {}),
        at_best=values.get("at_best", {}),
        scenes=scenes,
    )


def _each(
    load: Load, friction: tuple[Friction, ...], end: Callable[[Friction], float]
) -> dict[str, float]:
    return {article.id: end(one) for article, one in zip(load.articles, friction, strict=True)}


def _variants(
    load: Load,
    ties: tuple[Tied, ...],
    plan: Plan,
    assumed: Assumed,
    lows: Mapping[str, float],
    friction: tuple[Friction, ...],
) -> dict[str, list[Scene]]:
    """The scenes of each case; two of a case where it is open which leg has the tensioner."""
    nears = (0, 1) if side_matters(ties) else (0,)

    def scenes(
        assumed: Assumed, mu: Mapping[str, float], tension_n: Callable[[Tied], float]
    ) -> list[Scene]:
        return [
            scene_of(load, ties, plan, assumed, friction=mu, tension_n=tension_n, near=near)
            for near in nears
        ]

    found = {
        "values": scenes(assumed, lows, _retained),
        "beside": scenes(as_closed_forms(assumed), lows, _retained),
    }
    if any(one.as_retained_n != one.as_tensioned_n for one in ties):
        found["as_tensioned"] = scenes(assumed, lows, _tensioned)
    highs = [one.mu.high for one in friction]
    if None not in highs and any(not one.mu.known for one in friction):
        most = _each(load, friction, lambda one: one.mu.high or 0.0)
        found["at_best"] = scenes(assumed, most, _retained)
    return found


def _retained(one: Tied) -> float:
    return one.as_retained_n


def _tensioned(one: Tied) -> float:
    return one.as_tensioned_n


def _least_of(scenes: list[Scene]) -> ByDirection | Refusal:
    """By direction the least of the scenes."""
    told = [withstands_each(scene, tuple(HEADINGS.values())) for scene in scenes]
    for one in told:
        if isinstance(one, Refusal):
            return one
    several = [one for one in told if not isinstance(one, Refusal)]
    return {
        direction: min(each, key=lambda value: value.withstands_g)
        for direction, each in zip(HEADINGS, zip(*several, strict=True), strict=True)
    }


def polar_of(estimate: Estimate) -> tuple[tuple[float, float], ...]:
    """The whole polar curve of a load, degrees and g; empty where there is no estimate."""
    if not estimate.values:
        return ()
    curves = [curve for one in estimate.scenes if not isinstance(curve := polar(one), Refusal)]
    return tuple((points[0][0], min(g for _, g in points)) for points in zip(*curves, strict=True))
