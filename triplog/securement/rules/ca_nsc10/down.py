"""The downward force: a fifth of the weight of what the vehicle does not fully contain.

NSC Standard 10 s.5, as the regulation of Quebec writes it (C-24.2 r.30 s.3): what a system must
give that stands instead of the count and the sum. So it is a yardstick where both of those meet,
and there *does not apply* where its inputs are unknown.
"""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import (
    Basis,
    Finding,
    Input,
    Missing,
    Range,
    Scope,
    Step,
    Verdict,
)
from triplog.securement.model import Plan, TieDown
from triplog.securement.quantity import Amount, Dimension, amount_of_si, weight_n
from triplog.securement.rating import nothing_for
from triplog.securement.rules.ca_nsc10.scope import RULE_SET, TABLE, law_scope
from triplog.securement.rules.counted_tension import counted_tension_n
from triplog.securement.rules.downward import NOTHING, UNLIMITED, Ends, total, upright_share
from triplog.securement.rules.groups import Group
from triplog.securement.rules.leg_forces import tension_inputs


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sides:
    """What is asked of what is not contained (None: a mass is not known) and what presses down."""

    required_n: Fraction | None
    pressed: Ends
    unknown: tuple[Missing, ...]


def down_finding(group: Group, plan: Plan, *, stands: bool) -> Finding:
    """The finding of one group; `stands` is whether its count and sum meet."""
    sides = _sides(group, plan)
    verdict = _verdict(group, sides, stands=stands)
    required_n = sides.required_n
    provided_n = None
    if verdict is Verdict.MEETS:
        provided_n = sides.pressed.worst
    elif verdict is Verdict.DOES_NOT_MEET:
        provided_n = sides.pressed.best

    def shown(force_n: Fraction | None) -> Amount | None:
        return None if force_n is None else amount_of_si(force_n, group.unit, Dimension.FORCE)

    contained = all(one.contained for one in group.articles)
    margin_n = None if provided_n is None or required_n is None else provided_n - required_n
    return Finding(
        rule="ca-nsc10-down",
        rule_set=RULE_SET,
        about=group.ids,
        verdict=verdict,
        scope=Scope.YARDSTICK if stands else law_scope(plan),
        citation=figure("down-share", TABLE).citation,
        required=None if contained else shown(required_n),
        provided=shown(provided_n),
        margin=shown(margin_n),
        inputs=_inputs(group, plan),
        steps=_steps(group, plan, sides, stands=stands),
        unknown=() if provided_n is not None or contained else sides.unknown,
        range=_range(group, sides) if verdict is Verdict.CANNOT_TELL else None,
        mend=Step(id="mend.down") if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _verdict(group: Group, sides: _Sides, *, stands: bool) -> Verdict:
    if all(one.contained for one in group.articles):
        return Verdict.DOES_NOT_APPLY
    required_n, pressed = sides.required_n, sides.pressed
    if required_n is not None and pressed.worst >= required_n:
        return Verdict.MEETS
    told = all(one.contained is not None for one in group.articles)
    if told and required_n is not None and pressed.best is not None and pressed.best < required_n:
        return Verdict.DOES_NOT_MEET
    return Verdict.DOES_NOT_APPLY if stands else Verdict.CANNOT_TELL


def _sides(group: Group, plan: Plan) -> _Sides:
    loose = [one for one in group.articles if not one.contained]
    weights = [weight_n(one.mass) for one in loose if one.mass is not None]
    share = figure("down-share", TABLE).value_si
    missing = [
        Missing(field=name, about=one.id)
        for one in loose
        for name, value in (("mass", one.mass), ("contained", one.contained))
        if value is None
    ]
    parts = []
    for one in _holding(group, plan):
        upright = upright_share(one, plan)
        missing += upright.missing
        tension_n = counted_tension_n(one, plan)
        if tension_n is None:
            missing.append(Missing(field="tension", about=one.id))
            parts.append(UNLIMITED if upright.share.best != 0 else NOTHING)
        else:
            parts.append(upright.share.times(tension_n))
    return _Sides(
        required_n=sum(weights, Fraction(0)) * share if len(weights) == len(loose) else None,
        pressed=total(parts),
        unknown=tuple(dict.fromkeys(missing)),
    )


def _holding(group: Group, plan: Plan) -> list[TieDown]:
    """The tie-downs that are not set aside; a marking says nothing about pressing down."""
    return [one for one in group.tie_downs if nothing_for(one, plan) is None]


def _inputs(group: Group, plan: Plan) -> tuple[Input, ...]:
    contained = tuple(
        Input(
            name="contained",
            about=one.id,
            value=None if one.contained is None else ("yes" if one.contained else "no"),
            basis=Basis.UNKNOWN if one.contained is None else Basis.STATED,
        )
        for one in group.articles
    )
    return (*contained, *tension_inputs(_holding(group, plan)))


def _steps(group: Group, plan: Plan, sides: _Sides, *, stands: bool) -> tuple[Step, ...]:
    if all(one.contained for one in group.articles):
        return (Step(id="note.contained-down"),)
    lines: list[Step] = []
    masses = [one.mass for one in group.articles if not one.contained and one.mass is not None]
    if sides.required_n is not None:
        kilograms = sum((mass.si for mass in masses), Fraction(0))
        mass = amount_of_si(kilograms, group.unit, Dimension.MASS)
        lines.append(Step(id="required.fifth", values={"mass": mass}))
    holding = _holding(group, plan)
    lines.append(Step(id="provided.upright-parts" if holding else "provided.none-counted"))
    lines.append(Step(id="note.ca-equivalent" if stands else "note.ca-instead"))
    return tuple(lines)


def _range(group: Group, sides: _Sides) -> Range:
    best_n = sides.pressed.best

    def shown(force_n: Fraction) -> Amount:
        return amount_of_si(force_n, group.unit, Dimension.FORCE)

    decides = Step(id="decides.several")
    if sides.required_n is not None and all(one.contained is False for one in group.articles):
        decides = Step(id="decides.down", values={"required": shown(sides.required_n)})
    return Range(
        worst=shown(sides.pressed.worst),
        best=None if best_n is None else shown(best_n),
        decides=decides,
    )
