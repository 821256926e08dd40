"""The picture of checks shows every limit in way or time that the trip has, of whatever kind.

Limits: driving with this load within 1 h, Load Restraint Guide planning step 10 (Australia, from
memory); a break by 5.25 h of work, Heavy Vehicle (Fatigue Management) National Regulation s.5, and
by 4.5 h of driving, Regulation (EC) No 561/2006 art. 7 (second-hand, as the rules file says); 3 h
of driving, 49 CFR 392.9(b)(3)(ii). That a break is a time to look: common practice, no source.
"""

from pathlib import Path

import pytest

from scheduler.progress import DutyStatus
from tests.desk.test_tension_found import tensioned_seat
from tests.dossier.scene import Office, office
from tests.dossier.test_timeline import drawn, driving
from triplog.desk.checking import Found, Line, record_check
from triplog.desk.delivering import deliver
from triplog.desk.road import change_duty
from triplog.dossier.timeline import timeline_of


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


def test_the_first_hour_and_the_break_by_work_are_drawn(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2), through=("AU",))
    trip = yard.checked(trip, minutes=48).trip
    found = drawn(yard, trip)
    assert "1 h, first check: looked at after 48 min" in found.alt
    assert "5.25 h, with the break: looked at after 48 min" in found.alt
    assert "time at work since the last look: " in found.alt


def test_work_goes_on_in_the_picture_while_the_vehicle_stands(yard: Office) -> None:
    trip = yard.checked(yard.departed(yard.loaded(1, 2), through=("AU",))).trip
    yard.clock.forward(minutes=6 * 60)
    told = drawn(yard, trip).alt
    assert "5.25 h, with the break: beyond it by 45 min" in told


def test_the_break_by_driving_stands_beside_the_limit_of_driving_time(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2), through=("US", "AETR"))
    yard.clock.forward(minutes=60)
    assert "3 h: 1 h 00 min so far" in drawn(yard, trip).alt
    elsewhere = yard.departed(yard.loaded(1, 2, "T-2"), through=("EU",))
    yard.clock.forward(minutes=285)
    assert "4.5 h, with the break: beyond it by 15 min" in drawn(yard, elsewhere).alt


def test_a_part_delivery_ends_the_first_hour_too(yard: Office) -> None:
    trip = yard.departed(yard.loaded(2, 4), through=("AU",))
    yard.clock.forward(minutes=20)
    trip = deliver(yard.desk, trip, ["B"], stopped=True, odometer="24145 mi").trip
    driving(yard, trip)
    told = drawn(yard, yard.checked(trip, odometer="24165 mi").trip).alt
    assert "1 h, first check: 20 min so far; part delivery: another load from here" in told
    assert told.count("5.25 h, with the break: looked at after 50 min") == 1


def test_tension_found_lost_draws_when_to_look_again(tmp_path: Path) -> None:
    """Our own estimate, so the minutes are a regression value."""
    seat = tensioned_seat(tmp_path)
    lines = [
        Line(tie_down="T1", found=Found.FINE, tension="380 daN"),
        Line(tie_down="T2", found=Found.FINE, tension="390 daN"),
    ]
    record_check(seat.desk, seat.trip, lines=lines, looked_at=(), stopped=True, odometer="24160 mi")
    driver = next(iter(seat.trip.duty_by_driver))
    change_duty(
        seat.desk, seat.trip, DutyStatus.DRIVING, driver=driver, at=None, place=None, reason=None
    )
    seat.later(10)
    drawing = timeline_of(seat.trip, seat.desk.now().wall)
    assert drawing is not None
    assert " min, tension was found lost: 10 min so far" in drawing.alt
