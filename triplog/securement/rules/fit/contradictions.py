"""What a plan tells of a tie-down and cannot all be so, or must not be; asked only where it is.

`fit-tension`: a tension beyond the rating of the weakest part. `fit-gear-once`: one piece of gear
in two tie-downs at once. `fit-contained`: an article said to be contained by a body that is open.
"""

from collections import Counter

from triplog.securement.believed import contained_on_an_open_body
from triplog.securement.finding import Finding, Scope, Step, Verdict
from triplog.securement.model import Plan, TieDown
from triplog.securement.rating import nothing_for
from triplog.securement.rules.bundles import Answer, YesNoRule, bundled
from triplog.securement.rules.counted_tension import rated_for_tension
from triplog.securement.rules.fit.sources import COMMON_PRACTICE, RULE_SET


def tension_findings(plan: Plan) -> tuple[Finding, ...]:
    """`fit-tension`: no tie-down is told to be tensioned beyond its rating."""
    rule = YesNoRule(
        rule="fit-tension", rule_set=RULE_SET, citation=COMMON_PRACTICE, mend="mend.fit-tension"
    )
    answers = (_beyond(tie_down, plan) for tie_down in plan.tie_downs)
    return bundled(rule, Scope.COMMON_PRACTICE, (one for one in answers if one is not None))


def _beyond(tie_down: TieDown, plan: Plan) -> Answer | None:
    told = tie_down.retained or tie_down.tension
    rated = rated_for_tension(tie_down, plan)
    if told is None or rated is None or told.si <= rated.si:
        return None
    if nothing_for(tie_down, plan) is not None:
        return None
    step = Step(
        id="note.fit-tension", values={"tie_down": tie_down.id, "tension": told, "rating": rated}
    )
    return Answer(about=tie_down.id, verdict=Verdict.DOES_NOT_MEET, steps=(step,))


def gear_once_findings(plan: Plan) -> tuple[Finding, ...]:
    """`fit-gear-once`: no piece of gear is in more than one tie-down."""
    rule = YesNoRule(
        rule="fit-gear-once", rule_set=RULE_SET, citation=COMMON_PRACTICE, mend="mend.fit-gear-once"
    )
    used = Counter(one.gear for one in plan.tie_downs)
    answers = (
        Answer(
            about=one.id,
            verdict=Verdict.DOES_NOT_MEET,
            steps=(Step(id="note.fit-gear-once", values={"gear": one.gear}),),
        )
        for one in plan.tie_downs
        if one.gear is not None and used[one.gear] > 1
    )
    return bundled(rule, Scope.COMMON_PRACTICE, answers)


def contained_findings(plan: Plan) -> tuple[Finding, ...]:
    """`fit-contained`: no article is said to be fully contained by a body without sides."""
    rule = YesNoRule(
        rule="fit-contained", rule_set=RULE_SET, citation=COMMON_PRACTICE, mend="mend.fit-contained"
    )
    step = Step(id="note.fit-contained", values={"body": str(plan.vehicle.body)})
    answers = (
        Answer(about=one, verdict=Verdict.DOES_NOT_MEET, steps=(step,))
        for one in contained_on_an_open_body(plan)
    )
    return bundled(rule, Scope.COMMON_PRACTICE, answers)
