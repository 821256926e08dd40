"""Held down where friction is relied on: a fifth of the weight by the clamping."""

from triplog.securement.figures import share
from triplog.securement.finding import Finding, Missing, Scope, Step, Verdict
from triplog.securement.model import Plan
from triplog.securement.rules.au_lrg.blocks import not_covered
from triplog.securement.rules.au_lrg.held import Held, weight_of
from triplog.securement.rules.au_lrg.lashings import pulled_down
from triplog.securement.rules.au_lrg.said import (
    contained,
    masses,
    named,
    open_range,
    required_step,
    shown,
)
from triplog.securement.rules.au_lrg.scope import RULE_SET, TABLE, force_note
from triplog.securement.rules.au_lrg.way import Way
from triplog.securement.rules.downward import total
from triplog.securement.rules.groups import Group


def up_finding(group: Group, plan: Plan, pressed: Way, held: tuple[Held, ...]) -> Finding:
    """Asked only where lashings or blocking alone do not hold the group in every direction."""
    asked = share("up", TABLE)
    if all(article.contained for article in group.articles):
        return contained("up", asked, group, plan)
    answers = {one.without_friction() for one in held}
    relied_on = True if False in answers else (None if None in answers else False)
    weight_n = weight_of(group)
    required_n = None if weight_n is None else weight_n * asked.value
    best = total([pressed.force, pulled_down(group, plan)]).best
    if not_covered(group):
        best = None
    missing: tuple[Missing, ...] = ()
    provided_n = None
    if relied_on is False:
        verdict = Verdict.DOES_NOT_APPLY
    elif required_n is not None and pressed.force.worst >= required_n:
        verdict, provided_n = Verdict.MEETS, pressed.force.worst
    elif relied_on and required_n is not None and best is not None and best < required_n:
        verdict, provided_n = Verdict.DOES_NOT_MEET, best
    else:
        verdict = Verdict.CANNOT_TELL
        others = () if relied_on else (way for one in held for way in one.others)
        missing = named((pressed, *others), not_covered(group), group, mixed="au-pulled-down")
    steps = [required_step(asked.value, group, "up"), *pressed.steps]
    if relied_on is False:
        steps = [Step(id="note.au-no-friction")]
    return Finding(
        rule="au-lrg-up",
        rule_set=RULE_SET,
        about=group.ids,
        verdict=verdict,
        scope=Scope.GUIDANCE,
        citation=asked.citation,
        required=None if relied_on is False else shown(required_n, group),
        provided=shown(provided_n, group),
        margin=shown(provided_n - required_n, group)
        if provided_n is not None and required_n is not None
        else None,
        inputs=(*masses(group), *pressed.inputs),
        steps=(*steps, force_note(plan)),
        unknown=missing,
        range=open_range(pressed.force.worst, best, group) if missing else None,
        mend=Step(id="mend.down") if verdict is Verdict.DOES_NOT_MEET else None,
    )
