"""The figures of the rule set, and where each of its rules comes from."""

from triplog.securement.figures import Figure, open_rows
from triplog.securement.finding import Citation

RULE_SET = "fit"
COMMON_PRACTICE = Citation(source="common practice", clause="", edition="", how_sure="no source")


def fit_figure(figure_id: str) -> Figure:
    """One of the figures of `figures/figures_fit.csv` by its id."""
    row = next(one for one in open_rows("figures_fit") if one.cells["figure"] == figure_id)
    return Figure(
        value_us=row.numbers["value_us"],
        unit_us=row.cells["unit_us"],
        value_si=row.numbers["value_si"],
        unit_si=row.cells["unit_si"],
        citation=row.citation,
        row_id=f"figures_fit {figure_id}",
    )
