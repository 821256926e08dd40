"""The number of tie-downs 49 CFR 393.110 asks for, from length, mass and blocking forward.

NSC Standard 10 s.22 of Canada asks the same way with figures of its own.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from triplog.securement.figures import figure
from triplog.securement.quantity import Amount, Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """The least and the most tie-downs 393.110 may ask for; `high` None: no upper end known."""

    low: int
    high: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CountFigures:
    """The table the figures stand in, and the column that a length or mass is compared with.

    *given* is the column of the unit system it was given in, *other* the other one.
    """

    table: str = "figures_us"
    column: Literal["given", "other", "metric", "feet"] = "given"

    def number(self, figure_id: str) -> int:
        """A printed number of tie-downs."""
        return int(figure(figure_id, self.table).value_us)

    def limit(self, figure_id: str, given: Quantity) -> Amount:
        """The printed limit that a length or mass is compared with."""
        us = {"given": given.is_us, "other": not given.is_us, "metric": False, "feet": True}
        return figure(figure_id, self.table).amount(given.dimension, us=us[self.column])


UNITED_STATES = CountFigures()


def tie_downs_needed(
    length: Quantity | None,
    mass: Quantity | None,
    blocked_forward: bool | None,
    figures: CountFigures = UNITED_STATES,
) -> Need:
    """The number 393.110(b) and (c) ask for, over everything that is not known.

    Feet and pounds are compared with the printed feet and pounds, metres and kilograms with the
    printed metric figures, unless `figures` says otherwise.
    """
    if blocked_forward is None:
        either = [tie_downs_needed(length, mass, answer, figures) for answer in (True, False)]
        highs = [need.high for need in either if need.high is not None]
        return Need(
            low=min(need.low for need in either),
            high=max(highs) if len(highs) == len(either) else None,
        )
    if length is None:
        shortest = figures.number("count-blocked")
        if not blocked_forward:
            heavy = mass is not None and not _within("count-light-mass-max", mass, figures)
            shortest = figures.number("count-short-heavy" if heavy else "count-short-light")
        return Need(low=shortest, high=None)
    if blocked_forward:
        every_m = figures.limit("count-blocked-length", length).si
        pieces = max(1, _whole_or_fraction(length.si / every_m))
        return _exactly(pieces * figures.number("count-blocked"))
    return _unblocked(length, mass, figures)


def _unblocked(length: Quantity, mass: Quantity | None, figures: CountFigures) -> Need:
    if _within("count-short-length-max", length, figures):
        light, heavy = figures.number("count-short-light"), figures.number("count-short-heavy")
        if mass is None:
            return Need(low=light, high=heavy)
        return _exactly(light if _within("count-light-mass-max", mass, figures) else heavy)
    if _within("count-middle-length-max", length, figures):
        return _exactly(figures.number("count-middle"))
    further = further_pieces(length, figures)
    return _exactly(figures.number("count-long-first") + further * figures.number("count-further"))


def _exactly(number: int) -> Need:
    return Need(low=number, high=number)


def further_pieces(length: Quantity, figures: CountFigures = UNITED_STATES) -> int:
    """How many further lengths, or parts of one, lie beyond the first of 393.110(b)(3)."""
    beyond_m = length.si - figures.limit("count-middle-length-max", length).si
    return _whole_or_fraction(beyond_m / figures.limit("count-further-length", length).si)


def _whole_or_fraction(pieces: Fraction) -> int:
    """Each whole piece and any fraction of one."""
    return -(-pieces.numerator // pieces.denominator)


def _within(figure_id: str, given: Quantity, figures: CountFigures) -> bool:
    return given.si <= figures.limit(figure_id, given).si
