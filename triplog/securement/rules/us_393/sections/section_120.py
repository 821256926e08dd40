"""Metal coils, one or grouped together of 5,000 lb or more: 49 CFR 393.120.

The count is the section's own; the combined rating is that of 393.106(d).
"""

from triplog.securement.finding import SEVERITY, Finding, Missing, Step, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.counted import counted
from triplog.securement.rules.us_393.sections import coils as of
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.coils import Coils
from triplog.securement.rules.us_393.sections.facts import missing_facts, told_inputs
from triplog.securement.rules.us_393.sections.kinds import Asked, Kind, kinds_finding
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section

_NUMBER = "393.120"
_COUNT = f"us-{_NUMBER}-count"
_OFF_THE_DECK = ("120-support", "120-nailed")
_Way = tuple[Finding, tuple[str, ...]]  # the count under one paragraph, and its questions


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    findings: list[Finding] = []
    for coils in of.rows_of(articles):
        ways = _ways(coils, plan)
        # of the ways the section allows, the one that comes nearest
        count, questions = max(ways, key=lambda way: (SEVERITY[way[0].verdict], _margin(way[0])))
        open_facts = (*of.open_eye(coils), *of.open_anchor_points(coils, plan))
        unknown = () if of.anchored(coils, plan) is False else open_facts
        findings.append(count)
        findings += _x_pattern(coils, plan)
        findings.append(answered_finding(_NUMBER, coils, plan, questions, unknown))
    return tuple(findings)


def _margin(finding: Finding) -> int:
    return 0 if finding.margin is None else int(finding.margin.value)


def _ways(coils: Coils, plan: Plan) -> tuple[_Way, ...]:
    eye, row = of.eye_of(coils), of.number_of(coils) > 1
    anchored = of.anchored(coils, plan)
    if anchored is False:
        about = tuple(one.id for one in coils)
        step = "note.coil-no-anchors"
        none = said(_COUNT, "393.120(e)", about, plan, Verdict.DOES_NOT_APPLY, step)
        return ((none, ("120-contained",)),)
    if anchored is None or eye is None:
        step = "required.coil-open" if anchored is None else "required.coil-eye-unknown"
        open_kind = Kind(step=step, low=2 if anchored else 0, high=None)
        return ((_count(coils, plan, _NUMBER, (open_kind,)), ()),)
    if eye == "vertical":
        return (_vertical_row(coils, plan) if row else _vertical(coils, plan),)
    if eye == "crosswise":
        return (_crosswise(coils, plan),)
    return (_lengthwise_row(coils, plan),) if row else _lengthwise(coils, plan)


def _vertical(coils: Coils, plan: Plan) -> _Way:
    forward = () if of.held_forward(coils, plan) else ("120-forward",)
    kinds = (of.diagonals(), of.over_the_eye())
    asked = ("120-diagonals", "120-tipping", *forward)
    return _count(coils, plan, "393.120(b)(1)", kinds), asked


def _vertical_row(coils: Coils, plan: Plan) -> _Way:
    kinds = (of.at_both_ends(), of.over_rows(coils, 1, "required.coil-rows"))
    asked = ("120-front-rear", "120-near-eye", "120-tipping")
    return _count(coils, plan, "393.120(b)(2)", kinds), asked


def _crosswise(coils: Coils, plan: Plan) -> _Way:
    """(c)(1) speaks of one coil; a row is counted coil by coil and says so."""
    number = of.number_of(coils)
    notes = (Step(id="note.coil-crosswise-rows"),) if number > 1 else ()
    kinds = (of.through_eye(2 * number),)
    return _count(coils, plan, "393.120(c)(1)", kinds, notes), (*_OFF_THE_DECK, "120-each-way")


def _lengthwise_row(coils: Coils, plan: Plan) -> _Way:
    kinds = (of.over_rows(coils, 2, "required.coil-rows-both"),)
    asked = (*_OFF_THE_DECK, "120-both-parts", "120-along")
    return _count(coils, plan, "393.120(d)(4)", kinds), asked


def _lengthwise(coils: Coils, plan: Plan) -> tuple[_Way, ...]:
    """The three options of (d)(1) to (3); the one with the fewest tie-downs first."""
    over = of.over(1, "required.coil-over")
    options: tuple[tuple[str, tuple[Kind, ...], str], ...] = (
        ("393.120(d)(3)", (of.over(2, "required.coil-over-both"),), "120-both-parts"),
        ("393.120(d)(1)", (of.diagonal_through(), over), "120-diagonals"),
        ("393.120(d)(2)", (of.straight_through(), over), "120-straight"),
    )
    notes = (Step(id="note.coil-options"),)
    return tuple(
        (_count(coils, plan, clause, kinds, notes), (*_OFF_THE_DECK, own, "120-along"))
        for clause, kinds, own in options
    )


def _count(
    coils: Coils, plan: Plan, clause: str, kinds: tuple[Kind, ...], notes: tuple[Step, ...] = ()
) -> Finding:
    number_open = any(kind.high is not None and kind.low != kind.high for kind in kinds)
    inputs = (one for coil in coils for one in told_inputs(coil, "eye", "pieces", "rows"))
    asked = Asked(
        rule=_COUNT,
        clause=clause,
        about=tuple(one.id for one in coils),
        kinds=kinds,
        inputs=tuple(inputs),
        unknown=(
            *of.open_eye(coils),
            *of.open_anchor_points(coils, plan),
            *(missing_facts(coils[0], "rows") if number_open else ()),
        ),
        notes=notes,
    )
    return kinds_finding(asked, of.holding(coils, plan), plan)


def _x_pattern(coils: Coils, plan: Plan) -> tuple[Finding, ...]:
    """(c)(2): no two tie-downs cross in an eye that faces crosswise; nothing for other eyes."""
    if of.eye_of(coils) != "crosswise":
        return ()
    return tuple(_x_pattern_finding(coil, plan) for coil in coils)


def _x_pattern_finding(coil: Article, plan: Plan) -> Finding:
    holding = counted(plan.tie_downs_on(coil.id), plan)
    sure = [one for one in holding if of.diagonally_through(one)]
    maybe = [one for one in holding if of.diagonally_through(one) is None]
    if len(sure) > 1:
        verdict = Verdict.DOES_NOT_MEET
    else:
        may_cross = maybe and len(sure) + len(maybe) > 1
        verdict = Verdict.CANNOT_TELL if may_cross else Verdict.MEETS
    unknown = tuple(
        Missing(field=name, about=one.id)
        for one in maybe
        for name, value in (("lay", one.lay), ("through_eye", one.through_eye))
        if value is None
    )
    rule, clause, mend = "us-393.120-x-pattern", "393.120(c)(2)", "mend.coil-x-pattern"
    return said(rule, clause, (coil.id,), plan, verdict, unknown=unknown, mend=mend)


def _aggregate(group: Group, plan: Plan) -> Finding | None:
    """393.106(d) holds; under (e) no tie-down is asked for, so there is no rating to add."""
    anchored = of.anchored(group.articles, plan)
    if group.tie_downs or anchored:
        return None
    rule, step = f"us-{_NUMBER}-aggregate", "note.coil-no-anchors"
    if anchored is False:
        return said(rule, "393.120(e)", group.ids, plan, Verdict.DOES_NOT_APPLY, step)
    unknown = of.open_anchor_points(group.articles, plan)
    step = "note.coil-maybe-no-anchors"
    return said(rule, _NUMBER, group.ids, plan, Verdict.CANNOT_TELL, step, unknown=unknown)


SECTION_120 = Section(number=_NUMBER, findings=_findings, aggregate=_aggregate)
