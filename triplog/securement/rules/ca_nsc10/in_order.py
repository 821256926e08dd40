"""The rules of NSC Standard 10 in the order of their sections."""

from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import Plan
from triplog.securement.rules.ca_nsc10.aggregate import aggregate_findings
from triplog.securement.rules.ca_nsc10.border import with_stricter
from triplog.securement.rules.ca_nsc10.commodity import not_judged_findings
from triplog.securement.rules.ca_nsc10.count import count_findings
from triplog.securement.rules.ca_nsc10.down import down_finding
from triplog.securement.rules.ca_nsc10.marking import marking_findings
from triplog.securement.rules.ca_nsc10.on_the_cargo import (
    condition_findings,
    edges_findings,
    rub_rail_findings,
    tighten_findings,
)
from triplog.securement.rules.ca_nsc10.scope import scope_findings
from triplog.securement.rules.ca_nsc10.ways import way_findings
from triplog.securement.rules.groups import Group, groups_of
from triplog.securement.rules.us_393.aggregate import aggregate_findings as us_aggregate
from triplog.securement.rules.us_393.count import count_findings as us_count

_SETTLED = frozenset({Verdict.MEETS, Verdict.DOES_NOT_APPLY})


def ca_nsc10_findings(plan: Plan) -> tuple[Finding, ...]:
    """Every finding of NSC Standard 10 about the plan, sections 5 to 26 in their order."""
    aggregate, count = aggregate_findings(plan), count_findings(plan)
    if "us-393" in plan.rules:
        aggregate = with_stricter(aggregate, us_aggregate(plan))
        count = with_stricter(count, us_count(plan))
    performance: list[Finding] = []
    for group in groups_of(plan):
        stands = _stands(group, (*aggregate, *count))
        performance += way_findings(group, plan, stands=stands)
        performance.append(down_finding(group, plan, stands=stands))
    return (
        *scope_findings(plan),
        *performance,
        *aggregate,
        *marking_findings(plan),
        *condition_findings(plan),
        *rub_rail_findings(plan),
        *tighten_findings(plan),
        *edges_findings(plan),
        *count,
        *not_judged_findings(plan),
    )


def _stands(group: Group, findings: tuple[Finding, ...]) -> bool:
    """Whether count and sum of the group's articles are settled, so that no other way is asked."""
    ids = set(group.ids)
    return all(one.verdict in _SETTLED for one in findings if ids.intersection(one.about))
