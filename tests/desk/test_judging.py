"""What a trip is judged by, and what a plan file is."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.desk.seat import Seat
from triplog.desk.judging import judge_and_record, judge_file, judge_trip, recorded_findings
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


def test_the_static_estimate_is_recorded_with_its_numbers_as_texts(sit: Sit) -> None:
    plan = Path(__file__).parents[1] / "securement" / "static_plan.toml"
    seat = sit("a trip planned")
    change_plan(seat.desk, seat.trip, use_file(plan.read_bytes(), "plan.toml"))
    judge_and_record(seat.desk, seat.trip)
    findings = recorded_findings(seat.trip)
    assert findings is not None
    envelope = findings["envelope"]
    assert isinstance(envelope, list) and len(envelope) == 4
    first = envelope[0]
    assert isinstance(first, dict)
    assert (first["direction"], first["withstands_g"]) == ("forward", "0.391743")
