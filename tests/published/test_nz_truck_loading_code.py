"""Source: the official New Zealand truck loading code, a code of practice of the transport agency.

The shares and what chain and webbing count were read on the agency's pages; the multiples in one
summary by a trailer builder, not in the code.
"""

import csv
from dataclasses import replace
from fractions import Fraction
from pathlib import Path as FilePath

import pytest

from tests.securement.plans import (
    anchor,
    article,
    chain,
    force,
    found,
    length,
    plan,
    tie_down,
    value_of,
)
from triplog.securement.assess import assess
from triplog.securement.figures import share
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import Block, Direction, FrontStructure, Vehicle

DATA = FilePath(__file__).parent / "data"


def shares() -> list[dict[str, str]]:
    with (DATA / "performance_by_country.csv").open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["jurisdiction"] == "NZ"]


@pytest.mark.parametrize("row", shares(), ids=lambda row: row["direction"])
def test_the_shares_of_the_code_read(row: dict[str, str]) -> None:
    assert share(row["direction"], "figures_nz").value == Fraction(row["coefficient_g"])


def test_chain_counts_its_breaking_force_and_webbing_half_read() -> None:
    """Read, basic criteria: not more than the breaking force; not more than half of it."""
    assert share("rated-of-breaking-chain", "figures_nz").value == 1
    assert share("rated-of-breaking-webbing", "figures_nz").value == Fraction(1, 2)


def ten_tonnes(each: str, headboard: str | None) -> Finding:
    """10 t, 2 m high, under two chains."""
    by = "nothing" if headboard is None else "headboard"
    structure = None if headboard is None else FrontStructure(height=length(headboard))
    gear = [chain(f"C-{number}", breaking=force(each)) for number in (1, 2)]
    one = article(weighs="10 t", height=length("2 m"), blocked={Direction.FORWARD: Block(by=by)})
    ties = [tie_down(f"T{number}", gear=f"C-{number}") for number in (1, 2)]
    vehicle = Vehicle(front_structure=structure or "none")
    strong = [
        replace(anchor(f"{side}-T{n}"), breaking=force("50 t"))
        for side in ("L", "R")
        for n in (1, 2)
    ]
    whole = plan([one], gear, ties, anchors=strong, vehicle=vehicle, rules=("nz-code",))
    return found(assess(whole), "nz-code-multiple")


@pytest.mark.parametrize(
    ("headboard", "each", "together"),
    [(None, "10 t", 20), ("2 m", "5 t", 10), ("1 m", "7.5 t", 15)],
)
def test_ten_tonnes_need_two_chains_of_this_rating_printed(
    headboard: str | None, each: str, together: int
) -> None:
    """Printed in the summary: 2 x 10 t without a headboard, 2 x 5 t with one that holds the whole,
    2 x 7.5 t with one that holds the lower part."""
    finding = ten_tonnes(each, headboard)
    assert finding.verdict is Verdict.MEETS
    assert value_of(finding.required) == together == value_of(finding.provided)
    assert finding.citation.how_sure == "second-hand"
