"""A whole plan judged: the rule sets in the plan's order, the rules in the order of their clauses.

`assess` is pure and never raises for a plan that could be built: a short plan is a finding.
"""

from collections.abc import Callable
from dataclasses import dataclass

from triplog.securement.figures import figure, tables_digest
from triplog.securement.finding import Citation, Finding, Missing, Scope, Step, Verdict
from triplog.securement.model import Plan
from triplog.securement.rules.au_lrg.in_order import au_lrg_findings
from triplog.securement.rules.au_lrg.scope import GUIDE_EDITION
from triplog.securement.rules.ca_nsc10.in_order import ca_nsc10_findings
from triplog.securement.rules.ca_nsc10.scope import TABLE as CANADIAN
from triplog.securement.rules.en_12195.en_figures import citation as en_citation
from triplog.securement.rules.en_12195.in_order import en_12195_findings
from triplog.securement.rules.fit.in_order import fit_findings
from triplog.securement.rules.house import house_findings
from triplog.securement.rules.nz_code.headboard import NONE, multiple
from triplog.securement.rules.nz_code.multiple import nz_code_findings
from triplog.securement.rules.static.in_order import static_findings
from triplog.securement.rules.us_393.in_order import us_393_findings

ANSWERED_BY_THE_REST = ("us-393.102-",)
"""How the rules begin that count as met where the rest of their set is met: 393.102(c)(3)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _RuleSet:
    """`edition` names the text followed; empty for a set without a published text."""

    findings: Callable[[Plan], tuple[Finding, ...]]
    edition: Callable[[], str] = str


_RULE_SETS: dict[str, _RuleSet] = {
    "us-393": _RuleSet(
        findings=us_393_findings, edition=lambda: figure("aggregate-share").citation.edition
    ),
    "house": _RuleSet(findings=house_findings),
    "fit": _RuleSet(findings=fit_findings),
    "static": _RuleSet(findings=static_findings),
    "en-12195-1": _RuleSet(findings=en_12195_findings, edition=lambda: en_citation("5").edition),
    "ca-nsc10": _RuleSet(
        findings=ca_nsc10_findings,
        edition=lambda: figure("aggregate-share", CANADIAN).citation.edition,
    ),
    "au-lrg": _RuleSet(findings=au_lrg_findings, edition=lambda: GUIDE_EDITION),
    "nz-code": _RuleSet(findings=nz_code_findings, edition=lambda: multiple(NONE).citation.edition),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleSetUsed:
    """A rule set as it was used: the edition of its text and the digest of its figures.

    Both may be empty for a set without a published text.
    """

    id: str
    edition: str
    tables_sha256: str


def rule_sets_used(plan: Plan) -> tuple[RuleSetUsed, ...]:
    """The plan's rule sets with their editions, as a findings file names them."""
    return tuple(
        RuleSetUsed(
            id=name,
            edition=_RULE_SETS[name].edition(),
            tables_sha256=tables_digest(name),
        )
        for name in plan.rules
    )


def assess(plan: Plan) -> tuple[Finding, ...]:
    """Every finding of the plan's rule sets, always in the same order.

    Within a rule: articles, groups, tie-downs in the plan's order. A plan without an article gives
    one finding, *cannot tell*.
    """
    if not plan.articles:
        return (_empty(),)
    findings: list[Finding] = []
    for name in plan.rules:
        findings += _RULE_SETS[name].findings(plan)
    return tuple(findings)


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
