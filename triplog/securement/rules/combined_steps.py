"""The sum of a rule about the combined rating, line by line."""

from fractions import Fraction

from triplog.securement.finding import Count, Step, Value
from triplog.securement.quantity import Amount, Dimension, amount_of_si
from triplog.securement.rating import NothingFor, PartName, PartRating
from triplog.securement.rules.combined_sum import CombinedSum, Contribution

_NOTHING = {
    NothingFor.DAMAGED: "provided.set-aside",
    NothingFor.NO_TIE_DOWN: "provided.no-tie-down",
    NothingFor.UNMARKED: "provided.unmarked",
}


def required_steps(added: CombinedSum) -> tuple[Step, ...]:
    """The share of the weight, and each article's mass where there are several."""
    articles = added.group.articles
    if added.unweighed:
        names = ", ".join(added.unweighed)
        return (Step(id=f"{added.rule.required_step}-unknown", values={"names": names}),)
    mass: Amount | None = articles[0].mass
    lines: list[Step] = []
    if len(articles) > 1:
        mass = amount_of_si(
            sum((one.mass.si for one in articles if one.mass is not None), Fraction(0)),
            added.group.unit,
            Dimension.MASS,
        )
        lines = [
            Step(id="other.article", values={"article": one.id, "mass": one.mass})
            for one in articles
            if one.mass is not None
        ]
    assert mass is not None
    return (Step(id=added.rule.required_step, values={"mass": mass}), *lines)


def provided_steps(added: CombinedSum) -> tuple[Step, ...]:
    """One line per kind of contribution: alike tie-downs stand in one line."""
    if not added.contributions:
        return (Step(id="provided.none"),)
    alike: dict[tuple[object, ...], list[Contribution]] = {}
    for one in added.contributions:
        alike.setdefault(_likeness(one), []).append(one)
    steps: list[Step] = []
    for same in alike.values():
        steps += _lines(added, same)
    return tuple(steps)


def _likeness(one: Contribution) -> tuple[object, ...]:
    if one.rating.nothing_for is not None:
        return (one.rating.nothing_for,)
    governing = one.rating.governing
    return (
        one.tie_down.path,
        one.credit,
        one.rating.worst.si,
        one.rating.best.si if one.rating.best is not None else None,
        (governing.part, governing.basis, governing.whole, governing.shared_by, governing.row_id)
        if governing is not None
        else None,
    )


def _lines(added: CombinedSum, same: list[Contribution]) -> list[Step]:
    first = same[0]
    names = ", ".join(one.tie_down.id for one in same)
    if first.rating.nothing_for is not None:
        return [Step(id=_NOTHING[first.rating.nothing_for], values={"names": names})]
    credit = first.credit
    values: dict[str, Value] = {
        "names": names,
        "number": Count(value=len(same), unit="tie-down"),
        "path": str(first.tie_down.path) if first.tie_down.path else "",
        "credit": f"{credit.low}"
        if credit.low == credit.high
        else f"{credit.low} or {credit.high}",
    }
    if first.rating.best is None or first.best_n is None:
        return [Step(id="provided.nothing-known", values=values)]
    values["each"] = added.shown(first.rating.best.si)
    if first.rating.known and credit.low == credit.high:
        values["sum"] = added.shown(first.best_n * len(same))
        lines = [Step(id="provided.one" if len(same) == 1 else "provided.each", values=values)]
    else:
        values["worst"] = added.shown(first.worst_n * len(same))
        values["best"] = added.shown(first.best_n * len(same))
        step_id = "provided.between-one" if len(same) == 1 else "provided.between"
        lines = [Step(id=step_id, values=values)]
    if first.rating.governing is None:
        return lines
    abouts = [one.rating.governing.about for one in same if one.rating.governing is not None]
    return [*lines, *_part_note(first.rating.governing, ", ".join(dict.fromkeys(abouts)))]


def _part_note(part: PartRating, abouts: str) -> tuple[Step, ...]:
    """Why the weakest part counts what it counts: its table row, or the anchor it hooks."""
    if part.row_id is not None:
        return (Step(id="other.default-table", values={"abouts": abouts, "row": part.row_id}),)
    if part.part is PartName.BODY or part.amount is None or part.whole is None:
        return ()
    values: dict[str, Value] = {
        "part": str(part.part),
        "kind": part.kind,
        "abouts": abouts,
        "whole": part.whole,
        "share": part.amount,
        "ends": part.shared_by,
    }
    step_id = "other.weakest-shared" if part.shared_by > 1 else "other.weakest"
    return (Step(id=step_id, values=values),)
