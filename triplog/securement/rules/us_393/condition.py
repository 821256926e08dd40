"""What may not be used: damaged gear 393.104(b), knots 393.104(f)(1), what cannot be tightened.

Damage sets gear aside. The size at which an inspector puts webbing out of service is shown as the
inspector's line; it is never a licence to use what is smaller.
"""

from collections.abc import Iterator

from triplog.securement.figures import webbing_damage_limit
from triplog.securement.finding import Basis, Finding, Input, Step, Value, Verdict
from triplog.securement.model import WEBBING, Damage, Gear, GearKind, Plan, TieDown
from triplog.securement.rating import NO_TIE_DOWN, ends_on_anchors
from triplog.securement.rules.bundles import Answer, YesNoRule, bundled
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

_NO_TENSIONER = frozenset({"none", "nothing", "no"})


def condition_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.104(b): gear in use with any damage found does not meet; not looked at, cannot tell."""
    rule = YesNoRule(
        rule="us-393.104-condition",
        rule_set=RULE_SET,
        citation=citation("393.104(b)"),
        mend="mend.set-aside",
    )
    return bundled(rule, law_scope(plan), condition_answers(plan))


def condition_answers(plan: Plan) -> Iterator[Answer]:
    """For each piece of gear in use, whether it is free of damage."""
    used = {tie_down.gear for tie_down in plan.tie_downs} | {one.mat for one in plan.articles}
    return (_condition(item) for item in plan.gear if item.id in used)


def _condition(gear: Gear) -> Answer:
    if gear.damage is None:
        return Answer(about=gear.id, verdict=Verdict.CANNOT_TELL, asks="damage")
    if not gear.damage:
        return Answer(about=gear.id, verdict=Verdict.MEETS)
    return Answer(
        about=gear.id,
        verdict=Verdict.DOES_NOT_MEET,
        steps=(*(_damage_step(gear, damage) for damage in gear.damage), *_inspector_line(gear)),
        inputs=tuple(
            Input(
                name=f"damage: {damage.kind}",
                about=gear.id,
                value=damage.size,
                basis=Basis.UNKNOWN if damage.size is None else Basis.MEASURED,
            )
            for damage in gear.damage
        ),
    )


def _damage_step(gear: Gear, damage: Damage) -> Step:
    values: dict[str, Value] = {"gear": gear.id, "kind": damage.kind}
    if damage.size is None:
        return Step(id="other.damage", values=values)
    return Step(id="other.damage-sized", values=values | {"size": damage.size})


def _inspector_line(gear: Gear) -> tuple[Step, ...]:
    line = webbing_damage_limit(gear.width) if gear.kind in WEBBING else None
    if line is None or gear.width is None:
        return ()
    values: dict[str, Value] = {"width": gear.width, "inspector_line": line.damage}
    return (Step(id="note.inspector-line", values=values),)


def knots_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.104(f)(1): no knot in any tie-down."""
    rule = YesNoRule(
        rule="us-393.104-knots",
        rule_set=RULE_SET,
        citation=citation("393.104(f)(1)"),
        mend="mend.knots",
    )
    return bundled(rule, law_scope(plan), knots_answers(plan))


def knots_answers(plan: Plan) -> Iterator[Answer]:
    """For each tie-down, whether it is free of knots."""
    return (_knots(tie_down) for tie_down in plan.tie_downs)


def _knots(tie_down: TieDown) -> Answer:
    if tie_down.knots is None:
        return Answer(about=tie_down.id, verdict=Verdict.CANNOT_TELL, asks="knots")
    verdict = Verdict.DOES_NOT_MEET if tie_down.knots else Verdict.MEETS
    return Answer(about=tie_down.id, verdict=verdict)


def tighten_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.112: the driver can tighten each tie-down on the road; steel strapping is excepted."""
    rule = YesNoRule(
        rule="us-393.112-tighten",
        rule_set=RULE_SET,
        citation=citation("393.112"),
        mend="mend.tensioner",
    )
    return bundled(rule, law_scope(plan), tighten_answers(plan))


def tighten_answers(plan: Plan) -> Iterator[Answer]:
    """For each tie-down, whether the driver can tighten it on the road."""
    return (
        _tighten(tie_down, plan)
        for tie_down in plan.tie_downs
        if not _is_no_tie_down(plan.gear_item(tie_down.gear))
    )


def _is_no_tie_down(gear: Gear | None) -> bool:
    return gear is not None and gear.kind in NO_TIE_DOWN


def _tighten(tie_down: TieDown, plan: Plan) -> Answer:
    gear = plan.gear_item(tie_down.gear)
    if gear is None:
        return Answer(about=tie_down.id, verdict=Verdict.CANNOT_TELL, asks="gear")
    if gear.kind is GearKind.STEEL_STRAPPING:
        step = Step(id="note.strapping", values={"tie_down": tie_down.id})
        return Answer(about=tie_down.id, verdict=Verdict.DOES_NOT_APPLY, steps=(step,))
    listed = gear.tensioner
    kind = ((listed.kind if listed is not None else None) or "").strip().lower()
    if kind in _NO_TENSIONER:
        return Answer(about=tie_down.id, verdict=Verdict.DOES_NOT_MEET)
    anchors = [plan.anchor(end) for end in ends_on_anchors(tie_down)]
    on_winch = any(one is not None and (one.kind or "").lower() == "winch" for one in anchors)
    if listed is not None or on_winch or gear.kind is GearKind.RATCHET_STRAP:
        return Answer(about=tie_down.id, verdict=Verdict.MEETS)
    return Answer(about=tie_down.id, verdict=Verdict.CANNOT_TELL, asks="tensioner")
