"""What each counter counts, and what sets it to zero.

Where a case names no source, what it holds is our reading.
"""

from scheduler.counters import counters, event_rule
from scheduler.progress import (
    DutyStatus,
    Progress,
)
from tests.scheduler.day import (
    DISTANCE,
    DRIVING,
    DUTY,
    FIRST,
    HOUR_MS,
    MILE_MM,
    US,
    Day,
    minute,
)

OFF, SLEEPER = DutyStatus.OFF_DUTY, DutyStatus.SLEEPER


def test_nothing_is_counted_before_departure_or_after_the_end() -> None:
    assert counters(US, Progress(trip="trip-1")) == ()
    day = Day()
    day.ended = minute(200)
    assert day.counters() == {}


def test_departing_sets_the_driver_to_driving_and_that_counts_as_no_change() -> None:
    assert set(Day().counters()) == {FIRST, DISTANCE, DRIVING}


def test_before_the_first_check_every_counter_runs_from_departure() -> None:
    day = Day()
    day.stop(20)
    assert {counter.from_key for counter in day.counters().values()} == {"e1"}
    assert day.counters()[DUTY].due_key == "trip-1/us-392.9-duty/e1"


def test_after_a_check_the_counters_run_from_it() -> None:
    day = Day()
    day.stop(20)
    key = day.check(25, 12_020)
    day.drive(30)
    day.read(60, 12_050)
    found = day.counters()
    assert {counter.from_key for counter in found.values()} == {key}
    assert found[DISTANCE].known == 30 * MILE_MM
    assert found[DRIVING].known == HOUR_MS // 2


def test_a_look_before_departure_or_at_distance_0_does_not_meet_the_first_check() -> None:
    day = Day()
    day.stop(1)
    day.check(2, 12_000)
    assert FIRST in day.counters()
    early = Day()
    early.check(-5, 12_000)
    assert early.counters()[DISTANCE].from_key == "e1"
    assert FIRST in early.counters()


def test_a_check_without_a_reading_meets_the_first_check_once_driving_is_recorded() -> None:
    day = Day(odometer_mi=None)
    day.stop(15)
    day.check(15)
    assert FIRST not in day.counters()


def test_reloading_starts_a_new_first_check_and_leaves_the_other_counters_alone() -> None:
    day = Day()
    day.stop(30)
    check = day.check(35, 12_030)
    day.drive(40)
    day.stop(60)
    reload = day.load(70, 12_050)
    found = day.counters()
    assert found[FIRST].from_key == reload
    assert found[FIRST].known == 0
    assert found[DISTANCE].from_key == check
    assert found[DISTANCE].known == 20 * MILE_MM


def test_a_check_right_after_reloading_does_not_meet_the_new_first_check() -> None:
    day = Day()
    day.stop(30)
    day.load(35, 12_030)
    day.check(40, 12_030)
    assert FIRST in day.counters()
    day.drive(45)
    day.stop(60)
    day.check(60, 12_043)
    assert FIRST not in day.counters()


def test_a_fuel_stop_starts_nothing() -> None:
    day = Day()
    before = day.counters()[FIRST].from_key
    day.stop(30)
    day.read(35, 12_030)
    day.drive(40)
    assert day.counters()[FIRST].from_key == before


def test_another_vehicles_odometer_is_not_counted_across() -> None:
    day = Day(mph=60)
    day.stop(30)
    day.read(30, 12_030)
    day.load(45, 380_000, anew=True)
    day.drive(50)
    day.read(60, 380_009)
    assert day.counters()[DISTANCE].known == 39 * MILE_MM
    assert day.counters()[DISTANCE].basis == "known"


def test_another_vehicles_odometer_may_not_be_read_at_first() -> None:
    day = Day(mph=60)
    day.stop(30)
    day.read(30, 12_030)
    day.load(45, None, anew=True)
    day.drive(50)
    day.read(60, 380_009)
    found = day.counters()[DISTANCE]
    assert (found.known, found.estimate) == (30 * MILE_MM, 40 * MILE_MM)
    assert found.basis == "estimated"


