"""Amounts as people read them: to the safe side, and never against the verdict."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triplog.securement.finding import Citation, Count, Finding, Scope, Verdict
from triplog.securement.quantity import Amount, Dimension, parse
from triplog.wording.amounts import (
    amount_text,
    comparison_texts,
    count_text,
    margin_text,
    measure_text,
)

FORCE = Dimension.FORCE


def pounds(value: Fraction | int) -> Amount:
    return Amount(value=Fraction(value), unit="lb", dimension=FORCE)


def compared(required: Fraction, provided: Fraction) -> Finding:
    return Finding(
        rule="house-combined",
        rule_set="house",
        about=("A",),
        verdict=Verdict.MEETS if provided >= required else Verdict.DOES_NOT_MEET,
        scope=Scope.COMMON_PRACTICE,
        citation=Citation(source="common practice", clause="", edition="", how_sure="no source"),
        required=pounds(required),
        provided=pounds(provided),
        margin=pounds(provided - required),
    )


def number(text: str) -> Fraction:
    return Fraction(text.removesuffix(" lb").replace(",", ""))


positive = st.fractions(min_value=0, max_value=200_000, max_denominator=10_000)


@given(required=positive, provided=positive)
def test_what_is_shown_never_contradicts_the_verdict(
    required: Fraction, provided: Fraction
) -> None:
    shown_required, shown_provided = map(number, comparison_texts(compared(required, provided)))
    assert (shown_provided >= shown_required) is (provided >= required)


@given(required=positive, provided=positive)
def test_a_shortfall_is_never_shown_smaller_than_it_is(
    required: Fraction, provided: Fraction
) -> None:
    margin = pounds(provided - required)
    shown = number(margin_text(margin))
    assert shown >= -margin.value if margin.value < 0 else shown <= margin.value


def test_half_a_pound_short_is_shown_as_short() -> None:
    finding = compared(Fraction(8200), Fraction("8199.777"))
    assert comparison_texts(finding) == ("8,200 lb", "8,199 lb")
    assert finding.margin is not None
    assert margin_text(finding.margin) == "1 lb"


def test_a_hair_above_is_shown_with_more_decimals() -> None:
    finding = compared(Fraction("100.2001"), Fraction("100.2002"))
    assert comparison_texts(finding) == ("100.2001 lb", "100.2002 lb")


@pytest.mark.parametrize(
    ("typed", "dimension", "shown"),
    [
        ("8'6\"", Dimension.LENGTH, "8'6\""),
        ("2,800#", Dimension.MASS, "2,800 lb"),
        ("4.5 t", Dimension.MASS, "4.5 t"),
    ],
)
def test_a_typed_length_stays_as_typed_and_a_mass_is_written_out(
    typed: str, dimension: Dimension, shown: str
) -> None:
    assert amount_text(parse(typed, dimension), "down") == shown


def test_inches_are_shown_as_fractions() -> None:
    limit = Amount(value=Fraction(11, 8), unit="in", dimension=Dimension.LENGTH)
    assert amount_text(limit, "down") == "1 3/8 in"


def test_the_other_unit_system_stands_beside_on_request() -> None:
    rating = parse("3300 lb", FORCE)
    assert amount_text(rating, "down", "si") == "3,300 lb (14.67 kN)"
    assert amount_text(rating, "down", "us") == "3,300 lb"
    assert measure_text(parse("1500 kg", Dimension.MASS), "down", "us") == "1,500 kg (3,306 lb)"


def test_one_thing_is_singular() -> None:
    assert count_text(Count(value=1, unit="tie-down")) == "1 tie-down"
    assert count_text(Count(value=0, unit="tie-down")) == "0 tie-downs"
