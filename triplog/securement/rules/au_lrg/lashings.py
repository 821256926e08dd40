"""Direct lashings: their lashing capacity by the steps of the angle effect."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from triplog.securement.figures import open_rows, share
from triplog.securement.finding import Input, Missing, Step
from triplog.securement.geometry import Route, route_of
from triplog.securement.model import WEBBING, Direction, Gear, Path, Plan, TieDown
from triplog.securement.quantity import (
    Dimension,
    Quantity,
    amount_of_si,
    decimal_text,
    exact_text,
    rounded,
)
from triplog.securement.rating import AssemblyRating, Defaults, PartName, assembly_rating
from triplog.securement.rules.au_lrg.scope import TABLE
from triplog.securement.rules.au_lrg.way import Way, line, summed
from triplog.securement.rules.downward import NOTHING, Ends, sine, total
from triplog.securement.rules.groups import Group

_AGAINST = {
    Direction.FORWARD: (1.0, 0.0),
    Direction.REARWARD: (-1.0, 0.0),
    Direction.LEFT: (0.0, 1.0),
    Direction.RIGHT: (0.0, -1.0),
}
_BILLIONTH = 9
_DECIMALS = 4


def lashings(group: Group, plan: Plan, direction: Direction) -> Way:
    """The direct lashings that pull against the direction, by the steps of their angle effect."""
    direct = [one for one in group.tie_downs if one.path is Path.DIRECT]
    if not direct:
        return summed([])
    rated = (_by_capacity(plan, _at_least), _by_capacity(plan, _labelled))
    parts = [_lashing(one, group, rated, direction) for one in direct]
    way = summed(parts)
    return replace(way, steps=(*way.steps, line("direct", way.force, group, {})))


def pulled_down(group: Group, plan: Plan) -> Ends:
    """The most that the direct lashings could pull down: beside the clamping, only a best case."""
    rated = _by_capacity(plan, _labelled)
    parts = []
    for one in group.tie_downs:
        if one.path is Path.DIRECT:
            most = assembly_rating(one, rated, us=False, defaults=Defaults.NONE).best
            route = route_of(one, plan)
            up = sine(route.legs[0]) if isinstance(route, Route) else Fraction(1)
            best = None if most is None else most.si * max(up, Fraction(0))
            parts.append(Ends(worst=Fraction(0), best=Fraction(0) if up <= 0 else best))
    return total(parts)


def _by_capacity(plan: Plan, capacity: Callable[[Gear], Quantity | None]) -> Plan:
    """The plan with each piece of gear rated by its lashing capacity instead of its rating."""
    return replace(plan, gear=tuple(replace(one, wll=capacity(one)) for one in plan.gear))


def _labelled(gear: Gear) -> Quantity | None:
    """The lashing capacity as labelled; else half the breaking strength of webbing."""
    if gear.lc is None and gear.kind in WEBBING and gear.breaking is not None:
        half = share("lashing-capacity-of-breaking", TABLE).value
        value = gear.breaking.value * half
        typed = f"{exact_text(value)} {gear.breaking.unit}"
        return replace(gear.breaking, value=value, typed=typed)
    return gear.lc


def _at_least(gear: Gear) -> Quantity | None:
    """The same; else the working load limit marked, which is no more than a lashing capacity."""
    return _labelled(gear) or gear.wll


def angle_step(effect: Fraction) -> Fraction:
    """The next lower entry of the guide's tables; nothing below the lowest."""
    entries = (row.numbers["effect"] for row in open_rows("au_angle_effect"))
    return max((entry for entry in entries if entry <= effect), default=Fraction(0))


def angle_effect(tie_down: TieDown, plan: Plan, direction: Direction) -> Fraction | None:
    """The run against the direction over the length of the lashing; None: no route known."""
    route = route_of(tie_down, plan)
    if not isinstance(route, Route):
        return None
    x, y, _ = route.legs[0].pull
    along, across = _AGAINST[direction]
    against = rounded(Fraction(-(x * along + y * across)), _BILLIONTH, "nearest")
    return max(against, Fraction(0))


def _lashing(
    tie_down: TieDown, group: Group, rated: tuple[Plan, Plan], direction: Direction
) -> Way:
    """`rated`: the plan with its gear rated by capacity, at worst and at best."""
    plan = rated[0]
    low, high = (assembly_rating(tie_down, one, us=False, defaults=Defaults.NONE) for one in rated)
    effect = angle_effect(tie_down, plan, direction)
    if low.nothing_for is not None or effect == 0:
        return Way(force=NOTHING)
    capacity = Ends(worst=low.worst.si, best=None if high.best is None else high.best.si)
    missing = (
        ()
        if capacity.settled
        else tuple(
            Missing(field="lc" if part.part is PartName.BODY else part.asks, about=part.about)
            for part in high.unknown_parts
        )
    )
    if effect is None:
        route = route_of(tie_down, plan)
        asked = () if isinstance(route, Route) else route.missing
        angle = Missing(field="angle of the legs", about=tie_down.id)
        force = Ends(worst=Fraction(0), best=capacity.best)
        return Way(force=force, missing=(*missing, angle, *asked))
    step = angle_step(effect)
    force = capacity.times(step)
    lines: tuple[Step, ...] = ()
    if capacity.worst:
        lines = (
            Step(
                id="other.au-lashing",
                values={
                    "tie_down": tie_down.id,
                    "capacity": amount_of_si(capacity.worst, group.unit, Dimension.FORCE),
                    "exact": decimal_text(effect, _DECIMALS, "down"),
                    "step": decimal_text(step, 2, "down"),
                    "holds": amount_of_si(force.worst, group.unit, Dimension.FORCE),
                    "exactly": amount_of_si(capacity.worst * effect, group.unit, Dimension.FORCE),
                },
            ),
        )
    return Way(force=force, steps=lines, inputs=_inputs(low), missing=missing)


def _inputs(rating: AssemblyRating) -> tuple[Input, ...]:
    part = rating.governing
    if part is None:
        return ()
    name = "lashing capacity" if part.part is PartName.BODY else f"{part.part} rating"
    value = part.whole or part.amount
    return (Input(name=name, about=part.about, value=value, basis=part.basis),)
