"""How a counter is answered at a moment: states, basis, moments to come, order.

Where a case names no source, what it holds is our reading.
"""

from datetime import timedelta

import pytest

from scheduler.counter import counter_from_row, counter_row
from scheduler.counters import counters
from scheduler.due import at, due, next_moment
from scheduler.progress import DutyStatus, ExemptMark
from tests.scheduler.day import DISTANCE, DRIVING, DUTY, FIRST, MILE_MM, US, Day, minute

KM_MM = 1_000_000
MS = timedelta(milliseconds=1)


def test_past_the_limit_by_estimate_only_it_is_due_by_estimate_and_never_late() -> None:
    check = Day(mph=60).due(300)[FIRST]
    assert check.state == "due"
    assert check.by_estimate
    assert (check.basis, check.late_by, check.late_at) == ("estimated", None, None)


def test_a_reading_short_of_the_limit_takes_an_estimate_back() -> None:
    day = Day(mph=60)
    assert day.states(55)[FIRST] == "due"
    day.read(55, 12_030)
    assert day.states(55)[FIRST] == "nothing due"


def test_a_reading_past_the_limit_makes_it_late_by_the_miles_beyond() -> None:
    day = Day(mph=60)
    day.read(70, 12_060)
    check = day.due(75)[FIRST]
    assert (check.state, check.basis) == ("late", "known")
    assert check.late_by == 10 * MILE_MM
    assert not check.by_estimate


def test_late_by_a_reading_is_still_late_when_no_top_speed_was_stated() -> None:
    day = Day(mph=None)
    day.read(70, 12_060)
    assert day.due(200)[FIRST].state == "late"


def test_no_top_speed_and_driving_since_the_last_reading_is_cannot_tell() -> None:
    day = Day(mph=None)
    day.read(10, 12_005)
    check = day.due(20)[FIRST]
    assert (check.state, check.basis, check.remaining) == ("cannot tell", "unknown", None)
    assert check.value == 5 * MILE_MM
    assert check.due_at is None


def test_no_top_speed_but_a_reading_at_the_stop_is_known() -> None:
    day = Day(mph=None)
    day.stop(20)
    day.read(20, 12_015)
    check = day.due(500)[FIRST]
    assert (check.state, check.basis, check.remaining) == ("nothing due", "known", 35 * MILE_MM)


def test_driving_time_is_known_without_any_top_speed() -> None:
    assert Day(odometer_mi=None, mph=None).states(181)[DRIVING] == "late"


def test_while_the_vehicle_stands_nothing_grows_and_no_moment_is_foretold() -> None:
    day = Day(mph=60)
    day.stop(30)
    day.read(30, 12_030)
    check = day.due(5_000)[FIRST]
    assert (check.state, check.value) == ("nothing due", 30 * MILE_MM)
    assert (check.due_at, check.coming_up_at) == (None, None)


def test_since_when_it_is_due_stays_the_true_moment_however_late_it_is_asked() -> None:
    day = Day(mph=60)
    assert day.due(50)[FIRST].due_at == minute(50)
    day.stop(90)
    day.drive(100)
    assert day.due(400)[FIRST].due_at == minute(50)
    assert day.due(400)[FIRST].coming_up_at == minute(40)


def test_a_limit_reached_in_the_moment_of_stopping_is_due_since_then() -> None:
    day = Day(mph=60)
    day.stop(50)
    day.drive(60)
    assert day.due(70)[FIRST].due_at == minute(50)


def test_between_two_readings_the_moment_given_is_the_later_reading() -> None:
    day = Day(mph=60)
    day.read(70, 12_060)
    assert day.due(80)[FIRST].due_at == minute(70)


def test_recorded_driving_past_3_h_says_since_when_it_is_late() -> None:
    day = Day(mph=60)
    assert day.due(100)[DRIVING].late_at == minute(180) + MS


def test_before_its_last_mark_a_counter_stands_as_at_that_mark() -> None:
    day = Day(mph=60)
    day.read(70, 12_060)
    assert day.states(10)[FIRST] == "late"


def test_a_stored_counter_answers_later_as_the_facts_would() -> None:
    day = Day(mph=60)
    day.read(20, 12_015)
    day.stop(30)
    day.drive(40)
    for counter in counters(US, day.progress()):
        for number in (40, 70, 130, 185, 600):
            stored = counter_from_row(counter_row(counter))
            assert at(stored, minute(number)) == at(counter, minute(number))


def test_the_worst_and_earliest_comes_first() -> None:
    day = Day(mph=60)
    day.stop(20)
    day.drive(30)
    day.read(55, 12_045)
    order = [check.counter.rule_id for check in due(US, day.progress(), minute(55))]
    assert order == [DUTY, FIRST, DISTANCE, DRIVING]
    day.exempt = ExemptMark(key="x1", at=minute(0), reason="sealed")
    assert {str(check.state) for check in due(US, day.progress(), minute(55))} == {"exempt"}


def test_the_next_moment_walks_through_every_stage_of_a_day() -> None:
    """At 60 mph a mile a minute; 100 km are 62.137 mi."""
    day = Day(mph=60)
    found = counters(US, day.progress())
    now = minute(0)
    moments: list[float] = []
    while len(moments) < 9:
        moment = next_moment(found, now)
        assert moment is not None
        moments.append(round((moment - minute(0)) / timedelta(minutes=1), 2))
        now = moment
    assert moments == [40, 50, 112.14, 120, 144, 150, 174.27, 180, 180]


def test_an_exempt_or_a_standing_trip_has_no_next_moment() -> None:
    day = Day(mph=60)
    day.exempt = ExemptMark(key="x1", at=minute(0), reason="sealed")
    assert next_moment(counters(US, day.progress()), minute(0)) is None
    standing = Day(mph=60)
    standing.stop(10)
    assert next_moment(counters(US, standing.progress()), minute(10)) is None


@pytest.mark.parametrize(
    ("minutes_late", "further"), [(0, 0), (62, 0), (63, 1), (124, 1), (125, 2)]
)
def test_each_further_100_km_beyond_the_limit_is_counted_on_the_estimate(
    minutes_late: int, further: int
) -> None:
    assert Day(mph=60).due(50 + minutes_late)[FIRST].further_tones == further


def test_100_km_beyond_3_h_are_counted_at_the_top_speed() -> None:
    day = Day(mph=60)
    assert day.due(180 + 62)[DRIVING].further_tones == 0
    assert day.due(180 + 63)[DRIVING].further_tones == 1
    assert Day(mph=None).due(900)[DRIVING].further_tones == 0


def test_a_late_duty_change_counts_the_distance_since_driving_resumed() -> None:
    day = Day(mph=60)
    day.stop(20)
    day.read(22, 12_020)
    day.drive(30)
    day.read(60, 12_045)
    check = day.due(60)[DUTY]
    assert (check.late_by, check.basis) == (25 * MILE_MM, "known")
    assert day.due(70)[DUTY].late_by == 35 * MILE_MM
    assert day.due(100)[DUTY].further_tones == 1
    # 100 km are 62.1371 mi, so 37.1371 mi and minutes to come: 2,228.2272 s, rounded up
    in_ms = timedelta(milliseconds=2_228_228)
    assert next_moment([check.counter], minute(60)) == minute(60) + in_ms


def test_a_late_duty_change_without_reading_or_speed_is_late_by_nobody_knows() -> None:
    day = Day(odometer_mi=None, mph=None)
    day.duty(20, DutyStatus.OFF_DUTY)
    day.drive(30)
    check = day.due(60)[DUTY]
    assert (check.state, check.late_by) == ("late", None)
