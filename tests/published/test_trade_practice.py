"""Figures the trade works with. Each is common practice, no source: no law and no table prints it.

They are check values for the sum of the house rule (the combined rating is at least the weight),
never figures the program looks up. Elsewhere other figures are printed for the same widths (2 in
about 3,330 lb, 4 in 5,400 lb): what is marked on the strap decides.
"""

import pytest

from tests.securement.plans import article, force, found, length, plan, strap, tie_down, value_of
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.rating import assembly_rating

# Width, tracer lines, rating marked. Common practice, no source.
COMMON_RATINGS = [
    ("1 in", None, "1000 lb"),
    ("2 in", None, "3335 lb"),
    ("3 in", 2, "5500 lb"),
    ("4 in", 2, "6600 lb"),
]


def combined(weighs: str, number: int, width: str, lines: int | None, wll: str) -> Finding:
    gear = [
        strap(f"S{count}", width=length(width), tracer_lines=lines, wll=wll)
        for count in range(number)
    ]
    ties = [tie_down(f"T{count}", gear=f"S{count}") for count in range(number)]
    return found(assess(plan([article(weighs=weighs)], gear, ties)), "house-combined")


@pytest.mark.parametrize(("width", "lines", "wll"), COMMON_RATINGS)
def test_a_common_strap_counts_what_is_marked_on_it(
    width: str, lines: int | None, wll: str
) -> None:
    """Common practice, no source."""
    gear = strap(width=length(width), tracer_lines=lines, wll=wll)
    tie = tie_down()
    whole = plan([article()], [gear], [tie])
    assert assembly_rating(tie, whole, us=True).worst == force(wll)


@pytest.mark.parametrize(
    ("number", "width", "lines", "wll", "together_lb"),
    [(3, "3 in", 2, "5500 lb", 16_500), (5, "2 in", None, "3335 lb", 16_675)],
)
def test_16000_lb_takes_three_3_in_or_five_2_in_straps_and_not_one_fewer(
    number: int, width: str, lines: int | None, wll: str, together_lb: int
) -> None:
    """Common practice, no source: the combined rating equals or exceeds the weight."""
    enough = combined("16000 lb", number, width, lines, wll)
    assert enough.verdict is Verdict.MEETS
    assert value_of(enough.provided) == together_lb
    assert enough.scope is Scope.COMMON_PRACTICE
    assert enough.citation.how_sure == "no source"
    one_fewer = combined("16000 lb", number - 1, width, lines, wll)
    assert one_fewer.verdict is Verdict.DOES_NOT_MEET


def test_the_combined_rating_may_equal_the_weight() -> None:
    """Common practice, no source: equal or exceed."""
    assert combined("16500 lb", 3, "3 in", 2, "5500 lb").verdict is Verdict.MEETS
    assert combined("16501 lb", 3, "3 in", 2, "5500 lb").verdict is Verdict.DOES_NOT_MEET


@pytest.mark.parametrize("lines", [None, 1, 2])
def test_a_tracer_line_is_a_hint_and_never_a_rating(lines: int | None) -> None:
    """Common practice, no source; unmarked 4 in webbing counts by the table of 393.108."""
    gear = strap(width=length("4 in"), wll=None, tracer_lines=lines)
    tie = tie_down()
    whole = plan([article()], [gear], [tie])
    assert assembly_rating(tie, whole, us=True).worst.value == 4_000
