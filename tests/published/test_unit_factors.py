"""Unit factors against print.

NIST Special Publication 811 (2008 edition), Guide for the Use of the International System of
Units, appendix B.8: factors to SI as printed, seven significant digits. Values from memory.
3rd General Conference on Weights and Measures (CGPM), 1901: standard gravity 9.80665 m/s²,
reprinted in the SI Brochure; value from memory.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from triplog.securement.quantity import (
    STANDARD_GRAVITY_M_S2,
    UNITS,
    Dimension,
    parse,
    weight_n,
)

# unit, dimension, printed factor; exact where the print is bold there, else rounded to its digits.
PRINTED = [
    ("lb", Dimension.MASS, "4.535924E-01", False),
    ("t", Dimension.MASS, "1.0E+03", True),
    ("g", Dimension.MASS, "1.0E-03", True),
    ("in", Dimension.LENGTH, "2.54E-02", True),
    ("ft", Dimension.LENGTH, "3.048E-01", True),
    ("yd", Dimension.LENGTH, "9.144E-01", True),
    ("mi", Dimension.LENGTH, "1.609344E+03", True),
    ("lb", Dimension.FORCE, "4.448222E+00", False),
    ("kg", Dimension.FORCE, "9.80665E+00", True),
    ("mph", Dimension.SPEED, "4.4704E-01", True),
    ("km/h", Dimension.SPEED, "2.777778E-01", False),
    ("min", Dimension.TIME, "6.0E+01", True),
    ("h", Dimension.TIME, "3.6E+03", True),
]


@pytest.mark.parametrize(("unit", "dimension", "printed", "exact"), PRINTED)
def test_each_factor_is_the_printed_one(
    unit: str, dimension: Dimension, printed: str, exact: bool
) -> None:
    """NIST SP 811, appendix B.8 (from memory)."""
    factor = UNITS[dimension][unit]
    expected = Fraction(Decimal(printed))
    half_of_the_last_digit = Fraction(10) ** (Decimal(printed).adjusted() - 6) / 2
    assert abs(factor - expected) <= (0 if exact else half_of_the_last_digit)


def test_the_pound_is_exactly_the_agreed_one() -> None:
    """NIST SP 811, appendix B, footnote to the pound: 0.453 592 37 kg exactly (from memory)."""
    assert parse("1 lb", Dimension.MASS).si == Fraction(45359237, 10**8)


def test_standard_gravity_is_that_of_1901() -> None:
    """3rd CGPM, 1901: 9.80665 m/s² (from memory)."""
    assert Fraction(980665, 10**5) == STANDARD_GRAVITY_M_S2
    assert weight_n(parse("1 kg", Dimension.MASS)) == Fraction(980665, 10**5)


def test_a_pound_of_force_is_the_weight_of_a_pound() -> None:
    """NIST SP 811, appendix B.8: 1 lbf = 4.448 221 615 260 5 N exactly (from memory)."""
    assert parse("1 lbf", Dimension.FORCE).si == Fraction("4.4482216152605")
    assert weight_n(parse("1 lb", Dimension.MASS)) == parse("1 lb", Dimension.FORCE).si
