"""What the section of a commodity asks of an article, and how a person tells it."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.desk.seat import Seat
from triplog.cli.facts import answers_table, facts_table
from triplog.desk.asked import asked_about
from triplog.desk.planning import change_article, change_plan
from triplog.desk.refused import Refused
from triplog.screen import asked_lines

Sit = Callable[[str], Seat]


def told(seat: Seat, **fields: Any) -> dict[str, object]:
    """The plan with the article A changed; what is asked about it then, by name."""
    change_plan(seat.desk, seat.trip, change_article("A", fields))
    return {one.name: one.told for one in asked_about(seat.trip, "A")}


@pytest.fixture
def coil(sit: Sit) -> Seat:
    """A trip whose article A is a metal coil of 9,000 lb about which nothing more is told."""
    seat = sit("a trip planned")
    told(seat, commodity="metal coil", mass="9000 lb")
    return seat


def test_the_section_asks_for_the_eye_first_and_then_what_the_eye_raises(coil: Seat) -> None:
    body = {one.name for one in asked_about(coil.trip, "A")}
    assert "eye" in body
    raised = told(coil, facts={"eye": "crosswise"})
    assert raised["eye"] == "crosswise"
    assert {"120-support", "120-nailed", "120-each-way"} <= set(raised)
    assert raised["120-support"] is None


def test_facts_and_answers_given_later_leave_the_earlier_ones(coil: Seat) -> None:
    told(coil, facts={"eye": "vertical"}, answers={"120-tipping": "yes"})
    later = told(coil, facts={"pieces": 1}, answers={"120-diagonals": "no"})
    assert (later["eye"], later["pieces"]) == ("vertical", 1)
    assert (later["120-tipping"], later["120-diagonals"]) == ("yes", "no")
    told(coil, what="steel coil")
    assert told(coil)["120-tipping"] == "yes"


def test_an_article_without_a_section_of_its_own_is_asked_nothing(sit: Sit) -> None:
    seat = sit("a trip planned")
    assert asked_about(seat.trip, "A") == ()
    assert asked_lines("A", ()) == ["no section of its own asks anything about A"]


def test_an_article_that_is_not_there_is_refused_with_those_that_are(coil: Seat) -> None:
    with pytest.raises(Refused, match=r"no article 'B' on this plan; there is: A"):
        asked_about(coil.trip, "B")


def test_what_is_asked_is_shown_with_the_option_that_tells_it() -> None:
    rows: list[dict[str, object]] = [
        {"option": "fact", "name": "unitized", "told": True, "words": "whether it is banded"},
        {"option": "fact", "name": "pieces", "told": 1, "words": "how many"},
        {"option": "answer", "name": "120-along", "told": None, "words": "Is it kept?"},
    ]
    assert asked_lines("A", rows) == [
        "told      by                  asked",
        "yes       --fact unitized     whether it is banded",
        "1         --fact pieces       how many",
        "not told  --answer 120-along  Is it kept?",
    ]


def test_facts_are_read_by_their_kind_and_the_plans_reader_refuses_the_rest() -> None:
    assert facts_table(["eye=vertical", "pieces = 3", "unitized=no", "diameter=48 in"]) == {
        "eye": "vertical",
        "pieces": 3,
        "unitized": False,
        "diameter": "48 in",
    }
    assert facts_table(["pieces=many", "unitized=maybe", "colour=blue"]) == {
        "pieces": "many",
        "unitized": "maybe",
        "colour": "blue",
    }
    assert answers_table(["120-along=not looked at"]) == {"120-along": "not looked at"}
    assert facts_table(None) is answers_table(None) is None
    for broken in (["eye"], ["eye="]):
        with pytest.raises(Refused, match="write --fact as eye=vertical"):
            facts_table(broken)
