"""Tie-downs that by the plan's own places do not touch what they are said to hold."""

import pytest

from tests.securement.plans import found
from triplog.securement.assess import assess
from triplog.securement.finding import Verdict
from triplog.securement.plan_file import read_plan

PLAN = """
format = "triplog-plan/1"
rules = ["us-393"]
anchor = [
  {{ id = "L", at = ["{back}", "left 4 ft"], wll = "5000 lb" }},
  {{ id = "R", at = ["{back}", "right 4 ft"], wll = "5000 lb" }},
]
gear = [{{ id = "S-1", kind = "ratchet strap", wll = "3300 lb", damage = [] }}]
[[article]]
id = "A"
commodity = "general"
mass = "900 lb"
length = "4 ft"
width = "4 ft"
height = "3 ft"
{place}
blocked = {{ forward = "nothing" }}
rolls = false
contained = false
sharp_edges = false
[[tie_down]]
id = "T1"
holds = ["A"]
path = "over"
gear = "S-1"
from = "L"
to = "R"
knots = false
"""


def rules(back: str, place: str = 'at = ["2 ft", "centre"]') -> dict[str, Verdict]:
    text = PLAN.format(back=back, place=place)
    findings = assess(read_plan(text.encode(), "plan.toml").plan)
    return {one.rule: one.verdict for one in findings}


def test_a_strap_thirty_feet_behind_the_article_does_not_hold_it() -> None:
    text = PLAN.format(back="34 ft", place='at = ["2 ft", "centre"]')
    findings = assess(read_plan(text.encode(), "plan.toml").plan)
    bearing = found(findings, "us-393.110-bearing")
    assert bearing.verdict is Verdict.DOES_NOT_MEET
    assert bearing.about == ("T1", "A")
    # And nothing of 393.102 is deemed met by it.
    assert found(findings, "us-393.102-down").verdict is not Verdict.DOES_NOT_APPLY


@pytest.mark.parametrize(("back", "place"), [("4 ft", 'at = ["2 ft", "centre"]'), ("34 ft", "")])
def test_a_strap_that_bears_or_whose_place_nobody_told_is_not_spoken_of(
    back: str, place: str
) -> None:
    assert "us-393.110-bearing" not in rules(back, place)
