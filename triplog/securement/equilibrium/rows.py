"""The two sums the simplex spends its time on.

A body alone has six rows; for six both are written out, which takes half the time of a loop.
"""

from collections.abc import Iterable, Sequence
from operator import mul

Row = list[float]


def products(row: Sequence[float], others: Iterable[Sequence[float]]) -> Row:
    """The sum of products of a row with each of the others."""
    if len(row) == 6:
        one, two, three, four, five, six = row
        return [
            one * a + two * b + three * c + four * d + five * e + six * f
            for a, b, c, d, e, f in others
        ]
    return [sum(map(mul, row, other)) for other in others]


def without(row: Sequence[float], share: float, key: Sequence[float]) -> Row:
    """A row less so much of the key row."""
    if len(row) == 6:
        a, b, c, d, e, f = row
        one, two, three, four, five, six = key
        return [
            a - share * one,
            b - share * two,
            c - share * three,
            d - share * four,
            e - share * five,
            f - share * six,
        ]
    return [entry - share * part for entry, part in zip(row, key, strict=True)]
