"""The figures of EN 12195-1:2010 as second-hand sources print them, each beside its source.

Source: each case names its own; the standard itself was not read. LSHB: the German insurers'
load-securing handbook, form sheets 4.1.6.
"""

import pytest

from triplog.securement.rules.en_12195.en_figures import en_figure, en_row
from triplog.securement.rules.static.assumed import static_figure


@pytest.mark.parametrize(
    ("figure", "printed", "source", "how_sure"),
    [
        ("c-forward", 0.8, "LSHB 4.1.6", "second-hand"),
        ("c-rearward", 0.5, "LSHB 4.1.6", "second-hand"),
        ("c-sideways", 0.5, "LSHB 4.1.6", "second-hand"),
        ("c-sideways-tip", 0.6, "LSHB 4.1.6 example 1; Dutch vehicle law", "second-hand"),
        ("c-sideways-tip-stf", 0.5, "comparison of editions (2010), draft of 2009", "second-hand"),
        ("c-sideways-tip-lc", 0.6, "comparison of editions (2010), draft of 2009", "second-hand"),
        ("tip-share-of-lc", 0.5, "comparison of editions (2010), draft of 2009", "second-hand"),
        ("c-down", 1.0, "from memory, implied by LSHB 4.1.6", "memory"),
        ("f-s-forward", 1.25, "LSHB 4.1.6, as 1.6 = 2/1.25", "second-hand"),
        ("f-s-other", 1.1, "insurers' road paper 2.2.1; draft of 2009", "second-hand"),
        ("f-mu", 0.75, "LSHB form sheet 1b; CTU Code App. 2", "second-hand"),
        ("k", 2.0, "comparison of editions (2010)", "second-hand"),
        ("tension-min", 0.05, "a university paper of 2013 on 5.4.1", "second-hand"),
        ("tension-max", 0.5, "a university paper of 2013 on 5.4.1", "second-hand"),
        ("stf-min-chain", 0.25, "LSHB 3.4.2, chain up to 10 mm", "second-hand"),
        ("stf-min-chain-thick", 0.15, "LSHB 3.4.2, chain above 10 mm", "second-hand"),
        ("stf-thin-chain", 10, "LSHB 3.4.2", "second-hand"),
        ("stf-min-wire-rope", 0.25, "LSHB 3.4.2", "second-hand"),
        ("shf", 50, "LSHB 3.4.2", "second-hand"),
        ("shf-narrow", 25, "a strap maker's manual, 25 mm webbing", "second-hand"),
        ("shf-narrow-width", 25, "a strap maker's manual", "second-hand"),
        ("gross-mass-above", 3.5, "published scope of the standard", "second-hand"),
        ("wander-mass-each", 4.0, "worked example of the guideline of 1997", "second-hand"),
        ("wander-least", 2.0, "strap makers' instructions", "second-hand"),
        ("pattern-apart-max", 0.05, "our own line", "no source"),
    ],
)
def test_each_figure_is_the_printed_one(
    figure: str, printed: float, source: str, how_sure: str
) -> None:
    assert en_figure(figure) == printed, source
    assert en_row(figure).citation.how_sure == how_sure


@pytest.mark.parametrize(("f_s", "printed"), [("f-s-forward", 1.6), ("f-s-other", 1.8)])
def test_the_handbook_prints_two_over_f_s_cut_off(f_s: str, printed: float) -> None:
    """LSHB 4.1.6: 1.6 and 1.8; we keep 2/1.1 = 1.818 and never the 1.8."""
    assert int(2 / en_figure(f_s) * 10 + 1e-9) / 10 == printed


def test_one_tensioner_gives_one_and_a_half_times_its_force() -> None:
    """EN 12195-1:2003, k = 1.5 (insurers' road paper 2.2.1): the cautious far side of the static
    estimate is that edition's half."""
    assert 1 + static_figure("far-share") == 1.5


def test_webbing_stretches_seven_percent_at_most_at_lc() -> None:
    """Two guides to strap labels, after EN 12195-2."""
    assert static_figure("elongation") == 0.07
