"""The aggregate working load limit of an article or group: 49 CFR 393.106(d).

At least half the weight, unless the section of its commodity asks for another share.
"""

from triplog.securement.figures import figure
from triplog.securement.finding import Finding
from triplog.securement.model import Plan
from triplog.securement.rules.combined import combined_finding
from triplog.securement.rules.combined_sum import CombinedRule
from triplog.securement.rules.us_393.credit import credit_of
from triplog.securement.rules.us_393.scope import RULE_SET, citation
from triplog.securement.rules.us_393.sections.in_force import (
    general_scope,
    groups_in_force,
    section_of_group,
)


def aggregate_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.106(d), one finding per group of articles that no section of its own asks for."""
    rule = CombinedRule(
        rule="us-393.106-aggregate",
        rule_set=RULE_SET,
        citation=citation("393.106(d)"),
        share=figure("aggregate-share").value_us,
        credit_of=credit_of,
        required_step="required.half",
    )
    findings = []
    for group in groups_in_force(plan):
        section = section_of_group(group, plan)
        if section is None or section.aggregate(group, plan) is None:
            scope = general_scope(group.articles, plan)
            findings.append(combined_finding(group, plan, rule, scope))
    return tuple(findings)
