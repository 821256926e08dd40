"""The aggregate working load limit of an article or group: 49 CFR 393.106(d).

At least half the weight, unless the section of its commodity asks for another share. Webbing that
393.132(b) bars on what it holds counts nothing.
"""

from dataclasses import replace
from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Step
from triplog.securement.model import Plan, TieDown
from triplog.securement.rules.combined import combined_finding
from triplog.securement.rules.combined_sum import CombinedRule, Credit
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.credit import credit_of
from triplog.securement.rules.us_393.scope import RULE_SET, citation
from triplog.securement.rules.us_393.sections.in_force import (
    general_scope,
    groups_in_force,
    section_in_force,
    section_of_group,
)
from triplog.securement.rules.us_393.sections.section_132 import SECTION_132, bars

_NOTHING = Credit(low=Fraction(0), high=Fraction(0))


def aggregate_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.106(d), one finding per group of articles that no section of its own asks for."""
    rule = CombinedRule(
        rule="us-393.106-aggregate",
        rule_set=RULE_SET,
        citation=citation("393.106(d)"),
        share=figure("aggregate-share").value_us,
        credit_of=_credit_of,
        required_step="required.half",
    )
    findings = []
    for group in groups_in_force(plan):
        section = section_of_group(group, plan)
        if section is None or section.aggregate(group, plan) is None:
            scope = general_scope(group.articles, plan)
            finding = combined_finding(group, plan, rule, scope)
            findings.append(replace(finding, steps=(*finding.steps, *_barred_note(group, plan))))
    return tuple(findings)


def _credit_of(tie_down: TieDown, plan: Plan) -> Credit:
    """By its path, and nothing where a section bars it."""
    return _NOTHING if _is_barred(tie_down, plan) else credit_of(tie_down, plan)


def _is_barred(tie_down: TieDown, plan: Plan) -> bool:
    """Whether it is known to be webbing on flattened cars."""
    return any(
        bars(one, tie_down, plan)
        for one in plan.articles
        if one.id in tie_down.holds and section_in_force(one, plan) is SECTION_132
    )


def _barred_note(group: Group, plan: Plan) -> tuple[Step, ...]:
    names = [one.id for one in group.tie_downs if _is_barred(one, plan)]
    values = {"names": ", ".join(names)}
    return (Step(id="note.barred-counts-nothing", values=dict(values)),) if names else ()
