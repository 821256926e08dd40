"""A force or a friction at both ends of what is not known of it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """From `low` to `high`; `high` None: nothing known limits it."""

    low: float
    high: float | None

    @property
    def known(self) -> bool:
        """Whether both ends are the same."""
        return self.low == self.high

    def capped(self, cap: "Span") -> "Span":
        """The lesser of two, end by end."""
        highs = [one for one in (self.high, cap.high) if one is not None]
        return Span(low=min(self.low, cap.low), high=min(highs, default=None))

    def times(self, factor: float) -> "Span":
        """Each end times a factor not below zero."""
        return Span(low=self.low * factor, high=None if self.high is None else self.high * factor)


def exactly(value: float) -> Span:
    """A value that is known."""
    return Span(low=value, high=value)


NOTHING = exactly(0.0)
ANYTHING = Span(low=0.0, high=None)


def total(spans: list[Span]) -> Span:
    """The sum, end by end."""
    highs = [one.high for one in spans if one.high is not None]
    return Span(
        low=sum(one.low for one in spans), high=sum(highs) if len(highs) == len(spans) else None
    )
