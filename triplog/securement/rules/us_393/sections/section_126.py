"""Intermodal containers: 49 CFR 393.126.

On a chassis (b) all lower corners are held and hardly move; loaded on another vehicle (c) all lower
corners are held, or all upper ones by crossed chains; empty there (d) it does not overhang too far.
"""

from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Missing, Verdict
from triplog.securement.model import Article, Body, Plan
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    length_fact,
    missing_facts,
    yes_fact,
)
from triplog.securement.rules.us_393.sections.limits import (
    Limit,
    counted_fact,
    limit_finding,
    printed_count,
    printed_length,
    printed_number,
)
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section

_NUMBER = "393.126"
_COUNT = f"us-{_NUMBER}-count"
_UNIT = "corner"


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    return tuple(finding for one in articles for finding in _of(one, plan))


def _of(box: Article, plan: Plan) -> tuple[Finding, ...]:
    body = plan.vehicle.body
    if body is Body.CHASSIS:
        return (
            _lower_corners(box, plan),
            _length_limit(box, plan, "play", "corner_play", "required.container-play"),
            _length_limit(box, plan, "lift", "corner_lift", "required.container-lift"),
            answered_finding(_NUMBER, (box,), plan, ("126-independent",)),
        )
    loaded = yes_fact(box, "loaded")
    if body is None or loaded is None:
        return (_open(box, plan),)
    if loaded:
        asked = answered_finding(_NUMBER, (box,), plan, ("126-supported", "126-independent"))
        return (_either_corners(box, plan), asked)
    questions = ("126-balanced", "126-interference", "126-shifting")
    return (
        said(_COUNT, "393.126(d)", (box.id,), plan, Verdict.DOES_NOT_APPLY, "note.container-empty"),
        _length_limit(box, plan, "overhang", "overhang", "required.container-overhang"),
        answered_finding(_NUMBER, (box,), plan, questions),
    )


def _open(box: Article, plan: Plan) -> Finding:
    """Which of the three paragraphs holds is not known, so nothing else is asked yet."""
    missing = list(missing_facts(box, "loaded"))
    if plan.vehicle.body is None:
        missing.insert(0, Missing(field="body", about="vehicle"))
    verdict = Verdict.CANNOT_TELL
    return said(_COUNT, _NUMBER, (box.id,), plan, verdict, unknown=tuple(missing))


def _lower_corners(box: Article, plan: Plan) -> Finding:
    limit = Limit(
        rule=_COUNT,
        clause="393.126(b)(1)",
        article=box,
        facts=("lower_corners",),
        given=counted_fact(count_fact(box, "lower_corners"), _UNIT),
        limit=printed_count("container-corners", _UNIT),
        at_most=False,
        step="required.container-lower",
        mend="mend.container-corners",
        notes=("note.container-handbook",),
    )
    return limit_finding(limit, plan)


def _either_corners(box: Article, plan: Plan) -> Finding:
    """The lower or the upper ones, whichever come nearer; those not told may be all of them."""
    told = [count_fact(box, name) for name in ("lower_corners", "upper_corners")]
    known = [one for one in told if one is not None]
    best = max(known, default=0)
    settled = None not in told or best >= printed_number("container-corners")
    limit = Limit(
        rule=_COUNT,
        clause="393.126(c)(2)",
        article=box,
        facts=("lower_corners", "upper_corners"),
        given=counted_fact(best if settled else None, _UNIT),
        limit=printed_count("container-corners", _UNIT),
        at_most=False,
        step="required.container-either",
        mend="mend.container-corners",
        notes=("note.container-handbook",),
    )
    return limit_finding(limit, plan)


def _length_limit(box: Article, plan: Plan, word: str, fact: str, step: str) -> Finding:
    given = length_fact(box, fact)
    figure_id = f"container-{word}-max"
    limit = Limit(
        rule=f"us-{_NUMBER}-{word}",
        clause=figure(figure_id).citation.clause,
        article=box,
        facts=(fact,),
        given=given,
        limit=printed_length(figure_id, given),
        at_most=True,
        step=step,
        mend="mend.container-overhang" if word == "overhang" else "mend.container-play",
    )
    return limit_finding(limit, plan)


def _aggregate(group: Group, plan: Plan) -> Finding | None:
    """393.106(d) holds for tie-downs; locks and pins at the corners have no rating to add."""
    held = [
        count_fact(one, "lower_corners") == printed_number("container-corners")
        for one in group.articles
    ]
    if group.tie_downs or not all(held):
        return None
    rule, step = f"us-{_NUMBER}-aggregate", "note.container-at-corners"
    return said(rule, _NUMBER, group.ids, plan, Verdict.DOES_NOT_APPLY, step)


SECTION_126 = Section(number=_NUMBER, findings=_findings, aggregate=_aggregate)
