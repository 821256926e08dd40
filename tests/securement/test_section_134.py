"""Roll-on/roll-off containers: 49 CFR 393.134."""

from typing import Any

import pytest

from tests.securement.plans import article, found, length, value_of
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.finding import Finding, Scope
from triplog.securement.model import Article, Commodity
from triplog.wording.findings import sum_lines, unknown_line

COUNT, DISTANCE = "us-393.134-count", "us-393.134-distance"
ANSWERS, AGGREGATE = "us-393.134-answers", "us-393.134-aggregate"


def box(**facts: Any) -> Article:
    """A container of 30,000 lb about which all is answered with yes."""
    return article(
        commodity=Commodity.ROLL_OFF,
        weighs="30000 lb",
        long="22 ft",
        facts=facts,
        answers=all_yes("134"),
    )


def held(number: int = 0, **facts: Any) -> tuple[Finding, ...]:
    return judged([box(**facts)], ties(*[{}] * number), wll="10000 lb")


def test_the_rear_is_held_by_a_tie_down_or_two_hooks() -> None:
    assert said(held(1), COUNT) == "meets"
    assert said(held(2), COUNT) == "meets"
    assert said(held(0, rear_hooks=2), COUNT) == "meets"
    one_hook = found(held(0, rear_hooks=1), COUNT)
    assert str(one_hook.verdict) == "does not meet"
    assert value_of(one_hook.margin) == -1
    untold = found(held(0), COUNT)
    assert str(untold.verdict) == "cannot tell"
    assert unknown_line(untold) == "how many hooks hold the rear of A"


@pytest.mark.parametrize(
    ("far", "verdict"),
    [
        ("6 ft 7 in", "meets"),
        ("6 ft 8 in", "does not meet"),
        ("2 m", "meets"),
        ("2.01 m", "does not meet"),
    ],
)
def test_it_is_held_within_2_m_of_its_rear(far: str, verdict: str) -> None:
    assert said(held(1, rear_distance=length(far)), DISTANCE) == verdict


def test_a_distance_nobody_told_leaves_it_open() -> None:
    assert said(held(1), DISTANCE) == "cannot tell"


def test_the_front_and_the_stops_are_asked_about() -> None:
    assert said(held(1), ANSWERS) == "meets"
    assert len(found(held(1), ANSWERS).inputs) == 4


def test_half_the_weight_by_the_tie_downs_alone_is_a_yardstick() -> None:
    aggregate = found(held(1), AGGREGATE)
    assert (str(aggregate.verdict), aggregate.scope) == ("does not meet", Scope.YARDSTICK)
    assert "names no share" in sum_lines(aggregate)[-1]
    assert said(held(0, rear_hooks=2), AGGREGATE) == "does not apply"
    assert not [one for one in held(1) if one.rule in ("us-393.106-aggregate", "us-393.110-count")]


def test_securement_built_into_the_vehicle_goes_by_the_general_rules() -> None:
    rules = [one.rule for one in held(1, integral_securement=True)]
    assert "us-393.110-count" in rules
    assert COUNT not in rules
