"""The share of its weight a load is held against, country by country, beside what the program uses.

Source: named in each row of `data/performance_by_country.csv` (V1 read, V2 second-hand, M from
memory). The rows the program holds no figure for are listed, so that none is lost.
"""

from fractions import Fraction

import pytest

from tests.published.tables import rows_of
from triplog.securement.figures import figure, share

ROWS = rows_of("performance_by_country")
LEVEL = ("forward", "rearward", "sideways")
COUNTRY = ("AU", "NZ")
# The directive's annex points to EN 12195-1, and the Swedish regulation prints the same.
EUROPE = {
    ("EU", "forward"): ("c-forward",),
    ("EU", "rearward"): ("c-rearward",),
    ("EU", "sideways"): ("c-sideways", "c-sideways-tip-stf"),
    ("EU", "tilt"): ("c-sideways-tip", "c-sideways-tip-lc"),
    ("SE", "forward"): ("c-forward",),
    ("SE", "rearward and sideways"): ("c-rearward", "c-sideways"),
}
CANADA = {
    "forward": "share-forward",
    "rearward": "share-rearward",
    "sideways": "share-lateral",
    "down (securement force)": "down-share",
}
# No rule set of ours judges by these.
NOT_HELD = {
    *(("GB", way) for way in LEVEL),
    ("NO", "forward"),
    ("NO", "rearward and sideways"),
}


def key_of(row: dict[str, str]) -> tuple[str, str]:
    return row["jurisdiction"], row["direction"]


@pytest.mark.parametrize(
    "row",
    [one for one in ROWS if key_of(one) not in NOT_HELD],
    ids=lambda row: "-".join(key_of(row)),
)
def test_the_share_the_program_uses_is_the_printed_one(row: dict[str, str]) -> None:
    country, direction = key_of(row)
    printed = Fraction(row["coefficient_g"])
    if country == "CA":
        assert figure(CANADA[direction], "figures_ca").value_si == printed
    elif country in COUNTRY:
        assert share(direction, f"figures_{country.lower()}").value == printed
    else:
        for ours in EUROPE[country, direction]:
            assert share(ours, "figures_en").value == printed


def test_the_rows_without_a_figure_of_ours_stand_in_the_table() -> None:
    assert NOT_HELD.issubset(key_of(row) for row in ROWS)
