"""The combined rating: 49 CFR 393.106(d) and the house rule. Values here are worked out by us."""

from tests.securement.plans import (
    anchor,
    article,
    found,
    plan,
    strap,
    strapped,
    tie_down,
    value_of,
)
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import Damage, Path, Plan
from triplog.securement.quantity import Amount

RULE = "us-393.106-aggregate"
HOUSE = "house-combined"


def aggregate(whole: Plan, about: str | None = None) -> Finding:
    return found(assess(whole), RULE, about)


def at_least(finding: Finding) -> Amount:
    assert finding.range is not None
    value = finding.range.decides.values["at_least"]
    assert isinstance(value, Amount)
    return value


def test_a_plan_may_meet_the_law_and_not_the_house_rule() -> None:
    findings = assess(strapped("6200 lb", ["2000 lb", "2000 lb"]))
    assert found(findings, RULE).verdict is Verdict.MEETS
    house = found(findings, HOUSE)
    assert house.verdict is Verdict.DOES_NOT_MEET
    assert value_of(house.margin) == -2200


def test_direct_and_same_side_paths_count_half_and_over_counts_in_full() -> None:
    for path, counted in ((Path.DIRECT, 1000), (Path.SAME_SIDE, 1000), (Path.OVER, 2000)):
        finding = aggregate(strapped("3000 lb", ["2000 lb"], path=path))
        assert value_of(finding.provided) == counted, path


def test_anchors_on_one_side_make_half_of_a_tie_down_said_to_run_over() -> None:
    anchors = [anchor("L-T1", left_m=1), anchor("R-T1", left_m=1)]
    whole = plan([article()], [strap()], [tie_down()], anchors=anchors)
    assert value_of(aggregate(whole).provided) == 1650


def test_a_spring_counts_by_the_sides_of_its_anchors() -> None:
    for left_m, counted in ((1, 1650), (-1, 3300)):
        anchors = [anchor("L-T1", left_m=1), anchor("R-T1", left_m=left_m)]
        tie = tie_down(path=Path.SPRING)
        whole = plan([article()], [strap()], [tie], anchors=anchors)
        assert value_of(aggregate(whole).provided) == counted


def test_an_unknown_path_is_judged_at_both_ends() -> None:
    open_path = strapped("6200 lb", ["3300 lb"], path=None)
    finding = aggregate(open_path)
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in finding.unknown] == ["path"]
    assert aggregate(strapped("3000 lb", ["3300 lb"], path=None)).verdict is Verdict.MEETS
    assert aggregate(strapped("9000 lb", ["3300 lb"], path=None)).verdict is (Verdict.DOES_NOT_MEET)


def test_unknown_anchors_are_answered_with_the_rating_that_would_decide() -> None:
    anchors = [anchor("L-T1", wll=None), anchor("R-T1", wll=None)]
    whole = plan([article(weighs="3100 lb")], [strap()], [tie_down()], anchors=anchors)
    finding = aggregate(whole)
    assert finding.verdict is Verdict.CANNOT_TELL
    assert at_least(finding).value == 1550
    assert finding.range is not None
    assert finding.range.decides.values["names"] == "L-T1, R-T1"


def test_the_rating_that_decides_allows_for_sharing_and_for_what_else_limits() -> None:
    """T1 is capped at 1,000 lb, so T2 on half an anchor must bring 2,100 lb: 4,200 lb."""
    ties = [
        tie_down("T1", gear="S-1", ends=("L1", "R1")),
        tie_down("T2", gear="S-2", ends=("L2", "L2")),
    ]
    anchors = [anchor("L1", wll=None), anchor("L2", wll=None), anchor("R1")]
    gear = [strap("S-1", wll="1000 lb"), strap("S-2", wll="9000 lb")]
    whole = plan([article(weighs="4100 lb")], gear, ties, anchors=anchors)
    finding = aggregate(whole)
    assert finding.verdict is Verdict.CANNOT_TELL
    assert at_least(finding).value == 4200, "both ends of T2 on one anchor: half, and half credit"


