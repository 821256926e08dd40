"""Large boulders: 49 CFR 393.136."""

from typing import Any

import pytest

from tests.securement.plans import (
    FLATBED,
    article,
    chain,
    force,
    found,
    length,
    plan,
    strap,
    tie_down,
    value_of,
)
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope
from triplog.securement.model import Article, Body, Commodity, Path, Vehicle
from triplog.wording.findings import sum_lines, unknown_line

COUNT, CHAIN, ANSWERS = "us-393.136-count", "us-393.136-chain", "us-393.136-answers"
SUPPORT, TIMBER, RING = "us-393.136-support", "us-393.136-timber-size", "us-393.136-ring"
EACH, AGGREGATE = "us-393.136-each", "us-393.136-aggregate"
ACROSS: dict[str, Any] = {"lay": "crosswise"}
CROSSED: dict[str, Any] = {"lay": "diagonal"}
FROM_RING: dict[str, Any] = {"path": Path.DIRECT}


def boulder(weighs: str | None = "20000 lb", **told: Any) -> Article:
    """A boulder about which all is answered with yes; `facts` are added to its own."""
    facts = {"rounded": False, "timbers": 2, "timber_size": length("4 in")}
    facts |= told.pop("facts", {})
    return article(
        weighs=weighs,
        long="6 ft",
        **{
            "commodity": Commodity.BOULDER,
            "facts": facts,
            "answers": all_yes("136"),
            **told,
        },
    )


def of(shape: str | None, *tie_downs: dict[str, Any], wll: str = "20000 lb",
       **facts: Any) -> tuple[Finding, ...]:  # fmt: skip
    told = facts if shape is None else {"shape": shape, **facts}
    return judged([boulder(facts=told)], ties(*tie_downs), wll=wll)


@pytest.mark.parametrize(
    ("shape", "enough", "short"),
    [
        ("cubic", (ACROSS, ACROSS), (ACROSS, CROSSED)),
        ("stable", (CROSSED, CROSSED), (CROSSED, ACROSS)),
        ("unstable", (FROM_RING,) * 4, (FROM_RING,) * 3),
    ],
)
def test_the_shape_says_how_many_and_how_they_lie(
    shape: str, enough: tuple[dict[str, Any], ...], short: tuple[dict[str, Any], ...]
) -> None:
    assert said(of(shape, *enough), COUNT) == "meets"
    assert said(of(shape, *short), COUNT) == "does not meet"


def test_a_shape_or_lay_nobody_told_leaves_it_open() -> None:
    untold = found(of(None, ACROSS, ACROSS), COUNT)
    assert str(untold.verdict) == "cannot tell"
    assert "the shape of A" in unknown_line(untold)
    assert said(of(None, ACROSS), COUNT) == "does not meet"
    assert said(of("cubic", ACROSS, {}), COUNT) == "cannot tell"


def test_only_chain_may_hold_it_whatever_the_rating() -> None:
    def held(gear: str | None) -> tuple[Finding, ...]:
        webs = [tie_down(f"T{number}", gear=gear, **ACROSS) for number in range(2)]
        one = boulder(facts={"shape": "cubic"})
        return assess(plan([one], [strap(wll="90000 lb")], webs, vehicle=FLATBED))

    barred = held("S-1")
    assert said(barred, CHAIN) == "does not meet"
    assert said(barred, COUNT) == "does not meet"
    assert said(held(None), CHAIN) == "cannot tell"
    assert said(held(None), COUNT) == "cannot tell"
    assert said(of("cubic", ACROSS, ACROSS), CHAIN) == "meets"


def test_half_the_weight_is_the_sections_own_rule_for_cubic_and_stable_ones() -> None:
    for shape, lay in (("cubic", ACROSS), ("stable", CROSSED)):
        aggregate = found(of(shape, lay, lay, wll="5000 lb"), AGGREGATE)
        assert (str(aggregate.verdict), aggregate.scope) == ("meets", Scope.LAW)
        assert value_of(aggregate.required) == 10_000
    unstable = of("unstable", *[FROM_RING] * 4, wll="5000 lb")
    assert said(unstable, "us-393.106-aggregate") == "meets"
    assert not [one for one in unstable if one.rule == AGGREGATE]


def test_an_unstable_one_has_a_ring_of_half_and_four_chains_of_a_quarter_each() -> None:
    """20,000 lb: a ring of 10,000 lb, chains of 5,000 lb."""
    four = [FROM_RING] * 4
    whole = of("unstable", *four, wll="5000 lb", ring_rating=force("10000 lb"))
    for rule in (RING, EACH, COUNT, ANSWERS):
        assert said(whole, rule) == "meets"
    light = of("unstable", *four, wll="4999 lb", ring_rating=force("9999 lb"))
    assert said(light, RING) == "does not meet"
    each = found(light, EACH)
    assert str(each.verdict) == "does not meet"
    assert value_of(each.provided) == 0
    assert "each rated for at least 5,000 lb" in " ".join(sum_lines(each))
    assert said(of("unstable", *four), RING) == "cannot tell"


