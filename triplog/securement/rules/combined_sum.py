"""The two sides of a rule about the combined rating, exact and at both ends of what is unknown."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.finding import Citation, Verdict
from triplog.securement.model import Plan, TieDown
from triplog.securement.quantity import Amount, Dimension, amount_of_si, weight_n
from triplog.securement.rating import (
    AssemblyRating,
    Defaults,
    assembly_rating,
    uses_us_columns,
)
from triplog.securement.rules.groups import Group


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
    """What a rule about the combined rating asks: a `share` of the weight, with what credit.

    `defaults` is what gear with no rating marked counts with.
    """

    rule: str
    rule_set: str
    citation: Citation
    share: Fraction
    credit_of: Callable[[TieDown, Plan], Credit]
    required_step: str
    defaults: Defaults = Defaults.US


@dataclass(frozen=True, slots=True, kw_only=True)
class CombinedSum:
    """The two sides of the comparison, in newtons. None is not known (`best_n`: no limit)."""

    group: Group
    rule: CombinedRule
    contributions: tuple[Contribution, ...]
    known_mass_n: Fraction
    unweighed: tuple[str, ...]

    @property
    def required_n(self) -> Fraction | None:
        """The share of the weight asked for; None while a mass is not known."""
        return None if self.unweighed else self.known_mass_n * self.rule.share

    @property
    def worst_n(self) -> Fraction:
        """The sum at worst."""
        return sum((one.worst_n for one in self.contributions), Fraction(0))

    @property
    def best_n(self) -> Fraction | None:
        """The sum at best; None where nothing known limits it."""
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
        """A force in the unit the group's mass was given in."""
        return amount_of_si(force_n, self.group.unit, Dimension.FORCE)


def added_up(group: Group, plan: Plan, rule: CombinedRule) -> CombinedSum:
    """The sum of one group: each tie-down once, with its rating and the credit of its path."""
    us = uses_us_columns(group.articles)
    return CombinedSum(
        group=group,
        rule=rule,
        contributions=tuple(
            Contribution(
                tie_down=tie_down,
                rating=assembly_rating(tie_down, plan, us=us, defaults=rule.defaults),
                credit=rule.credit_of(tie_down, plan),
            )
            for tie_down in group.tie_downs
        ),
        known_mass_n=sum(
            (weight_n(one.mass) for one in group.articles if one.mass is not None), Fraction(0)
        ),
        unweighed=tuple(one.id for one in group.articles if one.mass is None),
    )
