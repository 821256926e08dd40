"""What is refused as a fact, whose status holds, and days on which the clocks change."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from scheduler.counters import counters
from scheduler.progress import (
    DutyMark,
    DutyStatus,
    Progress,
    ProgressBroken,
    ReadingMark,
    StartMark,
    vehicle_duty,
)
from tests.scheduler.day import (
    DEPARTURE,
    DRIVING,
    HOUR_MS,
    US,
    Day,
    minute,
)

OFF, SLEEPER = DutyStatus.OFF_DUTY, DutyStatus.SLEEPER


def test_a_trip_through_the_spring_change_of_the_clocks_counts_true_hours() -> None:
    """US Central, 8 March 2026: 02:00 CST becomes 03:00 CDT (machine's time zone database)."""
    zone = ZoneInfo("America/Chicago")
    begin = datetime(2026, 3, 8, 0, 30, tzinfo=zone)
    end = datetime(2026, 3, 8, 3, 30, tzinfo=zone)
    progress = Progress(
        trip="trip-1",
        starts=(StartMark(key="a", at=begin, odometer_mm=None),),
        duty=(
            DutyMark(key="a", at=begin, driver="driver-1", status=DutyStatus.DRIVING),
            DutyMark(key="b", at=end, driver="driver-1", status=DutyStatus.ON_DUTY),
        ),
    )
    found = {counter.rule_id: counter for counter in counters(US, progress)}
    assert found[DRIVING].known == 2 * HOUR_MS


def test_a_trip_through_the_autumn_change_of_the_clocks_is_in_order_by_true_time() -> None:
    """US Central, 1 November 2026: 01:45 comes twice; the second is an hour after the first."""
    zone = ZoneInfo("America/Chicago")
    first = datetime(2026, 11, 1, 1, 45, tzinfo=zone)
    second = datetime(2026, 11, 1, 1, 15, fold=1, tzinfo=zone)
    progress = Progress(
        trip="trip-1",
        starts=(StartMark(key="a", at=first, odometer_mm=None),),
        duty=(
            DutyMark(key="a", at=first, driver="driver-1", status=DutyStatus.DRIVING),
            DutyMark(key="b", at=second, driver="driver-1", status=DutyStatus.ON_DUTY),
        ),
    )
    found = {counter.rule_id: counter for counter in counters(US, progress)}
    assert found[DRIVING].known == HOUR_MS // 2


def test_a_trip_over_midnight_on_a_leap_day_counts_on() -> None:
    begin = datetime(2028, 2, 28, 23, 0, tzinfo=DEPARTURE.tzinfo)
    progress = Progress(
        trip="trip-1",
        starts=(StartMark(key="a", at=begin, odometer_mm=None),),
        duty=(
            DutyMark(key="a", at=begin, driver="driver-1", status=DutyStatus.DRIVING),
            DutyMark(key="b", at=begin + timedelta(hours=26), driver="driver-1", status=OFF),
        ),
    )
    found = {counter.rule_id: counter for counter in counters(US, progress)}
    assert found[DRIVING].known == 26 * HOUR_MS


@pytest.mark.parametrize(
    ("statuses", "expected"),
    [
        ([], None),
        ([OFF, SLEEPER], SLEEPER),
        ([OFF, DutyStatus.ON_DUTY], DutyStatus.ON_DUTY),
        ([DutyStatus.DRIVING, SLEEPER], DutyStatus.DRIVING),
    ],
)
def test_what_may_be_said_in_the_vehicle_goes_by_whoever_is_busiest(
    statuses: list[DutyStatus], expected: DutyStatus | None
) -> None:
    marks = [
        DutyMark(key=f"k{number}", at=DEPARTURE, driver=f"driver-{number}", status=status)
        for number, status in enumerate(statuses)
    ]
    assert vehicle_duty(marks) == expected


def test_the_last_status_of_a_driver_is_the_one_that_holds() -> None:
    day = Day()
    day.duty(30, OFF)
    assert vehicle_duty(day.duties) == OFF


def test_a_naive_time_is_refused() -> None:
    with pytest.raises(ProgressBroken, match="a time with its offset"):
        StartMark(key="a", at=DEPARTURE.replace(tzinfo=None), odometer_mm=None)


@pytest.mark.parametrize("key", ["", "a/b", "a b"])
def test_a_key_that_could_not_stand_in_a_due_checks_name_is_refused(key: str) -> None:
    with pytest.raises(ProgressBroken, match="key: a name without slash or space"):
        StartMark(key=key, at=DEPARTURE, odometer_mm=None)


def test_marks_out_of_order_are_refused_naming_the_mark() -> None:
    late = ReadingMark(key="late", at=minute(5), odometer_mm=5, source="typed")
    early = ReadingMark(key="early", at=minute(4), odometer_mm=4, source="typed")
    with pytest.raises(ProgressBroken, match="readings: in order of time; early at"):
        Progress(trip="trip-1", readings=(late, early))


def test_a_top_speed_of_zero_is_refused() -> None:
    with pytest.raises(ProgressBroken, match="top speed: above zero"):
        Progress(trip="trip-1", top_speed_mm_per_h=0)
