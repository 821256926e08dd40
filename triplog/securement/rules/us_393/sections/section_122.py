"""Paper rolls of 5,000 lb or more together: 49 CFR 393.122.

Between walls the section asks for no number of tie-downs. On a flatbed or behind curtains the
general count and combined rating hold beside the section (i).
"""

from triplog.securement.finding import Finding, Missing, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.facts import (
    fact_inputs,
    length_fact,
    missing_facts,
    word_fact,
)
from triplog.securement.rules.us_393.sections.limits import (
    Limit,
    limit_finding,
    printed_length,
    times_length,
)
from triplog.securement.rules.us_393.sections.paper_rolls import (
    between_walls,
    raised_by,
    stacked,
)
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section

_NUMBER = "393.122"
_BODY = (Missing(field="body", about="vehicle"),)


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    findings: list[Finding] = []
    for rolls in articles:
        raised = raised_by(rolls, plan)
        findings += _no_count(rolls, plan)
        findings += _barred_stack(rolls, plan)
        findings += _blocking_roll(rolls, plan)
        findings.append(
            answered_finding(_NUMBER, (rolls,), plan, raised.questions, tuple(raised.unknown))
        )
    return tuple(findings)


def _counted_generally(_rolls: Article, plan: Plan) -> bool:
    """(i): where there are no walls, 393.110 counts the rolls too."""
    return between_walls(plan) is False


def _no_count(rolls: Article, plan: Plan) -> tuple[Finding, ...]:
    """Between walls no number is asked for; without the body it is not known whether one is."""
    walls, rule = between_walls(plan), f"us-{_NUMBER}-count"
    if walls is False:
        return ()
    if walls:
        step, verdict = "note.rolls-between-walls", Verdict.DOES_NOT_APPLY
    else:
        step, verdict = "note.rolls-body-open", Verdict.CANNOT_TELL
    return (said(rule, _NUMBER, (rolls.id,), plan, verdict, step, unknown=_BODY),)


def _aggregate(group: Group, plan: Plan) -> Finding | None:
    """As the count; tie-downs that are used between walls are weighed by 393.106(d)."""
    walls, rule = between_walls(plan), f"us-{_NUMBER}-aggregate"
    if walls is False or (walls and group.tie_downs):
        return None
    if walls:
        step, verdict = "note.rolls-between-walls", Verdict.DOES_NOT_APPLY
    else:
        step, verdict = "note.rolls-body-open", Verdict.CANNOT_TELL
    return said(rule, _NUMBER, group.ids, plan, verdict, step, unknown=_BODY)


def _barred_stack(rolls: Article, plan: Plan) -> tuple[Finding, ...]:
    """(i)(1)(ii): rolls with their eyes up are not stacked where there are no walls."""
    if word_fact(rolls, "eye") != "vertical" or between_walls(plan):
        return ()
    layers = stacked(rolls)
    if layers is False:
        verdict = Verdict.MEETS
    elif layers and between_walls(plan) is False:
        verdict = Verdict.DOES_NOT_MEET
    else:
        verdict = Verdict.CANNOT_TELL
    body = _BODY if between_walls(plan) is None else ()
    return (
        said(
            "us-393.122-stacked",
            "393.122(i)(1)(ii)",
            (rolls.id,),
            plan,
            verdict,
            unknown=(*body, *missing_facts(rolls, "tiers")),
            inputs=fact_inputs(rolls, "eye", "tiers"),
            mend="mend.rolls-stacked",
        ),
    )


def _blocking_roll(rolls: Article, plan: Plan) -> tuple[Finding, ...]:
    """(d)(3), (f)(3)(ii): how tall a blocking roll is, where the plan tells of one."""
    above, tall = (length_fact(rolls, f"blocking_roll_{one}") for one in ("above", "height"))
    eye = word_fact(rolls, "eye")
    limits: list[Limit] = []
    if eye == "vertical" and above is not None:
        limits.append(
            Limit(
                rule="us-393.122-blocking-roll",
                clause="393.122(d)(3)",
                article=rolls,
                facts=("blocking_roll_above",),
                given=above,
                limit=printed_length("roll-blocking-above-min", above),
                at_most=False,
                step="required.rolls-blocking-above",
                mend="mend.rolls-blocking",
            )
        )
    if eye == "crosswise" and tall is not None:
        limits.append(
            Limit(
                rule="us-393.122-blocking-roll",
                clause="393.122(f)(3)(ii)",
                article=rolls,
                facts=("blocking_roll_height", "diameter"),
                given=tall,
                limit=times_length("roll-blocking-height", length_fact(rolls, "diameter")),
                at_most=False,
                step="required.rolls-blocking-height",
                mend="mend.rolls-blocking",
            )
        )
    return tuple(limit_finding(limit, plan) for limit in limits)


SECTION_122 = Section(
    number=_NUMBER,
    findings=_findings,
    general_count=_counted_generally,
    aggregate=_aggregate,
)
