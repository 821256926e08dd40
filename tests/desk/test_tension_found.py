"""Tension found at a check: recorded as read, and how soon to look again.

Where a case names no source, what it holds is our reading.
"""

from pathlib import Path

import pytest

from scheduler.observed_loss import RULE_ID
from tests.desk.seat import Seat, take_seat
from triplog.checks import counters_of
from triplog.desk.checking import Checked, Found, Line, record_check
from triplog.desk.planning import Change, Document, change_plan
from triplog.desk.refused import Refused
from triplog.desk.tension_found import loss_body


def tensioned_seat(folder: Path, *, rules: tuple[str, ...] = ("us-393", "static")) -> Seat:
    """Rolling with a crate blocked forward and pressed sideways, its tension in the plan."""
    seat = take_seat("a trip stopped", folder)

    def tensioned(document: Document) -> None:
        document["rules"] = list(rules)
        document["article"][0] |= {
            "friction": "0.56",
            "cog": {"back": "3.5 ft", "across": "centre", "up": "2 ft"},
            "blocked": {
                "forward": "dunnage",
                "forward_rated": "80 kN",
                "forward_up": "2 ft",
                "rearward": "nothing",
                "left": "nothing",
                "right": "nothing",
            },
        }
        for place, tie in enumerate(document["tie_down"]):
            tie |= {"tension": "400 daN", "tensioner_side": ("left", "right")[place % 2]}

    change_plan(seat.desk, seat.trip, Change(cause="tension told", edit=tensioned))
    return seat


def _check(seat: Seat, *lines: Line) -> Checked:
    return record_check(
        seat.desk, seat.trip, lines=list(lines), looked_at=(), stopped=True, odometer="24160 mi"
    )


def test_a_reading_below_the_plan_is_recorded_and_brings_the_next_look_forward(
    tmp_path: Path,
) -> None:
    """280 of 400 daN left: 0.3 lost; our own estimate, no source."""
    seat = tensioned_seat(tmp_path)
    checked = _check(
        seat,
        Line(tie_down="T1", found=Found.FINE, tension="280 daN"),
        Line(tie_down="T2", found=Found.FINE, tension="390 daN"),
    )
    loss = checked.entry.body["observed_loss"]
    assert isinstance(loss, dict)
    assert loss["lost"] == "0.3000"
    lines = checked.entry.body["lines"]
    assert isinstance(lines, list)
    assert [one["tension"] for one in lines] == ["280 daN", "390 daN"]
    assert RULE_ID in {one.rule_id for one in counters_of(seat.trip)}


def test_a_tie_down_found_slack_has_lost_all_of_it(tmp_path: Path) -> None:
    """Our reading."""
    seat = tensioned_seat(tmp_path)
    body = loss_body(seat.trip, {}, ["T2"])
    assert body is not None
    assert body["lost"] == "1.0000"


def test_nothing_is_estimated_where_the_plan_does_not_say_what_may_be_lost(
    tmp_path: Path,
) -> None:
    seat = tensioned_seat(tmp_path, rules=("us-393",))
    checked = _check(
        seat,
        Line(tie_down="T1", found=Found.SLACK),
        Line(tie_down="T2", found=Found.FINE, tension="300 daN"),
    )
    assert "observed_loss" not in checked.entry.body


def test_a_reading_that_is_no_force_is_refused() -> None:
    with pytest.raises(Refused, match="28 km"):
        Line(tie_down="T1", found=Found.FINE, tension="28 km")
