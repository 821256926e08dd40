"""Accelerations and factors of EN 12195 and of the CTU Code, row by row, beside what is used.

Source: named in each row of `data/en_constants.csv`; LSHB is the German insurers' load-securing
handbook. A row that no rule reads is not used, with the reason, and no figure may hold it.
"""

from fractions import Fraction

import pytest

from tests.published.tables import rows_of
from triplog.securement.figures import open_rows
from triplog.securement.rules.en_12195.en_figures import en_figure
from triplog.securement.rules.static.assumed import static_figure

ROWS = rows_of("en_constants")
EN_2010, CTU_2014 = "road EN 12195-1:2010", "CTU 2014"
# By group and item: the figure of ours, in the unit of the row.
HELD = {
    (EN_2010, "c_x forward"): "c-forward",
    (EN_2010, "c_x rearward"): "c-rearward",
    (EN_2010, "c_y sliding"): "c-sideways",
    (EN_2010, "c_y tipping with direct lashing (F=LC)"): "c-sideways-tip",
    (EN_2010, "c_y tipping friction lashing with F=STF"): "c-sideways-tip-stf",
    (EN_2010, "c_y tipping friction lashing with F=0.5 LC"): "c-sideways-tip-lc",
    (EN_2010, "c_z"): "c-down",
    ("factor", "f_s friction lashing forward"): "f-s-forward",
    ("factor", "f_s friction lashing sideways/rear"): "f-s-other",
    ("factor", "f_mu direct lashing"): "f-mu",
    ("factor", "k two tensioners (2003 edition)"): "k",
    ("pretension", "lower limit during transport"): "tension-min",
    ("pretension", "upper limit during transport"): "tension-max",
    ("label", "STF minimum for straps"): "stf-min-strap",
    ("label", "STF maximum for straps"): "stf-max-strap",
    ("label", "STF minimum chains up to 10 mm"): "stf-min-chain",
    ("label", "STF minimum chains above 10 mm"): "stf-min-chain-thick",
    ("label", "STF minimum wire rope"): "stf-min-wire-rope",
    ("label", "SHF general"): "shf",
    ("label", "SHF 25 mm webbing"): "shf-narrow",
}
# Held by the static estimate, which writes them its own way.
BY_THE_ESTIMATE = {
    ("factor", "k one tensioner (2003 edition)"): lambda: 1 + static_figure("far-share"),
    ("label", "max elongation at LC"): lambda: 100 * static_figure("elongation"),
}
SUPERSEDED = "an earlier edition, which no rule of ours judges by"
NO_SUCH_JOURNEY = "from memory, for rail and sea; a plan of ours is of a journey by road"
SAME_AS_EN = "from memory, and the same numbers as EN 12195-1, which the rule set judges by"
NOT_USED = {
    ("road EN 12195-1:2003", "c_y tipping"): SUPERSEDED,
    ("CTU guideline 1997 road", "c_x forward"): SUPERSEDED,
    **{
        (f"{CTU_2014} road", item): SAME_AS_EN
        for item in ("c_x forward / cz", "c_x rear", "c_y")
    },
    **{
        (f"{CTU_2014} rail combined", item): NO_SUCH_JOURNEY for item in ("c_x fwd and rear", "c_y")
    },
    **{
        (f"{CTU_2014} sea {area}", item): NO_SUCH_JOURNEY
        for area in "ABC"
        for item in ("c_x ; cz with it", "c_y ; cz 1.0")
    },
}  # fmt: skip


def key_of(row: dict[str, str]) -> tuple[str, str]:
    return row["group"], row["item"]


def test_every_row_is_used_or_says_why_not() -> None:
    assert [
        key_of(row) for row in ROWS if key_of(row) not in HELD | BY_THE_ESTIMATE | NOT_USED
    ] == []
    assert len(ROWS) == len(HELD) + len(BY_THE_ESTIMATE) + len(NOT_USED)


@pytest.mark.parametrize("row", [row for row in ROWS if key_of(row) in HELD], ids=key_of)
def test_a_row_is_the_figure_the_rules_read(row: dict[str, str]) -> None:
    assert Fraction(row["value"]) == pytest.approx(en_figure(HELD[key_of(row)])), row["source"]


@pytest.mark.parametrize("row", [row for row in ROWS if key_of(row) in BY_THE_ESTIMATE], ids=key_of)
def test_a_row_is_the_figure_of_the_static_estimate(row: dict[str, str]) -> None:
    assert float(row["value"]) == pytest.approx(BY_THE_ESTIMATE[key_of(row)]()), row["source"]


@pytest.mark.parametrize("row", [row for row in ROWS if key_of(row) in NOT_USED], ids=key_of)
def test_a_row_that_is_not_used_stands_in_no_table_of_ours(row: dict[str, str]) -> None:
    """An earlier edition or a journey by rail or sea would be cited by its own edition or mode."""
    reason = NOT_USED[key_of(row)]
    cited = {
        (one.citation.source, one.citation.edition, one.cells["figure"])
        for one in open_rows("figures_en")
    }
    if reason == SUPERSEDED:
        edition = row["group"].partition(":")[2] or "1997"
        assert not [key for key in cited if edition in key[1] and key[2].startswith("c-")]
    else:
        assert row["status"].startswith("memory")
        assert not [key for key in cited if key[0] == "CTU Code"]


def test_on_the_road_the_ctu_code_asks_what_en_12195_asks() -> None:
    """CTU Code 2014 chapter 5, from memory: 0.8 forward, 0.5 rearward and sideways."""
    road = {row["item"]: float(row["value"]) for row in ROWS if row["group"] == "CTU 2014 road"}
    ours = [en_figure(one) for one in ("c-forward", "c-rearward", "c-sideways")]
    assert list(road.values()) == ours
