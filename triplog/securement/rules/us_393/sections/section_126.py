"""Intermodal containers: 49 CFR 393.126.

On a chassis (b) all lower corners are held and hardly move; loaded on another vehicle (c) all lower
corners are held, or all upper ones by crossed chains; empty there (d) it does not overhang too far.
"""

from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Missing, Step, Verdict
from triplog.securement.model import Article, Body, Plan
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.needed import count_figure
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    fact_inputs,
    length_fact,
    missing_facts,
    yes_fact,
)
from triplog.securement.rules.us_393.sections.limits import (
    Limit,
    limit_finding,
    line,
    printed_length,
)
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section
from triplog.securement.rules.us_393.sections.things import Things, things_finding

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
            _limit(box, plan, "play", "corner_play", "required.container-play"),
            _limit(box, plan, "lift", "corner_lift", "required.container-lift"),
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
        _limit(box, plan, "overhang", "overhang", "required.container-overhang"),
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
    things = Things(
        rule=_COUNT,
        clause="393.126(b)(1)",
        about=(box.id,),
        have=count_fact(box, "lower_corners"),
        needed=count_figure("container-corners"),
        unit=_UNIT,
        step="required.container-lower",
        mend="mend.container-corners",
        inputs=fact_inputs(box, "lower_corners"),
        unknown=missing_facts(box, "lower_corners"),
        notes=(Step(id="note.container-handbook"),),
    )
    return things_finding(things, plan)


def _either_corners(box: Article, plan: Plan) -> Finding:
    """The lower or the upper ones, whichever come nearer; one not told may be all of them."""
    needed = count_figure("container-corners")
    told = [count_fact(box, name) for name in ("lower_corners", "upper_corners")]
    known = [one for one in told if one is not None]
    enough = max(known, default=0) >= needed
    things = Things(
        rule=_COUNT,
        clause="393.126(c)(2)",
        about=(box.id,),
        have=max(known) if enough or None not in told else None,
        needed=needed,
        unit=_UNIT,
        step="required.container-either",
        mend="mend.container-corners",
        inputs=fact_inputs(box, "loaded", "lower_corners", "upper_corners"),
        unknown=missing_facts(box, "lower_corners", "upper_corners"),
        notes=(Step(id="note.container-handbook"),),
    )
    return things_finding(things, plan)


def _limit(box: Article, plan: Plan, word: str, fact: str, step: str) -> Finding:
    given = length_fact(box, fact)
    figure_id = f"container-{word}-max"
    limit = Limit(
        rule=f"us-{_NUMBER}-{word}",
        clause=figure(figure_id).citation.clause,
        about=(box.id,),
        given=given,
        limit=printed_length(figure_id, given),
        at_most=True,
        step=line(step),
        mend="mend.container-overhang" if word == "overhang" else "mend.container-play",
        inputs=fact_inputs(box, fact),
        unknown=missing_facts(box, fact),
    )
    return limit_finding(limit, plan)


def _aggregate(group: Group, plan: Plan) -> Finding | None:
    """393.106(d) holds for tie-downs; locks and pins at the corners have no rating to add."""
    held = [
        count_fact(one, "lower_corners") == count_figure("container-corners")
        for one in group.articles
    ]
    if group.tie_downs or not all(held):
        return None
    rule, step = f"us-{_NUMBER}-aggregate", "note.container-at-corners"
    return said(rule, _NUMBER, group.ids, plan, Verdict.DOES_NOT_APPLY, step)


SECTION_126 = Section(number=_NUMBER, findings=_findings, aggregate=_aggregate)
