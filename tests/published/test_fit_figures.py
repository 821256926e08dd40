"""The figures of the rule set `fit`, row by row, with where each comes from.

- Two wraps on the drum: a webbing supplier's sheet, second-hand.
- One lashing on one attachment point, no sheeting or rope hooks: "Securing loads on HGVs and goods
  vehicles", guide of the government of the United Kingdom, section 4, revision of December 2024.
- No chain and webbing in parallel: makers' strap instructions, second-hand.
- 35 degrees for friction lashing: a public German glossary, second-hand.
- A friction of 1.5 at most: a line of this program's own; the highest published row is 0.7.
- 10,000 lb for chain on machines: common practice, no source; the line is that of 49 CFR 393.130.
- The length of a wrap and of a tail: assumptions of this program, published nowhere.
"""

from fractions import Fraction

import pytest

from triplog.securement.figures import open_rows
from triplog.securement.rules.fit.sources import fit_figure

ROWS = [
    ("wraps-min", 2, 2, "second-hand"),
    ("wrap-length-ratchet", 4, 100, "no source"),
    ("wrap-length-winch", 8, 200, "no source"),
    ("tail-length", 12, 300, "no source"),
    ("stiffness-kinds-max", 1, 1, "second-hand"),
    ("lashings-per-point-max", 1, 1, "read"),
    ("over-angle-min", 35, 35, "second-hand"),
    ("friction-max", Fraction(3, 2), Fraction(3, 2), "no source"),
    ("chain-machine-mass-min", 10_000, 4_536, "no source"),
]


@pytest.mark.parametrize(("name", "us", "si", "how_sure"), ROWS)
def test_a_figure_stands_as_its_source_gives_it(
    name: str, us: Fraction | int, si: Fraction | int, how_sure: str
) -> None:
    figure = fit_figure(name)
    assert (figure.value_us, figure.value_si) == (Fraction(us), Fraction(si))
    assert figure.citation.how_sure == how_sure


def test_no_figure_is_left_out_here() -> None:
    assert [row.cells["figure"] for row in open_rows("figures_fit")] == [row[0] for row in ROWS]
