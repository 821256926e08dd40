"""Cars and light trucks: 49 CFR 393.128."""

from typing import Any

from tests.securement.plans import article, found, value_of
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.finding import Finding, Scope
from triplog.securement.model import Article, Commodity

COUNT, ANSWERS = "us-393.128-count", "us-393.128-answers"
WHEEL: dict[str, Any] = {}


def car(**told: Any) -> Article:
    return article(
        **{
            "commodity": Commodity.LIGHT_VEHICLE,
            "weighs": "4000 lb",
            "long": "15 ft",
            "answers": all_yes("128"),
            **told,
        }
    )


def test_a_car_needs_two_tie_downs_and_half_its_weight() -> None:
    two = judged([car()], ties(WHEEL, WHEEL), wll="1000 lb")
    assert said(two, COUNT) == "meets"
    assert said(two, ANSWERS) == "meets"
    aggregate = found(two, "us-393.106-aggregate")
    assert (str(aggregate.verdict), aggregate.scope) == ("meets", Scope.LAW)
    assert value_of(aggregate.required) == 2000
    assert not [one for one in two if one.rule == "us-393.110-count"]
    one = found(judged([car()], ties(WHEEL)), COUNT)
    assert str(one.verdict) == "does not meet"
    assert value_of(one.margin) == -1


def test_two_are_not_enough_where_one_end_is_not_held() -> None:
    """A count that meets says nothing of the front and the rear: they are asked for."""
    answers = {**all_yes("128"), "128-front-rear": "no"}
    whole = judged([car(answers=answers)], ties(WHEEL, WHEEL))
    assert said(whole, COUNT) == "meets"
    finding = found(whole, ANSWERS)
    assert str(finding.verdict) == "does not meet"
    assert finding.citation.clause == "393.128(b)(1)"


def test_a_car_goes_by_its_section_unless_another_is_recorded() -> None:
    def rules(**told: Any) -> set[str]:
        findings: tuple[Finding, ...] = judged([car(**told)], ties(WHEEL, WHEEL))
        return {one.rule for one in findings if one.rule.endswith("-count")}

    assert rules() == {COUNT}
    assert rules(section="general") == {"us-393.110-count"}
    assert rules(section="393.130") == {"us-393.130-count"}
    assert rules(section="393.136") == {COUNT}, "no choice the law leaves"
