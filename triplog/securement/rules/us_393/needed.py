"""The number of tie-downs 49 CFR 393.110 asks for, from length, mass and blocking forward."""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.quantity import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """The least and the most tie-downs 393.110 may ask for; `high` None: no upper end known."""

    low: int
    high: int | None


def tie_downs_needed(
    length: Quantity | None,
    mass: Quantity | None,
    blocked_forward: bool | None,
    *,
    other_reading: bool = False,
) -> Need:
    """The number 393.110(b) and (c) ask for, over everything that is not known.

    Feet and pounds are compared with the printed feet and pounds, metres and kilograms with the
    printed metric figures; `other_reading` compares with the other column instead.
    """
    if blocked_forward is None:
        either = [
            tie_downs_needed(length, mass, answer, other_reading=other_reading)
            for answer in (True, False)
        ]
        highs = [need.high for need in either if need.high is not None]
        return Need(
            low=min(need.low for need in either),
            high=max(highs) if len(highs) == len(either) else None,
        )
    if length is None:
        shortest = count_figure("count-blocked")
        if not blocked_forward:
            heavy = mass is not None and not _within("count-light-mass-max", mass, other_reading)
            shortest = count_figure("count-short-heavy" if heavy else "count-short-light")
        return Need(low=shortest, high=None)
    if blocked_forward:
        every_m = _figure_si("count-blocked-length", length, other_reading)
        pieces = max(1, _whole_or_fraction(length.si / every_m))
        return _exactly(pieces * count_figure("count-blocked"))
    return _unblocked(length, mass, other_reading)


def _unblocked(length: Quantity, mass: Quantity | None, other_reading: bool) -> Need:
    if _within("count-short-length-max", length, other_reading):
        light, heavy = count_figure("count-short-light"), count_figure("count-short-heavy")
        if mass is None:
            return Need(low=light, high=heavy)
        return _exactly(light if _within("count-light-mass-max", mass, other_reading) else heavy)
    if _within("count-middle-length-max", length, other_reading):
        return _exactly(count_figure("count-middle"))
    further = further_pieces(length, other_reading)
    return _exactly(count_figure("count-long-first") + further * count_figure("count-further"))


def _exactly(number: int) -> Need:
    return Need(low=number, high=number)


def further_pieces(length: Quantity, other_reading: bool = False) -> int:
    """How many further lengths, or parts of one, lie beyond the first of 393.110(b)(3)."""
    beyond_m = length.si - _figure_si("count-middle-length-max", length, other_reading)
    return _whole_or_fraction(beyond_m / _figure_si("count-further-length", length, other_reading))


def _whole_or_fraction(pieces: Fraction) -> int:
    """Each whole piece and any fraction of one."""
    return -(-pieces.numerator // pieces.denominator)


def _within(figure_id: str, given: Quantity, other_reading: bool) -> bool:
    return given.si <= _figure_si(figure_id, given, other_reading)


def _figure_si(figure_id: str, given: Quantity, other_reading: bool) -> Fraction:
    us = given.is_us is not other_reading
    return figure(figure_id).amount(given.dimension, us=us).si


def count_figure(figure_id: str) -> int:
    """A printed number of tie-downs."""
    return int(figure(figure_id).value_us)
