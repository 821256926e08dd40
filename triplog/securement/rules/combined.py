"""The combined rating of the tie-downs on an article or group, against a share of its weight.

Articles that share a tie-down, or say they go `together`, are one group. Each tie-down counts
once, with the credit its path gives. Sums are compared in exact newtons and shown in the unit the
group's mass was given in. Unknown masses, ratings and paths are carried at both ends.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

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
from triplog.securement.model import Article, Plan, TieDown
from triplog.securement.quantity import Amount, Dimension, amount_of_si, weight_n
from triplog.securement.rating import (
    AssemblyRating,
    PartName,
    PartRating,
    assembly_rating,
    uses_us_columns,
)
from triplog.securement.rules.masses import MASS_BASIS


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Articles judged together, and every tie-down on any of them, in the plan's order."""

    articles: tuple[Article, ...]
    tie_downs: tuple[TieDown, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """The articles' ids."""
        return tuple(article.id for article in self.articles)

    @property
    def unit(self) -> str:
        """The unit its masses are given in, for weights and ratings alike."""
        given = next((one.mass.unit for one in self.articles if one.mass is not None), None)
        if given is None:
            return "lb" if uses_us_columns(self.articles) else "kg"
        return "kg" if given == "g" else given


@dataclass(frozen=True, slots=True, kw_only=True)
class Credit:
    """The share of its rating a tie-down counts, at both ends of what is unknown of its path."""

    low: Fraction
    high: Fraction
    asks: str = "path"


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """One tie-down's part of the sum, in newtons; `best_n` None: nothing known limits it."""

    tie_down: TieDown
    rating: AssemblyRating
    credit: Credit

    @property
    def worst_n(self) -> Fraction:
        """What it adds at worst."""
        return self.rating.worst.si * self.credit.low

    @property
    def best_n(self) -> Fraction | None:
        """What it adds at best."""
        return None if self.rating.best is None else self.rating.best.si * self.credit.high


@dataclass(frozen=True, slots=True, kw_only=True)
class CombinedRule:
    """What a rule about the combined rating asks: a `share` of the weight, with what credit."""

    rule: str
    rule_set: str
    citation: Citation
    share: Fraction
    credit_of: Callable[[TieDown, Plan], Credit]
    required_step: str


def groups_of(plan: Plan) -> tuple[Group, ...]:
    """The articles of the plan in groups, each in the plan's order, none twice."""
    leader = {article.id: article.id for article in plan.articles}

    def join(ids: tuple[str, ...]) -> None:
        leaders = {leader[article_id] for article_id in ids}
        for article_id in leader:
            if leader[article_id] in leaders:
                leader[article_id] = leader[ids[0]]

    for tie_down in plan.tie_downs:
        join(tie_down.holds)
    for label in {article.together for article in plan.articles if article.together is not None}:
        join(tuple(article.id for article in plan.articles if article.together == label))
    groups = []
    for first in dict.fromkeys(leader.values()):
        articles = tuple(one for one in plan.articles if leader[one.id] == first)
        ids = {article.id for article in articles}
        tie_downs = tuple(one for one in plan.tie_downs if ids.intersection(one.holds))
        groups.append(Group(articles=articles, tie_downs=tie_downs))
    return tuple(groups)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sum:
    """The two sides of the comparison, in newtons. None is not known (`best_n`: no limit)."""

    group: Group
    rule: CombinedRule
    contributions: tuple[Contribution, ...]
    known_mass_n: Fraction
    unweighed: tuple[str, ...]

    @property
    def required_n(self) -> Fraction | None:
        return None if self.unweighed else self.known_mass_n * self.rule.share

    @property
    def worst_n(self) -> Fraction:
        return sum((one.worst_n for one in self.contributions), Fraction(0))

    @property
    def best_n(self) -> Fraction | None:
        bests = [one.best_n for one in self.contributions]
        known = [best for best in bests if best is not None]
        return sum(known, Fraction(0)) if len(known) == len(bests) else None

    def verdict(self) -> Verdict:
        """Over both ends of everything unknown; an unknown mass is at least above zero."""
        best_n, required_n = self.best_n, self.required_n
        if required_n is None:
            short = best_n is not None and best_n <= self.known_mass_n * self.rule.share
            return Verdict.DOES_NOT_MEET if short else Verdict.CANNOT_TELL
        if self.worst_n >= required_n:
            return Verdict.MEETS
        if best_n is not None and best_n < required_n:
            return Verdict.DOES_NOT_MEET
        return Verdict.CANNOT_TELL

    def shown(self, force_n: Fraction) -> Amount:
        return amount_of_si(force_n, self.group.unit, Dimension.FORCE)


def combined_finding(group: Group, plan: Plan, rule: CombinedRule, scope: Scope) -> Finding:
    """The finding of one group under a rule about the combined rating."""
    us = uses_us_columns(group.articles)
    added = _Sum(
        group=group,
        rule=rule,
        contributions=tuple(
            Contribution(
                tie_down=tie_down,
                rating=assembly_rating(tie_down, plan, us=us),
                credit=rule.credit_of(tie_down, plan),
            )
            for tie_down in group.tie_downs
        ),
        known_mass_n=sum(
            (weight_n(one.mass) for one in group.articles if one.mass is not None), Fraction(0)
        ),
        unweighed=tuple(one.id for one in group.articles if one.mass is None),
    )
    if not group.tie_downs and all(article.contained for article in group.articles):
        return Finding(
            rule=rule.rule,
            rule_set=rule.rule_set,
            about=group.ids,
            verdict=Verdict.DOES_NOT_APPLY,
            scope=scope,
            citation=rule.citation,
            steps=(Step(id="note.contained"),),
        )
    return _finding(added, scope)


def _finding(added: _Sum, scope: Scope) -> Finding:
    verdict = added.verdict()
    required_n, best_n = added.required_n, added.best_n
    settled = best_n is not None and best_n == added.worst_n
    provided_n = best_n if settled or verdict is Verdict.DOES_NOT_MEET else added.worst_n
    if verdict is Verdict.CANNOT_TELL and not settled:
        provided_n = None
    margin_n = None if required_n is None or provided_n is None else provided_n - required_n
    missing = _missing(added)
    return Finding(
        rule=added.rule.rule,
        rule_set=added.rule.rule_set,
        about=added.group.ids,
        verdict=verdict,
        scope=scope,
        citation=added.rule.citation,
        required=None if required_n is None else added.shown(required_n),
        provided=None if provided_n is None else added.shown(provided_n),
        margin=None if margin_n is None else added.shown(margin_n),
        inputs=_inputs(added),
        steps=(*_required_steps(added), *_provided_steps(added)),
        unknown=missing,
        range=_range(added, missing) if missing else None,
        mend=_mend(added) if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _missing(added: _Sum) -> tuple[Missing, ...]:
    found = [Missing(field="mass", about=article_id) for article_id in added.unweighed]
    for one in added.contributions:
        if one.rating.set_aside:
            continue
        found += [Missing(field=part.asks, about=part.about) for part in one.rating.unknown_parts]
        if one.credit.low != one.credit.high:
            found.append(Missing(field=one.credit.asks, about=one.tie_down.id))
    return tuple(dict.fromkeys(found))


def _range(added: _Sum, missing: tuple[Missing, ...]) -> Range:
    best_n = added.best_n
    return Range(
        worst=added.shown(added.worst_n),
        best=None if best_n is None else added.shown(best_n),
        decides=_decides(added, missing),
    )


def _decides(added: _Sum, missing: tuple[Missing, ...]) -> Step:
    """The value that would settle it, where one kind of fact is missing; else what to tell."""
    if added.verdict() is not Verdict.CANNOT_TELL:
        return Step(id="decides.not-needed")
    kinds = {_kind(one) for one in missing}
    names = ", ".join(dict.fromkeys(one.about for one in missing))
    required_n = added.required_n
    if required_n is None and kinds == {"mass"}:
        at_most_n = added.worst_n / added.rule.share - added.known_mass_n
        return Step(
            id="decides.mass", values={"names": names, "at_most": added.shown(at_most_n)}
        )
    if required_n is not None and kinds == {"rating"}:
        each = added.shown(_rating_that_decides(added, required_n))
        return Step(id="decides.ratings", values={"names": names, "each": each})
    if kinds == {"path"}:
        return Step(id="decides.path", values={"names": names})
    fields = ", ".join(dict.fromkeys(f"{one.about} {one.field}" for one in missing))
    return Step(id="decides.several", values={"fields": fields})


def _kind(missing: Missing) -> str:
    if missing.field == "mass":
        return "mass"
    return "rating" if missing.field.endswith("wll") else "path"


def _rating_that_decides(added: _Sum, required_n: Fraction) -> Fraction:
    """The least rating that, held by each unknown part, brings the sum to what is required.

    A tie-down counts the least of its known parts and of its unknown ones; an anchor's rating is
    divided by the ends hooked to it. So each adds `slope` times the rating up to its own `cap`.
    """
    fixed_n = Fraction(0)
    rising: list[tuple[Fraction | None, Fraction]] = []
    for one in added.contributions:
        unknown = one.rating.unknown_parts
        if not unknown or one.rating.set_aside:
            fixed_n += one.worst_n
            continue
        slope = one.credit.high / max(part.shared_by for part in unknown)
        rising.append((one.best_n, slope))
    while True:
        rating_n = (required_n - fixed_n) / sum(slope for _, slope in rising)
        full = [(cap, slope) for cap, slope in rising if cap is not None and cap < rating_n * slope]
        if not full:
            return rating_n
        fixed_n += sum((cap for cap, _ in full), Fraction(0))
        rising = [one for one in rising if one not in full]


def _mend(added: _Sum) -> Step:
    """One more tie-down over the top, or as many like the best one here as close the gap."""
    required_n, best_n = added.required_n, added.best_n
    if required_n is None:
        return Step(id="mend.weigh")
    assert best_n is not None, "a sum without an upper end is not short"
    short_n = required_n - best_n
    full_n = [one.rating.best.si for one in added.contributions if one.rating.best is not None]
    reference_n = max(full_n, default=Fraction(0)) or short_n
    number = -(-short_n // reference_n)
    values: dict[str, Value] = {
        "number": number,
        "each": added.shown(short_n / number),
    }
    return Step(id="mend.more", values=values)


def _inputs(added: _Sum) -> tuple[Input, ...]:
    masses = [
        Input(
            name="mass",
            about=article.id,
            value=article.mass,
            basis=MASS_BASIS[article.mass_basis] if article.mass else Basis.UNKNOWN,
        )
        for article in added.group.articles
    ]
    paths = [
        Input(
            name="path",
            about=one.tie_down.id,
            value=str(one.tie_down.path) if one.tie_down.path else None,
            basis=Basis.STATED if one.tie_down.path else Basis.UNKNOWN,
        )
        for one in added.contributions
    ]
    parts = [
        Input(
            name=f"{part.part} rating",
            about=part.about,
            value=part.whole or part.amount,
            basis=part.basis,
            citation=part.citation,
        )
        for one in added.contributions
        for part in (one.rating.governing, *one.rating.unknown_parts)
        if part is not None
    ]
    return (*masses, *paths, *dict.fromkeys(parts))


def _required_steps(added: _Sum) -> tuple[Step, ...]:
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


def _provided_steps(added: _Sum) -> tuple[Step, ...]:
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
    if one.rating.set_aside:
        return ("set aside",)
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


def _lines(added: _Sum, same: list[Contribution]) -> list[Step]:
    first = same[0]
    names = ", ".join(one.tie_down.id for one in same)
    if first.rating.set_aside:
        return [Step(id="provided.set-aside", values={"names": names})]
    credit = first.credit
    values: dict[str, Value] = {
        "names": names,
        "number": len(same),
        "path": str(first.tie_down.path) if first.tie_down.path else "",
        "credit": f"{credit.low}" if credit.low == credit.high else f"{credit.low} or {credit.high}",
    }
    if first.rating.best is None or first.best_n is None:
        return [Step(id="provided.nothing-known", values=values)]
    values["each"] = added.shown(first.rating.best.si)
    if first.rating.known and credit.low == credit.high:
        values["sum"] = added.shown(first.best_n * len(same))
        lines = [Step(id="provided.each", values=values)]
    else:
        values["worst"] = added.shown(first.worst_n * len(same))
        values["best"] = added.shown(first.best_n * len(same))
        lines = [Step(id="provided.between", values=values)]
    governing = first.rating.governing
    return lines if governing is None else [*lines, *part_note(governing)]


def part_note(part: PartRating) -> tuple[Step, ...]:
    """Why the weakest part counts what it counts: its table row, or the anchor it hooks."""
    if part.row_id is not None:
        return (Step(id="other.default-table", values={"row": part.row_id}),)
    if part.part is PartName.BODY or part.amount is None or part.whole is None:
        return ()
    values: dict[str, Value] = {
        "part": f"{part.part} {part.about}" if part.kind == part.part else part.kind,
        "about": part.about,
        "whole": part.whole,
        "share": part.amount,
        "ends": part.shared_by,
    }
    shared = "-shared" if part.shared_by > 1 else ""
    return (Step(id=f"other.weakest{shared}", values=values),)
