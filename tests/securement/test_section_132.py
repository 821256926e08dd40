"""Flattened cars: 49 CFR 393.132."""

from typing import Any

import pytest

from tests.securement.plans import FLATBED, article, chain, found, plan, strap, tie_down, value_of
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.assess import assess
from triplog.securement.cargo_facts import Answer
from triplog.securement.finding import Finding
from triplog.securement.model import Article, Commodity
from triplog.wording.findings import sum_lines, unknown_line

COUNT, ANSWERS = "us-393.132-count", "us-393.132-answers"
WEBBING, AGGREGATE = "us-393.132-webbing", "us-393.132-aggregate"


def cars(linking: Answer | None = None, **facts: Any) -> Article:
    """Stacks of 30,000 lb about which all is answered with yes but for the webbing."""
    answers = {name: said for name, said in all_yes("132").items() if name != "132-linking"}
    return article(
        commodity=Commodity.FLATTENED_CAR,
        weighs="30000 lb",
        long="30 ft",
        facts=facts,
        answers=answers if linking is None else {**answers, "132-linking": linking},
    )


def under(number: int, **facts: Any) -> tuple[Finding, ...]:
    return judged([cars(**facts)], ties(*[{}] * number))


@pytest.mark.parametrize(
    ("walls", "each"), [("three sides", 2), ("front and rear", 3), ("none", 4)]
)
def test_each_stack_needs_what_the_walls_leave_to_do(walls: str, each: int) -> None:
    enough = found(under(2 * each, wall_sides=walls, stacks=2), COUNT)
    assert str(enough.verdict) == "meets"
    assert value_of(enough.required) == 2 * each
    assert said(under(2 * each - 1, wall_sides=walls, stacks=2), COUNT) == "does not meet"


def test_walls_on_all_four_sides_ask_for_no_tie_down() -> None:
    bare = under(0, wall_sides="four sides")
    for rule in (COUNT, ANSWERS, AGGREGATE):
        assert said(bare, rule) == "does not apply"
    assert not [one for one in bare if one.rule in ("us-393.106-aggregate", "us-393.110-count")]
    tied = under(2, wall_sides="four sides")
    assert said(tied, "us-393.106-aggregate") == "meets"


def test_walls_or_stacks_nobody_told_leave_it_open() -> None:
    open_stacks = found(under(4, wall_sides="none"), COUNT)
    assert str(open_stacks.verdict) == "cannot tell"
    assert unknown_line(open_stacks) == "how many stacks A has"
    assert said(under(3, wall_sides="none"), COUNT) == "does not meet", "one stack asks for four"
    assert "on which sides" in unknown_line(found(under(4, stacks=1), COUNT))


def test_webbing_is_barred_whatever_it_is_rated_and_counts_nothing() -> None:
    def held(linking: Answer | None, gear: str | None = "S-1") -> tuple[Finding, ...]:
        webs = [tie_down(f"T{number}", gear=gear) for number in range(4)]
        one = cars(linking, wall_sides="none", stacks=1)
        return assess(plan([one], [strap(wll="50000 lb")], webs, vehicle=FLATBED))

    barred = held(None)
    assert said(barred, WEBBING) == "does not meet"
    assert said(barred, COUNT) == "does not meet"
    assert said(held("no"), WEBBING) == "does not meet"
    assert said(held("yes"), WEBBING) == "meets"
    assert said(held(None, gear=None), WEBBING) == "cannot tell"
    assert said(under(4, wall_sides="none", stacks=1), WEBBING) == "meets"


@pytest.mark.parametrize(
    ("linking", "gear", "verdict"),
    [
        (None, "S-1", "does not meet"),
        ("no", "S-1", "does not meet"),
        ("yes", "S-1", "meets"),
        (None, None, "cannot tell"),
    ],
)
def test_webbing_that_is_barred_adds_nothing_to_the_combined_rating(
    linking: Answer | None, gear: str | None, verdict: str
) -> None:
    webs = [tie_down(f"T{number}", gear=gear) for number in range(4)]
    one = cars(linking, wall_sides="none", stacks=1)
    finding = found(
        assess(plan([one], [strap(wll="20000 lb")], webs, vehicle=FLATBED)), "us-393.106-aggregate"
    )
    assert said([finding], "us-393.106-aggregate") == verdict
    noted = "T0, T1, T2 and T3: webbing on flattened cars counts nothing, 393.132(b)"
    assert (noted in sum_lines(finding)) is (verdict == "does not meet")


def test_webbing_over_flattened_cars_and_another_article_is_barred_on_both() -> None:
    both = [cars(wall_sides="none", stacks=1), article("B", weighs="1000 lb")]
    web = tie_down("T1", holds=("A", "B"), gear="S-1")
    finding = found(assess(plan(both, [strap(wll="20000 lb")], [web])), "us-393.106-aggregate")
    assert value_of(finding.provided) == 0


def test_the_handbooks_rating_is_a_note_here_too() -> None:
    lines = sum_lines(found(under(4, wall_sides="none", stacks=1), COUNT))
    assert "the Driver's Handbook asks 5,000 lb of each; 49 CFR does not" in lines


def test_liquid_and_loose_parts_are_asked_about() -> None:
    one = under(2, wall_sides="three sides", stacks=1)
    assert said(one, ANSWERS) == "meets"
    assert found(one, ANSWERS).citation.clause == "393.132"
    assert [value.name for value in found(one, ANSWERS).inputs] == ["answers.132-loose"]


def test_half_the_weight_holds_too() -> None:
    gear = [chain(wll="3749 lb")]
    whole = plan([cars(wall_sides="none", stacks=1)], gear, ties(*[{}] * 4))
    assert said(assess(whole), "us-393.106-aggregate") == "does not meet"
