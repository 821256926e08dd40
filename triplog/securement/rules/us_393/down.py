"""The downward force of 49 CFR 393.102(b): a fifth of the weight, where nothing contains it.

393.102(c)(3) deems 393.102 met by securing under 393.104 to 393.136. So where everything else
about the article meets, this is a yardstick, and *does not apply* where its inputs are unknown.
A leg presses with its tension times the sine of its angle to the deck; where the route is not
known it presses with anything between nothing and its whole tension.
"""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.ends import NOTHING, Ends, exactly
from triplog.securement.figures import acceleration
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
from triplog.securement.model import Article, Plan, TieDown
from triplog.securement.quantity import (
    Amount,
    Dimension,
    amount_of_si,
    weight_n,
)
from triplog.securement.rating import nothing_for
from triplog.securement.rules.counted_tension import counted_tension_n
from triplog.securement.rules.groups import Group
from triplog.securement.rules.leg_forces import (
    LEG_ANGLE,
    ONE,
    at_tension,
    legs_of,
    tension_inputs,
)
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

_SETTLED = frozenset({Verdict.MEETS, Verdict.DOES_NOT_MEET})
_ANY_ANGLE = Ends(low=NOTHING, high=ONE)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Press:
    """What one tie-down presses an article down with, in newtons."""

    tie_down: TieDown
    force: Ends
    missing: tuple[Missing, ...]
    routed: bool


