"""Findings as a judgement recorded them, read back as values in the reader's units."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from triplog.securement.finding import (
    Citation,
    Count,
    Finding,
    Measure,
    Missing,
    Scope,
    Verdict,
)
from triplog.securement.quantity import SI_UNIT, Amount, Dimension
from triplog.wording.amounts import Units

UNIT: dict[Units, dict[Dimension, str]] = {
    "us": {Dimension.MASS: "lb", Dimension.FORCE: "lb", Dimension.LENGTH: "ft"},
    "si": {Dimension.MASS: "kg", Dimension.FORCE: "kg", Dimension.LENGTH: "m"},
}
"""What worked-out figures are shown in. A rating in kg, as 49 CFR 393.108 prints it beside lb."""
_MEASURED_IN = {unit: dimension for dimension, unit in SI_UNIT.items()}


def findings_in(document: Mapping[str, Any], units: Units) -> tuple[Finding, ...]:
    """The findings of a findings file; without the inputs, sums and mends it has as sentences."""
    return tuple(
        Finding(
            rule=one["rule"],
            rule_set=one["rule_set"],
            about=tuple(one["about"]),
            verdict=Verdict(one["verdict"]),
            scope=Scope(one["scope"]),
            citation=Citation(**one["citation"]),
            required=_measure(one["required"], units),
            provided=_measure(one["provided"], units),
            unknown=tuple(_missing(text) for text in one["unknown"]),
        )
        for one in document.get("findings", [])
    )


def body_ratings(document: Mapping[str, Any]) -> dict[str, tuple[str | None, str]]:
    """For each tie-down the rating of its webbing, chain or rope alone, with its basis.

    The rating is None where neither a marking nor a table gives one.
    """
    return {
        one["about"][0]: (part["value"], part["basis"])
        for one in document.get("findings", [])
        if one["rule"] == "us-393.108-rating"
        for part in one["inputs"]
        if part["name"] == "body rating"
    }


def in_first_units(amount: Amount, units: Units) -> Amount:
    """The amount as it stands where its unit is one of the reader's, else in theirs."""
    if amount.is_us is (units == "us"):
        return amount
    return amount.in_unit(UNIT[units][amount.dimension])


def _measure(recorded: Mapping[str, str] | None, units: Units) -> Measure | None:
    if recorded is None:
        return None
    value, unit = Fraction(recorded["value"]), recorded["unit"]
    if "si_unit" not in recorded:
        return Count(value=int(value), unit=unit)
    dimension = _MEASURED_IN[recorded["si_unit"]]
    return in_first_units(Amount(value=value, unit=unit, dimension=dimension), units)


def _missing(text: str) -> Missing:
    about, _, field = text.partition(" ")
    return Missing(field=field, about=about)
