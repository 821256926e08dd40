"""Planned stops against the limits of 49 CFR 392.9(b): 50 mi, then 150 mi or 3 h of driving.

The figures are those of the rules the trip departs with; the sums beside them are worked by hand.
"""

from collections.abc import Callable

import pytest

from scheduler.progress import DutyStatus
from tests.desk.seat import Seat
from triplog.checks import odometer_mm
from triplog.desk.checking import LOOKS, Found, Line, record_check
from triplog.desk.departing import depart
from triplog.desk.exempting import exempt_impracticable
from triplog.desk.refused import Refused
from triplog.desk.road import change_duty, read_odometer
from triplog.desk.stops import (
    Before,
    StopOutlook,
    next_outlook,
    outlooks,
    plan_stop,
    planned_stops,
)

Sit = Callable[[str], Seat]


def left(seat: Seat, *, stop: str | None = None, place: str | None = None) -> Seat:
    """The trip departed at 24,130 mi, with a stop planned there or without."""
    depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer="24130",
        top_speed=None,
        next_stop=place,
        reason=None,
        next_stop_odometer=stop,
    )
    return seat


def duty(seat: Seat, status: DutyStatus) -> None:
    change_duty(seat.desk, seat.trip, status, driver=seat.desk.by, at=None, place=None, reason=None)


def outlook(seat: Seat) -> StopOutlook:
    found = next_outlook(seat.desk, seat.trip)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("stop", "before"),
    [("24179", Before.NO), ("24180", Before.NO), ("24181", Before.YES), ("38915 km", Before.YES)],
)
def test_at_departure_a_stop_is_compared_with_the_first_check_limits_are_inclusive(
    stop: str, before: Before, sit: Sit
) -> None:
    """49 CFR 392.9(b)(2): within 50 mi, so by 24,180 mi; 24,181 mi is 38,915.5 km."""
    found = outlook(left(sit("a trip planned"), stop=stop))
    assert found.before is before
    assert found.limit_mm == odometer_mm("24180 mi")


def test_a_stop_may_be_told_by_the_way_from_here(sit: Sit) -> None:
    seat = left(sit("a trip planned"), stop="+42 mi", place="the fuel stop")
    assert seat.last("departed").body["next_stop_odometer"] == "24172 mi"
    (stop,) = planned_stops(seat.desk, seat.trip)
    assert (stop.place, stop.at) == ("the fuel stop", "24172 mi")


def test_after_a_check_the_limit_runs_from_the_check(sit: Sit) -> None:
    """Checked at 24,156 mi: 150 mi on is 24,306 mi, 49 CFR 392.9(b)(3)(iii)."""
    seat = sit("a first check made")
    plan_stop(seat.desk, seat.trip, place=None, odometer="24310")
    found = outlook(seat)
    assert (found.before, found.limit_mm) == (Before.YES, odometer_mm("24306 mi"))


def test_a_stop_that_no_top_speed_reaches_in_three_hours_is_beyond_the_limit(sit: Sit) -> None:
    """20 min driven to the stop, so 2 h 40 min are left: at 65 mph that is 173 mi."""
    seat = left(sit("a trip planned"), stop="24180")
    seat.later(20)
    duty(seat, DutyStatus.ON_DUTY)
    read_odometer(seat.desk, seat.trip, "24131", stopped=True)
    plan_stop(seat.desk, seat.trip, place=None, odometer="24306")
    (near, far) = outlooks(seat.trip, planned_stops(seat.desk, seat.trip), seat.desk.now().wall)
    assert near.before is Before.NO
    # 49 mi in 2 h 40 min: 18.375 mph, below half of 65 mph, and not worth a line.
    assert near.mean_speed_mm_per_h_min == -(-odometer_mm("49 mi") * 3 // 8)
    assert not near.time_matters
    # From the check at 24,180 mi: 126 mi in 3 h, 42 mph.
    assert far.mean_speed_mm_per_h_min == odometer_mm("42 mi")
    assert (far.check_before, far.time_matters, far.top_speed_is_less) == (True, True, False)


def test_the_driving_time_left_may_be_too_short_for_any_speed(sit: Sit) -> None:
    """2 h driven since the check at 24,156 mi, one left: 80 mi at 65 mph take 1 h 14 min."""
    seat = sit("a first check made")
    duty(seat, DutyStatus.DRIVING)
    seat.later(120)
    duty(seat, DutyStatus.ON_DUTY)
    read_odometer(seat.desk, seat.trip, "24220", stopped=True)
    plan_stop(seat.desk, seat.trip, place=None, odometer="24300")
    found = outlook(seat)
    assert found.limit_mm == odometer_mm("24306 mi")
    assert (found.before, found.top_speed_is_less) == (Before.YES, True)


def test_a_stop_without_a_reading_cannot_be_compared_and_is_behind_at_the_next_stop(
    sit: Sit,
) -> None:
    seat = left(sit("a trip planned"), place="the weigh station")
    assert outlook(seat).before is Before.CANNOT_TELL
    seat.later(10)
    duty(seat, DutyStatus.ON_DUTY)
    assert planned_stops(seat.desk, seat.trip) == ()


def test_without_any_odometer_reading_it_cannot_be_told(sit: Sit) -> None:
    seat = sit("a trip planned")
    depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer=None,
        top_speed=None,
        next_stop=None,
        reason=None,
        next_stop_odometer="24170",
    )
    assert outlook(seat).before is Before.CANNOT_TELL


