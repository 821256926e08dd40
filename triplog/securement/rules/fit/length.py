"""Does it reach: the route, two wraps on the drum and a tail against the length of the gear."""

import math
from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise

from triplog.securement.finding import Basis, Finding, Input, Missing, Scope, Step, Value, Verdict
from triplog.securement.geometry import (
    Box,
    NoRoute,
    Route,
    Unrouted,
    articles_pierced,
    boxes_of,
)
from triplog.securement.model import WEBBING, Gear, GearKind, Plan, TieDown
from triplog.securement.quantity import Amount, Dimension, amount_worked_out
from triplog.securement.rating import NO_TIE_DOWN, uses_us_columns
from triplog.securement.rules.bundles import Answer, YesNoRule, bundled
from triplog.securement.rules.fit.sources import COMMON_PRACTICE, RULE_SET, fit_figure

Routes = Mapping[str, Route | Unrouted]
_RULE = "fit-length"
_WHY: Mapping[NoRoute, str] = {
    "beside the article": "note.fit-beside",
    "no leg": "note.fit-no-leg",
    "one point": "note.fit-one-point",
}


def length_findings(plan: Plan, routes: Routes) -> tuple[Finding, ...]:
    """`fit-length`: each tie-down reaches along its route, with wraps and tail where it is webbing.

    One finding for each whose sum can be made; those that cannot be rigged as written stand
    together, and so do those about which something is not known.
    """
    boxes = boxes_of(plan)
    summed: list[Finding] = []
    others: list[Answer] = []
    for tie_down in plan.tie_downs:
        gear = plan.gear_item(tie_down.gear)
        if gear is not None and gear.kind in NO_TIE_DOWN:
            continue
        answer = _unsummed(tie_down, gear, plan, routes, boxes)
        if answer is not None:
            others.append(answer)
        elif gear is not None and isinstance(route := routes[tie_down.id], Route):
            summed.append(_summed(tie_down, gear, route, plan))
    rule = YesNoRule(
        rule=_RULE,
        rule_set=RULE_SET,
        citation=COMMON_PRACTICE,
        mend="mend.fit-route",
    )
    return (*bundled(rule, Scope.COMMON_PRACTICE, others), *summed)


def _unsummed(
    tie_down: TieDown, gear: Gear | None, plan: Plan, routes: Routes, boxes: Mapping[str, Box]
) -> Answer | None:
    """Why there is no sum: it cannot be rigged so, or something is not known; None: there is."""
    route = routes[tie_down.id]
    gear_missing: tuple[Missing, ...] = ()
    if gear is None:
        gear_missing = (Missing(field="gear", about=tie_down.id),)
    elif gear.length is None:
        gear_missing = (Missing(field="length", about=gear.id),)
    held = ", ".join(tie_down.holds)
    if isinstance(route, Unrouted) and route.why == "not known":
        return Answer(
            about=tie_down.id,
            verdict=Verdict.CANNOT_TELL,
            unknown=(*route.missing, *gear_missing),
        )
    if isinstance(route, Unrouted):
        step = Step(id=_WHY[route.why], values={"tie_down": tie_down.id, "names": held})
        return Answer(about=tie_down.id, verdict=Verdict.DOES_NOT_MEET, steps=(step,))
    pierced = articles_pierced(route, plan, boxes)
    if pierced:
        values: dict[str, Value] = {"tie_down": tie_down.id, "names": ", ".join(pierced)}
        step = Step(id="note.fit-through", values=values)
        return Answer(about=tie_down.id, verdict=Verdict.DOES_NOT_MEET, steps=(step,))
    if not gear_missing:
        return None
    steps: tuple[Step, ...] = ()
    if gear is not None:
        values = {"tie_down": tie_down.id, "at_least": _needed(tie_down, gear, route, plan)}
        steps = (Step(id="note.fit-needs", values=values),)
    return Answer(about=tie_down.id, verdict=Verdict.CANNOT_TELL, steps=steps, unknown=gear_missing)


