"""Markings: NSC Standard 10 ss.11 and 12. What carries no rating counts nothing, mats too.

A grade mark serves a chain. Sources disagree on an unmarked tie-down beyond the number asked for:
one says that each of the number must be marked, another that no unmarked one may be used. So the
extra one is warned of and does not make the plan fall short; without it, it would.
"""

from collections.abc import Iterator

from triplog.securement.finding import Finding, Step, Value, Verdict
from triplog.securement.model import Gear, GearKind, Plan, TieDown
from triplog.securement.rating import NO_TIE_DOWN, Defaults, default_rating
from triplog.securement.rules.bundles import Answer, YesNoRule, bundled
from triplog.securement.rules.ca_nsc10.count import counted, need_of
from triplog.securement.rules.ca_nsc10.scope import RULE_SET, citation, law_scope


def marking_findings(plan: Plan) -> tuple[Finding, ...]:
    """ss.11 and 12, asked of each tie-down and of each mat under an article."""
    rule = YesNoRule(
        rule="ca-nsc10-marking",
        rule_set=RULE_SET,
        citation=citation("ss.11, 12"),
        mend="mend.marked",
    )
    return bundled(rule, law_scope(plan), _answers(plan))


def _answers(plan: Plan) -> Iterator[Answer]:
    for tie_down in plan.tie_downs:
        gear = plan.gear_item(tie_down.gear)
        if gear is None:
            yield Answer(about=tie_down.id, verdict=Verdict.CANNOT_TELL, asks="gear")
        elif gear.kind not in NO_TIE_DOWN:
            yield _tie_down(tie_down, gear, plan)
    mats = [plan.gear_item(one.mat) for one in plan.articles]
    for mat in dict.fromkeys(mats):
        if mat is not None and mat.kind is GearKind.FRICTION_MAT:
            yield _mat(mat)


def _tie_down(tie_down: TieDown, gear: Gear, plan: Plan) -> Answer:
    values: dict[str, Value] = {"tie_down": tie_down.id, "gear": gear.id}
    if gear.wll is not None:
        values["amount"] = gear.wll
        step = Step(id="other.ca-marked", values=values)
        return Answer(about=tie_down.id, verdict=Verdict.MEETS, steps=(step,))
    row = default_rating(gear, Defaults.CANADA)
    if row is not None:
        step = Step(id="other.ca-graded", values=values | {"row": row.row_id})
        return Answer(about=tie_down.id, verdict=Verdict.MEETS, steps=(step,))
    steps = (Step(id="note.ca-unmarked", values=values), *_labels(gear))
    extra = _is_extra(tie_down, plan)
    if extra is None:
        verdict, asks = Verdict.CANNOT_TELL, "count"
    else:
        verdict, asks = (Verdict.DOES_NOT_APPLY if extra else Verdict.DOES_NOT_MEET), ""
    if extra:
        steps = (*steps, Step(id="note.ca-extra", values=values))
    return Answer(about=tie_down.id, verdict=verdict, steps=steps, asks=asks)


def _is_extra(tie_down: TieDown, plan: Plan) -> bool | None:
    """Whether the marked tie-downs are enough in number for each article without this one."""
    answers = set()
    for article in plan.articles:
        if article.id in tie_down.holds:
            need, have = need_of(article, plan), len(counted(article, plan))
            enough = need.high is not None and have >= need.high
            answers.add(True if enough else (False if have < need.low else None))
    if False in answers:
        return False
    return None if None in answers else True


def _labels(gear: Gear) -> tuple[Step, ...]:
    """What stands on a label without being a working load limit."""
    if gear.lc is not None:
        return (Step(id="note.lashing-capacity-only", values={"lc": gear.lc}),)
    return ()


def _mat(mat: Gear) -> Answer:
    values: dict[str, Value] = {"gear": mat.id}
    if mat.wll is None:
        step = Step(id="note.ca-mat-unmarked", values=values)
        return Answer(about=mat.id, verdict=Verdict.DOES_NOT_APPLY, steps=(step,))
    step = Step(id="other.ca-mat-marked", values=values | {"amount": mat.wll})
    return Answer(about=mat.id, verdict=Verdict.MEETS, steps=(step,))
