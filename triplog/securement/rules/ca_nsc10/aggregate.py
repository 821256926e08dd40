"""The aggregate working load limit of an article or group: NSC Standard 10 s.10.

At least half the weight. Each end section on an anchor point counts half the tie-down's rating,
and an anchor point is a fitting of the vehicle or of the cargo. So a tie-down counts in full over
the top, to a fitting of the article, and, by the words, back to the same side. The sum may be more
than the rating of what is anchored.
"""

from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import Finding
from triplog.securement.model import Path, Plan, TieDown
from triplog.securement.rating import Defaults
from triplog.securement.rules.ca_nsc10.commodity import general_scope
from triplog.securement.rules.ca_nsc10.scope import RULE_SET, TABLE, citation
from triplog.securement.rules.combined import combined_finding
from triplog.securement.rules.combined_sum import CombinedRule, Credit
from triplog.securement.rules.groups import groups_of


def credit_of(tie_down: TieDown, _plan: Plan) -> Credit:
    """Half for each end on an anchor point; nobody said that a direct one's far end is on one."""
    each = figure("credit-per-end", TABLE).value_si
    both: Fraction = 2 * each
    direct_or_unknown = tie_down.path in (Path.DIRECT, None)
    if direct_or_unknown and tie_down.to is None:
        return Credit(low=each, high=both, asks="to")
    return Credit(low=both, high=both)


def aggregate_findings(plan: Plan) -> tuple[Finding, ...]:
    """s.10, one finding per group of articles."""
    rule = CombinedRule(
        rule="ca-nsc10-aggregate",
        rule_set=RULE_SET,
        citation=citation("s.10"),
        share=figure("aggregate-share", TABLE).value_si,
        credit_of=credit_of,
        required_step="required.half",
        defaults=Defaults.CANADA,
    )
    return tuple(
        combined_finding(group, plan, rule, general_scope(group.articles, plan))
        for group in groups_of(plan)
    )