def _summed(tie_down: TieDown, gear: Gear, route: Route, plan: Plan) -> Finding:
    assert gear.length is not None, "its length is known"
    required = _needed(tie_down, gear, route, plan)
    spare = gear.length.in_unit(required.unit).value - required.value
    margin = Amount(value=spare, unit=required.unit, dimension=Dimension.LENGTH)
    meets, webbing = spare >= 0, gear.kind in WEBBING
    return Finding(
        rule=_RULE,
        rule_set=RULE_SET,
        about=(tie_down.id,),
        verdict=Verdict.MEETS if meets else Verdict.DOES_NOT_MEET,
        scope=Scope.GUIDANCE if webbing else Scope.COMMON_PRACTICE,
        citation=fit_figure("wraps-min").citation if webbing else COMMON_PRACTICE,
        required=required,
        provided=gear.length,
        margin=margin,
        inputs=_inputs(gear, route),
        steps=tuple(_steps(tie_down, gear, route, required.unit)),
        mend=None if meets else Step(id="mend.fit-longer", values={"at_least": required}),
    )


def _needed(tie_down: TieDown, gear: Gear, route: Route, plan: Plan) -> Amount:
    """The route and the allowances, in feet where lengths are given so, else in metres."""
    us = _is_us(tie_down, gear, plan)
    unit = "ft" if us else "m"
    route_long = amount_worked_out(route.length_m, unit, Dimension.LENGTH)
    spent = _allowances(gear, us=us).values()
    value = route_long.value + sum((one.in_unit(unit).value for one in spent), Fraction(0))
    return Amount(value=value, unit=unit, dimension=Dimension.LENGTH)


def _is_us(tie_down: TieDown, gear: Gear, plan: Plan) -> bool:
    if gear.length is not None:
        return gear.length.is_us
    return uses_us_columns(tuple(one for one in plan.articles if one.id in tie_down.holds))


def _allowances(gear: Gear, *, us: bool) -> dict[str, Amount]:
    """What webbing needs beyond its route: wraps on the drum, and a tail."""
    if gear.kind not in WEBBING:
        return {}
    drum = "winch" if gear.kind is GearKind.WINCH_STRAP else "ratchet"
    each = fit_figure(f"wrap-length-{drum}").amount(Dimension.LENGTH, us=us)
    wraps = Amount(
        value=each.value * fit_figure("wraps-min").value_us,
        unit=each.unit,
        dimension=Dimension.LENGTH,
    )
    return {"wraps": wraps, "tail": fit_figure("tail-length").amount(Dimension.LENGTH, us=us)}


def _inputs(gear: Gear, route: Route) -> tuple[Input, ...]:
    basis = Basis.WORKED_OUT if route.assumed else Basis.STATED
    return (
        Input(name="length", about=gear.id, value=gear.length, basis=Basis.STATED),
        Input(
            name="touches",
            about=route.tie_down,
            value=len(route.line) - 2,
            basis=basis,
        ),
    )


def _steps(tie_down: TieDown, gear: Gear, route: Route, unit: str) -> Iterator[Step]:
    us = unit == "ft"
    along = amount_worked_out(route.length_m, unit, Dimension.LENGTH)
    values: dict[str, Value] = {"required": along}
    spent = _allowances(gear, us=us)
    if spent:
        wraps = int(fit_figure("wraps-min").value_us)
        values |= {"wraps": wraps, "each": spent["wraps"], "tail": spent["tail"]}
        yield Step(id="required.fit-webbing", values=values)
    else:
        yield Step(id="required.fit-plain", values=values)
    yield from _runs(tie_down, route, unit)
    yield Step(id="provided.fit-gear", values={"gear": gear.id})
    if route.assumed:
        yield Step(id="note.fit-assumed", values={"names": ", ".join(tie_down.holds)})
    if spent:
        yield Step(id="note.fit-allowances")


def _runs(tie_down: TieDown, route: Route, unit: str) -> Iterator[Step]:
    """Each straight run with its three parts, so that it can be followed on paper."""
    names = [route.legs[0].anchor, *(one.article for one in route.contacts)]
    names.append(route.legs[1].anchor if len(route.legs) == 2 else tie_down.holds[0])

    def amount(metres: float) -> Amount:
        return amount_worked_out(abs(metres), unit, Dimension.LENGTH)

    for (start, end), (here, there) in zip(pairwise(names), pairwise(route.line), strict=True):
        back, across, up = (amount(there[axis] - here[axis]) for axis in range(3))
        yield Step(
            id="other.fit-across" if start == end else "other.fit-run",
            values={
                "start": start,
                "end": end,
                "run": amount(math.dist(here, there)),
                "back": back,
                "across": across,
                "up": up,
            },
        )
