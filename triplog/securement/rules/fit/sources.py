"""The figures of the rule set, and where each of its rules comes from."""

from triplog.securement.figures import Figure, figure
from triplog.securement.finding import Citation

RULE_SET = "fit"
COMMON_PRACTICE = Citation(source="common practice", clause="", edition="", how_sure="no source")


def fit_figure(figure_id: str) -> Figure:
    """One of the figures of `figures/figures_fit.csv` by its id."""
    return figure(figure_id, "figures_fit")
