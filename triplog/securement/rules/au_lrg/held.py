"""What is asked of a group in a direction, and how it is held there: at both ends."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figures import Share
from triplog.securement.finding import Missing, Verdict
from triplog.securement.model import Direction, Plan
from triplog.securement.quantity import weight_n
from triplog.securement.rules.au_lrg.blocks import blocking, not_covered
from triplog.securement.rules.au_lrg.clamping import friction
from triplog.securement.rules.au_lrg.lashings import lashings
from triplog.securement.rules.au_lrg.scope import share_of_weight
from triplog.securement.rules.au_lrg.way import Way
from triplog.securement.rules.downward import total
from triplog.securement.rules.groups import Group


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What is asked in a direction (None: a mass is not known) and the ways it is held."""

    direction: Direction
    share: Share
    required_n: Fraction | None
    friction: Way
    others: tuple[Way, Way]
    uncovered: tuple[Missing, ...]

    @classmethod
    def of(cls, group: Group, plan: Plan, direction: Direction, pressed: Way) -> "Held":
        """The three ways of one direction."""
        asked = share_of_weight(direction)
        weight_n = weight_of(group)
        return cls(
            direction=direction,
            share=asked,
            required_n=None if weight_n is None else weight_n * asked.value,
            friction=friction(group, plan, pressed),
            others=(lashings(group, plan, direction), blocking(group, plan, direction)),
            uncovered=not_covered(group),
        )

    @property
    def ways(self) -> tuple[Way, ...]:
        """All three."""
        return (self.friction, *self.others)

    @property
    def worst(self) -> Fraction:
        """The best single way, at worst: ways are not added."""
        return max(way.force.worst for way in self.ways)

    @property
    def best_alone(self) -> Fraction | None:
        """The best single way, at best."""
        return _most(way.force.best for way in self.ways)

    @property
    def best(self) -> Fraction | None:
        """All ways together: what no mix of them could exceed; None: no limit known."""
        return None if self.uncovered else total([way.force for way in self.ways]).best

    @property
    def only_together(self) -> bool:
        """Whether no single way could hold it even at best, so that only a mix might."""
        alone, asked_n = self.best_alone, self.required_n
        return alone is not None and asked_n is not None and alone < asked_n

    def verdict(self) -> Verdict:
        """Over both ends, and over what a mix of the ways might hold."""
        if self.required_n is None:
            return Verdict.DOES_NOT_MEET if self.best == 0 else Verdict.CANNOT_TELL
        if self.worst >= self.required_n:
            return Verdict.MEETS
        if self.best is not None and self.best < self.required_n:
            return Verdict.DOES_NOT_MEET
        return Verdict.CANNOT_TELL

    def without_friction(self) -> bool | None:
        """Whether lashings or blocking alone hold it; None where that is not known."""
        if self.required_n is None:
            return None
        if max(way.force.worst for way in self.others) >= self.required_n:
            return True
        best = _most(way.force.best for way in self.others)
        return None if best is None or best >= self.required_n else False


def weight_of(group: Group) -> Fraction | None:
    """The weight of the group in newtons; None while a mass is not known."""
    masses = [article.mass for article in group.articles]
    if None in masses:
        return None
    return sum((weight_n(mass) for mass in masses if mass is not None), Fraction(0))


def _most(bests: Iterable[Fraction | None]) -> Fraction | None:
    known = list(bests)
    return None if None in known else max(best for best in known if best is not None)
