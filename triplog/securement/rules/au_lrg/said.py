"""The lines and inputs that the findings of a group share."""

from collections.abc import Iterable
from fractions import Fraction

from triplog.securement.figures import Share
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
from triplog.securement.model import Plan
from triplog.securement.quantity import Amount, Dimension, amount_of_si, decimal_text
from triplog.securement.rules.au_lrg.held import weight_of
from triplog.securement.rules.au_lrg.scope import RULE_SET, force_note
from triplog.securement.rules.au_lrg.way import Way
from triplog.securement.rules.groups import Group
from triplog.securement.rules.masses import MASS_BASIS


def contained(word: str, asked: Share, group: Group, plan: Plan) -> Finding:
    """The finding of a group that the vehicle's structure holds on every side."""
    return Finding(
        rule=f"au-lrg-{word}",
        rule_set=RULE_SET,
        about=group.ids,
        verdict=Verdict.DOES_NOT_APPLY,
        scope=Scope.GUIDANCE,
        citation=asked.citation,
        steps=(Step(id="note.contained-down"), force_note(plan)),
    )


def named(
    ways: Iterable[Way],
    uncovered: tuple[Missing, ...],
    group: Group,
    *,
    mixed: str,
    together: bool = False,
) -> tuple[Missing, ...]:
    """The facts that leave it open; the mix that is not covered where all else is known.

    `together`: the mix leaves it open too, whatever else is not known.
    """
    unweighed = (Missing(field="mass", about=one.id) for one in group.articles if one.mass is None)
    facts = (*unweighed, *(one for way in ways for one in way.missing), *uncovered)
    mix = Missing(field=mixed, about=", ".join(group.ids))
    named_once = tuple(dict.fromkeys(facts))
    return (*named_once, mix) if together or not named_once else named_once


def masses(group: Group) -> tuple[Input, ...]:
    """The masses as told."""
    return tuple(
        Input(
            name="mass",
            about=one.id,
            value=one.mass,
            basis=MASS_BASIS[one.mass_basis] if one.mass else Basis.UNKNOWN,
        )
        for one in group.articles
    )


def required_step(portion: Fraction, group: Group, direction: str) -> Step:
    """The share of the weight that is asked for."""
    weight = weight_of(group)
    told = {"portion": decimal_text(portion, 1, "nearest"), "direction": direction}
    if weight is None:
        return Step(id="required.au-share-open", values=told)
    amount = amount_of_si(weight, group.unit, Dimension.FORCE)
    return Step(id="required.au-share", values={**told, "weight": amount})


def shown(force_n: Fraction | None, group: Group) -> Amount | None:
    """A force in the unit the group's masses were given in."""
    return None if force_n is None else amount_of_si(force_n, group.unit, Dimension.FORCE)


def open_range(worst: Fraction, best: Fraction | None, group: Group) -> Range:
    """Both ends of an open force."""
    least = amount_of_si(worst, group.unit, Dimension.FORCE)
    return Range(worst=least, best=shown(best, group), decides=Step(id="decides.several"))
