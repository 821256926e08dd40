"""The picture of checks against distance and driving time: what it draws and what it says.

Limits are those of 49 CFR 392.9(b): 50 mi, then 150 mi and 3 h of driving.
"""

from pathlib import Path
from xml.etree import ElementTree

import pytest

from scheduler.progress import DutyStatus
from tests.dossier.scene import Office, office
from triplog.desk.checking import Found
from triplog.desk.delivering import deliver
from triplog.desk.road import change_duty
from triplog.dossier.timeline import timeline_of, timelines_of
from triplog.drawing.svg import Drawing
from triplog.journal.trip import Trip


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


def drawn(yard: Office, trip: Trip) -> Drawing:
    found = timeline_of(yard.trip(trip.label), yard.clock.wall)
    assert found is not None
    ElementTree.fromstring(found.svg)
    return found


def driving(yard: Office, trip: Trip) -> None:
    driver = next(iter(trip.duty_by_driver))
    change_duty(
        yard.desk,
        yard.trip(trip.label),
        DutyStatus.DRIVING,
        driver=driver,
        at=None,
        place=None,
        reason=None,
    )


def test_a_check_in_time_is_a_known_bar_before_its_limit(yard: Office) -> None:
    trip = yard.checked(yard.departed(yard.loaded(1, 2)), odometer="24154 mi").trip
    told = drawn(yard, trip).alt
    assert "50 mi: looked at after 24.0 mi" in told
    assert "150 mi: looked at after 24.0 mi" in told
    assert "3 h: looked at after 30 min" in told


def test_the_late_part_is_hatched_and_told_by_how_much(yard: Office) -> None:
    """58 mi to the first check: 8 mi past the 50 of 49 CFR 392.9(b)(2)."""
    trip = yard.departed(yard.loaded(1, 2))
    in_time = drawn(yard, trip)
    late = drawn(yard, yard.checked(trip, odometer="24188 mi", minutes=60).trip)
    assert "50 mi: late by 8.0 mi, looked at" in late.alt
    slanting = [svg.count("<polyline") for svg in (in_time.svg, late.svg)]
    assert slanting[1] > slanting[0]


def test_an_estimate_is_dashed_and_called_so_and_never_late(yard: Office) -> None:
    """An hour at no more than 65 mph: at most 65 mi, by estimate past the 50."""
    trip = yard.departed(yard.loaded(1, 2))
    yard.clock.forward(minutes=60)
    found = drawn(yard, trip)
    assert "50 mi: due, by estimate" in found.alt
    assert "150 mi: 65.0 mi (estimated) so far" in found.alt
    assert "late" not in found.alt
    assert "stroke-dasharray" in found.svg


def test_a_look_at_some_is_an_open_ring_and_ends_no_bar(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    part = yard.checked(trip, odometer="24150 mi", T2=Found.NOT_LOOKED_AT)
    assert not part.complete
    driving(yard, trip)
    whole = drawn(yard, yard.checked(trip, odometer="24160 mi").trip)
    assert whole.alt.count("looked at after 30.0 mi") == 2
    assert whole.svg.count('r="5" fill="white"') == 3


def test_a_part_delivery_ends_the_first_count_and_another_begins(yard: Office) -> None:
    trip = yard.departed(yard.loaded(2, 4))
    yard.clock.forward(minutes=20)
    trip = deliver(yard.desk, trip, ["B"], stopped=True, odometer="24145 mi").trip
    driving(yard, trip)
    trip = yard.checked(trip, odometer="24175 mi", minutes=40).trip
    told = drawn(yard, trip).alt
    assert "50 mi: 15.0 mi so far; part delivery: another load from here" in told
    assert "50 mi: looked at after 30.0 mi" in told
    assert "150 mi: looked at after 45.0 mi" in told


def test_the_last_delivery_ends_every_count(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    yard.clock.forward(minutes=20)
    trip = deliver(yard.desk, trip, ["A"], stopped=True, odometer="24145 mi").trip
    told = drawn(yard, trip).alt
    assert "50 mi: ended after 15.0 mi" in told
    assert "so far" not in told


def test_what_is_due_at_once_is_told_below(yard: Office) -> None:
    trip = yard.checked(yard.departed(yard.loaded(1, 2)), odometer="24154 mi").trip
    assert "check after a change of duty status: due" in drawn(yard, trip).svg


def test_without_any_reading_the_stated_top_speed_bounds_the_way(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2), odometer=None)
    yard.clock.forward(minutes=10)
    assert "(estimated) so far" in drawn(yard, trip).alt


def test_before_departure_there_is_nothing_to_draw(yard: Office) -> None:
    assert timeline_of(yard.loaded(1, 2), yard.clock.wall) is None


def test_times_of_another_day_carry_month_and_day(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    yard.clock.forward(minutes=20 * 60)
    found = drawn(yard, trip)
    assert "departed 2026-03-02; times UTC-06:00" in found.title
    assert " to 03-03 " in found.svg


def test_for_paper_a_long_trip_is_drawn_in_several_pictures(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    for number in range(1, 4):
        yard.checked(yard.trip("T-1"), odometer=f"{24130 + 20 * number} mi")
        driving(yard, trip)
    whole = drawn(yard, trip)
    parts = timelines_of(yard.trip("T-1"), yard.clock.wall, bars_max=5)
    assert [one.alt.count("3 h:") for one in parts] == [2, 2]
    assert whole.alt.count("3 h:") == 4
