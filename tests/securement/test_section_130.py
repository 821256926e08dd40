"""Heavy vehicles and machines: 49 CFR 393.130."""

from typing import Any

import pytest

from tests.securement.plans import article, found, value_of
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.finding import Finding, Scope
from triplog.securement.model import Article, Commodity, Path
from triplog.wording.findings import sum_lines

COUNT, ANSWERS = "us-393.130-count", "us-393.130-answers"
DIRECT: dict[str, Any] = {"path": Path.DIRECT}


def machine(weighs: str | None = "26000 lb", **told: Any) -> Article:
    return article(
        weighs=weighs,
        long="20 ft",
        **{"commodity": Commodity.MACHINE, "answers": all_yes("130"), **told},
    )


def counts(*articles: Article) -> set[str]:
    findings: tuple[Finding, ...] = judged(articles, ties(*[DIRECT] * 4))
    return {one.rule for one in findings if one.rule.endswith(("-count", "-choice", "-applies"))}


def test_a_machine_needs_four_tie_downs_and_half_its_weight() -> None:
    four = judged([machine()], ties(*[DIRECT] * 4), wll="6500 lb")
    assert said(four, COUNT) == "meets"
    assert said(four, ANSWERS) == "meets"
    aggregate = found(four, "us-393.106-aggregate")
    assert (str(aggregate.verdict), aggregate.scope) == ("meets", Scope.LAW)
    assert value_of(aggregate.provided) == 13_000
    three = found(judged([machine()], ties(*[DIRECT] * 3), wll="20000 lb"), COUNT)
    assert str(three.verdict) == "does not meet"
    assert value_of(three.margin) == -1


def test_a_chain_through_to_both_sides_is_one_tie_down_though_it_counts_in_full() -> None:
    through = judged([machine()], ties(*[{"path": Path.OVER}] * 2), wll="20000 lb")
    assert said(through, COUNT) == "does not meet"
    assert said(through, "us-393.106-aggregate") == "meets"


def test_the_handbooks_rating_for_each_is_a_note_and_decides_nothing() -> None:
    light = judged([machine("10000 lb")], ties(*[DIRECT] * 4), wll="2500 lb")
    finding = found(light, COUNT)
    assert str(finding.verdict) == "meets"
    assert "the Driver's Handbook asks 5,000 lb of each; 49 CFR does not" in sum_lines(finding)
    metric = found(judged([machine("5000 kg")], ties(*[DIRECT] * 4)), COUNT)
    assert "asks 2,268 kg of each" in " ".join(sum_lines(metric))


@pytest.mark.parametrize(
    ("weighs", "told", "rules"),
    [
        ("10000 lb", {}, {COUNT}),
        ("10000 lb", {"section": "393.128"}, {COUNT}),
        ("10000 lb", {"section": "general"}, {COUNT}),
        ("4536 kg", {}, {COUNT}),
        ("9999 lb", {}, {"us-393.130-choice", "us-393.110-count"}),
        ("9999 lb", {"section": "general"}, {"us-393.110-count"}),
        ("9999 lb", {"section": "393.128"}, {"us-393.128-count"}),
        ("9999 lb", {"section": "393.130"}, {COUNT}),
        (None, {"section": "393.130"}, {COUNT}),
        (None, {"section": "393.128"}, {"us-393.130-applies", "us-393.110-count"}),
    ],
)
def test_below_10000_lb_the_choice_is_recorded_and_from_there_on_there_is_none(
    weighs: str | None, told: dict[str, Any], rules: set[str]
) -> None:
    assert counts(machine(weighs, **told)) == rules


def test_a_heavy_truck_goes_by_the_same_section() -> None:
    truck = machine("10000 lb", commodity=Commodity.LIGHT_VEHICLE, section="393.128")
    assert counts(truck) == {COUNT}
