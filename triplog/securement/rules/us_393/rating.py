"""What each tie-down is rated: 49 CFR 393.108, the weakest part, marked before the table."""

from fractions import Fraction

from triplog.securement.finding import Basis, Finding, Input, Missing, Range, Step, Value, Verdict
from triplog.securement.model import WEBBING, Article, Gear, GearKind, Plan, TieDown
from triplog.securement.quantity import Amount, Dimension, amount_of_si
from triplog.securement.rating import (
    AssemblyRating,
    NothingFor,
    PartRating,
    Standing,
    assembly_rating,
    mat_resistance,
    uses_us_columns,
)
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

_UNCOUNTED = {
    Standing.COVERED: "part.covered-by-marking",
    Standing.NOT_LISTED: "part.not-listed",
    Standing.UNKNOWN: "part.unknown",
}
_ONE_INCH_M = frozenset({Fraction("0.0254"), Fraction("0.025")})


def rating_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.108(a) to (f): one finding per tie-down, then 393.108(g) per article on a mat."""
    of_tie_downs = (_rating_finding(tie_down, plan) for tie_down in plan.tie_downs)
    of_mats = (_mat_finding(article, plan) for article in plan.articles)
    return (*of_tie_downs, *(finding for finding in of_mats if finding is not None))


def _rating_finding(tie_down: TieDown, plan: Plan) -> Finding:
    held = tuple(article for article in plan.articles if article.id in tie_down.holds)
    us = uses_us_columns(held)
    rating = assembly_rating(tie_down, plan, us=us)
    gear = plan.gear_item(tie_down.gear)
    if rating.nothing_for is not None:
        verdict = Verdict.DOES_NOT_APPLY
    else:
        verdict = Verdict.MEETS if rating.known else Verdict.CANNOT_TELL
    missing = tuple(
        dict.fromkeys(Missing(field=part.asks, about=part.about) for part in rating.unknown_parts)
    )
    return Finding(
        rule="us-393.108-rating",
        rule_set=RULE_SET,
        about=(tie_down.id,),
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation("393.108"),
        provided=_shown(rating.best, us) if verdict is Verdict.MEETS else None,
        inputs=tuple(_input(part) for part in rating.parts),
        steps=(
            *_nothing_steps(rating, gear),
            *_weakest_steps(rating),
            *(_part_step(part) for part in rating.parts),
            *(_label_notes(gear) if gear is not None else ()),
        ),
        unknown=missing if verdict is Verdict.CANNOT_TELL else (),
        range=_range(rating, us) if verdict is Verdict.CANNOT_TELL else None,
    )


def _shown(amount: Amount | None, us: bool) -> Amount | None:
    """The rating in pounds or kilograms, as the article is; a typed one stays as typed."""
    if amount is None or amount.is_us is us:
        return amount
    return amount_of_si(amount.si, "lb" if us else "kg", Dimension.FORCE)


def _range(rating: AssemblyRating, us: bool) -> Range:
    worst = _shown(rating.worst, us)
    assert worst is not None
    return Range(
        worst=worst,
        best=_shown(rating.best, us),
        decides=Step(id="decides.several"),
    )


def _input(part: PartRating) -> Input:
    return Input(
        name=f"{part.part} rating",
        about=part.about,
        value=part.whole or part.amount,
        basis=part.basis,
        citation=part.citation,
    )


def _nothing_steps(rating: AssemblyRating, gear: Gear | None) -> tuple[Step, ...]:
    if rating.nothing_for is None or gear is None:
        return ()
    values: dict[str, Value] = {"gear": gear.id, "kind": str(gear.kind)}
    damaged = rating.nothing_for is NothingFor.DAMAGED
    return (Step(id="note.set-aside" if damaged else "note.no-tie-down", values=values),)


def _weakest_steps(rating: AssemblyRating) -> tuple[Step, ...]:
    if rating.governing is None or rating.nothing_for is not None:
        return ()
    step_id = "provided.weakest" if rating.known else "provided.weakest-known"
    return (Step(id=step_id, values=_part_values(rating.governing)),)


def _part_values(part: PartRating) -> dict[str, Value]:
    return {"part": str(part.part), "kind": part.kind, "about": part.about}


def _part_step(part: PartRating) -> Step:
    values = _part_values(part)
    if part.standing is Standing.COUNTED:
        assert part.amount is not None
        values["amount"] = part.amount
        if part.row_id is not None:
            values["row"] = part.row_id
            return Step(id="part.table", values=values)
        if part.shared_by > 1:
            assert part.whole is not None
            values |= {"whole": part.whole, "ends": part.shared_by}
            return Step(id="part.shared", values=values)
        return Step(id="part.marked", values=values)
    if part.standing is Standing.COVERED and part.basis is Basis.DEFAULT_TABLE:
        return Step(id="part.covered-by-table", values=values)
    return Step(id=_UNCOUNTED[part.standing], values=values)


def _label_notes(gear: Gear) -> tuple[Step, ...]:
    """What stands on a label without being a rating, and widths for which no table exists."""
    notes: list[Step] = []
    if gear.wll is not None:
        return ()
    if gear.breaking is not None:
        third = Amount(
            value=gear.breaking.value / 3, unit=gear.breaking.unit, dimension=Dimension.FORCE
        )
        notes.append(
            Step(id="note.breaking-only", values={"breaking": gear.breaking, "third": third})
        )
    if gear.lc is not None:
        notes.append(Step(id="note.lashing-capacity-only", values={"lc": gear.lc}))
    if gear.kind in WEBBING and gear.width is not None and gear.width.si in _ONE_INCH_M:
        notes.append(Step(id="note.one-inch"))
    return tuple(notes)


def _mat_finding(article: Article, plan: Plan) -> Finding | None:
    """393.108(g): what a friction mat resists, for the plan's record; it is no tie-down."""
    mat = plan.gear_item(article.mat)
    if mat is None or mat.kind is not GearKind.FRICTION_MAT:
        return None
    provided = mat_resistance(article.mass, mat)
    step_id = "provided.mat-marked" if mat.wll is not None else "provided.mat-half"
    return Finding(
        rule="us-393.108-mat",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=Verdict.MEETS if provided else Verdict.CANNOT_TELL,
        scope=law_scope(plan),
        citation=citation("393.108(g)"),
        provided=provided,
        steps=(Step(id=step_id, values={"mat": mat.id}),),
        unknown=() if provided else (Missing(field="mass", about=article.id),),
    )
