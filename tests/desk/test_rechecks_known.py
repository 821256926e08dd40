"""Where the trip is, sentence by sentence, where no other file has the case.

Limits: 49 CFR 392.9(b)(2), 50 mi. The trip of the scenes departed at 07:20 with 24,130 mi; its
vehicle's stated top road speed is 65 mph.
"""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.counter import Basis
from scheduler.due import DueCheck, State
from scheduler.progress import DutyStatus
from scheduler.recheck_rules import Kind
from tests.desk.seat import Seat
from tests.desk.test_feeding import at_noon, track
from triplog.checks import due_checks_of, last_odometer
from triplog.desk.checking import LOOKS, Found, Line, late_checks, record_check, tie_downs_of
from triplog.desk.delivering import deliver
from triplog.desk.departing import depart
from triplog.desk.planning import Document, add_article, change_plan, remove_article
from triplog.desk.road import change_duty, read_odometer
from triplog.journal.entries import Entry
from triplog.journal.imported_ways import beside_odometer, imported_ways
from triplog.wording.due import count_text

Sit = Callable[[str], Seat]


def duty(seat: Seat, status: DutyStatus) -> Entry:
    entry, _ = change_duty(
        seat.desk, seat.trip, status, driver=seat.desk.by, at=None, place=None, reason=None
    )
    return entry


def check_of(seat: Seat, kind: Kind) -> DueCheck:
    due = due_checks_of(seat.trip, seat.desk.now().wall)
    return next(one for one in due if one.counter.kind is kind)


def test_departing_sets_the_driver_to_driving_and_no_change_is_due_for_it(sit: Sit) -> None:
    """Our reading of 49 CFR 392.9(b)(3)(i): setting out is no change to look at the load for."""
    seat = sit("a trip rolling")
    assert seat.trip.duty_by_driver == {seat.desk.by: "driving"}
    kinds = {one.counter.kind for one in due_checks_of(seat.trip, seat.desk.now().wall)}
    assert Kind.DUTY_CHANGE not in kinds


def test_past_the_limit_by_estimate_no_lateness_is_recorded_and_no_reason_asked(sit: Sit) -> None:
    """Our reading: an upper bound proves nothing against the driver. 60 min at 65 mph: 65 mi."""
    seat = sit("a trip rolling")
    seat.later(55)
    duty(seat, DutyStatus.ON_DUTY)
    found = check_of(seat, Kind.FIRST_DISTANCE)
    assert (found.state, found.by_estimate) == (State.DUE, True)
    assert "(estimated)" in count_text(found)
    now = seat.desk.now().wall
    assert late_checks(seat.trip, now) == ()
    lines = [Line(tie_down=one, found=Found.FINE) for one in tie_downs_of(seat.trip)]
    checked = record_check(seat.desk, seat.trip, lines=lines, looked_at=LOOKS, stopped=True)
    assert "late" not in checked.entry.body
    assert "reason" not in seat.opened(checked.entry)


def test_a_reading_makes_a_known_distance_of_an_estimated_one(sit: Sit) -> None:
    """An odometer that was read comes before any estimate: our reading."""
    seat = sit("a trip rolling")
    seat.later(30)
    assert check_of(seat, Kind.DISTANCE).basis is Basis.ESTIMATED
    read_odometer(seat.desk, seat.trip, "24150", stopped=True)
    found = check_of(seat, Kind.DISTANCE)
    assert (found.basis, count_text(found)) == (Basis.KNOWN, "20.0 mi so far, 130.0 mi left")


def test_neither_corrects_the_other_a_way_of_a_receiver_and_the_odometer(
    sit: Sit, tmp_path: Path
) -> None:
    """Shown beside it: our reading. A receiver's way is a sum of straight lines."""
    seat = at_noon(sit)
    read_before = last_odometer(seat.trip)
    track(tmp_path, seat)
    assert last_odometer(seat.trip) == read_before
    way = imported_ways(seat.trip)[0]
    samples = way.samples
    assert beside_odometer(seat.trip, way) is None
    read_odometer(
        seat.desk,
        seat.trip,
        "24150",
        stopped=True,
        sure=True,
        at=way.samples[-1][0] - timedelta(minutes=4),
    )
    again = imported_ways(seat.trip)[0]
    assert again.samples == samples
    beside = beside_odometer(seat.trip, again)
    assert beside is not None
    assert beside.odometer_m == pytest.approx(20 * 1609.344)
    assert abs(beside.way_m - beside.odometer_m) > 1_000


def test_an_article_taken_off_and_put_on_again_is_a_reloading_and_begins_a_first_check(
    sit: Sit,
) -> None:
    """49 CFR 392.9(b)(2), "after beginning a trip"; that reloading begins one is our reading."""
    seat = sit("a first check made")
    seat.later(5)
    change_plan(seat.desk, seat.trip, add_article(article=_box(), article_id="B", count=1))
    seat.later(5)
    change_plan(seat.desk, seat.trip, remove_article("B"))
    seat.later(5)
    again = change_plan(seat.desk, seat.trip, add_article(article=_box(), article_id="B", count=1))
    assert check_of(seat, Kind.FIRST_DISTANCE).counter.from_key == again.hash


def test_a_part_delivery_begins_a_first_check(sit: Sit) -> None:
    """49 CFR 392.9(b)(2); that a part unloading begins a trip is our reading."""
    seat = sit("a first check made")
    seat.later(5)
    change_plan(seat.desk, seat.trip, add_article(article=_box(), article_id="B", count=1))
    seat.later(5)
    delivered = deliver(seat.desk, seat.trip, ["B"], stopped=True).entry
    assert check_of(seat, Kind.FIRST_DISTANCE).counter.from_key == delivered.hash


def _box() -> Document:
    return {"what": "a box", "mass": "300 lb", "length": "2 ft"}


@pytest.mark.parametrize("at_mile", ["24130", "24131"])
def test_only_a_check_with_distance_behind_it_meets_the_first_check(at_mile: str, sit: Sit) -> None:
    """49 CFR 392.9(b)(1) has the look before driving, (b)(2) another: our reading."""
    seat = sit("a trip planned")
    depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer="24130",
        top_speed=None,
        next_stop=None,
        reason=None,
    )
    seat.later(2)
    duty(seat, DutyStatus.ON_DUTY)
    lines = [Line(tie_down=one, found=Found.FINE) for one in tie_downs_of(seat.trip)]
    record_check(seat.desk, seat.trip, lines=lines, looked_at=LOOKS, stopped=True, odometer=at_mile)
    kinds = {one.counter.kind for one in due_checks_of(seat.trip, seat.desk.now().wall)}
    assert (Kind.FIRST_DISTANCE in kinds) is (at_mile == "24130")
