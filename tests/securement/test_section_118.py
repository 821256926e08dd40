"""Dressed lumber in tiers: 49 CFR 393.118(d)."""

from collections.abc import Mapping
from typing import Any

import pytest

from tests.securement.plans import FLATBED, article, found, length, value_of
from tests.securement.sections import all_yes, judged, said
from tests.securement.sections import ties as all_ties
from triplog.securement.finding import Finding, Scope
from triplog.securement.model import Article, Block, Body, Commodity, Direction, Vehicle
from triplog.wording.findings import sum_lines, unknown_line

COUNT, ANSWERS, HEIGHT = (f"us-393.118-{word}" for word in ("count", "answers", "middle-height"))
NAMES = "ABCDE"


def stack(tiers: int, way: str | None, **told: Any) -> list[Article]:
    """Bundles A, B ... of 4,000 lb and 12 ft, each on the one before."""
    facts = {} if way is None else {"tiers_held": way}
    return [
        article(
            NAMES[number],
            **{
                "commodity": Commodity.DRESSED_LUMBER,
                "weighs": "4000 lb",
                "on": NAMES[number - 1] if number else "deck",
                "facts": facts,
                "answers": all_yes("118"),
                **told,
            },
        )
        for number in range(tiers)
    ]


def of(tiers: int, way: str | None, over: Mapping[str, int], **told: Any) -> tuple[Finding, ...]:
    """The stack with so many tie-downs over each of the bundles named."""
    holds = [{"holds": (name,)} for name, number in over.items() for _ in range(number)]
    return judged(stack(tiers, way, **told), all_ties(*holds))


def test_with_stakes_or_blocking_only_the_top_is_tied() -> None:
    for way in ("stakes", "blocking"):
        findings = of(3, way, {"C": 3})
        assert said(findings, COUNT, "C") == "meets"
        assert said(findings, COUNT, "A") == said(findings, COUNT, "B") == "does not apply"
        assert said(of(3, way, {"C": 2}), COUNT, "C") == "does not meet", "12 ft need three"


def test_direct_or_on_spacers_the_middle_of_three_tiers_is_tied_too() -> None:
    for way in ("direct", "spacers"):
        findings = of(3, way, {"C": 3, "B": 3})
        assert said(findings, COUNT, "C") == said(findings, COUNT, "B") == "meets"
        assert said(findings, COUNT, "A") == "does not apply"
        assert said(of(3, way, {"C": 3}), COUNT, "B") == "does not meet"
    two_tiers = of(2, "direct", {"B": 3})
    assert said(two_tiers, COUNT, "B") == "meets"
    assert said(two_tiers, COUNT, "A") == "does not apply"


def test_of_more_than_three_tiers_the_second_or_a_low_middle_one_is_tied() -> None:
    second = of(4, "direct", {"D": 3, "B": 3})
    assert said(second, COUNT, "B") == "meets"
    assert not [one for one in second if one.rule == HEIGHT]
    third = of(4, "direct", {"D": 3, "C": 3}, facts={"tiers_held": "direct"})
    assert said(third, COUNT, "C") == "meets"
    assert said(third, HEIGHT) == "cannot tell"
    for height, verdict in (("6 ft", "meets"), ("1.83 m", "does not meet")):
        facts = {"tiers_held": "direct", "top_height": length(height)}
        whole = of(4, "direct", {"D": 3, "C": 3}, facts=facts)
        assert said(whole, HEIGHT, "C") == verdict
        assert said(whole, COUNT, "A") == "does not apply"
    assert said(of(4, "direct", {"D": 3}), COUNT, "B") == "does not meet"


def test_each_tier_tied_needs_no_more() -> None:
    whole = of(3, "each tier", {"A": 3, "B": 3, "C": 3})
    assert {said(whole, COUNT, name) for name in "ABC"} == {"meets"}
    assert said(of(3, "each tier", {"B": 3, "C": 3}), COUNT, "A") == "does not meet"


