"""What blocks an article: something that lies beyond it, not what it blocks itself."""

import pytest

from tests.securement.plans import article, found, plan, strap, tie_down
from triplog.securement.assess import assess
from triplog.securement.finding import Count
from triplog.securement.model import Block, Direction, Plan
from triplog.securement.rules.blocking import blocked_forward


def behind(**by: str) -> Plan:
    """Articles by their ids, each blocked forward by what is named."""
    return plan(
        [article(one, blocked={Direction.FORWARD: Block(by=name)}) for one, name in by.items()]
    )


def answers(whole: Plan) -> list[bool | None]:
    return [blocked_forward(one, whole) for one in whole.articles]


@pytest.mark.parametrize(
    "ring", [{"A": "B", "B": "A"}, {"A": "b", "B": " C ", "C": "A"}, {"a": "B", "B": "A"}]
)
def test_articles_that_block_each_other_are_blocked_by_nothing(ring: dict[str, str]) -> None:
    assert answers(behind(**ring)) == [False] * len(ring)


def test_a_row_of_articles_against_something_firm_is_blocked() -> None:
    assert answers(behind(A="timber", B="A", C="B")) == [True, True, True]


def test_what_stands_behind_a_ring_is_blocked_by_it() -> None:
    """By an article that has to be held by itself, as any that blocks another."""
    assert answers(behind(A="B", B="A", C="A")) == [False, False, True]


def test_an_article_does_not_stop_itself_and_nobody_said_what_does() -> None:
    assert answers(behind(A="A")) == [None]


def test_a_ring_another_way_is_no_ring_forward() -> None:
    whole = plan(
        [
            article("A", blocked={Direction.FORWARD: Block(by="B")}),
            article("B", blocked={Direction.REARWARD: Block(by="A"),
                                  Direction.FORWARD: Block(by="timber")}),
        ]
    )  # fmt: skip
    assert answers(whole) == [True, True]


def test_two_that_block_each_other_need_the_tie_downs_of_the_unblocked() -> None:
    # 49 CFR 393.110(b): 12 ft, not blocked forward: two for the first 10 ft, one for the rest.
    whole = plan(
        [
            article("A", blocked={Direction.FORWARD: Block(by="B")}),
            article("B", blocked={Direction.FORWARD: Block(by="A")}),
        ],
        [strap("S-1")],
        [tie_down("T1", holds=("A",))],
    )
    asked = found(assess(whole), "us-393.110-count", "A").required
    assert asked == Count(value=3, unit="tie-down")
