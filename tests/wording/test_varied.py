"""What would change, in sentences."""

from dataclasses import replace

from tests.securement.plans import strapped
from triplog.securement.assess import assess
from triplog.securement.compared import Change, changes_of
from triplog.securement.finding import Verdict
from triplog.securement.variations import NAMES, variations_of, without
from triplog.wording.varied import changes_lines, does_not_apply, varied_head, varied_notes

PLAN = strapped("6200 lb", ["3300 lb", "3300 lb"], long="10 ft")


def test_a_verdict_that_changes_says_what_it_was_and_how_far_the_figure_moved() -> None:
    changed = without(PLAN, "T2")
    assert changed is not None
    lines = changes_lines(changes_of(assess(PLAN), assess(changed)))
    head = next(number for number, line in enumerate(lines) if "number of tie-downs: A" in line)
    assert [" ".join(line.split()) for line in lines[head : head + 3]] == [
        "does not meet number of tie-downs: A us-393.110-count 49 CFR 393.110",
        "was meets",
        "provided 1 tie-down 2 tie-downs before, 2 tie-downs asked",
    ]
    assert any(
        line.startswith("meets ") and "3,300 lb, 6,600 lb before, 3,100 lb asked" in line
        for line in lines
    )


def test_what_was_not_asked_before_says_so() -> None:
    one = assess(PLAN)[0]
    new = Change(about=one.about, before=None, after=one)
    gone = Change(about=one.about, before=one, after=None)
    assert any("not asked" in line for line in changes_lines([new])[1:])
    assert changes_lines([gone])[0].startswith("not asked ")


def test_nothing_changed_and_no_verdict_changed_are_said() -> None:
    assert changes_lines([]) == ["nothing judged here changes"]
    one = next(one for one in assess(PLAN) if one.verdict is Verdict.MEETS)
    moved = Change(about=one.about, before=replace(one, provided=None), after=one)
    assert changes_lines([moved])[0] == "no verdict changes"


def test_several_alike_are_one_sentence() -> None:
    slack = variations_of(PLAN, ("slack",), 60)
    told = "if one of T1 and T2 is slack, no tension left in it: with each the same"
    assert varied_head(slack, PLAN, 60) == told
    assert varied_head(slack[:1], PLAN, 60) == "if T1 is slack, no tension left in it"
    assert varied_notes(slack[0]) != []


def test_each_variation_has_a_reason_for_not_being_tried() -> None:
    for name in NAMES:
        assert does_not_apply(name, 45).startswith(f"{name}: ")
