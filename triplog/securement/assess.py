"""A whole plan judged: the rule sets in the plan's order, the rules in the order of their clauses.

`assess` is pure and never raises for a plan that could be built: a short plan is a finding.
"""

from dataclasses import dataclass

from triplog.securement.figures import figure, tables_digest
from triplog.securement.finding import Citation, Finding, Missing, Scope, Step, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.rules.house import house_findings
from triplog.securement.rules.us_393.aggregate import aggregate_findings
from triplog.securement.rules.us_393.commodity import commodity_findings
from triplog.securement.rules.us_393.condition import (
    condition_findings,
    knots_findings,
    tighten_findings,
)
from triplog.securement.rules.us_393.count import count_findings
from triplog.securement.rules.us_393.down import down_finding
from triplog.securement.rules.us_393.edges import edges_findings
from triplog.securement.rules.us_393.front import front_findings
from triplog.securement.rules.us_393.rating import rating_findings
from triplog.securement.rules.us_393.rolling import rolling_findings
from triplog.securement.rules.us_393.scope import scope_findings

_SETTLED = frozenset({Verdict.MEETS, Verdict.DOES_NOT_APPLY})


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleSetUsed:
    """A rule set as it was used: the edition of its text and the digest of its figures.

    Both are empty for a set without a published text or not built.
    """

    id: str
    edition: str
    tables_sha256: str


def rule_sets_used(plan: Plan) -> tuple[RuleSetUsed, ...]:
    """The plan's rule sets with their editions, as a findings file names them."""
    return tuple(
        RuleSetUsed(
            id=name,
            edition=figure("aggregate-share").citation.edition if name == "us-393" else "",
            tables_sha256=tables_digest() if name == "us-393" else "",
        )
        for name in plan.rules
    )


def assess(plan: Plan) -> tuple[Finding, ...]:
    """Every finding of the plan's rule sets, always in the same order.

    Within a rule: articles, groups, tie-downs in the plan's order. A set known but not built gives
    one finding, *cannot tell*; so does a plan without an article.
    """
    if not plan.articles:
        return (_empty(),)
    findings: list[Finding] = []
    for name in plan.rules:
        if name == "us-393":
            findings += _us_393(plan)
        elif name == "house":
            findings += house_findings(plan)
        else:
            findings.append(_not_built(name))
    return tuple(findings)


def _us_393(plan: Plan) -> tuple[Finding, ...]:
    after = (
        *condition_findings(plan),
        *knots_findings(plan),
        *edges_findings(plan),
        *(one for one in commodity_findings(plan) if one.rule == "us-393.106-commodity"),
        *rolling_findings(plan),
        *aggregate_findings(plan),
        *rating_findings(plan),
        *count_findings(plan),
        *tighten_findings(plan),
        *front_findings(plan),
        *(one for one in commodity_findings(plan) if one.rule != "us-393.106-commodity"),
    )
    down = tuple(
        down_finding(article, plan, deemed=_all_else_meets(article, plan, after))
        for article in plan.articles
    )
    return (*scope_findings(plan), *down, *after)


def _all_else_meets(article: Article, plan: Plan, findings: tuple[Finding, ...]) -> bool:
    """393.102(c)(3): whether every finding about the article, its tie-downs and gear is settled."""
    tie_downs = plan.tie_downs_on(article.id)
    concerned = {article.id, article.mat, *(one.id for one in tie_downs)}
    concerned |= {one.gear for one in tie_downs}
    return all(
        finding.verdict in _SETTLED for finding in findings if concerned.intersection(finding.about)
    )


def _not_built(rule_set: str) -> Finding:
    return Finding(
        rule=f"{rule_set}-not-built",
        rule_set=rule_set,
        about=("plan",),
        verdict=Verdict.CANNOT_TELL,
        scope=Scope.YARDSTICK,
        citation=Citation(source="this version", clause="", edition="", how_sure="no source"),
        steps=(Step(id="note.set-not-built", values={"rule_set": rule_set}),),
        unknown=(Missing(field=f"rule set {rule_set}", about="plan"),),
    )


def _empty() -> Finding:
    return Finding(
        rule="plan-articles",
        rule_set="plan",
        about=("plan",),
        verdict=Verdict.CANNOT_TELL,
        scope=Scope.YARDSTICK,
        citation=Citation(source="this version", clause="", edition="", how_sure="no source"),
        steps=(Step(id="note.no-article"),),
        unknown=(Missing(field="article", about="plan"),),
    )
