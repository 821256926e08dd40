"""The house rule: the combined rating is at least the weight. Common practice, no source.

Shown apart from the law, which asks for half the weight and halves some paths. Here every
tie-down counts its full single-path rating.
"""

from fractions import Fraction

from triplog.securement.finding import Citation, Finding, Scope
from triplog.securement.model import Plan, TieDown
from triplog.securement.rules.combined import combined_finding
from triplog.securement.rules.combined_sum import CombinedRule, Credit
from triplog.securement.rules.groups import groups_of

RULE_SET = "house"
_IN_FULL = Credit(low=Fraction(1), high=Fraction(1))


def _in_full(_tie_down: TieDown, _plan: Plan) -> Credit:
    return _IN_FULL


_COMBINED = CombinedRule(
    rule="house-combined",
    rule_set=RULE_SET,
    citation=Citation(source="common practice", clause="", edition="", how_sure="no source"),
    share=Fraction(1),
    credit_of=_in_full,
    required_step="required.weight",
)


def house_findings(plan: Plan) -> tuple[Finding, ...]:
    """One finding per group of articles."""
    return tuple(
        combined_finding(group, plan, _COMBINED, Scope.COMMON_PRACTICE) for group in groups_of(plan)
    )
