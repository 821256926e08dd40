"""A tension beyond the rating, and one piece of gear in two tie-downs; no published check."""

import pytest

from tests.securement.decks import box
from tests.securement.decks import over as over_the_top
from tests.securement.fit_plans import hooked, judged, of, over, steps
from tests.securement.plans import force, found, strap, value_of
from triplog.securement.assess import assess
from triplog.securement.finding import Scope, Verdict
from triplog.securement.rules.counted_tension import counted_tension_n


def test_a_tension_beyond_the_rating_does_not_meet_and_is_counted_no_further() -> None:
    """A 2,500 kg strap told to pull 9,000 kg: two upright legs press 5,000 kg each, no more."""
    pulled = over_the_top(
        box(), tension=["9000 kg"], gear=strap(wll="2500 kg"), rules=("fit", "au-lrg", "ca-nsc10"),
        far_side_share=None, tensioner_side="both",
    )  # fmt: skip
    findings = assess(pulled)
    told = found(findings, "fit-tension")
    assert told.verdict is Verdict.DOES_NOT_MEET and told.scope is Scope.COMMON_PRACTICE
    assert told.about == ("T1",)
    assert value_of(found(findings, "au-lrg-up").provided) == 5000
    assert value_of(found(findings, "ca-nsc10-down").provided) == 5000


def test_the_lashing_capacity_is_a_rating_and_goes_before_a_lower_working_load_limit() -> None:
    gear = strap(wll="1000 kg", lc=force("20 kN"))
    plan = over_the_top(box(), tension=["1500 kg"], gear=gear)
    (tie,) = plan.tie_downs
    assert counted_tension_n(tie, plan) == force("1500 kg").si
    assert not of(assess(plan), "fit-tension")


@pytest.mark.parametrize("rule", ["au-lrg-up", "ca-nsc10-down", "us-393.102-down"])
def test_the_tension_found_at_the_last_look_stands_for_the_tension(rule: str) -> None:
    rules = ("us-393", "au-lrg", "ca-nsc10")
    loose = over_the_top(
        box(), tension=["300 kg"], rules=rules, tensioner_side="both", retained=force("50 kg")
    )
    finding = found(assess(loose), rule)
    assert finding.verdict is not Verdict.MEETS


def test_one_piece_of_gear_is_in_one_tie_down() -> None:
    twice = [over("T1", "S-1"), over("T2", "S-1", ends=("L2", "R2"))]
    (finding,) = of(judged(ties=twice, gear=[hooked("S-1")]), "fit-gear-once")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.about == ("T1", "T2")
    assert steps(finding) == ["note.fit-gear-once"]
    assert not of(judged(), "fit-gear-once") and not of(judged(), "fit-tension")