def test_a_stop_is_behind_once_the_odometer_has_read_it_to_the_mile_not_full_yet(sit: Sit) -> None:
    seat = left(sit("a trip planned"), stop="24157")
    seat.later(30)
    duty(seat, DutyStatus.ON_DUTY)
    read_odometer(seat.desk, seat.trip, "24155", stopped=True)
    assert [one.at for one in planned_stops(seat.desk, seat.trip)] == ["24157 mi"]
    seat.later(5)
    read_odometer(seat.desk, seat.trip, "24156", stopped=True)
    assert planned_stops(seat.desk, seat.trip) == ()


def test_stops_come_in_the_order_of_their_readings(sit: Sit) -> None:
    seat = sit("a first check made")
    for reading in ("24300", "24200"):
        plan_stop(seat.desk, seat.trip, place=None, odometer=reading)
    assert [one.at for one in planned_stops(seat.desk, seat.trip)] == ["24200 mi", "24300 mi"]


def test_an_exempt_load_has_no_limit_that_could_come_first(sit: Sit) -> None:
    seat = sit("a first check made")
    plan_stop(seat.desk, seat.trip, place=None, odometer="24999")
    exempt_impracticable(seat.desk, seat.trip, reason="closed box", loaded_by="the mill")
    assert next_outlook(seat.desk, seat.trip) is None


@pytest.mark.parametrize(
    ("place", "odometer", "why"),
    [
        (None, None, "a place"),
        ("  ", None, "a place"),
        (None, "24100", "lies behind"),
        (None, "24156", "lies behind"),
        (None, "+0", "lies behind"),
        (None, "far", "far"),
        (None, "+300 ft", "miles or kilometres"),
    ],
)
def test_what_is_no_stop_ahead_is_refused(
    place: str | None, odometer: str | None, why: str, sit: Sit
) -> None:
    seat = sit("a first check made")
    before = seat.count()
    with pytest.raises(Refused, match=why):
        plan_stop(seat.desk, seat.trip, place=place, odometer=odometer)
    assert seat.count() == before


def test_a_way_from_here_needs_a_reading_of_this_stop(sit: Sit) -> None:
    seat = sit("a trip stopped")
    with pytest.raises(Refused, match="counted from the odometer reading of this stop"):
        plan_stop(seat.desk, seat.trip, place=None, odometer="+40 mi")


def test_no_stop_is_planned_while_driving(sit: Sit) -> None:
    seat = sit("a trip rolling")
    with pytest.raises(Refused, match="driving"):
        plan_stop(seat.desk, seat.trip, place="the yard", odometer=None)


def test_a_planned_stop_is_no_odometer_reading_and_moves_no_counter(sit: Sit) -> None:
    seat = sit("a first check made")
    plan_stop(seat.desk, seat.trip, place=None, odometer="24290")
    assert [one.body["odometer"] for one in seat.entries("check_completed")] == ["24156 mi"]
    lines = [Line(tie_down=one, found=Found.FINE) for one in ("T1", "T2")]
    seat.later(5)
    checked = record_check(
        seat.desk, seat.trip, lines=lines, looked_at=LOOKS, stopped=True, odometer="24156"
    )
    assert checked.late == ()


def test_a_limit_that_does_not_bind_is_named_with_its_force(sit: Sit) -> None:
    """15 km with a soft load: common practice, no source."""
    seat = sit("a trip planned")
    depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer="100 km",
        top_speed=None,
        next_stop=None,
        reason=None,
        next_stop_odometer="120 km",
        through=["AU"],
        soft_load=True,
    )
    found = outlook(seat)
    assert (found.before, found.limited_by) == (Before.YES, "common practice 15 km")
    assert found.timed_by == "guidance 1 h"
