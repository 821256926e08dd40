"""The bends over sharp edges, as the route shows them, against the protectors fitted."""

import math

from triplog.securement.finding import (
    Basis,
    Count,
    Finding,
    Input,
    Missing,
    Scope,
    Step,
    Value,
    Verdict,
)
from triplog.securement.geometry import Route, Unrouted
from triplog.securement.model import WEBBING, GearKind, Path, Plan, TieDown
from triplog.securement.rules.bundles import Answer, YesNoRule, bundled
from triplog.securement.rules.fit.length import Routes
from triplog.securement.rules.fit.sources import COMMON_PRACTICE, RULE_SET

_CUT_BY_EDGES = WEBBING | {GearKind.CORDAGE}
# A line over a box, from one side to the other, bends at two of its edges at most.
_BENDS_PER_ARTICLE = 2
# Less than a degree is no bend but a tape measure's error.
_BEND_RAD = math.radians(1)


def fit_edges_findings(plan: Plan, routes: Routes) -> tuple[Finding, ...]:
    """`fit-edges`: webbing and rope have a protector at each bend over an article's sharp edges.

    Where a route over the top is not known, the most bends it can have are the other end: as many
    protectors meet all the same. What is not over the top then goes by the plan's own count only.
    """
    rule = YesNoRule(
        rule="fit-edges", rule_set=RULE_SET, citation=COMMON_PRACTICE, mend="mend.fit-edges"
    )
    answers = (_answer(tie_down, plan, routes[tie_down.id]) for tie_down in plan.tie_downs)
    return bundled(rule, Scope.COMMON_PRACTICE, (one for one in answers if one is not None))


def _answer(tie_down: TieDown, plan: Plan, route: Route | Unrouted) -> Answer | None:
    gear = plan.gear_item(tie_down.gear)
    if gear is not None and gear.kind not in _CUT_BY_EDGES:
        return None
    sharp = [one.id for one in plan.articles if one.sharp_edges and one.id in tie_down.holds]
    least, most = _bends(tie_down, sharp, route)
    if not most:
        return None
    fitted = None if tie_down.edge_protection is None else tie_down.edge_protection.fitted
    unknown: tuple[Missing, ...] = ()
    if fitted is None:
        verdict = Verdict.CANNOT_TELL
        unknown = (Missing(field="edge_protection.fitted", about=tie_down.id),)
    elif fitted < least:
        verdict = Verdict.DOES_NOT_MEET
    elif fitted < most:
        verdict = Verdict.CANNOT_TELL
        unknown = (Missing(field="route", about=tie_down.id),)
    else:
        verdict = Verdict.MEETS
    return Answer(
        about=tie_down.id,
        verdict=verdict,
        steps=_steps(tie_down, sharp, least, most, fitted),
        unknown=unknown,
        inputs=(_input(tie_down, fitted),),
    )


def _bends(tie_down: TieDown, sharp: list[str], route: Route | Unrouted) -> tuple[int, int]:
    """The least and the most bends over the sharp articles."""
    if isinstance(route, Route):
        bends = [one for one in route.contacts if one.article in sharp and one.turn_rad > _BEND_RAD]
        return len(bends), len(bends)
    if route.why == "not known" and tie_down.path is Path.OVER:
        return 0, _BENDS_PER_ARTICLE * len(sharp)
    return 0, 0


def _steps(
    tie_down: TieDown, sharp: list[str], least: int, most: int, fitted: int | None
) -> tuple[Step, ...]:
    if fitted is None or least < most:
        return ()
    values: dict[str, Value] = {
        "tie_down": tie_down.id,
        "names": ", ".join(sharp),
        "bends": Count(value=most, unit="bend"),
        "fitted": Count(value=fitted, unit="edge protector"),
    }
    return (Step(id="note.fit-bends", values=values),)


def _input(tie_down: TieDown, fitted: int | None) -> Input:
    return Input(
        name="edge_protection.fitted",
        about=tie_down.id,
        value=fitted,
        basis=Basis.UNKNOWN if fitted is None else Basis.STATED,
    )
