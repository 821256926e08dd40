"""Dressed lumber and similar bundles in more than one tier: 49 CFR 393.118(d).

Which bundles are tied depends on how the tiers are held: by stakes or blocking between them the
top ones, otherwise also a middle tier, or every tier. Each is counted as 393.110 counts it; the
combined rating is that of 393.106(d), for the whole stack.
"""

from triplog.securement.figures import figure
from triplog.securement.finding import SEVERITY, Finding, Missing, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.quantity import Dimension
from triplog.securement.rules.blocking import blocked_forward
from triplog.securement.rules.us_393.counted import count_unknown
from triplog.securement.rules.us_393.needed import tie_downs_needed
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.facts import (
    length_fact,
    missing_facts,
    told_inputs,
)
from triplog.securement.rules.us_393.sections.kinds import Asked, Kind, kinds_finding
from triplog.securement.rules.us_393.sections.limits import (
    Limit,
    limit_finding,
    printed_length,
)
from triplog.securement.rules.us_393.sections.lumber import Stack, stacks_of, tiers_of
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section

_NUMBER = "393.118"
_COUNT = f"us-{_NUMBER}-count"
_CLAUSES = {
    "stakes": "393.118(d)(1)",
    "blocking": "393.118(d)(2)",
    "direct": "393.118(d)(3)(iv)",
    "spacers": "393.118(d)(3)(iv)",
    "each tier": "393.118(d)(4)",
    None: "393.118(d)",
}
_QUESTIONS = {"stakes": "118-stakes", "blocking": "118-blocking", "spacers": "118-spacers"}
_TOP_ONLY = ("stakes", "blocking")
_Candidate = tuple[Finding, ...]


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    findings: list[Finding] = []
    for stack in stacks_of(articles):
        findings += _of_stack(stack, plan)
        asked = ["118-beside"]
        if stack.way in _QUESTIONS:
            asked.append(_QUESTIONS[stack.way])
        if stack.way == "spacers":
            findings.append(_spacers(stack, plan))
        missing = missing_facts(stack.bundles[0], "tiers_held") if stack.way is None else ()
        findings.append(answered_finding(_NUMBER, stack.bundles, plan, asked, missing))
    return tuple(findings)


def _of_stack(stack: Stack, plan: Plan) -> tuple[Finding, ...]:
    """A count for each bundle that is tied; one line for those that the tiers above hold down."""
    top = [one for one in stack.bundles if not stack.carries(one)]
    lower = [one for one in stack.bundles if stack.carries(one)]
    findings = [_count(stack, one, plan, top=True) for one in top]
    if stack.way == "each tier":
        tied = [_count(stack, one, plan, top=False) for one in lower]
    elif stack.way is None:
        tied = [_count(stack, one, plan, top=False, may_need_none=True) for one in lower]
    else:
        tied = [] if stack.way in _TOP_ONLY else list(_middle(stack, plan))
    told = {name for one in tied for name in one.about}
    untied = tuple(one.id for one in lower if one.id not in told)
    if untied:
        tied.append(_held_from_above(stack, untied, plan))
    return (*findings, *tied, *_tiers_in_one(stack, plan))


def _held_from_above(stack: Stack, untied: tuple[str, ...], plan: Plan) -> Finding:
    clause, step = _CLAUSES[stack.way], "note.lumber-held-from-above"
    return said(_COUNT, clause, untied, plan, Verdict.DOES_NOT_APPLY, step)


def _middle(stack: Stack, plan: Plan) -> _Candidate:
    """(d)(3)(iv)(B): the middle one of three tiers; of more, the second or one low enough."""
    candidates = [
        (
            *(_count(stack, one, plan, top=False) for one in stack.in_tier(tier)),
            *(_height(one, plan) for one in stack.in_tier(tier) if tier > 2),
        )
        for tier in range(2, stack.tiers)
        if stack.in_tier(tier)
    ]
    return max(candidates, key=_nearness, default=())