def test_two_lie_over_a_top_bundle_longer_than_5_ft_even_if_it_is_blocked() -> None:
    """393.118(d)(3)(iv)(A) and (d)(4); under (d)(1) and (2) the general rules alone count."""
    blocked = {Direction.FORWARD: Block(by="timber")}
    told: dict[str, Any] = {"blocked": blocked, "long": "8 ft"}
    for way, verdict in (("direct", "does not meet"), ("stakes", "meets")):
        assert said(of(2, way, {"B": 1}, **told), COUNT, "B") == verdict
    assert said(of(2, "each tier", {"A": 1, "B": 2}, **told), COUNT, "A") == "meets"
    short = {**told, "long": "5 ft"}
    assert said(of(2, "direct", {"B": 1}, **short), COUNT, "B") == "meets"
    assert said(of(2, None, {"B": 1}, **told), COUNT, "B") == "cannot tell"


def test_a_tie_down_over_the_top_does_not_count_for_the_tier_below_it() -> None:
    findings = judged(stack(3, "direct"), all_ties(*[{"holds": ("A", "B", "C")}] * 6))
    assert said(findings, COUNT, "C") == "meets"
    assert said(findings, COUNT, "B") == "does not meet"


def test_without_the_way_the_tiers_are_held_the_lower_ones_cannot_be_told() -> None:
    findings = of(3, None, {"C": 3})
    assert said(findings, COUNT, "C") == "meets"
    assert said(findings, COUNT, "B") == "cannot tell"
    assert "how the tiers of B are held" in unknown_line(found(findings, COUNT, "B"))
    assert said(findings, ANSWERS) == "cannot tell"


def test_the_whole_stack_is_weighed_as_one_under_the_general_rule() -> None:
    findings = of(3, "stakes", {"C": 3})
    aggregate = found(findings, "us-393.106-aggregate")
    assert aggregate.about == ("A", "B", "C")
    assert value_of(aggregate.required) == 6_000
    assert aggregate.scope is Scope.LAW
    assert not [one for one in findings if one.rule == "us-393.110-count"]


def test_tiers_entered_as_one_article_do_not_tell_which_is_tied() -> None:
    def one_article(way: str, tiers: int) -> tuple[Finding, ...]:
        bundle = stack(1, way, facts={"tiers_held": way, "tiers": tiers})
        return judged(bundle, all_ties({}, {}, {}))

    assert not [one for one in one_article("stakes", 4) if one.rule == "us-393.118-tiers"]
    assert not [one for one in one_article("direct", 2) if one.rule == "us-393.118-tiers"]
    for way, tiers in (("direct", 3), ("each tier", 2)):
        assert said(one_article(way, tiers), "us-393.118-tiers") == "cannot tell"
    assert said(one_article("stakes", 4), COUNT) == "meets"


@pytest.mark.parametrize(
    ("width", "height", "verdict"),
    [
        ("4 in", "4 in", "meets"),
        ("3 1/2 in", "4 in", "does not meet"),
        ("4 in", None, "cannot tell"),
        (None, None, "cannot tell"),
    ],
)
def test_spacers_are_at_least_as_wide_as_high(
    width: str | None, height: str | None, verdict: str
) -> None:
    """393.118(d)(3)(ii)."""
    sizes = {"spacer_width": width, "spacer_height": height}
    facts = {name: length(value) for name, value in sizes.items() if value is not None}
    findings = of(2, "spacers", {"B": 3}, facts={"tiers_held": "spacers", **facts})
    assert said(findings, "us-393.118-spacers") == verdict


def test_the_way_the_tiers_are_held_raises_its_question() -> None:
    for way, question in (("stakes", "118-stakes"), ("blocking", "118-blocking")):
        finding = found(of(2, way, {}, answers={}), ANSWERS)
        assert [one.name for one in finding.inputs] == ["answers.118-beside", f"answers.{question}"]


def test_a_sided_vehicle_and_a_single_tier_go_by_the_general_rules() -> None:
    van = Vehicle(gross_mass=FLATBED.gross_mass, use=FLATBED.use, body=Body.SIDED)
    rules = {one.rule for one in judged(stack(2, "direct"), vehicle=van)}
    assert "us-393.110-count" in rules and COUNT not in rules
    assert COUNT not in {one.rule for one in of(1, "direct", {})}


def test_every_finding_about_lumber_can_be_said() -> None:
    for way in ("stakes", "blocking", "direct", "spacers", "each tier", None):
        for one in of(4, way, {"D": 1}):
            assert "{" not in "".join(sum_lines(one))
