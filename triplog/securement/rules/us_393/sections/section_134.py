"""Roll-on/roll-off and hook-lift containers without securement built in: 49 CFR 393.134.

The rear is held by one tie-down to both chassis, one lengthwise on each side, or two hooks (b)(3),
within 2 m of the rear (b)(4). The front is held by devices, so the section names no share of the
weight: half of it by the tie-downs alone is shown as a yardstick.
"""

from dataclasses import replace

from triplog.securement.finding import Finding, Scope, Step, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.counted import counted
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    fact_inputs,
    length_fact,
    missing_facts,
)
from triplog.securement.rules.us_393.sections.kinds import Asked, exactly, kinds_finding
from triplog.securement.rules.us_393.sections.limits import (
    Limit,
    limit_finding,
    printed_length,
    printed_number,
)
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section
from triplog.securement.rules.us_393.sections.shares import share_finding

_NUMBER = "393.134"
_COUNT = f"us-{_NUMBER}-count"
_ASKED = ("134-forward", "134-front", "134-rear", "134-stops")


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    return tuple(finding for one in articles for finding in _of(one, plan))


def _of(box: Article, plan: Plan) -> tuple[Finding, ...]:
    return (
        _rear(box, plan),
        _distance(box, plan),
        answered_finding(_NUMBER, (box,), plan, _ASKED),
    )


def _rear(box: Article, plan: Plan) -> Finding:
    hooks = count_fact(box, "rear_hooks")
    inputs = fact_inputs(box, "rear_hooks")
    holding = plan.tie_downs_on(box.id)
    if hooks is not None and hooks >= printed_number("roll-off-rear-hooks"):
        clause, step = "393.134(b)(3)(iii)", "note.roll-off-hooks"
        return said(_COUNT, clause, (box.id,), plan, Verdict.MEETS, step, inputs=inputs)
    if hooks is None and not counted(holding, plan):
        missing = missing_facts(box, "rear_hooks")
        verdict = Verdict.CANNOT_TELL
        return said(
            _COUNT, "393.134(b)(3)", (box.id,), plan, verdict, unknown=missing, inputs=inputs
        )
    asked = Asked(
        rule=_COUNT,
        clause="393.134(b)(3)",
        about=(box.id,),
        kinds=(exactly(printed_number("roll-off-rear-tie-downs"), "required.roll-off-rear"),),
        inputs=inputs,
    )
    return kinds_finding(asked, holding, plan)


def _distance(box: Article, plan: Plan) -> Finding:
    given = length_fact(box, "rear_distance")
    limit = Limit(
        rule=f"us-{_NUMBER}-distance",
        clause="393.134(b)(4)",
        article=box,
        facts=("rear_distance",),
        given=given,
        limit=printed_length("roll-off-rear-distance-max", given),
        at_most=True,
        step="required.roll-off-distance",
        mend="mend.roll-off-distance",
    )
    return limit_finding(limit, plan)


def _aggregate(group: Group, plan: Plan) -> Finding:
    if not group.tie_downs:
        rule, note = f"us-{_NUMBER}-aggregate", "note.roll-off-no-tie-downs"
        return said(rule, _NUMBER, group.ids, plan, Verdict.DOES_NOT_APPLY, note)
    added = share_finding(_NUMBER, "aggregate-share", group, plan, "required.half")
    steps = (*added.steps, Step(id="note.roll-off-share"))
    return replace(added, scope=Scope.YARDSTICK, steps=steps)


SECTION_134 = Section(number=_NUMBER, findings=_findings, aggregate=_aggregate)
