"""Cases from 49 CFR 392.9(b)(2) and (b)(3), the United States rules on cargo checks under way.

The limits (50 miles, 150 miles, 3 hours, change of duty status) are printed in the section. Where
the section is silent (what resets a count, driving or elapsed time, when *late* begins) the test
says "our reading"; the times worked out from the printed limits are worked out by us.
"""

from fractions import Fraction

import pytest

from scheduler.progress import DutyStatus, ExemptMark
from tests.scheduler.day import DISTANCE, DRIVING, DUTY, FIRST, HOUR_MS, MILE_MM, Day, minute


def test_at_a_steady_50_mph_the_first_check_is_due_after_60_minutes() -> None:
    """(b)(2), 50 miles; worked out by us: 50 mi / 50 mph."""
    assert Day(mph=50).due(0)[FIRST].due_at == minute(60)


def test_after_a_check_at_a_steady_50_mph_150_miles_and_3_hours_arrive_together() -> None:
    """(b)(3)(ii) and (iii); counting from the check is our reading."""
    day = Day(mph=50)
    day.stop(60)
    day.check(62, 12_050)
    day.drive(65)
    checks = day.due(65)
    assert FIRST not in checks
    assert checks[DRIVING].due_at == minute(65 + 180)
    assert checks[DISTANCE].due_at == minute(65 + 180)


def test_checked_at_mile_45_and_then_62_mph_the_next_is_due_at_mile_195_by_distance() -> None:
    """(b)(3)(iii), whichever is first; worked out by us: 150 mi / 62 mph = 2 h 25 min."""
    day = Day(mph=62)
    day.stop(45)
    day.check(45, 12_045)
    day.drive(50)
    checks = day.due(50)
    assert checks[DISTANCE].counter.limit_at_odometer_mm == 12_195 * MILE_MM
    due_at = checks[DISTANCE].due_at
    assert due_at is not None
    assert minute(50 + 145) < due_at < minute(50 + 146)
    assert checks[DRIVING].due_at == minute(50 + 180)


def test_after_a_check_at_35_mph_3_hours_come_first_at_105_miles() -> None:
    """(b)(3)(ii), whichever is first."""
    day = Day(mph=35)
    day.stop(60)
    day.check(60, 12_035)
    day.drive(60)
    day.read(240, 12_140)
    states = day.states(240)
    assert states[DRIVING] == "due"
    assert states[DISTANCE] == "nothing due"


def test_45_minutes_in_a_jam_add_45_minutes_of_driving_and_no_miles() -> None:
    """49 CFR 395.2, driving time: all time at the controls; applying it here is our reading."""
    day = Day()
    day.read(60, 12_040)
    before = day.due(60)
    day.read(105, 12_040)
    after = day.due(105)
    assert after[DRIVING].value - before[DRIVING].value == 45 * 60_000
    assert after[DISTANCE].value == before[DISTANCE].value == 40 * MILE_MM


def test_a_break_adds_no_driving_time() -> None:
    """(b)(3)(ii) says driven, so driving time and not elapsed time: our reading."""
    day = Day()
    day.duty(60, DutyStatus.OFF_DUTY)
    day.drive(105)
    assert day.due(165)[DRIVING].value == 2 * HOUR_MS


@pytest.mark.parametrize("kind", [FIRST, DISTANCE, DRIVING])
def test_a_sealed_vehicle_is_exempt_with_the_reason_however_far_it_went(kind: str) -> None:
    """(b)(4): the checks of (b) do not apply to a sealed vehicle ordered not to be opened."""
    day = Day()
    reason = "sealed, no. 4411; the shipper ordered at 07:40 not to open it"
    day.exempt = ExemptMark(key="x1", at=minute(0), reason=reason)
    day.read(300, 12_260)
    check = day.due(300)[kind]
    assert check.state == "exempt"
    assert check.counter.exempt_reason == reason
    assert check.late_by is None


def test_at_149_9_miles_and_2_h_59_both_are_coming_up() -> None:
    """(b)(3)(ii) and (iii); 80 % is our choice."""
    day = Day(mph=65)
    day.stop(30)
    day.check(30, 12_030)
    day.drive(30)
    day.stop(209)
    day.read(209, 12_179.9)
    states = day.states(209)
    assert states[DISTANCE] == "coming up"
    assert states[DRIVING] == "coming up"


