"""Findings that say the same in several directions are told once, and files keep them all."""

from dataclasses import replace

from tests.securement.en_plans import crate, en_plan, over, spread
from tests.securement.plans import length, mass
from triplog.securement.assess import assess
from triplog.wording.findings import sum_lines
from triplog.wording.gathered import gathered
from triplog.wording.handbook import findings_lines, one_line_each


def test_what_the_closed_forms_do_not_cover_is_told_once_for_all_directions() -> None:
    tie, ends = over(1, "3")
    held = replace(tie, holds=("A", "B"))
    stack = en_plan(crate(), [(held, ends)], more=[crate(id="B", on="A")])
    findings = assess(stack)
    refused = [one for one in findings if one.required is None and one.about == ("A", "B")]
    assert len(refused) == 8
    assert max(len(bundle) for bundle in gathered(findings)) == 8
    heads = [line for line in findings_lines(findings) if "sliding" in line or "tipping" in line]
    assert len(heads) == 1 and "sliding and tipping, 8 findings: A, B" in heads[0]
    assert len(one_line_each(refused)) == 1
    assert len(findings_lines(refused, apart=True)) > 8


def test_what_has_figures_of_its_own_stands_alone() -> None:
    findings = assess(en_plan(crate(), spread(2)))
    assert all(len(bundle) == 1 for bundle in gathered(findings))


def test_the_numbers_that_a_sum_goes_on_with_are_rounded_to_the_nearest() -> None:
    """10,000 lb x 9.81 m/s2 is 4,449.7 daN; a crate 8 ft high has its middle 1.2192 m up."""
    tall = en_plan(crate(height=length("8 ft"), mass=mass("10000 lb")))
    told = next(one for one in assess(tall) if one.rule == "en-12195-1-tip-forward")
    assert "4,450 daN × 1.219 m" in sum_lines(told)[0]
