"""The four findings of a group: forward, rearward, sideways, and up where friction is relied on."""

from fractions import Fraction

from triplog.securement.finding import SEVERITY, Finding, Scope, Step, Verdict
from triplog.securement.model import Direction, Plan
from triplog.securement.quantity import Amount
from triplog.securement.rules.au_lrg.clamping import clamping
from triplog.securement.rules.au_lrg.held import Held
from triplog.securement.rules.au_lrg.said import (
    contained,
    masses,
    named,
    open_range,
    required_step,
    shown,
)
from triplog.securement.rules.au_lrg.scope import RULE_SET, force_note
from triplog.securement.rules.au_lrg.up import up_finding
from triplog.securement.rules.groups import Group, groups_of

_SIDES = (Direction.LEFT, Direction.RIGHT)


def au_lrg_findings(plan: Plan) -> tuple[Finding, ...]:
    """Every finding of the Australian loading performance standards, group by group."""
    return tuple(one for group in groups_of(plan) for one in _group_findings(group, plan))


def _group_findings(group: Group, plan: Plan) -> tuple[Finding, ...]:
    pressed = clamping(group, plan)
    held = {way: Held.of(group, plan, way, pressed) for way in Direction}
    sides = [_direction_finding("sideways", held[side], group, plan) for side in _SIDES]
    return (
        _direction_finding("forward", held[Direction.FORWARD], group, plan),
        _direction_finding("rearward", held[Direction.REARWARD], group, plan),
        min(sides, key=_gravity),
        up_finding(group, plan, pressed, tuple(held.values())),
    )


def _direction_finding(word: str, held: Held, group: Group, plan: Plan) -> Finding:
    if all(article.contained for article in group.articles):
        return contained(word, held.share, group, plan)
    verdict = held.verdict()
    required_n = held.required_n
    missing = (
        named(held.ways, held.uncovered, group, mixed="au-mix", together=held.only_together)
        if verdict is Verdict.CANNOT_TELL
        else ()
    )
    best_n = held.best if held.only_together or held.uncovered else held.best_alone
    provided_n = {Verdict.MEETS: held.worst, Verdict.DOES_NOT_MEET: held.best_alone}.get(verdict)
    margin_n = None if provided_n is None or required_n is None else provided_n - required_n
    return Finding(
        rule=f"au-lrg-{word}",
        rule_set=RULE_SET,
        about=group.ids,
        verdict=verdict,
        scope=Scope.GUIDANCE,
        citation=held.share.citation,
        required=shown(required_n, group),
        provided=shown(provided_n, group),
        margin=shown(margin_n, group),
        inputs=(*masses(group), *(one for way in held.ways for one in way.inputs)),
        steps=(
            required_step(held.share.value, group, str(held.direction)),
            *(step for way in held.ways for step in way.steps),
            *_not_added(held),
            force_note(plan),
        ),
        unknown=missing,
        range=open_range(held.worst, best_n, group) if missing else None,
        mend=Step(id="mend.au-more") if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _not_added(held: Held) -> tuple[Step, ...]:
    several = sum(way.force.best != 0 for way in held.ways) > 1
    return (Step(id="note.au-not-added"),) if several else ()


def _gravity(finding: Finding) -> tuple[int, Fraction]:
    """The graver verdict first, then the smaller margin."""
    margin = finding.margin
    size = margin.si if isinstance(margin, Amount) else Fraction(0)
    return SEVERITY[finding.verdict], size