@pytest.mark.parametrize(
    ("odometer_mi", "state", "late_by_mi"),
    [(12_040, "coming up", None), (12_050, "due", None), (12_050.1, "late", "0.1")],
)
def test_the_first_check_is_due_at_50_0_miles_and_late_beyond(
    odometer_mi: float, state: str, late_by_mi: str | None
) -> None:
    """(b)(2), within the first 50 miles; the limit inclusive and late beyond it: our reading."""
    day = Day()
    day.stop(60)
    day.read(60, odometer_mi)
    check = day.due(60)[FIRST]
    assert check.state == state
    assert check.late_by == (None if late_by_mi is None else round(MILE_MM * float(late_by_mi)))


def test_on_a_trip_counted_in_kilometres_50_miles_are_80_467_km() -> None:
    """(b)(2); 80.2 km are within the first 50 miles and 80.5 km beyond; worked out by us."""
    mile_km = Fraction(MILE_MM, 1_000_000)
    for driven_km, state in (("80.2", "coming up"), ("80.5", "late")):
        day = Day()
        day.read(75, 12_000 + Fraction(driven_km) / mile_km)
        assert day.due(75)[FIRST].state == state


def test_150_0_miles_are_due_and_150_1_late() -> None:
    """(b)(3)(iii); the limit inclusive: our reading."""
    day = Day()
    day.stop(140)
    day.read(140, 12_150)
    assert day.states(140)[DISTANCE] == "due"
    day.read(141, 12_150.1)
    assert day.states(141)[DISTANCE] == "late"


def test_3_h_00_of_driving_are_due_and_a_millisecond_more_is_late() -> None:
    """(b)(3)(ii); the limit inclusive: our reading."""
    day = Day()
    day.stop(180)
    assert day.states(180)[DRIVING] == "due"
    longer = Day()
    longer.stop(180 + 1 / 60_000)
    late = longer.due(181)[DRIVING]
    assert late.state == "late"
    assert late.late_by == 1


def test_a_duty_change_at_mile_20_is_due_inside_the_first_50_miles() -> None:
    """(b)(3)(i): the triggers run from the beginning."""
    day = Day()
    day.stop(20)
    day.read(20, 12_020)
    assert day.states(20) == {
        FIRST: "nothing due",
        DISTANCE: "nothing due",
        DRIVING: "nothing due",
        DUTY: "due",
    }


def test_one_check_at_mile_30_closes_the_duty_change_and_the_first_check_alike() -> None:
    """(b)(2) and (b)(3)(i): one physical check may close several duties, our reading."""
    day = Day()
    day.stop(30)
    assert {FIRST, DUTY} <= set(day.counters())
    day.check(35, 12_030)
    assert set(day.counters()) == {DISTANCE, DRIVING}


@pytest.mark.parametrize(
    ("rule", "minutes"),
    [(FIRST, "46"), (DISTANCE, "138")],
)
def test_without_a_reading_65_mph_brings_50_miles_after_46_min_and_150_after_2_h_18(
    rule: str, minutes: str
) -> None:
    """Worked out by us from the printed miles at a stated top speed of 65 mph."""
    due_at = Day(odometer_mi=None, mph=65).due(0)[rule].due_at
    assert due_at is not None
    assert minute(int(minutes)) < due_at < minute(int(minutes) + 1)


@pytest.mark.parametrize(("rule", "minutes"), [(FIRST, 40), (DISTANCE, 120), (DRIVING, 144)])
def test_coming_up_is_at_40_miles_120_miles_and_2_h_24(rule: str, minutes: int) -> None:
    """80 % of the printed limits, our choice; at 60 mph a mile a minute."""
    assert Day(mph=60).due(0)[rule].coming_up_at == minute(minutes)
    assert Day(mph=60).states(minutes)[rule] == "coming up"
    assert Day(mph=60).states(minutes - 1 / 60_000)[rule] == "nothing due"
