"""The rules of 49 CFR part 393 in the order of their clauses."""

from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.rules.us_393.aggregate import aggregate_findings
from triplog.securement.rules.us_393.bearing import bearing_findings
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
from triplog.securement.rules.us_393.sections.in_force import (
    commodity_findings,
    groups_in_force,
    section_findings,
)
from triplog.securement.rules.us_393.withstood import withstood_findings

_SETTLED = frozenset({Verdict.MEETS, Verdict.DOES_NOT_APPLY})


def us_393_findings(plan: Plan) -> tuple[Finding, ...]:
    """Every finding of 49 CFR 393.100 to 393.136 about the plan."""
    after = (
        *condition_findings(plan),
        *knots_findings(plan),
        *edges_findings(plan),
        *(one for one in commodity_findings(plan) if one.rule == "us-393.106-commodity"),
        *rolling_findings(plan),
        *aggregate_findings(plan),
        *rating_findings(plan),
        *count_findings(plan),
        *bearing_findings(plan),
        *tighten_findings(plan),
        *front_findings(plan),
        *(one for one in commodity_findings(plan) if one.rule != "us-393.106-commodity"),
        *section_findings(plan),
    )
    deemed = {one.id: _all_else_meets(one, plan, after) for one in plan.articles}
    withstood = (
        finding
        for group in groups_in_force(plan)
        for finding in withstood_findings(
            group, plan, deemed=all(deemed[article_id] for article_id in group.ids)
        )
    )
    down = (down_finding(one, plan, deemed=deemed[one.id]) for one in plan.articles)
    return (*scope_findings(plan), *withstood, *down, *after)


def _all_else_meets(article: Article, plan: Plan, findings: tuple[Finding, ...]) -> bool:
    """393.102(c)(3): whether every finding about the article, its tie-downs and gear is settled."""
    tie_downs = plan.tie_downs_on(article.id)
    concerned = {article.id, article.mat, *(one.id for one in tie_downs)}
    concerned |= {one.gear for one in tie_downs}
    return all(
        finding.verdict in _SETTLED for finding in findings if concerned.intersection(finding.about)
    )
