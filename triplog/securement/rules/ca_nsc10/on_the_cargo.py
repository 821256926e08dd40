"""Edges, rub rail, tension, condition and knots: NSC Standard 10 ss.15, 19 and 20."""

from dataclasses import replace

from triplog.securement.finding import Basis, Finding, Input, Missing, Step, Verdict
from triplog.securement.model import Article, Commodity, Plan
from triplog.securement.rules.bundles import YesNoRule, bundled
from triplog.securement.rules.ca_nsc10.scope import RULE_SET, citation, law_scope, manual
from triplog.securement.rules.us_393.condition import (
    condition_answers,
    knots_answers,
    tighten_answers,
)
from triplog.securement.rules.us_393.edges import EdgesRule, edges_finding

RUB_RAIL = "ca-15-rub-rail"
_PAGE = "p.108"
_VERDICTS = {"yes": Verdict.MEETS, "no": Verdict.DOES_NOT_MEET}


def condition_findings(plan: Plan) -> tuple[Finding, ...]:
    """No gear with cuts, nicks or splits; no knot in any tie-down."""
    condition = YesNoRule(
        rule="ca-nsc10-condition",
        rule_set=RULE_SET,
        citation=manual(_PAGE),
        mend="mend.set-aside",
    )
    knots = YesNoRule(
        rule="ca-nsc10-knots", rule_set=RULE_SET, citation=manual(_PAGE), mend="mend.knots"
    )
    scope = law_scope(plan)
    return (
        *bundled(condition, scope, condition_answers(plan)),
        *bundled(knots, scope, knots_answers(plan)),
    )


def tighten_findings(plan: Plan) -> tuple[Finding, ...]:
    """s.19: the driver can tighten each tie-down; steel strapping is excepted."""
    rule = YesNoRule(
        rule="ca-nsc10-tighten",
        rule_set=RULE_SET,
        citation=citation("s.19"),
        mend="mend.tensioner",
    )
    return bundled(rule, law_scope(plan), tighten_answers(plan))


def edges_findings(plan: Plan) -> tuple[Finding, ...]:
    """s.20: a protector wherever a tie-down could be worn or cut, but none on tyres, s.88(5)."""
    rule = EdgesRule(
        rule="ca-nsc10-edges",
        rule_set=RULE_SET,
        citation=citation("s.20"),
        scope=law_scope(plan),
    )
    return tuple(_edges(article, plan, rule) for article in plan.articles)


def _edges(article: Article, plan: Plan, rule: EdgesRule) -> Finding:
    finding = edges_finding(article, plan, rule)
    if article.commodity is not Commodity.LIGHT_VEHICLE:
        return finding
    return replace(finding, steps=(*finding.steps, Step(id="note.ca-tyres")))


def rub_rail_findings(plan: Plan) -> tuple[Finding, ...]:
    """s.15: inside the rub rail where that is possible. A question, one per article held."""
    return tuple(_rub_rail(one, plan) for one in plan.articles if plan.tie_downs_on(one.id))


def _rub_rail(article: Article, plan: Plan) -> Finding:
    answer = article.answers.get(RUB_RAIL)
    verdict = _VERDICTS.get(answer or "", Verdict.CANNOT_TELL)
    untold = verdict is Verdict.CANNOT_TELL
    return Finding(
        rule="ca-nsc10-rub-rail",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation("s.15"),
        inputs=(
            Input(
                name=f"answers.{RUB_RAIL}",
                about=article.id,
                value=answer,
                basis=Basis.UNKNOWN if answer is None else Basis.STATED,
            ),
        ),
        unknown=(Missing(field="rub_rail", about=article.id),) if untold else (),
        mend=Step(id="mend.rub-rail") if verdict is Verdict.DOES_NOT_MEET else None,
    )
