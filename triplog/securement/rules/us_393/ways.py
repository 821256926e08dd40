"""A share of the weight one way at a time, and what holds against it: forward, rearward, sideways.

What is asked, with what limit and by which law, a rule says with `Against`: 49 CFR 393.102(a) and
NSC Standard 10 s.5 ask alike. Where the law deems it met otherwise, it is a yardstick.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from triplog.securement.ends import NOTHING, Ends, exactly, least
from triplog.securement.finding import (
    Basis,
    Citation,
    Finding,
    Input,
    Missing,
    Range,
    Scope,
    Step,
    Value,
    Verdict,
)
from triplog.securement.model import Direction, Plan, TieDown
from triplog.securement.quantity import Amount, Dimension, amount_of_si, exact_text, weight_n
from triplog.securement.rating import Defaults, assembly_rating, uses_us_columns
from triplog.securement.rules.groups import Group
from triplog.securement.rules.leg_forces import legs_of, tension_inputs
from triplog.securement.rules.masses import MASS_BASIS
from triplog.securement.rules.us_393.holding_forces import Held, Pull, acting_of, held

WAYS: dict[str, tuple[Direction, ...]] = {
    "forward": (Direction.FORWARD,),
    "rearward": (Direction.REARWARD,),
    "lateral": (Direction.LEFT, Direction.RIGHT),
}
_SETTLED = frozenset({Verdict.MEETS, Verdict.DOES_NOT_MEET})
# Nothing comes of these, so they have no line of their own.
_SILENT = frozenset({"held-unblocked", "held-maybe-blocked"})


Limit: TypeAlias = Callable[[TieDown, Plan], tuple[Ends, tuple[Missing, ...]]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """What one rule asks. `rule` begins its ids; `limit_word` says what a leg is used up at.

    `shares` are the shares of the weight by way; `limit` the limit of a tie-down in newtons and
    what is not known of it; `marked` whether that is only what is marked. The notes are ids:
    contained, held without tie-downs, deemed met, and what else would be.
    """

    rule: str
    rule_set: str
    citation: Citation
    scope: Scope
    limit_word: str
    shares: Mapping[str, Fraction]
    limit: Limit
    marked: bool
    contained_note: str
    deemed_note: str
    also_note: str


def rating_n(
    tie_down: TieDown, plan: Plan, defaults: Defaults = Defaults.US
) -> tuple[Ends, tuple[Missing, ...]]:
    """The working load limit in newtons at both ends, and what is not known of it."""
    held_by_it = tuple(one for one in plan.articles if one.id in tie_down.holds)
    us = uses_us_columns(held_by_it)
    rating = assembly_rating(tie_down, plan, us=us, defaults=defaults)
    missing = tuple(
        dict.fromkeys(Missing(field=part.asks, about=part.about) for part in rating.unknown_parts)
    )
    return Ends(low=rating.worst.si, high=rating.best.si if rating.best else None), missing


def pulls_of(
    counting: Sequence[TieDown], plan: Plan, against: Sequence[Against]
) -> list[tuple[Pull, ...]]:
    """The tie-downs that count with their legs, once for each limit."""
    legs = [legs_of(one, plan) for one in counting]
    acting = [acting_of(one, plan) for one in legs]
    return [
        tuple(
            Pull(tie_down=one, legs=its_legs, acting=acts, limit=limit, of_limit=of_limit)
            for one, its_legs, acts, (limit, of_limit) in zip(
                counting, legs, acting, (each.limit(one, plan) for one in counting), strict=True
            )
        )
        for each in against
    ]


def ways_findings(
    group: Group, plan: Plan, against: Against, pulls: tuple[Pull, ...], *, deemed: bool
) -> list[Finding]:
    """Three findings about a group; `deemed` is whether the law deems it met otherwise."""
    return [_finding(group, plan, against, way, pulls, deemed=deemed) for way in WAYS]


def _finding(
    group: Group, plan: Plan, against: Against, way: str, pulls: tuple[Pull, ...], *, deemed: bool
) -> Finding:
    share = against.shares[way]
    contained = all(article.contained for article in group.articles)
    otherwise = contained or (deemed and not pulls)
    sides = [held(group, plan, direction, pulls) for direction in WAYS[way]]
    totals = [_total(parts) for parts in sides]
    force = _weaker(totals)
    required_n = _required_n(group, share)
    verdict = _verdict(force, required_n, otherwise=otherwise, deemed=deemed)
    side = _deciding(totals, verdict)
    missing = () if otherwise or verdict in _SETTLED else _missing(group, sides)
    provided_n = {Verdict.MEETS: force.low, Verdict.DOES_NOT_MEET: force.high}.get(verdict)

    def shown(force_n: Fraction) -> Amount:
        return amount_of_si(force_n, group.unit, Dimension.FORCE)

    short_n = None if provided_n is None or required_n is None else required_n - provided_n
    return Finding(
        rule=f"{against.rule}-{way}",
        rule_set=against.rule_set,
        about=group.ids,
        verdict=verdict,
        scope=Scope.YARDSTICK if deemed else against.scope,
        citation=against.citation,
        required=None if required_n is None or otherwise else shown(required_n),
        provided=None if provided_n is None else shown(provided_n),
        margin=None if short_n is None else shown(-short_n),
        inputs=_inputs(group),
        steps=(
            *_required_steps(group, share),
            *(_provided_steps(sides[side], group.unit, against) if verdict in _SETTLED else ()),
            *_weaker_note(way, side, totals, verdict),
            *_notes(
                group, against, verdict, contained=contained, otherwise=otherwise, deemed=deemed
            ),
        ),
        unknown=missing,
        range=_range(force, required_n, group.unit) if missing and required_n is not None else None,
        mend=Step(id="mend.held", values={"short": shown(short_n)})
        if short_n is not None and verdict is Verdict.DOES_NOT_MEET
        else None,
    )


def _total(parts: tuple[Held, ...]) -> Ends:
    return sum((one.force for one in parts), exactly(NOTHING))


def _weaker(sides: list[Ends]) -> Ends:
    """What holds at least, whichever of the ways the cargo takes."""
    highs = [one.high for one in sides if one.high is not None]
    return Ends(low=least(*(one.low for one in sides)), high=min(highs, default=None))


def _deciding(totals: list[Ends], verdict: Verdict) -> int:
    """The place of the way that decides the verdict: the one held least."""
    by_high = verdict is Verdict.DOES_NOT_MEET
    ends = [one.high if by_high else one.low for one in totals]
    known = [one for one in ends if one is not None]
    return ends.index(min(known)) if known else 0


def _weaker_note(way: str, side: int, totals: list[Ends], verdict: Verdict) -> tuple[Step, ...]:
    if verdict not in _SETTLED or all(one == totals[0] for one in totals):
        return ()
    return (Step(id="note.weaker-side", values={"side": str(WAYS[way][side])}),)


def _required_n(group: Group, share: Fraction) -> Fraction | None:
    weights = [weight_n(one.mass) for one in group.articles if one.mass is not None]
    if len(weights) < len(group.articles):
        return None
    return sum(weights, NOTHING) * share


def _verdict(force: Ends, required_n: Fraction | None, *, otherwise: bool, deemed: bool) -> Verdict:
    """What a section lets stand without tie-downs is held by something this sum does not see."""
    if otherwise:
        return Verdict.DOES_NOT_APPLY
    if required_n is not None:
        if force.low is not None and force.low >= required_n:
            return Verdict.MEETS
        if force.high is not None and force.high < required_n:
            return Verdict.DOES_NOT_MEET
    return Verdict.DOES_NOT_APPLY if deemed else Verdict.CANNOT_TELL


def _missing(group: Group, sides: list[tuple[Held, ...]]) -> tuple[Missing, ...]:
    unweighed = (Missing(field="mass", about=one.id) for one in group.articles if one.mass is None)
    of_parts = (one for parts in sides for part in parts for one in part.missing)
    return tuple(dict.fromkeys((*unweighed, *of_parts)))


def _range(force: Ends, required_n: Fraction, unit: str) -> Range:
    low = max(force.low or NOTHING, NOTHING)
    at_least = amount_of_si(required_n - low, unit, Dimension.FORCE)
    return Range(
        worst=amount_of_si(low, unit, Dimension.FORCE),
        best=None if force.high is None else amount_of_si(force.high, unit, Dimension.FORCE),
        decides=Step(id="decides.held", values={"at_least": at_least}),
    )


def _inputs(group: Group) -> tuple[Input, ...]:
    inputs = []
    for article in group.articles:
        basis = MASS_BASIS[article.mass_basis] if article.mass else Basis.UNKNOWN
        inputs.append(Input(name="mass", about=article.id, value=article.mass, basis=basis))
        friction = None if article.friction is None else format(article.friction, "f")
        basis = Basis.UNKNOWN if friction is None else Basis.STATED
        inputs.append(Input(name="friction", about=article.id, value=friction, basis=basis))
    return (*inputs, *tension_inputs(group.tie_downs))


def _required_steps(group: Group, share: Fraction) -> tuple[Step, ...]:
    values: dict[str, Value] = {"g": exact_text(share)}
    if any(one.mass is None for one in group.articles):
        return (Step(id="required.g-unknown", values=values),)
    mass_kg = sum((one.mass.si for one in group.articles if one.mass is not None), NOTHING)
    values["mass"] = amount_of_si(mass_kg, group.unit, Dimension.MASS)
    return (Step(id="required.g", values=values),)


def _provided_steps(parts: tuple[Held, ...], unit: str, against: Against) -> tuple[Step, ...]:
    """One line per part, tie-downs alike on one line."""
    alike: dict[tuple[str, Ends, tuple[tuple[str, Value], ...]], list[str]] = {}
    for one in parts:
        if one.kind not in _SILENT:
            key = (one.kind, one.force, tuple(one.values.items()))
            alike.setdefault(key, []).append(one.about)
    steps = []
    for (kind, each, values), names in alike.items():
        force = each.scaled(Fraction(len(names)))
        filled: dict[str, Value] = {**dict(values), "names": ", ".join(names)}
        if kind == "held-pull":
            filled["limit"] = against.limit_word
        if force.low is not None:
            filled["worst"] = amount_of_si(force.low, unit, Dimension.FORCE)
        if force.high is not None:
            filled["best"] = amount_of_si(force.high, unit, Dimension.FORCE)
        steps.append(Step(id=f"provided.{kind}{_openness(force)}", values=filled))
    return tuple(steps) or (Step(id="provided.held-nothing"),)


def _openness(force: Ends) -> str:
    if force.known:
        return ""
    return "-open" if force.low is None or force.high is None else "-between"


def _notes(
    group: Group,
    against: Against,
    verdict: Verdict,
    *,
    contained: bool,
    otherwise: bool,
    deemed: bool,
) -> tuple[Step, ...]:
    if contained:
        return (Step(id=against.contained_note),)
    ids = ["note.held-otherwise"] if otherwise else []
    if verdict in _SETTLED:
        ids.append("note.sliding-only")
        if against.marked:
            ids.append("note.breaking-as-marked")
        if len(group.articles) > 1:
            ids.append("note.one-body")
    ids.append(against.deemed_note if deemed else against.also_note)
    return tuple(Step(id=one) for one in ids)
