"""The European tables: every row printed, and what the program looks up.

Source: CTU Code 2014, Annex 7, Appendix 2 (UNECE wiki; the last rows from memory); EN 12640:2000
(page of a technical inspection body); EN 12642 for 27 t (public page on curtain-sided bodies); STF
range of EN 12195-2 (a strap glossary). Each table under `data/` says its source.
"""

from fractions import Fraction

import pytest

from tests.published.tables import rows_of
from triplog.securement.closed_form import wall_force_n
from triplog.securement.rules.en_12195.en_figures import (
    en_figure,
    friction_row,
    lashing_point_n,
    wall_row,
)

FRICTION = rows_of("friction_ctu2014")
HOW_SURE = {"looked-up": "read", "memory": "memory"}


@pytest.mark.parametrize("row", FRICTION, ids=lambda row: f"{row['surface_a']}-{row['surface_b']}")
def test_each_pair_of_the_ctu_code_has_its_friction(row: dict[str, str]) -> None:
    """CTU Code 2014, Annex 7, Appendix 2."""
    for one in row["surface_a"].split("/"):
        for other in row["surface_b"].partition(",")[0].split("/"):
            found = friction_row(one, other)
            turned = friction_row(other, one)
            assert found is not None and turned is found
            assert found.numbers["dry"] == Fraction(row["dry"])
            assert ("wet" in found.numbers) is bool(row["wet"])
            if row["wet"]:
                assert found.numbers["wet"] == Fraction(row["wet"])
            assert found.citation.how_sure == HOW_SURE[row["status"].partition(":")[0]]


@pytest.mark.parametrize("row", rows_of("lashing_points_en12640"), ids=lambda row: row["min_daN"])
def test_a_lashing_point_holds_what_en_12640_asks(row: dict[str, str]) -> None:
    """EN 12640:2000, over 3.5 to 7.5 t, over 7.5 to 12 t, over 12 t; front wall."""
    front = row["location"] == "front wall"
    printed_n = float(row["min_daN"]) * 10
    last_t = Fraction(row["GVM_to_t"] or 40)
    found = lashing_point_n(last_t * 1000, front_wall=front)
    assert found is not None and found[0] == printed_n
    if row["GVM_over_t"]:
        at_the_line = lashing_point_n(Fraction(row["GVM_over_t"]) * 1000, front_wall=front)
        assert at_the_line is None or at_the_line[0] < printed_n


@pytest.mark.parametrize(
    "row", rows_of("walls_en12642_27t"), ids=lambda row: f"{row['code']}-{row['wall']}"
)
def test_a_wall_holds_the_share_of_the_payload_its_code_says(row: dict[str, str]) -> None:
    """EN 12642, payload 27,000 daN; the shares of L are from memory, its caps were read."""
    wall = wall_row(f"EN 12642 {row['code']}", {"side": "sides"}.get(row["wall"], row["wall"]))
    printed_n = float(row["published_daN"]) * 10
    assert wall_force_n(270_000, wall.share, wall.at_most_n) == pytest.approx(printed_n)


@pytest.mark.parametrize("row", rows_of("stf_range_en12195_2"), ids=lambda row: row["LC_daN"])
def test_stf_is_marked_from_a_tenth_to_half_of_lc(row: dict[str, str]) -> None:
    """EN 12195-2, a strap glossary's table."""
    lc = float(row["LC_daN"])
    assert lc * en_figure("stf-min-strap") == pytest.approx(float(row["STF_min_daN"]))
    assert lc * en_figure("stf-max-strap") == pytest.approx(float(row["STF_max_daN"]))
