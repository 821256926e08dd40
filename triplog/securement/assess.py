"""A whole plan judged: the rule sets in the plan's order, the rules in the order of their clauses.

`assess` is pure and never raises for a plan that could be built: a short plan is a finding.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from triplog.securement.believed import believed, naming
from triplog.securement.figures import figure, tables_digest
from triplog.securement.finding import Citation, Finding, Missing, Scope, Step, Verdict
from triplog.securement.model import Plan

if TYPE_CHECKING:
    from triplog.securement.rules.static.in_order import Judged

ANSWERED_BY_THE_REST = ("us-393.102-", "ca-nsc10-way-")
"""How the rules begin that count as met where the rest of their set is met: 393.102(c)(3), s.5."""

# A rule set is imported when a plan asks for it: most plans name two of them.


def _us_393(plan: Plan) -> tuple[Finding, ...]:
    from triplog.securement.rules.us_393.in_order import us_393_findings

    return us_393_findings(plan)


def _house(plan: Plan) -> tuple[Finding, ...]:
    from triplog.securement.rules.house import house_findings

    return house_findings(plan)


def _fit(plan: Plan) -> tuple[Finding, ...]:
    from triplog.securement.rules.fit.in_order import fit_findings

    return fit_findings(plan)


def _en_12195(plan: Plan) -> tuple[Finding, ...]:
    from triplog.securement.rules.en_12195.in_order import en_12195_findings

    return en_12195_findings(plan)


def _ca_nsc10(plan: Plan) -> tuple[Finding, ...]:
    from triplog.securement.rules.ca_nsc10.in_order import ca_nsc10_findings

    return ca_nsc10_findings(plan)


def _au_lrg(plan: Plan) -> tuple[Finding, ...]:
    from triplog.securement.rules.au_lrg.in_order import au_lrg_findings

    return au_lrg_findings(plan)


def _nz_code(plan: Plan) -> tuple[Finding, ...]:
    from triplog.securement.rules.nz_code.multiple import nz_code_findings

    return nz_code_findings(plan)


_STATIC = "static"
# Asks whether what the plan tells can be so, and therefore of all that it tells.
_FIT = "fit"
_FINDINGS = {
    "us-393": _us_393,
    "house": _house,
    "fit": _fit,
    "en-12195-1": _en_12195,
    "ca-nsc10": _ca_nsc10,
    "au-lrg": _au_lrg,
    "nz-code": _nz_code,
}


def _edition(rule_set: str) -> str:
    """The edition of the text a rule set follows; empty for one without a published text."""
    if rule_set == "us-393":
        return figure("aggregate-share").citation.edition
    if rule_set == "en-12195-1":
        from triplog.securement.rules.en_12195.en_figures import citation

        return citation("5").edition
    if rule_set == "ca-nsc10":
        from triplog.securement.rules.ca_nsc10.scope import TABLE

        return figure("aggregate-share", TABLE).citation.edition
    if rule_set == "au-lrg":
        from triplog.securement.rules.au_lrg.scope import GUIDE_EDITION

        return GUIDE_EDITION
    if rule_set == "nz-code":
        from triplog.securement.rules.nz_code.headboard import NONE, multiple

        return multiple(NONE).citation.edition
    return ""


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
            edition=_edition(name),
            tables_sha256=tables_digest(name),
        )
        for name in plan.rules
    )


def assess(plan: Plan) -> tuple[Finding, ...]:
    """Every finding of the plan's rule sets, always in the same order.

    Within a rule: articles, groups, tie-downs in the plan's order. A plan without an article gives
    one finding, *cannot tell*.
    """
    return assess_and_estimate(plan)[0]


def assess_and_estimate(plan: Plan) -> "tuple[tuple[Finding, ...], tuple[Judged, ...]]":
    """The findings, and what the static estimate worked out for them; empty where not asked."""
    if not plan.articles:
        return (_empty(),), ()
    findings: list[Finding] = []
    estimated: tuple[Judged, ...] = ()
    heard = believed(plan)
    for name in plan.rules:
        if name == _STATIC:
            from triplog.securement.rules.static.in_order import judged, static_findings

            estimated = tuple(judged(heard))
            findings += static_findings(heard, estimated)
        else:
            findings += _FINDINGS[name](plan if name == _FIT else heard)
    return naming(tuple(findings), plan, heard), estimated


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