def test_a_lower_reading_is_estimated_across_and_never_counted_backwards() -> None:
    day = Day(mph=60)
    day.read(20, 12_020)
    day.read(30, 5)
    found = day.counters()[DISTANCE]
    assert (found.known, found.estimate) == (20 * MILE_MM, 30 * MILE_MM)


def test_a_reading_taken_in_the_same_stop_serves_a_check_that_has_none() -> None:
    day = Day()
    day.stop(30)
    day.read(31, 12_030)
    day.check(35)
    day.drive(40)
    day.read(70, 12_055)
    found = day.counters()[DISTANCE]
    assert (found.known, found.basis) == (25 * MILE_MM, "known")
    assert found.limit_at_odometer_mm == 12_180 * MILE_MM


def test_distance_is_the_last_reading_and_driving_time_since_at_top_speed() -> None:
    day = Day(mph=60)
    day.read(30, 12_020)
    day.stop(40)
    day.drive(55)
    found = day.due(60)[DISTANCE]
    assert (found.value, found.basis) == (35 * MILE_MM, "estimated")
    assert found.counter.known == 20 * MILE_MM


def test_without_any_duty_status_time_gone_by_stands_for_driving_time_and_says_so() -> None:
    day = Day(odometer_mi=None)
    day.duties.clear()
    found = day.due(46)
    assert found[DRIVING].value == 46 * 60_000
    assert {check.basis for check in found.values()} == {"elapsed"}
    assert found[DRIVING].counter.goes_on is None
    assert day.states(181)[DRIVING] == "due"
    assert day.due(181)[DRIVING].by_estimate


def test_the_vehicle_is_driven_while_any_driver_on_board_is() -> None:
    day = Day()
    day.duty(60, DutyStatus.DRIVING, "driver-2")
    day.duty(60, SLEEPER, "driver-1")
    day.duty(120, DutyStatus.ON_DUTY, "driver-2")
    assert day.counters()[DRIVING].known == 2 * HOUR_MS


def test_a_team_swap_is_a_change_for_both() -> None:
    day = Day()
    first = day.stop(60)
    second = day.duty(61, DutyStatus.DRIVING, "driver-2")
    third = day.duty(62, SLEEPER, "driver-1")
    assert day.counters()[DUTY].reasons == (first, second, third)


def test_a_second_drivers_first_status_is_no_change_unless_it_is_driving() -> None:
    day = Day()
    day.duty(5, SLEEPER, "driver-2")
    assert DUTY not in day.counters()
    day.duty(90, DutyStatus.ON_DUTY, "driver-2")
    assert DUTY in day.counters()


def test_a_stop_before_which_no_status_was_known_is_a_stop_all_the_same() -> None:
    day = Day()
    day.duties.clear()
    day.stop(30)
    day.event(32, "load touched")
    day.drive(40)
    assert day.states(40)[DUTY] == "late"
    assert day.states(40)["any-event-touched"] == "late"
    checked = Day()
    checked.duties.clear()
    checked.stop(30)
    checked.check(35, 12_020)
    checked.drive(40)
    assert DUTY not in checked.counters()


def test_a_status_said_again_is_no_change() -> None:
    day = Day()
    day.drive(30)
    assert DUTY not in day.counters()


def test_several_changes_since_the_last_check_are_one_due_check() -> None:
    day = Day()
    keys = (day.stop(20), day.drive(30), day.duty(50, OFF), day.drive(80))
    found = [counter for counter in counters(US, day.progress()) if counter.rule_id == DUTY]
    assert len(found) == 1
    assert found[0].reasons == keys


