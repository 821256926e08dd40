"""The combined rating where a section asks for a share of the weight of its own."""

from triplog.securement.figures import figure
from triplog.securement.finding import Finding
from triplog.securement.model import Plan
from triplog.securement.rules.combined import combined_finding
from triplog.securement.rules.combined_sum import CombinedRule
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.credit import credit_of
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope


def share_finding(section: str, share_id: str, group: Group, plan: Plan, step: str) -> Finding:
    """`us-<section>-aggregate`: the figure `share_id` of the group's weight, credited as in 106(d).

    `step` is the id of the line that says the share, as "required.half".
    """
    share = figure(share_id)
    rule = CombinedRule(
        rule=f"us-{section}-aggregate",
        rule_set=RULE_SET,
        citation=citation(share.citation.clause),
        share=share.value_us,
        credit_of=credit_of,
        required_step=step,
    )
    return combined_finding(group, plan, rule, law_scope(plan))
