"""A value with the unit it was given in, exact, with its SI value beside it.

Factors: 1 lb = 0.45359237 kg, 1 in = 25.4 mm, 1 mi = 1609.344 m (NIST SP 811, appendix B.8);
standard gravity 9.80665 m/s² (3rd CGPM, 1901) turns a rating marked in lb or kg into newtons.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Literal

STANDARD_GRAVITY_M_S2 = Fraction("9.80665")
_POUND_KG = Fraction("0.45359237")
_INCH_M = Fraction("0.0254")


class Dimension(StrEnum):
    """What a quantity measures. A rating is a force, though its label prints lb or kg."""

    MASS = "mass"
    LENGTH = "length"
    FORCE = "force"
    SPEED = "speed"
    TIME = "time"
    MOMENT = "moment"


class QuantityRefused(ValueError):
    """A text that is no quantity of the kind asked for; the message says what would be one.

    `why`: what is wrong with it, without the text and without what would be one.
    """

    def __init__(self, message: str, why: str) -> None:
        super().__init__(message)
        self.why = why


_MASS_KG: dict[str, Fraction] = {
    "kg": Fraction(1),
    "g": Fraction(1, 1000),
    "t": Fraction(1000),
    "lb": _POUND_KG,
}
_LENGTH_M: dict[str, Fraction] = {
    "mm": Fraction(1, 1000),
    "cm": Fraction(1, 100),
    "m": Fraction(1),
    "km": Fraction(1000),
    "in": _INCH_M,
    "ft": _INCH_M * 12,
    "yd": _INCH_M * 36,
    "mi": Fraction("1609.344"),
}
_FORCE_N: dict[str, Fraction] = {
    "N": Fraction(1),
    "daN": Fraction(10),
    "kN": Fraction(1000),
    **{unit: factor * STANDARD_GRAVITY_M_S2 for unit, factor in _MASS_KG.items() if unit != "g"},
}
UNITS: dict[Dimension, dict[str, Fraction]] = {
    Dimension.MASS: _MASS_KG,
    Dimension.LENGTH: _LENGTH_M,
    Dimension.FORCE: _FORCE_N,
    Dimension.SPEED: {
        "m/s": Fraction(1),
        "km/h": Fraction(1000, 3600),
        "mph": Fraction("1609.344") / 3600,
    },
    Dimension.TIME: {"s": Fraction(1), "min": Fraction(60), "h": Fraction(3600)},
    Dimension.MOMENT: {"Nm": Fraction(1), "kNm": Fraction(1000)},
}
SI_UNIT: dict[Dimension, str] = {
    Dimension.MASS: "kg",
    Dimension.LENGTH: "m",
    Dimension.FORCE: "N",
    Dimension.SPEED: "m/s",
    Dimension.TIME: "s",
    Dimension.MOMENT: "Nm",
}
US_UNITS = frozenset({"lb", "in", "ft", "yd", "mi", "mph"})

_SPELLINGS: dict[str, str] = {
    "lbs": "lb", "lbf": "lb", "pound": "lb", "pounds": "lb", "#": "lb",
    "kgs": "kg", "kgf": "kg", "kilo": "kg", "kilos": "kg", "tonne": "t", "tonnes": "t",
    "inch": "in", "inches": "in", '"': "in", "″": "in", "”": "in", "''": "in",
    "foot": "ft", "feet": "ft", "'": "ft", "′": "ft", "’": "ft",
    "mile": "mi", "miles": "mi", "yard": "yd", "yards": "yd",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "kph": "km/h", "kmh": "km/h", "mi/h": "mph",
    "hour": "h", "hours": "h", "hr": "h", "hrs": "h", "minute": "min", "minutes": "min",
    "n": "N", "kn": "kN", "dan": "daN",
}  # fmt: skip
EXAMPLES: dict[Dimension, str] = {
    Dimension.MASS: "8200 lb, 8,200 lb, 4.5 t or 2,800#",
    Dimension.LENGTH: "24 ft, 24', 8'6\", 8 ft 6 in, 1 3/4 in, 120 mm or 50 mi",
    Dimension.FORCE: "3300 lb, 1500 kg, 120 daN or 12 kN",
    Dimension.SPEED: "65 mph or 100 km/h",
    Dimension.TIME: "45 min or 3 h",
    Dimension.MOMENT: "12 kNm",
}
_WHOLE = r"\d{1,3}(?:,\d{3})+|\d+"
_NUMBER = re.compile(
    rf"(?:(?P<mixed>{_WHOLE})[ -]+)?(?P<top>\d+)/(?P<bottom>\d+)"
    rf"|(?P<plain>(?:{_WHOLE})(?:\.\d+)?|\.\d+)",
    re.ASCII,
)
_CHARACTERS_MAX = 60
_UNIT = re.compile(r"\s*(?P<unit>''|[A-Za-z]+(?:/[A-Za-z]+)?|[#\"'″′’”])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """An exact value in a unit. `unit` is one of `UNITS[dimension]`."""

    value: Fraction
    unit: str
    dimension: Dimension

    def __post_init__(self) -> None:
        assert self.unit in UNITS[self.dimension], f"{self.unit} does not measure {self.dimension}"

    @property
    def si(self) -> Fraction:
        """The value in kg, m, N, m/s, s or Nm."""
        if self.unit == SI_UNIT[self.dimension]:
            return self.value
        return self.value * UNITS[self.dimension][self.unit]

    @property
    def is_us(self) -> bool:
        """Whether the unit is one of the US customary ones."""
        return self.unit in US_UNITS

    def in_unit(self, unit: str) -> "Amount":
        """The same amount in another unit of its dimension, exactly."""
        return amount_of_si(self.si, unit, self.dimension)


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity(Amount):
    """An amount with `typed`, the text it was given as, kept letter for letter."""

    typed: str


def amount_of_si(si: Fraction, unit: str, dimension: Dimension) -> Amount:
    """The SI value expressed in `unit`, exactly."""
    if unit == SI_UNIT[dimension]:
        return Amount(value=si, unit=unit, dimension=dimension)
    return Amount(value=si / UNITS[dimension][unit], unit=unit, dimension=dimension)


def amount_worked_out(si: float, unit: str, dimension: Dimension) -> Amount:
    """A value from trigonometry or an estimate, in `unit`, kept to a billionth of it."""
    (top, bottom), factor = si.as_integer_ratio(), UNITS[dimension][unit]
    whole = _scaled(top * factor.denominator, bottom * factor.numerator, 9, "nearest")
    return Amount(value=Fraction(whole, 10**9), unit=unit, dimension=dimension)


def weight_n(mass: Amount) -> Fraction:
    """The force of standard gravity on a mass, in newtons."""
    assert mass.dimension is Dimension.MASS
    return mass.si * STANDARD_GRAVITY_M_S2


def parse(text: str, dimension: Dimension) -> Quantity:
    """Read one quantity of the kind asked for; zero is read, a negative value is refused.

    Raises QuantityRefused with a sentence that shows what would be accepted.
    """
    typed = text.strip()
    if len(typed) > _CHARACTERS_MAX:
        raise _refusal(typed[:_CHARACTERS_MAX], dimension, "it is longer than any quantity")
    rest = typed.replace("\u00a0", " ")
    if not rest:
        raise _refusal(typed, dimension, "nothing was given")
    if rest[0] in "-−–":
        raise _refusal(typed, dimension, "it is below zero")
    total_si = Fraction(0)
    largest_unit = ""
    while rest:
        number, unit, rest = _take(typed, rest, dimension)
        factor = UNITS[dimension][unit]
        if largest_unit and factor >= UNITS[dimension][largest_unit]:
            raise _refusal(typed, dimension, f"{unit} cannot follow {largest_unit}")
        total_si += number * factor
        largest_unit = largest_unit or unit
    value = total_si / UNITS[dimension][largest_unit]
    return Quantity(value=value, unit=largest_unit, dimension=dimension, typed=typed)


def _take(typed: str, rest: str, dimension: Dimension) -> tuple[Fraction, str, str]:
    """The first number and unit of `rest`, and what is left after them."""
    found = _NUMBER.match(rest)
    if found is None:
        raise _refusal(typed, dimension, "it does not start with a number")
    after = rest[found.end() :]
    if after[:1] == ",":
        raise _refusal(
            typed, dimension, "a comma is read as a thousands mark only before exactly three digits"
        )
    unit_found = _UNIT.match(after)
    if unit_found is None:
        why = "the unit is missing" if not after.strip() else "it cannot be read after the number"
        raise _refusal(typed, dimension, why)
    unit = _unit_named(typed, unit_found["unit"], dimension)
    return _number(typed, found, dimension), unit, after[unit_found.end() :].strip()


def _number(typed: str, found: "re.Match[str]", dimension: Dimension) -> Fraction:
    if found["plain"] is not None:
        return Fraction(found["plain"].replace(",", ""))
    if int(found["bottom"]) == 0:
        raise _refusal(typed, dimension, "a fraction cannot be over 0")
    whole = Fraction((found["mixed"] or "0").replace(",", ""))
    return whole + Fraction(int(found["top"]), int(found["bottom"]))


def _unit_named(typed: str, spelling: str, dimension: Dimension) -> str:
    known = UNITS[dimension]
    lowered = spelling.lower()
    if lowered in ("ton", "tons") or spelling == "T":
        raise _refusal(
            typed, dimension, "a ton may be short, long or metric: write lb, kg, or t for 1,000 kg"
        )
    for candidate in (spelling, _SPELLINGS.get(lowered), lowered):
        if candidate in known:
            assert candidate is not None
            return candidate
    raise _refusal(typed, dimension, f"{spelling!r} is no unit of {dimension}")


def _refusal(typed: str, dimension: Dimension, why: str) -> QuantityRefused:
    shown = f'"{typed}"' if typed else "an empty text"
    return QuantityRefused(
        f"{shown} cannot be read as a {dimension}: {why}. Write for example {EXAMPLES[dimension]}.",
        why,
    )


Rounding = Literal["up", "down", "nearest"]


def rounded(value: Fraction, decimals: int, rounding: Rounding) -> Fraction:
    """`value` at `decimals` places; up and down are towards more and less, nearest is half up."""
    return Fraction(_scaled(value.numerator, value.denominator, decimals, rounding), 10**decimals)


def _scaled(top: int, bottom: int, decimals: int, rounding: Rounding) -> int:
    """The whole number of units of the last place that `top` over `bottom` is rounded to."""
    top *= 10**decimals
    if rounding == "down":
        return top // bottom
    if rounding == "up":
        return -(-top // bottom)
    return (2 * top + bottom) // (2 * bottom)


def decimal_text(
    value: Fraction, decimals: int, rounding: Rounding, *, thousands: bool = True
) -> str:
    """`value` as decimal digits, with thousands marks unless told otherwise."""
    scaled = _scaled(value.numerator, value.denominator, decimals, rounding)
    digits = f"{abs(scaled):0{decimals + 1}d}"
    whole, part = (digits[:-decimals], digits[-decimals:]) if decimals else (digits, "")
    whole = f"{int(whole):,}" if thousands else whole
    sign = "-" if scaled < 0 else ""
    return f"{sign}{whole}.{part}" if part else f"{sign}{whole}"


def exact_text(value: Fraction, digits: int = 12) -> str:
    """A decimal text of `value`: exact where it ends, else `digits` significant digits, nearest."""
    bottom, twos, fives = value.denominator, 0, 0
    while bottom % 2 == 0:
        bottom, twos = bottom // 2, twos + 1
    while bottom % 5 == 0:
        bottom, fives = bottom // 5, fives + 1
    if bottom == 1:
        return decimal_text(value, max(twos, fives), "nearest", thousands=False)
    magnitude = len(str(abs(value.numerator) // value.denominator)) if abs(value) >= 1 else 0
    while abs(value) < Fraction(10) ** (magnitude - 1):
        magnitude -= 1
    return decimal_text(value, max(digits - magnitude, 0), "nearest", thousands=False)
