"""A value carried at both ends of what is unknown."""

from dataclasses import dataclass
from fractions import Fraction

NOTHING = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """The least and the most a value can be; None: no such limit is known."""

    low: Fraction | None
    high: Fraction | None

    def __add__(self, other: "Ends") -> "Ends":
        if self.low is not None and other.low is not None and self.known and other.known:
            return exactly(self.low + other.low)
        return Ends(low=_added(self.low, other.low), high=_added(self.high, other.high))

    @property
    def known(self) -> bool:
        """Whether both ends are the same."""
        return self.low is not None and self.low == self.high

    def times(self, factor: "Ends") -> "Ends":
        """The product; this value is never below nothing, the factor may be."""
        assert self.low is not None and self.low >= 0, "only a factor may be below nothing"
        if factor.low is not None and self.known and factor.known:
            return exactly(self.low * factor.low)
        return Ends(
            low=self._end(factor.low, at_least=True), high=self._end(factor.high, at_least=False)
        )

    def _end(self, factor: Fraction | None, *, at_least: bool) -> Fraction | None:
        """The least product is of the least value where the factor helps, else of the most."""
        if self.high == 0 or factor == 0:
            return NOTHING
        if factor is None:
            return None
        mine = self.low if (factor > 0) is at_least else self.high
        return None if mine is None else mine * factor

    def scaled(self, by: Fraction) -> "Ends":
        """Times a number that is not below nothing."""
        if by == 1:
            return self
        return exactly(by).times(self)

    def at_least_nothing(self) -> "Ends":
        """The same without what is below nothing."""
        return Ends(
            low=NOTHING if self.low is None else max(self.low, NOTHING),
            high=None if self.high is None else max(self.high, NOTHING),
        )

    def at_most(self, limit: "Ends") -> "Ends":
        """The smaller of the two, at each end."""
        return Ends(low=least(self.low, limit.low), high=_least_high(self.high, limit.high))


def exactly(value: Fraction) -> Ends:
    """A value that is known."""
    return Ends(low=value, high=value)


def least(*lows: Fraction | None) -> Fraction | None:
    """The least of several lower ends; None where one has no limit."""
    known = [one for one in lows if one is not None]
    return min(known) if len(known) == len(lows) else None


def most(*highs: Fraction | None) -> Fraction | None:
    """The most of several upper ends; None where one has no limit."""
    known = [one for one in highs if one is not None]
    return max(known) if len(known) == len(highs) else None


def _least_high(*highs: Fraction | None) -> Fraction | None:
    return min((one for one in highs if one is not None), default=None)


def _added(one: Fraction | None, other: Fraction | None) -> Fraction | None:
    return None if one is None or other is None else one + other