def test_a_change_is_due_at_once_and_late_from_the_moment_driving_resumes() -> None:
    day = Day()
    day.stop(20)
    assert day.states(25)[DUTY] == "due"
    assert day.due(25)[DUTY].coming_up_at is None
    day.drive(30)
    late = day.due(30)[DUTY]
    assert late.state == "late"
    assert late.late_at == minute(30)
    assert late.late_by == 0


def test_a_check_in_the_stop_closes_every_change_in_it_and_driving_on_raises_nothing() -> None:
    day = Day()
    day.stop(20)
    day.duty(22, OFF)
    day.stop(50)
    day.check(55, 12_020)
    assert DUTY not in day.counters()
    day.duty(56, OFF)
    day.stop(70)
    day.drive(71)
    assert DUTY not in day.counters()
    day.stop(90)
    assert day.states(90)[DUTY] == "due"


def test_a_check_at_the_very_moment_of_stopping_belongs_to_that_stop() -> None:
    day = Day()
    day.stop(20)
    day.check(20, 12_020)
    day.drive(30)
    assert DUTY not in day.counters()


def test_a_check_after_driving_resumed_closes_the_late_change_and_the_next_is_new() -> None:
    day = Day()
    day.stop(20)
    day.drive(25)
    day.stop(40)
    day.check(41, 12_030)
    day.drive(45)
    assert DUTY not in day.counters()


def test_a_change_under_way_is_late_once_driving_goes_on_past_a_stop() -> None:
    day = Day()
    day.duty(0, SLEEPER, "driver-2")
    day.duty(30, DutyStatus.ON_DUTY, "driver-2")
    assert day.states(60)[DUTY] == "due"
    day.stop(70)
    assert day.states(70)[DUTY] == "due"
    day.drive(75)
    assert day.states(75)[DUTY] == "late"


def test_a_swap_at_the_wheel_from_one_moment_to_the_next_is_driving_on_past_a_stop() -> None:
    day = Day()
    day.duty(0, SLEEPER, "driver-2")
    day.duty(60, SLEEPER, "driver-1")
    day.duty(60, DutyStatus.DRIVING, "driver-2")
    assert day.due(60)[DUTY].late_at == minute(60)
    assert day.counters()[DUTY].stop_number == 1


def test_each_event_is_a_due_check_of_its_own_until_a_check_closes_it() -> None:
    day = Day()
    first = day.event(10, "kerb")
    second = day.event(15, "a branch on the load")
    found = [counter for counter in counters(US, day.progress()) if counter.what]
    assert [(one.rule_id, one.from_key) for one in found] == [
        ("any-event-kerb", first),
        ("any-event-other", second),
    ]
    assert {str(one.legal_force) for one in found} == {"common practice"}
    day.stop(20)
    day.check(21, 12_010)
    assert not [counter for counter in counters(US, day.progress()) if counter.what]


def test_an_event_is_due_at_once_and_late_when_driving_goes_on_past_a_stop() -> None:
    day = Day()
    day.event(10, "load moved")
    assert day.states(10)["any-event-moved"] == "due"
    day.stop(12)
    day.drive(15)
    assert day.states(15)["any-event-moved"] == "late"


def test_an_event_in_a_stop_after_its_check_asks_for_another() -> None:
    day = Day()
    day.stop(20)
    day.check(25, 12_020)
    day.event(27, "load touched")
    assert day.states(27)["any-event-touched"] == "due"
    assert day.counters()["any-event-touched"].stop_number == 0


def test_an_event_no_rule_names_has_no_counter_where_there_is_no_rule_for_others() -> None:
    rules = tuple(rule for rule in US if rule.id != "any-event-other")
    assert event_rule(rules, "a branch on the load") is None
    found = event_rule(rules, "Hard Braking")
    assert found is not None
    assert found.id == "any-event-braking"


def test_the_stop_number_counts_how_often_the_driving_has_ended() -> None:
    day = Day()
    for at in (20, 40, 60):
        day.stop(at)
        day.drive(at + 5)
    assert {counter.stop_number for counter in day.counters().values()} == {3}
