"""Amounts as people read them, rounded to the cautious side and never against the verdict."""

from fractions import Fraction
from typing import Literal

from triplog.securement.finding import Count, Finding, Measure, Verdict
from triplog.securement.quantity import (
    Amount,
    Dimension,
    Quantity,
    Rounding,
    decimal_text,
    rounded,
)

Units = Literal["us", "si"]

_DECIMALS = {"t": 2, "kN": 2, "kNm": 2, "m": 2, "ft": 2, "in": 2, "mi": 1, "km": 1}
_BESIDE: dict[Units, dict[Dimension, str]] = {
    "us": {Dimension.MASS: "lb", Dimension.FORCE: "lb", Dimension.LENGTH: "ft"},
    "si": {Dimension.MASS: "kg", Dimension.FORCE: "kN", Dimension.LENGTH: "m"},
}
_EXACT_DECIMALS_MAX = 2
_INCH_FRACTIONS = frozenset({2, 4, 8, 16, 32})


def amount_text(
    amount: Amount, rounding: Rounding, units: Units | None = None, decimals: int | None = None
) -> str:
    """The amount in its own unit, and in brackets in the other system if `units` asks for it.

    A length that was typed stays as typed. A value that ends within two decimals is shown whole.
    """
    if isinstance(amount, Quantity) and amount.dimension is Dimension.LENGTH:
        text = amount.typed
    else:
        text = f"{_number_text(amount, rounding, decimals)} {amount.unit}"
    return text + _beside(amount, rounding, units)


def _number_text(amount: Amount, rounding: Rounding, decimals: int | None) -> str:
    if amount.unit == "in" and amount.value > 0 and amount.value.denominator in _INCH_FRACTIONS:
        whole, part = divmod(amount.value, 1)
        return " ".join(str(one) for one in (whole, part) if one)
    for exact in range(_EXACT_DECIMALS_MAX + 1):
        if 10**exact % amount.value.denominator == 0:
            return decimal_text(amount.value, exact, "nearest")
    places = _DECIMALS.get(amount.unit, 0) if decimals is None else decimals
    return decimal_text(amount.value, places, rounding)


def _beside(amount: Amount, rounding: Rounding, units: Units | None) -> str:
    if units is None or amount.dimension not in _BESIDE[units]:
        return ""
    if (units == "us") is amount.is_us:
        return ""
    other = amount.in_unit(_BESIDE[units][amount.dimension])
    return f" ({_number_text(other, rounding, None)} {other.unit})"


def count_text(count: Count) -> str:
    """The number with its noun, as "1 tie-down", "3 tie-downs"."""
    noun = count.unit if abs(count.value) == 1 else f"{count.unit}s"
    return f"{count.value:,} {noun}"


def measure_text(measure: Measure, rounding: Rounding, units: Units | None = None) -> str:
    """A count or an amount as text."""
    if isinstance(measure, Count):
        return count_text(measure)
    return amount_text(measure, rounding, units)


def comparison_texts(finding: Finding, units: Units | None = None) -> tuple[str, str]:
    """Required (rounded up) and provided (rounded down), "" where either is not known.

    Where that would show a plan that meets as short, more decimals are shown until it does not.
    """
    required, provided = finding.required, finding.provided
    if isinstance(required, Amount) and isinstance(provided, Amount):
        decimals = _decimals_that_agree(finding.verdict, required, provided)
        rounding: Rounding = "nearest" if required.si == provided.si else "up"
        return (
            amount_text(required, rounding, units, decimals),
            amount_text(provided, "down" if rounding == "up" else rounding, units, decimals),
        )
    return (
        "" if required is None else measure_text(required, "up", units),
        "" if provided is None else measure_text(provided, "down", units),
    )


def _decimals_that_agree(verdict: Verdict, required: Amount, provided: Amount) -> int | None:
    if verdict is not Verdict.MEETS or provided.si <= required.si:
        return None
    there = provided.in_unit(required.unit).value
    decimals = _DECIMALS.get(required.unit, 0)
    while rounded(there, decimals, "down") < rounded(required.value, decimals, "up"):
        decimals += 1
    return decimals


def margin_text(margin: Measure, units: Units | None = None) -> str:
    """The size of a margin: a shortfall rounded up, what is to spare rounded down."""
    if isinstance(margin, Count):
        return count_text(Count(value=abs(margin.value), unit=margin.unit))
    size = Amount(value=abs(margin.value), unit=margin.unit, dimension=margin.dimension)
    if margin.value >= 0:
        return amount_text(size, "down", units)
    decimals = _DECIMALS.get(size.unit, 0)
    return amount_text(size, "up", units, decimals)


def is_zero(measure: Measure) -> bool:
    """Whether nothing is there."""
    return (measure.value if isinstance(measure, Count) else measure.si) == Fraction(0)
