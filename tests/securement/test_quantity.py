"""Quantities: what is read, what is refused with a hint, and that nothing is lost on the way."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triplog.securement.quantity import (
    UNITS,
    Amount,
    Dimension,
    QuantityRefused,
    Rounding,
    amount_of_si,
    decimal_text,
    exact_text,
    parse,
    rounded,
    weight_n,
)

MASS, LENGTH, FORCE = Dimension.MASS, Dimension.LENGTH, Dimension.FORCE
SPEED, TIME = Dimension.SPEED, Dimension.TIME
FOOT_M, INCH_M = Fraction("0.3048"), Fraction("0.0254")
POUND_KG = Fraction("0.45359237")


@pytest.mark.parametrize(
    ("text", "dimension", "value", "unit"),
    [
        ("8200 lb", MASS, 8200, "lb"),
        ("8,200 lb", MASS, 8200, "lb"),
        ("1,234,567.5 lb", MASS, Fraction("1234567.5"), "lb"),
        ("2,800#", MASS, 2800, "lb"),
        ("8200lbs", MASS, 8200, "lb"),
        ("8200 Pounds", MASS, 8200, "lb"),
        ("4.5 t", MASS, Fraction("4.5"), "t"),
        (".5 t", MASS, Fraction("0.5"), "t"),
        ("4 tonnes", MASS, 4, "t"),
        ("500 KG", MASS, 500, "kg"),
        ("0 lb", MASS, 0, "lb"),
        ("24'", LENGTH, 24, "ft"),
        ("24 feet", LENGTH, 24, "ft"),
        ("8'6\"", LENGTH, Fraction("8.5"), "ft"),
        ("8' 6\"", LENGTH, Fraction("8.5"), "ft"),
        ("8′6″", LENGTH, Fraction("8.5"), "ft"),
        ("8’6”", LENGTH, Fraction("8.5"), "ft"),
        ("8'6''", LENGTH, Fraction("8.5"), "ft"),
        ("8 ft 6 in", LENGTH, Fraction("8.5"), "ft"),
        ("8 ft 6 1/2 in", LENGTH, Fraction(205, 24), "ft"),
        ("8 m 50 cm", LENGTH, Fraction("8.5"), "m"),
        ("1 3/4 in", LENGTH, Fraction(7, 4), "in"),
        ("1-3/4 in", LENGTH, Fraction(7, 4), "in"),
        ('3/16"', LENGTH, Fraction(3, 16), "in"),
        ("50 mi", LENGTH, 50, "mi"),
        ("120 mm", LENGTH, 120, "mm"),
        ("5\u00a0ft", LENGTH, 5, "ft"),
        ("  5 ft ", LENGTH, 5, "ft"),
        ("120 daN", FORCE, 120, "daN"),
        ("120 dan", FORCE, 120, "daN"),
        ("12 kN", FORCE, 12, "kN"),
        ("3300 lb", FORCE, 3300, "lb"),
        ("1.5 t", FORCE, Fraction("1.5"), "t"),
        ("65 mph", SPEED, 65, "mph"),
        ("100 km/h", SPEED, 100, "km/h"),
        ("100 kph", SPEED, 100, "km/h"),
        ("2 h 18 min", TIME, Fraction("2.3"), "h"),
        ("45 minutes", TIME, 45, "min"),
    ],
)
def test_a_quantity_is_read_as_people_write_it(
    text: str, dimension: Dimension, value: Fraction, unit: str
) -> None:
    quantity = parse(text, dimension)
    assert (quantity.value, quantity.unit, quantity.dimension) == (value, unit, dimension)


def test_what_was_typed_is_kept_letter_for_letter() -> None:
    assert parse(" 2,800# ", MASS).typed == "2,800#"
    assert parse("8'6\"", LENGTH).typed == "8'6\""


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("1 lb", MASS, POUND_KG),
        ("4.5 t", MASS, Fraction(4500)),
        ("8'6\"", LENGTH, Fraction("2.5908")),
        ("1 3/4 in", LENGTH, Fraction("0.04445")),
        ("1 lb", FORCE, Fraction("4.4482216152605")),
        ("1 daN", FORCE, Fraction(10)),
        ("1/3 ft", LENGTH, FOOT_M / 3),
        ("36 km/h", SPEED, Fraction(10)),
        ("3 h", TIME, Fraction(10800)),
    ],
)
def test_the_si_value_is_exact(text: str, dimension: Dimension, si: Fraction) -> None:
    assert parse(text, dimension).si == si


@pytest.mark.parametrize(
    ("text", "dimension", "why"),
    [
        ("", MASS, "nothing was given"),
        ("   ", MASS, "nothing was given"),
        ("6200", MASS, "the unit is missing"),
        ("6200 ", MASS, "the unit is missing"),
        ("lb", MASS, "does not start with a number"),
        ("about 5 lb", MASS, "does not start with a number"),
        ("\u0665 lb", MASS, "does not start with a number"),
        ("5\u0660 lb", MASS, "cannot be read after the number"),
        ("1/\u0662 in", LENGTH, "cannot be read after the number"),
        ("-5 lb", MASS, "below zero"),
        ("−5 lb", MASS, "below zero"),
        ("5 ton", MASS, "short, long or metric"),
        ("5 tons", MASS, "short, long or metric"),
        ("5 T", MASS, "short, long or metric"),
        ("5 stone", MASS, "'stone' is no unit of mass"),
        ("5 ft", MASS, "'ft' is no unit of mass"),
        ("5 MN", FORCE, "'MN' is no unit of force"),
        ("4,5 t", MASS, "thousands mark"),
        ("12,34 lb", MASS, "thousands mark"),
        ("1,2345 lb", MASS, "after the number"),
        ("1 2 in", LENGTH, "after the number"),
        ("1.2.3 in", LENGTH, "after the number"),
        ("1/0 in", LENGTH, "cannot be over 0"),
        ("6 in 8 ft", LENGTH, "ft cannot follow in"),
        ("6 ft 6 ft", LENGTH, "ft cannot follow ft"),
        ("8 ft -6 in", LENGTH, "does not start with a number"),
        ("8 ft 6", LENGTH, "the unit is missing"),
        ("1e3 lb", MASS, "'e' is no unit"),
        ("9" * 5000 + " lb", MASS, "longer than any quantity"),
    ],
)
def test_a_refusal_says_why_and_what_would_be_read(
    text: str, dimension: Dimension, why: str
) -> None:
    with pytest.raises(QuantityRefused) as caught:
        parse(text, dimension)
    sentence = str(caught.value)
    assert why in sentence
    assert "Write for example" in sentence
    assert len(sentence) < 250


@pytest.mark.parametrize("dimension", list(Dimension))
def test_each_example_of_a_refusal_is_itself_read(dimension: Dimension) -> None:
    with pytest.raises(QuantityRefused) as caught:
        parse("?", dimension)
    examples = str(caught.value).split("Write for example ")[1].rstrip(".")
    for example in examples.replace(" or ", ", ").split(", "):
        assert parse(example, dimension).si > 0


DECIMALS = st.decimals(min_value=0, max_value=10**9, places=4).map(Fraction)
UNIT = st.sampled_from([(dimension, unit) for dimension in Dimension for unit in UNITS[dimension]])


@given(DECIMALS, UNIT)
def test_what_is_shown_exactly_reads_back_the_same(
    value: Fraction, measured: tuple[Dimension, str]
) -> None:
    dimension, unit = measured
    for text in (exact_text(value), decimal_text(value, 4, "nearest")):
        quantity = parse(f"{text} {unit}", dimension)
        assert (quantity.value, quantity.unit) == (value, unit)


@given(st.integers(0, 99_999), st.integers(0, 63), st.integers(1, 64))
def test_mixed_fractions_are_exact(whole: int, top: int, bottom: int) -> None:
    expected = whole + Fraction(top, bottom)
    assert parse(f"{whole} {top}/{bottom} in", LENGTH).value == expected
    assert parse(f"{whole:,} {top}/{bottom} in", LENGTH).value == expected


@given(st.integers(0, 999), st.integers(0, 11), st.integers(0, 15))
def test_feet_and_inches_add_up_exactly(feet: int, inches: int, sixteenths: int) -> None:
    expected = feet * FOOT_M + (inches + Fraction(sixteenths, 16)) * INCH_M
    assert parse(f"{feet}' {inches} {sixteenths}/16\"", LENGTH).si == expected
    assert parse(f"{feet} ft {inches} {sixteenths}/16 in", LENGTH).si == expected


@given(st.integers(0, 10**12))
def test_thousands_marks_change_nothing(value: int) -> None:
    assert parse(f"{value:,} lb", MASS).value == parse(f"{value} lb", MASS).value == value


@given(st.fractions(min_value=0, max_value=10**6), UNIT, st.data())
def test_going_to_another_unit_and_back_loses_nothing(
    value: Fraction, measured: tuple[Dimension, str], data: st.DataObject
) -> None:
    dimension, unit = measured
    amount = Amount(value=value, unit=unit, dimension=dimension)
    other = data.draw(st.sampled_from(sorted(UNITS[dimension])))
    there = amount.in_unit(other)
    assert there.si == amount.si
    assert there.in_unit(unit) == amount == amount_of_si(amount.si, unit, dimension)


@given(st.text(max_size=30), st.sampled_from(list(Dimension)))
def test_any_text_is_read_or_refused_in_a_sentence(text: str, dimension: Dimension) -> None:
    try:
        assert parse(text, dimension).value >= 0
    except QuantityRefused as refusal:
        assert "Write for example" in str(refusal)


@given(st.fractions(), st.integers(0, 6))
def test_rounding_goes_the_way_it_says_and_never_further_than_a_step(
    value: Fraction, decimals: int
) -> None:
    step = Fraction(1, 10**decimals)
    down, up, nearest = (rounded(value, decimals, way) for way in ("down", "up", "nearest"))
    assert value - step < down <= value <= up < value + step
    assert abs(nearest - value) <= step / 2
    assert nearest in (down, up)
    assert all((one / step).denominator == 1 for one in (down, up, nearest))


@pytest.mark.parametrize(
    ("value", "decimals", "rounding", "text"),
    [
        (Fraction("8199.5"), 0, "down", "8,199"),
        (Fraction("8199.5"), 0, "up", "8,200"),
        (Fraction("8199.5"), 0, "nearest", "8,200"),
        (Fraction("-1234.56"), 1, "nearest", "-1,234.6"),
        (Fraction("0.05"), 2, "nearest", "0.05"),
        (Fraction("-0.001"), 2, "nearest", "0.00"),
        (Fraction(2, 3), 3, "down", "0.666"),
    ],
)
def test_a_decimal_text_is_rounded_as_asked(
    value: Fraction, decimals: int, rounding: Rounding, text: str
) -> None:
    assert decimal_text(value, decimals, rounding) == text


def test_thousands_marks_can_be_left_out() -> None:
    assert decimal_text(Fraction(12345678), 0, "nearest", thousands=False) == "12345678"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Fraction(3100), "3100"),
        (Fraction("13789.48700730755"), "13789.48700730755"),
        (Fraction(0), "0"),
        (Fraction(-1, 8), "-0.125"),
        (Fraction(1, 3), "0.333333333333"),
        (Fraction(-200, 3), "-66.6666666667"),
        (Fraction(1, 3000), "0.000333333333333"),
        (Fraction(10**13, 3), "3333333333333"),
    ],
)
def test_an_exact_text_ends_where_the_value_ends_and_else_at_twelve_digits(
    value: Fraction, text: str
) -> None:
    assert exact_text(value) == text


def test_a_rating_in_pounds_and_a_weight_in_pounds_are_compared_as_forces() -> None:
    assert weight_n(parse("3,300 lb", MASS)) == parse("3300 lb", FORCE).si
    assert weight_n(parse("1 t", MASS)) == parse("1000 kg", FORCE).si


def test_the_unit_system_of_an_amount_is_that_of_its_unit() -> None:
    assert parse("5 ft", LENGTH).is_us and parse("5 lb", FORCE).is_us
    assert not parse("5 m", LENGTH).is_us and not parse("5 daN", FORCE).is_us