def down_finding(article: Article, plan: Plan, *, deemed: bool) -> Finding:
    """The finding of one article; `deemed` is whether all else about the article meets."""
    holding = tuple(one for one in plan.tie_downs_on(article.id) if nothing_for(one, plan) is None)
    presses = tuple(_press(one, article, plan) for one in holding)
    force = sum((one.force for one in presses), exactly(NOTHING))
    required_n = _required_n(article)
    otherwise = bool(article.contained) or (deemed and not holding)
    verdict = _verdict(article, force, required_n, otherwise=otherwise, deemed=deemed)
    open_verdict = not otherwise and verdict not in _SETTLED
    missing = _missing(article, presses) if open_verdict else ()
    unit = Group(articles=(article,), tie_downs=()).unit

    def shown(force_n: Fraction) -> Amount:
        return amount_of_si(force_n, unit, Dimension.FORCE)

    provided_n = {Verdict.MEETS: force.low, Verdict.DOES_NOT_MEET: force.high}.get(verdict)
    return Finding(
        rule="us-393.102-down",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=verdict,
        scope=Scope.YARDSTICK if deemed else law_scope(plan),
        citation=citation("393.102(b)"),
        required=None if required_n is None or otherwise else shown(required_n),
        provided=None if provided_n is None else shown(provided_n),
        margin=None if provided_n is None or required_n is None else shown(provided_n - required_n),
        inputs=_inputs(article, holding),
        steps=_steps(article, presses, unit, verdict, deemed=deemed),
        unknown=missing,
        range=_range(force, required_n, unit) if missing and required_n is not None else None,
        mend=Step(id="mend.down") if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _required_n(article: Article) -> Fraction | None:
    if article.mass is None:
        return None
    return weight_n(article.mass) * acceleration("weight", "down").g


def _press(tie_down: TieDown, article: Article, plan: Plan) -> _Press:
    legs = legs_of(tie_down, plan)
    tension = counted_tension_n(tie_down, plan)
    ends = Ends(low=NOTHING, high=None) if tension is None else exactly(tension)
    missing = () if tension is not None else (Missing(field="tension", about=tie_down.id),)
    routed = bool(legs.pulls) and (legs.level or len(tie_down.holds) == 1)
    if not routed:
        force, _ = at_tension(tie_down, ends, legs, [_ANY_ANGLE] * legs.number)
        missing = (*missing, Missing(field=LEG_ANGLE, about=tie_down.id))
    else:
        factors = [
            exactly(pull.down if pull.article == article.id else NOTHING) for pull in legs.pulls
        ]
        force, of_shares = at_tension(tie_down, ends, legs, factors)
        missing = (*missing, *of_shares)
    return _Press(tie_down=tie_down, force=force, missing=missing, routed=routed)


def _verdict(
    article: Article, force: Ends, required_n: Fraction | None, *, otherwise: bool, deemed: bool
) -> Verdict:
    """Unknown containment leaves a shortfall open: then the paragraph may not apply at all.

    What a section lets stand without tie-downs is held by something that this sum does not see.
    """
    if otherwise:
        return Verdict.DOES_NOT_APPLY
    if required_n is not None and force.low is not None and force.low >= required_n:
        return Verdict.MEETS
    if _is_short(force, required_n) and article.contained is False:
        return Verdict.DOES_NOT_MEET
    return Verdict.DOES_NOT_APPLY if deemed else Verdict.CANNOT_TELL


def _is_short(force: Ends, required_n: Fraction | None) -> bool:
    return required_n is not None and force.high is not None and force.high < required_n


def _range(force: Ends, required_n: Fraction, unit: str) -> Range:
    def shown(force_n: Fraction) -> Amount:
        return amount_of_si(force_n, unit, Dimension.FORCE)

    if _is_short(force, required_n):
        decides = Step(id="decides.contained")
    else:
        decides = Step(id="decides.down", values={"required": shown(required_n)})
    return Range(
        worst=shown(force.low or NOTHING),
        best=None if force.high is None else shown(force.high),
        decides=decides,
    )


def _missing(article: Article, presses: tuple[_Press, ...]) -> tuple[Missing, ...]:
    of_article = (("mass", article.mass), ("contained", article.contained))
    return (
        *(Missing(field=name, about=article.id) for name, value in of_article if value is None),
        *(one for press in presses for one in press.missing),
    )


def _inputs(article: Article, holding: tuple[TieDown, ...]) -> tuple[Input, ...]:
    contained = article.contained
    return (
        Input(
            name="contained",
            about=article.id,
            value=None if contained is None else ("yes" if contained else "no"),
            basis=Basis.UNKNOWN if contained is None else Basis.STATED,
        ),
        *tension_inputs(holding),
    )


def _steps(
    article: Article,
    presses: tuple[_Press, ...],
    unit: str,
    verdict: Verdict,
    *,
    deemed: bool,
) -> tuple[Step, ...]:
    if article.contained:
        return (Step(id="note.contained-down"),)
    if deemed and not presses:
        return (Step(id="note.held-otherwise"), Step(id="note.deemed"))
    lines: list[Step] = []
    if article.mass is not None:
        values: dict[str, Value] = {"mass": article.mass}
        lines.append(Step(id="required.fifth", values=values))
    if verdict in _SETTLED:
        lines += _provided(presses, unit)
    if deemed:
        lines.append(Step(id="note.deemed"))
    return tuple(lines)


def _provided(presses: tuple[_Press, ...], unit: str) -> list[Step]:
    """What each tie-down presses down with, alike ones on one line."""
    if not presses:
        return [Step(id="provided.none-counted")]
    alike: dict[tuple[Ends, bool], list[str]] = {}
    for one in presses:
        alike.setdefault((one.force, one.routed), []).append(one.tie_down.id)
    lines = []
    for (each, routed), names in alike.items():
        force = each.scaled(Fraction(len(names)))
        values: dict[str, Value] = {"names": ", ".join(names)}
        if force.low is not None:
            values["worst"] = amount_of_si(force.low, unit, Dimension.FORCE)
        if force.high is not None:
            values["best"] = amount_of_si(force.high, unit, Dimension.FORCE)
        lines.append(Step(id=_line_id(force, routed), values=values))
    return lines


def _line_id(force: Ends, routed: bool) -> str:
    if not routed:
        return "provided.upright-legs" if force.high is not None else "provided.press-open"
    if force.known:
        return "provided.press"
    return "provided.press-open" if force.high is None else "provided.press-between"