def test_unknown_anchors_that_change_nothing_leave_the_verdict() -> None:
    anchors = [anchor("L-T1", wll=None)]
    short = plan([article(weighs="9000 lb")], [strap()], [tie_down()], anchors=anchors)
    assert aggregate(short).verdict is Verdict.DOES_NOT_MEET
    ties = [tie_down("T1", gear="S-1"), tie_down("T2", gear="S-2")]
    enough = plan(
        [article(weighs="6000 lb")],
        [strap("S-1"), strap("S-2")],
        ties,
        anchors=anchors,
    )
    finding = aggregate(enough)
    assert finding.verdict is Verdict.MEETS
    assert value_of(finding.provided) == 3300, "what is not known is left out"


def test_an_unknown_mass_is_answered_with_the_heaviest_that_meets() -> None:
    finding = aggregate(strapped(None, ["3300 lb"]))
    assert finding.verdict is Verdict.CANNOT_TELL
    assert finding.range is not None
    assert value_of(finding.range.decides.values["at_most"]) == 6600


def test_nothing_holds_an_article_of_unknown_mass_does_not_meet() -> None:
    assert aggregate(strapped(None, [])).verdict is Verdict.DOES_NOT_MEET


def test_articles_that_share_a_tie_down_are_one_group() -> None:
    whole = plan(
        [article("A", weighs="4000 lb"), article("B", weighs="2000 lb"), article("C")],
        [strap("S-1"), strap("S-2")],
        [
            tie_down("T1", holds=("A", "B"), gear="S-1"),
            tie_down("T2", holds=("C",), gear="S-2"),
        ],
    )
    finding = aggregate(whole, "B")
    assert finding.about == ("A", "B")
    assert value_of(finding.required) == 3000
    assert aggregate(whole, "C").about == ("C",)


def test_articles_that_go_together_are_one_group_without_a_shared_tie_down() -> None:
    whole = plan(
        [article("A", together="load-1"), article("B"), article("C", together="load-1")],
        [strap()],
        [tie_down(holds=("A",))],
    )
    assert aggregate(whole, "C").about == ("A", "C")


def test_straps_elsewhere_do_not_hide_a_bare_article() -> None:
    whole = plan(
        [article("A", weighs="1000 lb"), article("B", weighs="1000 lb")],
        [strap()],
        [tie_down(holds=("A",))],
    )
    assert aggregate(whole, "B").verdict is Verdict.DOES_NOT_MEET


def test_damaged_gear_is_left_out_of_the_sum_and_the_sum_says_so() -> None:
    whole = plan(
        [article()],
        [strap("S-1"), strap("S-2", damage=(Damage(kind="burn"),))],
        [tie_down("T1", gear="S-1"), tie_down("T2", gear="S-2")],
    )
    finding = aggregate(whole)
    assert value_of(finding.provided) == 3300
    assert any(step.id == "provided.set-aside" for step in finding.steps)


def test_a_mass_in_kilograms_is_answered_in_kilograms() -> None:
    finding = aggregate(strapped("2000 kg", [None]))
    assert value_of(finding.provided) == 910
    assert value_of(finding.required) == 1000
    assert isinstance(finding.required, Amount) and finding.required.unit == "kg"


def test_a_weak_anchor_may_be_mended_by_better_anchors() -> None:
    anchors = [anchor("L-T1", wll="1000 lb")]
    whole = plan([article()], [strap()], [tie_down()], anchors=anchors)
    mend = aggregate(whole).mend
    assert mend is not None and mend.id == "mend.one-more-or-anchors"
    assert value_of(mend.values["anchor_at_least"]) == 3300


def test_what_would_mend_it_mends_it() -> None:
    short = aggregate(strapped("16400 lb", ["2733 lb"]))
    mend = short.mend
    assert mend is not None
    number, at_least = mend.values["number"], mend.values["at_least"]
    more = [f"{value_of(at_least)} lb"] * int(value_of(number))
    mended = aggregate(strapped("16400 lb", ["2733 lb", *more]))
    assert mended.verdict is Verdict.MEETS


def test_just_enough_at_best_cannot_be_told() -> None:
    anchors = [anchor("L-T1", wll=None)]
    whole = plan([article(weighs="6600 lb")], [strap()], [tie_down()], anchors=anchors)
    finding = aggregate(whole)
    assert finding.verdict is Verdict.CANNOT_TELL
    assert at_least(finding).value == 3300
