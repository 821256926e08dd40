"""How lashings lie on anchor points: one on each, none on a sheeting hook, and not too flat."""

import math
from collections import defaultdict

from triplog.securement.finding import Finding, Scope, Step, Value, Verdict
from triplog.securement.geometry import Route
from triplog.securement.model import Path, Plan, TieDown
from triplog.securement.rating import NO_TIE_DOWN, ends_on_anchors
from triplog.securement.rules.bundles import Answer, YesNoRule, bundled
from triplog.securement.rules.fit.length import Routes
from triplog.securement.rules.fit.sources import RULE_SET, fit_figure

# Along these there is room for more than one.
_LONG = frozenset({"rail", "track"})
_NO_ANCHOR_POINT = ("sheeting", "rope hook")


def shared_anchor_findings(plan: Plan) -> tuple[Finding, ...]:
    """`fit-anchor-shared`: no more than one tie-down on one anchor point of the vehicle.

    The guide says must not where it is in force; elsewhere it is guidance, and the rating of the
    point is shared. A sheeting or rope hook is no anchor point at all.
    """
    hooked: defaultdict[str, list[str]] = defaultdict(list)
    for tie_down in plan.tie_downs:
        gear = plan.gear_item(tie_down.gear)
        if gear is None or gear.kind not in NO_TIE_DOWN:
            for end in dict.fromkeys(ends_on_anchors(tie_down)):
                if end is not None:
                    hooked[end].append(tie_down.id)
    rule = YesNoRule(
        rule="fit-anchor-shared",
        rule_set=RULE_SET,
        citation=fit_figure("lashings-per-point-max").citation,
        mend="mend.fit-anchor",
    )
    answers: dict[str, list[Step]] = {one: [] for names in hooked.values() for one in names}
    for anchor_id, names in hooked.items():
        for one in names:
            answers[one] += _steps(anchor_id, names, plan)
    return bundled(
        rule,
        Scope.GUIDANCE,
        (
            Answer(
                about=one.id,
                verdict=Verdict.DOES_NOT_MEET if answers[one.id] else Verdict.MEETS,
                steps=tuple(answers[one.id]),
            )
            for one in plan.tie_downs
            if one.id in answers
        ),
    )


def _steps(anchor_id: str, names: list[str], plan: Plan) -> list[Step]:
    anchor = plan.anchor(anchor_id)
    kind = "" if anchor is None or anchor.kind is None else anchor.kind.strip().lower()
    values: dict[str, Value] = {"anchor": anchor_id, "tie_downs": ", ".join(names)}
    if any(word in kind for word in _NO_ANCHOR_POINT):
        return [Step(id="note.fit-sheeting", values={**values, "hook": kind})]
    most = fit_figure("lashings-per-point-max").value_us
    if len(names) > most and kind not in _LONG:
        return [Step(id="note.fit-shared", values=values)]
    return []


def angle_findings(plan: Plan, routes: Routes) -> tuple[Finding, ...]:
    """`fit-angle`: a tie-down over the top is not so flat that it hardly presses down.

    Asked of each whose route is known; where it is not, `fit-length` says so.
    """
    rule = YesNoRule(
        rule="fit-angle",
        rule_set=RULE_SET,
        citation=fit_figure("over-angle-min").citation,
        mend="mend.fit-angle",
    )
    answers = (
        _angle(tie_down, route)
        for tie_down in plan.tie_downs
        if tie_down.path is Path.OVER and isinstance(route := routes[tie_down.id], Route)
    )
    return bundled(rule, Scope.GUIDANCE, answers)


def _angle(tie_down: TieDown, route: Route) -> Answer:
    least = int(fit_figure("over-angle-min").value_us)
    flat = [leg for leg in route.legs if math.degrees(leg.angle_rad) < least]
    steps = tuple(
        Step(
            id="note.fit-flat",
            values={
                "tie_down": tie_down.id,
                "anchor": leg.anchor,
                "degrees": math.floor(math.degrees(leg.angle_rad)),
                "least": least,
            },
        )
        for leg in flat
    )
    verdict = Verdict.DOES_NOT_MEET if flat else Verdict.MEETS
    return Answer(about=tie_down.id, verdict=verdict, steps=steps)
