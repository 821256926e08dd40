"""Printed numbers of lashings over the top (`data/top_over_examples.csv` names each source).

Source: rows M, a Polish trade article on cargo securing (23 May 2013), which compares EN
12195-1:2010, the edition of 2003 and VDI 2700 sheet 2; rows B, a German construction trade magazine
on anti-slip mats, after DIN EN 12195-1:2011-06. The column `inferred` names the inputs that the
source does not print: they were INFERRED from the answer or from the edition, so these rows check
the arithmetic and no more.
"""

import math
from fractions import Fraction

import pytest

from tests.published.tables import rows_of
from tests.published.worked_forms import blocking_needed_n, top_over_sliding_count
from triplog.securement.closed_form import count_needed, top_over_sliding_n, weight_force_n

EXAMPLES = rows_of("top_over_examples")
GRAVITY_M_S2 = 9.81


def unrounded(row: dict[str, str]) -> float:
    weight_n = weight_force_n(float(row["mass_kg"]), GRAVITY_M_S2)
    each_n = top_over_sliding_n(
        float(row["stf_dan"]) * 10,
        float(row["mu"]),
        math.radians(float(row["angle_deg"])),
        float(row["f_s"]),
        float(row["k"]),
    )
    return blocking_needed_n(weight_n, float(row["mu"]), float(row["c"])) / each_n


def last_digit(printed: str) -> float:
    """The worth of the last digit printed; the source cuts some numbers off and rounds others."""
    return float(Fraction(1, 10 ** len(printed.partition(".")[2])))


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["id"])
def test_the_printed_number_of_straps_is_ours(row: dict[str, str]) -> None:
    count = top_over_sliding_count(
        weight_n=weight_force_n(float(row["mass_kg"]), GRAVITY_M_S2),
        mu=float(row["mu"]),
        c=float(row["c"]),
        tension_n=float(row["stf_dan"]) * 10,
        angle_rad=math.radians(float(row["angle_deg"])),
        f_s=float(row["f_s"]),
        k=float(row["k"]),
    )
    assert count == int(row["printed_count"])
    assert count == count_needed(unrounded(row), 1.0)


@pytest.mark.parametrize(
    "row",
    [row for row in EXAMPLES if row["match"] == "exact" and row["printed"]],
    ids=lambda row: row["id"],
)
def test_the_printed_value_before_rounding_up_is_ours_to_its_last_digit(
    row: dict[str, str],
) -> None:
    assert unrounded(row) == pytest.approx(
        float(row["printed"]), abs=last_digit(row["printed"]) * 1.000001
    )


@pytest.mark.parametrize(("name", "ours"), [("M03", 5.7552), ("M08", 1.6350)])
def test_two_printed_values_are_slips_that_we_do_not_reproduce(name: str, ours: float) -> None:
    """5.75 and 1.638 are printed; the whole numbers that follow from them are the same."""
    row = next(one for one in EXAMPLES if one["id"] == name)
    assert unrounded(row) == pytest.approx(ours, abs=5e-5)
    assert unrounded(row) != pytest.approx(float(row["printed"]), abs=2e-3)