def _nearness(candidate: _Candidate) -> tuple[int, int]:
    gravest = min(SEVERITY[one.verdict] for one in candidate)
    return gravest, sum(int(one.margin.value) for one in candidate if one.margin is not None)


def _height(bundle: Article, plan: Plan) -> Finding:
    top = length_fact(bundle, "top_height")
    limit = Limit(
        rule="us-393.118-middle-height",
        clause="393.118(d)(3)(iv)(B)(2)",
        article=bundle,
        facts=("top_height",),
        given=top,
        limit=printed_length("lumber-middle-height-max", top),
        at_most=True,
        step="required.lumber-middle-height",
        mend="mend.lumber-middle-height",
    )
    return limit_finding(limit, plan)


def _count(
    stack: Stack, bundle: Article, plan: Plan, *, top: bool, may_need_none: bool = False
) -> Finding:
    """The tie-downs over one bundle; `may_need_none` where how the tiers are held is not told."""
    forward = blocked_forward(bundle, plan)
    need = tie_downs_needed(bundle.length, bundle.mass, forward)
    low, high = need.low, need.high
    at_least_two = top and stack.way not in _TOP_ONLY
    if at_least_two:
        two, long = int(figure("lumber-long-bundle").value_us), _is_long(bundle)
        if long is not False and high is not None:
            high = max(high, two)
        if long and stack.way is not None:
            low = max(low, two)
    step = "required.lumber-top" if at_least_two else "required.lumber-over"
    kind = Kind(step=step, low=0 if may_need_none else low, high=high)
    way = missing_facts(bundle, "tiers_held") if stack.way is None else ()
    asked = Asked(
        rule=_COUNT,
        clause=_CLAUSES[stack.way],
        about=(bundle.id,),
        kinds=(kind,),
        inputs=told_inputs(bundle, "tiers_held", "tiers"),
        unknown=(*way, *count_unknown(bundle, plan)),
    )
    return kinds_finding(asked, stack.over(bundle, plan), plan)


def _is_long(bundle: Article) -> bool | None:
    """Whether the bundle is longer than the length from which two lie over it."""
    if bundle.length is None:
        return None
    line = figure("lumber-long-bundle-above").amount(Dimension.LENGTH, us=bundle.length.is_us)
    return bundle.length.si > line.si


def _tiers_in_one(stack: Stack, plan: Plan) -> tuple[Finding, ...]:
    """An article of several tiers does not tell over which of them a tie-down lies."""
    if stack.way in _TOP_ONLY or (stack.way in ("direct", "spacers") and stack.tiers == 2):
        return ()
    whole = [one for one in stack.bundles if tiers_of(one) > 1]
    rule, clause, step = "us-393.118-tiers", _CLAUSES[stack.way], "note.lumber-tiers-in-one"
    return tuple(
        said(
            rule,
            clause,
            (one.id,),
            plan,
            Verdict.CANNOT_TELL,
            step,
            unknown=(Missing(field="tiers as articles", about=one.id),),
        )
        for one in whole
    )


def _spacers(stack: Stack, plan: Plan) -> Finding:
    """(d)(3)(ii): no spacer is higher than it is wide."""
    bundle = next((one for one in stack.bundles if "spacer_width" in one.facts), stack.bundles[0])
    limit = Limit(
        rule="us-393.118-spacers",
        clause="393.118(d)(3)(ii)",
        article=bundle,
        facts=("spacer_width", "spacer_height"),
        given=length_fact(bundle, "spacer_width"),
        limit=length_fact(bundle, "spacer_height"),
        at_most=False,
        step="required.lumber-spacers",
        mend="mend.lumber-spacers",
    )
    return limit_finding(limit, plan)


def _joined(articles: tuple[Article, ...]) -> tuple[tuple[str, ...], ...]:
    return tuple(stack.ids for stack in stacks_of(articles))


SECTION_118 = Section(number=_NUMBER, findings=_findings, joined=_joined)
