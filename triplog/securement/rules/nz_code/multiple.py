"""The summed rated strength against a multiple of the weight, by what the headboard holds.

For rigid loads held down by devices that run straight down: twice the weight without a headboard,
one and a half times where the headboard holds only the lower part, once where it holds the whole.
Chain and wire rope count by their breaking force, webbing and rope by half of it. Anchor points,
end fittings and tensioners are not named; they are taken by their breaking strength too, and a
working load limit says only what they hold at least.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction

from triplog.securement.figures import share
from triplog.securement.finding import (
    Basis,
    Finding,
    Input,
    Missing,
    Range,
    Scope,
    Step,
    Value,
    Verdict,
)
from triplog.securement.model import Anchor, Gear, GearKind, Part, Path, Plan, TieDown
from triplog.securement.quantity import Quantity, decimal_text, exact_text
from triplog.securement.rating import Defaults
from triplog.securement.rules.combined import combined_finding
from triplog.securement.rules.combined_sum import CombinedRule, Credit
from triplog.securement.rules.groups import Group, groups_of
from triplog.securement.rules.nz_code.headboard import (
    NONE,
    PART,
    TABLE,
    WHOLE,
    multiple,
    multiples_of,
)

RULE_SET = "nz-code"
_METAL = frozenset({GearKind.CHAIN, GearKind.WIRE_ROPE})
_STEPS = {NONE: "required.nz-none", PART: "required.nz-part", WHOLE: "required.nz-whole"}
_ASKED = {
    "wll": "breaking", "fittings.wll": "fittings.breaking", "tensioner.wll": "tensioner.breaking",
}  # fmt: skip
_IN_FULL = Credit(low=Fraction(1), high=Fraction(1))


def nz_code_findings(plan: Plan) -> tuple[Finding, ...]:
    """One finding per group of articles."""
    return tuple(_multiple_finding(group, plan) for group in groups_of(plan))


def _multiple_finding(group: Group, plan: Plan) -> Finding:
    """The most that may be asked of the least that is held, and the other way round.

    A part whose breaking strength is not known holds at least its working load limit.
    """
    asked = multiples_of(group, plan)
    strict = _against(asked.high, group, _rated(plan, _AT_LEAST))
    if strict.verdict in (Verdict.MEETS, Verdict.DOES_NOT_APPLY):
        return _said(strict, plan)
    lenient = _against(asked.low, group, _rated(plan, _AT_MOST))
    if asked.settled or lenient.verdict is Verdict.DOES_NOT_MEET:
        return _said(lenient, plan)
    worst = strict.range.worst if strict.range is not None else strict.provided
    best = lenient.range.best if lenient.range is not None else lenient.provided
    assert worst is not None, "a sum has a lower end"
    others = tuple(one for one in lenient.steps if not one.id.startswith("required."))
    open_finding = replace(
        lenient,
        verdict=Verdict.CANNOT_TELL,
        required=None,
        provided=None,
        margin=None,
        steps=(_open_step(asked.low, asked.high), *others),
        unknown=(*lenient.unknown, *asked.missing),
        range=Range(worst=worst, best=best, decides=Step(id="decides.several")),
        mend=None,
    )
    return _said(open_finding, plan)


def _against(figure_id: str, group: Group, plan: Plan) -> Finding:
    asked = multiple(figure_id)
    rule = CombinedRule(
        rule="nz-code-multiple",
        rule_set=RULE_SET,
        citation=asked.citation,
        share=asked.value,
        credit_of=_credit_of,
        required_step=_STEPS[figure_id],
        defaults=Defaults.NONE,
    )
    return combined_finding(group, plan, rule, Scope.GUIDANCE)


def _credit_of(tie_down: TieDown, _plan: Plan) -> Credit:
    """In full over the top; what another path holds, the multiples do not say."""
    if tie_down.path is Path.OVER:
        return _IN_FULL
    asks = "path" if tie_down.path is None else "nz-path"
    return Credit(low=Fraction(0), high=Fraction(1), asks=asks)


def _rated(plan: Plan, end: "_End") -> Plan:
    """The plan with each part rated by its strength instead of its working load limit."""

    def part_of(part: Part) -> Part:
        return replace(part, wll=end.part(part))

    gear = tuple(
        replace(
            one,
            wll=end.gear(one),
            fittings=None if one.fittings is None else tuple(map(part_of, one.fittings)),
            tensioner=None if one.tensioner is None else part_of(one.tensioner),
        )
        for one in plan.gear
    )
    anchors = tuple(replace(one, wll=end.part(one)) for one in plan.anchors)
    return replace(plan, gear=gear, anchors=anchors)


def _strength(gear: Gear) -> Quantity | None:
    """The breaking force of chain and wire rope, half the breaking strength of all else."""
    if gear.breaking is None:
        return None
    metal = gear.kind in _METAL
    part = share("rated-of-breaking-chain" if metal else "rated-of-breaking-webbing", TABLE).value
    value = gear.breaking.value * part
    typed = f"{exact_text(value)} {gear.breaking.unit}"
    return replace(gear.breaking, value=value, typed=typed)


def _breaking(part: Part | Anchor) -> Quantity | None:
    return part.breaking


@dataclass(frozen=True, slots=True, kw_only=True)
class _End:
    """What gear and its parts are rated with at one end of what is not known."""

    gear: Callable[[Gear], Quantity | None]
    part: Callable[[Part | Anchor], Quantity | None]


_AT_MOST = _End(gear=_strength, part=_breaking)
_AT_LEAST = _End(
    gear=lambda one: _strength(one) or one.wll, part=lambda one: _breaking(one) or one.wll
)


def _open_step(low: str, high: str) -> Step:
    values: dict[str, Value] = {
        "least": decimal_text(multiple(low).value, 1, "nearest"),
        "most": decimal_text(multiple(high).value, 1, "nearest"),
    }
    return Step(id="required.nz-open", values=values)


def _said(finding: Finding, plan: Plan) -> Finding:
    """With what is asked of gear in the code's own terms, and how binding the code is."""
    gear = {one.id: one for one in plan.gear}

    def asked(missing: Missing) -> Missing:
        return replace(missing, field=_ASKED.get(missing.field, missing.field))

    def stated(one: Input) -> Input:
        anchor, told = plan.anchor(one.about), gear.get(one.about)
        if anchor is not None and (one.value is None or anchor.breaking is not None):
            return replace(one, name="breaking strength")
        if one.name != "body rating" or told is None or told.breaking is None:
            return one
        return replace(one, name="rated strength", basis=Basis.WORKED_OUT)

    unknown = tuple(asked(one) for one in finding.unknown)
    ends = finding.range
    if ends is not None and unknown != finding.unknown:
        ends = replace(ends, decides=Step(id="decides.several"))
    shares: dict[str, Value] = {
        name: decimal_text(share(name, TABLE).value, 1, "nearest")
        for name in ("forward", "rearward", "sideways", "up")
    }
    return replace(
        finding,
        inputs=tuple(stated(one) for one in finding.inputs),
        unknown=unknown,
        range=ends,
        steps=(
            *finding.steps,
            Step(id="note.nz-straight-down"),
            Step(id="note.nz-one-source"),
            Step(id="note.nz-force", values=shares),
        ),
    )
