"""The combined rating of the tie-downs on an article or group, against a share of its weight.

Each tie-down counts once, with the credit its path gives. Sums are compared in exact newtons and
shown in the unit the group's mass was given in. Unknown masses, ratings and paths are carried at
both ends.
"""

from fractions import Fraction

from triplog.securement.finding import (
    Basis,
    Count,
    Finding,
    Input,
    Missing,
    Range,
    Scope,
    Step,
    Value,
    Verdict,
)
from triplog.securement.model import Plan
from triplog.securement.rating import PartName
from triplog.securement.rules.combined_steps import provided_steps, required_steps
from triplog.securement.rules.combined_sum import (
    CombinedRule,
    CombinedSum,
    Contribution,
    added_up,
)
from triplog.securement.rules.groups import Group
from triplog.securement.rules.masses import MASS_BASIS


def combined_finding(group: Group, plan: Plan, rule: CombinedRule, scope: Scope) -> Finding:
    """The finding of one group under a rule about the combined rating."""
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
    return _finding(added_up(group, plan, rule), scope)


def _finding(added: CombinedSum, scope: Scope) -> Finding:
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
        steps=(*required_steps(added), *provided_steps(added)),
        unknown=missing,
        range=_range(added, missing) if missing else None,
        mend=_mend(added) if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _missing(added: CombinedSum) -> tuple[Missing, ...]:
    found = [Missing(field="mass", about=article_id) for article_id in added.unweighed]
    for one in added.contributions:
        if one.rating.nothing_for:
            continue
        found += [Missing(field=part.asks, about=part.about) for part in one.rating.unknown_parts]
        if one.credit.low != one.credit.high:
            found.append(Missing(field=one.credit.asks, about=one.tie_down.id))
    return tuple(dict.fromkeys(found))


def _range(added: CombinedSum, missing: tuple[Missing, ...]) -> Range:
    best_n = added.best_n
    return Range(
        worst=added.shown(added.worst_n),
        best=None if best_n is None else added.shown(best_n),
        decides=_decides(added, missing),
    )


def _decides(added: CombinedSum, missing: tuple[Missing, ...]) -> Step:
    """The value that would settle it, where one kind of fact is missing; else what to tell."""
    if added.verdict() is not Verdict.CANNOT_TELL:
        return Step(id="decides.several")
    kinds = {_kind(one) for one in missing}
    names = ", ".join(dict.fromkeys(one.about for one in missing))
    required_n = added.required_n
    if required_n is None and kinds == {"mass"}:
        at_most_n = added.worst_n / added.rule.share - added.known_mass_n
        return Step(id="decides.mass", values={"names": names, "at_most": added.shown(at_most_n)})
    if required_n is not None and kinds == {"rating"}:
        at_least = added.shown(_rating_that_decides(added, required_n))
        step_id = "decides.rating" if len(missing) == 1 else "decides.ratings"
        # The names in the order of the facts: of one piece the tensioner and the ends may be open.
        values: dict[str, Value] = {
            "names": ", ".join(one.about for one in missing),
            "fields": ", ".join(one.field for one in missing),
            "at_least": at_least,
        }
        return Step(id=step_id, values=values)
    if kinds == {"path"}:
        return Step(id="decides.path", values={"names": names})
    return Step(id="decides.several")


def _kind(missing: Missing) -> str:
    if missing.field in ("mass", "path"):
        return missing.field
    return "rating" if missing.field.endswith("wll") else "other"


def _rating_that_decides(added: CombinedSum, required_n: Fraction) -> Fraction:
    """The least rating that, held by each unknown part, brings the sum to what is required.

    A tie-down counts the least of its known parts and of its unknown ones; an anchor's rating is
    divided by the ends hooked to it. So each adds `slope` times the rating up to its own `cap`.
    """
    fixed_n = Fraction(0)
    rising: list[tuple[Fraction | None, Fraction]] = []
    for one in added.contributions:
        unknown = one.rating.unknown_parts
        if not unknown or one.rating.nothing_for:
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


def _mend(added: CombinedSum) -> Step:
    """One more tie-down over the top, or as many like the best one here as close the gap.

    Where stronger anchor points alone would do, they are named as the other way.
    """
    required_n, best_n = added.required_n, added.best_n
    if required_n is None:
        return Step(id="mend.weigh")
    assert best_n is not None, "a sum without an upper end is not short"
    short_n = required_n - best_n
    full_n = [
        _gear_alone_n(one) / one.credit.high for one in added.contributions if one.credit.high
    ]
    reference_n = max(full_n, default=Fraction(0)) or short_n
    number = -(-short_n // reference_n)
    values: dict[str, Value] = {
        "number": Count(value=number, unit="tie-down"),
        "at_least": added.shown(short_n / number),
    }
    held_back = [one for one in added.contributions if _gear_alone_n(one) > (one.best_n or 0)]
    gained_n = sum((_gear_alone_n(one) - (one.best_n or 0) for one in held_back), Fraction(0))
    if not held_back or gained_n < short_n:
        return Step(id="mend.one-more" if number == 1 else "mend.more", values=values)
    gear_n = max(_gear_alone_n(one) / one.credit.high for one in held_back)
    values["names"] = ", ".join(one.tie_down.id for one in held_back)
    values["anchor_at_least"] = added.shown(gear_n)
    either = "mend.one-more-or-anchors" if number == 1 else "mend.more-or-anchors"
    return Step(id=either, values=values)


def _gear_alone_n(one: Contribution) -> Fraction:
    """What the tie-down would add if no anchor point held it back; nothing if that is not known."""
    gear = [part for part in one.rating.parts if part.part is not PartName.ANCHOR]
    known = [part.amount.si for part in gear if part.amount is not None]
    if one.rating.nothing_for or one.rating.unknown_parts or not known:
        return Fraction(0)
    return min(known) * one.credit.high


def _inputs(added: CombinedSum) -> tuple[Input, ...]:
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
