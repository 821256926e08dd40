"""What a trip is judged by, and what a plan file is."""

from collections.abc import Callable

import pytest

from tests.desk.seat import Seat
from triplog.desk.judging import judge_file, judge_trip
from triplog.desk.planning import change_plan, use_file

Sit = Callable[[str], Seat]
FILE = b"""format = "triplog-plan/1"
%s
[[article]]
id = "A"
"""


@pytest.mark.parametrize("rules", [b"", b'rules = ["us-393"]', b'rules = ["fit", "house"]'])
def test_on_a_trip_the_fit_of_the_gear_is_always_judged(rules: bytes, sit: Sit) -> None:
    seat = sit("a trip planned")
    change_plan(seat.desk, seat.trip, use_file(FILE % rules, "plan.toml"))
    judgement = judge_trip(seat.trip)
    assert judgement.plan.rules.count("fit") == 1
    assert "fit-stands" in {one.rule for one in judgement.findings}


def test_a_plan_file_asks_for_it_by_name() -> None:
    def judged(rules: bytes) -> set[str]:
        return {one.rule_set for one in judge_file(FILE % rules, "plan.toml").findings}

    assert "fit" not in judged(b"")
    assert judged(b'rules = ["fit"]') == {"fit"}
