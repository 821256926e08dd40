"""The findings of EN 12195-1: scope, then each article, sliding and tipping, by direction."""

from triplog.securement.finding import Finding, Missing, Scope, Step, Verdict
from triplog.securement.model import Article, Direction, Plan
from triplog.securement.rules.en_12195.en_figures import RULE_SET, acceleration_of, citation
from triplog.securement.rules.en_12195.facts import Facts, facts_of
from triplog.securement.rules.en_12195.scope import scope_finding, scope_of
from triplog.securement.rules.en_12195.sliding import sliding_finding
from triplog.securement.rules.en_12195.stand import Stand, stand_of
from triplog.securement.rules.en_12195.stops import Stop, stop_of
from triplog.securement.rules.en_12195.tipping import tipping_acceleration, tipping_finding
from triplog.securement.rules.groups import Group, groups_of

_MODES = ("slide", "tip")


def en_12195_findings(plan: Plan) -> tuple[Finding, ...]:
    """Every finding of EN 12195-1 about the plan."""
    findings = [scope_finding(plan)]
    for group in groups_of(plan):
        refused = _refused(group, plan)
        if refused:
            findings += _not_covered(group, plan, refused)
        else:
            findings += _of_article(group.articles[0], plan)
    return tuple(findings)


def _refused(group: Group, plan: Plan) -> tuple[Step, ...]:
    """Why no closed form covers the article or group at all."""
    reasons = []
    if len(group.articles) > 1:
        reasons.append("note.en-refused-several")
    stands_on = {one.on for one in plan.articles}
    if any(one.on != "deck" or one.id in stands_on for one in group.articles):
        reasons.append("note.en-refused-stacked")
    if any(one.rolls for one in group.articles):
        reasons.append("note.en-refused-rolls")
    return tuple(Step(id=reason) for reason in reasons)


def _not_covered(group: Group, plan: Plan, reasons: tuple[Step, ...]) -> list[Finding]:
    return [
        _open(
            f"en-12195-1-{mode}-{direction}",
            group.ids,
            scope_of(plan),
            steps=reasons,
            unknown=tuple(Missing(field="closed form", about=one) for one in group.ids),
        )
        for mode in _MODES
        for direction in Direction
    ]


def _open(
    rule: str,
    about: tuple[str, ...],
    scope: Scope,
    *,
    steps: tuple[Step, ...],
    unknown: tuple[Missing, ...],
    verdict: Verdict = Verdict.CANNOT_TELL,
    facts: Facts | None = None,
) -> Finding:
    """A finding without a balance."""
    return Finding(
        rule=rule,
        rule_set=RULE_SET,
        about=about,
        verdict=verdict,
        scope=scope,
        citation=citation("5"),
        inputs=() if facts is None else facts.inputs,
        steps=steps,
        unknown=unknown,
    )


def _of_article(article: Article, plan: Plan) -> list[Finding]:
    facts = facts_of(article, plan)
    findings = []
    for mode in _MODES:
        for direction in Direction:
            stop = stop_of(article, direction, plan)
            judge = _slide if mode == "slide" else _tip
            findings.append(judge(facts, direction, stop, scope_of(plan)))
    return findings


def _slide(facts: Facts, direction: Direction, stop: Stop, scope: Scope) -> Finding:
    mass = facts.article.mass
    if mass is not None:
        return sliding_finding(facts, mass, direction, stop, scope)
    mu, c = facts.friction.mu, acceleration_of(direction)
    held = mu.low >= c
    free = not facts.lashings.counted and stop.force.high == 0
    short = free and mu.high is not None and mu.high < c
    values = {"mu": f"{mu.low:g}" if held else f"{mu.high or 0:g}", "c": f"{c:g}"}
    step = Step(id="note.en-slide-any-mass", values=values)
    return _without_mass(
        facts, f"en-12195-1-slide-{direction}", scope, step, held=held, short=short,
        unknown=facts.friction.missing, notes=facts.notes,
    )  # fmt: skip


def _tip(facts: Facts, direction: Direction, stop: Stop, scope: Scope) -> Finding:
    article = facts.article
    rule = f"en-12195-1-tip-{direction}"
    stand = stand_of(article, direction)
    if not isinstance(stand, Stand):
        return _open(rule, (article.id,), scope, steps=(), unknown=stand, facts=facts)
    if article.mass is not None:
        return tipping_finding(facts, article.mass, stand, direction, stop, scope)
    c = tipping_acceleration(direction)
    held = stand.arm_m(direction) >= c * stand.height_m
    values = {
        "arm": f"{stand.arm_m(direction):.2f}", "height": f"{stand.height_m:.2f}", "c": f"{c:g}",
    }  # fmt: skip
    step = Step(id="note.en-tip-any-mass", values=values)
    free = not facts.lashings.counted and stop.force.high == 0
    return _without_mass(
        facts, rule, scope, step, held=held, short=free and not held, unknown=(),
        notes=facts.notes_on_tipping,
    )  # fmt: skip


def _without_mass(
    facts: Facts,
    rule: str,
    scope: Scope,
    step: Step,
    *,
    held: bool,
    short: bool,
    unknown: tuple[Missing, ...],
    notes: tuple[Step, ...],
) -> Finding:
    """With no mass known: a verdict only where it is the same for every mass."""
    article: Article = facts.article
    weigh = (Missing(field="mass", about=article.id), *unknown)
    if held or short:
        verdict = Verdict.MEETS if held else Verdict.DOES_NOT_MEET
        steps = (step, *notes)
        return _open(
            rule, (article.id,), scope, steps=steps, unknown=(), verdict=verdict, facts=facts
        )
    return _open(rule, (article.id,), scope, steps=notes, unknown=weigh, facts=facts)
