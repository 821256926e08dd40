"""The forces along the deck of NSC Standard 10 s.5: plane statics worked out by hand.

The shares are printed (BC driving manual p. 108; Quebec C-24.2 r.30 s.3(1), read); the numbers of
the cases are ours.
"""

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.securement.plans import found, value_of
from tests.securement.test_withstood import box, one_over, whole_strap
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.model import Gear, GearKind, Plan
from triplog.wording.findings import sum_lines, title

RULES = ("ca-nsc10",)


def judged(whole: Plan, way: str) -> Finding:
    return found(assess(replace(whole, rules=RULES)), f"ca-nsc10-way-{way}")


@pytest.mark.parametrize(
    ("way", "required", "meets"),
    [("forward", 800, False), ("rearward", 500, True), ("lateral", 500, True)],
)
def test_friction_of_the_weight_and_of_what_the_strap_presses(
    way: str, required: int, meets: bool
) -> None:
    """1,000 kg on 0.4, two upright legs of 300 kg: 0.4 × (1,000 + 600) = 640 kg there."""
    finding = judged(one_over(), way)
    assert value_of(finding.required) == required
    assert value_of(finding.provided) == 640
    assert (finding.verdict is Verdict.MEETS) is meets
    assert finding.citation.clause == "s.3(1)"
    assert title(finding)


def test_it_is_a_yardstick_where_number_and_sum_are_settled_and_asked_where_they_are_not() -> None:
    """One strap on 3 m is one too few: only then the other way is asked."""
    short = judged(one_over(), "forward")
    assert short.scope is Scope.LAW
    lines = sum_lines(short)
    assert "asked of a system that stands instead of the count and the sum" in lines
    enough = judged(one_over(box(long="1 m", weighs="400 kg")), "forward")
    assert enough.scope is Scope.YARDSTICK
    assert any("both are met here" in line for line in sum_lines(enough))


def test_a_strap_without_a_marking_presses_nothing_here() -> None:
    bare = one_over(gear=whole_strap(wll=None))
    assert value_of(judged(bare, "forward").provided) == 400


@pytest.mark.parametrize(("marked", "provided"), [(None, 0), (Decimal("0.6"), 960)])
def test_an_unmarked_friction_mat_holds_nothing(marked: Decimal | None, provided: int) -> None:
    """0.6 × (1,000 + 600) by a mat marked with its friction; unmarked nothing since June 2013."""
    mat = Gear(id="M-1", kind=GearKind.FRICTION_MAT, damage=(), friction=marked)
    bare = one_over()
    (one,) = bare.articles
    on_mat = replace(one, friction=None, mat="M-1", rolls=False)
    whole = replace(bare, gear=(*bare.gear, mat), articles=(on_mat,))
    finding = judged(whole, "forward")
    assert value_of(finding.provided) == provided
    assert sum_lines(finding)


def test_what_is_contained_is_not_asked() -> None:
    finding = judged(one_over(box(contained=True)), "rearward")
    assert finding.verdict is Verdict.DOES_NOT_APPLY
    assert any("contained" in line for line in sum_lines(finding))