def test_ratings_or_a_mass_nobody_told_leave_each_chain_open() -> None:
    four = ties(*[FROM_RING] * 4)
    one = boulder(facts={"shape": "unstable"})
    unrated = assess(plan([one], [chain(wll=None)], four))
    assert said(unrated, EACH) == "cannot tell"
    assert "the rating (WLL) of C-1" in unknown_line(found(unrated, EACH))
    heavy = boulder(None, facts={"shape": "unstable"}, section="393.136")
    unweighed = judged([heavy], four)
    assert said(unweighed, EACH) == "cannot tell"
    assert said(unweighed, RING) == "cannot tell"
    assert said(judged([heavy], four[:3]), EACH) == "does not meet"


@pytest.mark.parametrize(
    ("facts", "rule", "verdict"),
    [
        ({"timbers": 2}, SUPPORT, "meets"),
        ({"timbers": 1}, SUPPORT, "does not meet"),
        ({"timber_size": length("4 in")}, TIMBER, "meets"),
        ({"timber_size": length("3 1/2 in")}, TIMBER, "does not meet"),
        ({"timber_size": length("10 cm")}, TIMBER, "meets"),
        ({"timber_size": length("9.9 cm")}, TIMBER, "does not meet"),
        ({"rounded": True, "crib_contacts": 3}, SUPPORT, "meets"),
        ({"rounded": True, "crib_contacts": 2}, SUPPORT, "does not meet"),
        ({"rounded": True}, SUPPORT, "cannot tell"),
    ],
)
def test_it_rests_on_timber_or_in_a_crib(facts: dict[str, Any], rule: str, verdict: str) -> None:
    assert said(of("cubic", ACROSS, ACROSS, **facts), rule) == verdict


def test_a_side_nobody_looked_at_leaves_it_open() -> None:
    one = article(commodity=Commodity.BOULDER, weighs="20000 lb", answers=all_yes("136"))
    whole = judged([one])
    for rule in (SUPPORT, ANSWERS):
        assert said(whole, rule) == "cannot tell"
        assert "rounded" in unknown_line(found(whole, rule))


def test_three_quarters_of_the_length_is_advice() -> None:
    assert "advice, not a duty" in sum_lines(found(of("cubic"), SUPPORT))[-1]


@pytest.mark.parametrize(
    ("shape", "rounded", "asked"),
    [
        ("cubic", False, {"136-side", "136-taper", "136-width"}),
        ("stable", True, {"136-side", "136-taper", "136-crib", "136-crossing"}),
        ("unstable", False, {"136-side", "136-taper", "136-width", "136-ring", "136-angle"}),
    ],
)
def test_the_questions_follow_the_shape(shape: str, rounded: bool, asked: set[str]) -> None:
    inputs = found(of(shape, rounded=rounded), ANSWERS).inputs
    assert {one.name.removeprefix("answers.") for one in inputs} == asked


def test_rated_sides_and_light_ones_go_by_the_general_rules_and_the_choice_is_recorded() -> None:
    size: dict[str, Any] = {"width": length("3 ft"), "height": length("3 ft")}

    def rules(one: Article, vehicle: Vehicle = FLATBED) -> set[str]:
        ends = ("-count", "-choice", "-applies")
        return {each.rule for each in judged([one], vehicle=vehicle) if each.rule.endswith(ends)}

    general = "us-393.110-count"
    sided = Vehicle(body=Body.SIDED)
    assert rules(boulder("11000 lb")) == {COUNT}, "exactly at the line the section is applied"
    assert rules(boulder(facts={"rated_sides": True}), sided) == {general}
    assert rules(boulder(facts={"rated_sides": False}), sided) == {COUNT}
    assert rules(boulder(), sided) == {"us-393.136-applies", general}
    small = article(commodity=Commodity.BOULDER, weighs="219 lb", long="1 ft")
    assert rules(small) == {general}
    middling: dict[str, Any] = {"commodity": Commodity.BOULDER, "weighs": "900 lb", "long": "3 ft"}
    assert rules(article(**middling, **size)) == {"us-393.136-choice", general}
    assert rules(article(**middling, **size, section="general")) == {general}
    assert rules(article(**middling, section="393.136")) == {COUNT}
    assert rules(article(**middling, **size, section="393.130")) == {"us-393.136-choice", general}
