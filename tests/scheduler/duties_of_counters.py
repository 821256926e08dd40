"""What each counter counts and what ends it, each thing asked beside the tests that hold it."""

from tests.scheduler.duties_listed import COMMON_PRACTICE, OUR_READING, Duty

COUNTED = (
    Duty(
        asked="The first check counts the distance since departure with this load: 50 mi.",
        basis="49 CFR 392.9(b)(2)",
        tests=(
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_the_first_check_is_due_at_50_0_miles_and_late_beyond",
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_at_a_steady_50_mph_the_first_check_is_due_after_60_minutes",
        ),
    ),
    Duty(
        asked="Where guidance gives a time, the first check counts time.",
        basis="Load Restraint Guide 2018, planning step 10; driving time: our reading",
        tests=(
            "tests/scheduler/test_rechecks_elsewhere.py"
            "::test_australias_first_hour_is_coming_up_at_0_95_h_due_at_1_h_and_never_restarts",
            "tests/scheduler/test_rechecks_elsewhere.py"
            "::test_a_break_inside_australias_first_hour_does_not_count",
        ),
    ),
    Duty(
        asked=(
            "Any completed check with some distance behind it meets the first check; one at 0 does "
            "not."
        ),
        basis="49 CFR 392.9(b)(2); our reading",
        tests=(
            "tests/scheduler/test_counters.py"
            "::test_a_look_before_departure_or_at_distance_0_does_not_meet_the_first_check",
            "tests/scheduler/test_counters.py"
            "::test_a_check_without_a_reading_meets_the_first_check_once_driving_is_recorded",
            "tests/desk/test_rechecks_known.py"
            "::test_only_a_check_with_distance_behind_it_meets_the_first_check",
            "tests/scheduler/test_whole_miles.py"
            "::test_whole_miles_at_a_stand_have_not_moved_the_load_to_a_first_check",
        ),
    ),
    Duty(
        asked="A first check that was made is not asked for again.",
        basis="49 CFR 392.9(b)(2)",
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_a_first_check_once_made_is_not_asked_for_again_however_far_it_goes",
        ),
    ),
    Duty(
        asked="Loading begins a new first check.",
        basis="49 CFR 392.9(b)(2); our reading",
        tests=(
            "tests/desk/test_checking.py::test_what_is_loaded_on_the_road_makes_a_new_first_check",
            "tests/desk/test_checking.py::test_a_plan_changed_without_another_load_begins_nothing",
        ),
    ),
    Duty(
        asked="Reloading begins a new first check.",
        basis="49 CFR 392.9(b)(2); our reading",
        tests=(
            "tests/desk/test_rechecks_known.py"
            "::test_an_article_taken_off_and_put_on_again_is_a_reloading_and_begins_a_first_check",
            "tests/scheduler/test_counters.py"
            "::test_reloading_starts_a_new_first_check_and_leaves_the_other_counters_alone",
            "tests/scheduler/test_counters.py"
            "::test_a_check_right_after_reloading_does_not_meet_the_new_first_check",
        ),
    ),
    Duty(
        asked="Unloading a part begins a new first check.",
        basis="49 CFR 392.9(b)(2); our reading",
        tests=(
            "tests/desk/test_rechecks_known.py::test_a_part_delivery_begins_a_first_check",
            "tests/scheduler/test_rechecks_elsewhere.py::test_a_part_unloading_begins_a_new_80_km",
        ),
    ),
    Duty(
        asked="Another vehicle begins a new first check.",
        basis="49 CFR 392.9(b)(2); our reading",
        tests=(
            "tests/desk/test_checking.py"
            "::test_another_vehicle_on_the_road_makes_a_new_first_check_on_its_own_odometer",
        ),
    ),
    Duty(
        asked="A fuel stop begins nothing.",
        basis="49 CFR 392.9(b)(2); our reading",
        tests=(
            "tests/scheduler/test_counters.py::test_a_fuel_stop_starts_nothing",
            "tests/scheduler/test_rechecks_elsewhere.py"
            "::test_a_fuel_stop_starts_no_first_check_anywhere",
        ),
    ),
    Duty(
        asked="Distance is what was driven since the last completed check: 150 mi.",
        basis="49 CFR 392.9(b)(3)(iii); from the check: our reading",
        tests=(
            "tests/scheduler/test_49_cfr_392_9.py::test_150_0_miles_are_due_and_150_1_late",
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_checked_at_mile_45_and_then_62_mph_the_next_is_due_at_mile_195_by_distance",
        ),
    ),
    Duty(
        asked="Driving time is the time at the controls since the last completed check: 3 h.",
        basis="49 CFR 392.9(b)(3)(ii); from the check: our reading",
        tests=(
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_3_h_00_of_driving_are_due_and_a_millisecond_more_is_late",
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_after_a_check_at_35_mph_3_hours_come_first_at_105_miles",
        ),
    ),
    Duty(
        asked="A jam counts as driving time.",
        basis="49 CFR 395.2, driving time; applied here: our reading",
        tests=(
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_45_minutes_in_a_jam_add_45_minutes_of_driving_and_no_miles",
        ),
    ),
    Duty(
        asked="A break does not count as driving time.",
        basis="49 CFR 392.9(b)(3)(ii); our reading",
        tests=("tests/scheduler/test_49_cfr_392_9.py::test_a_break_adds_no_driving_time",),
    ),
    Duty(
        asked="A completed check sets distance and driving time to nothing.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_counters.py::test_after_a_check_the_counters_run_from_it",
            "tests/desk/test_checking.py::test_counters_start_anew_at_the_completed_check",
        ),
    ),
    Duty(
        asked=(
            "Any move between the four duty statuses is a change; the same status said again is "
            "none."
        ),
        basis="49 CFR 392.9(b)(3)(i); 49 CFR 395.8(b); any move: our reading",
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_any_move_between_the_four_statuses_is_a_change_and_nothing_else_is",
            "tests/scheduler/test_counters.py::test_a_status_said_again_is_no_change",
        ),
    ),
    Duty(
        asked="Changes are seen for each driver on board.",
        basis="49 CFR 392.9(b)(3)(i); our reading",
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_each_driver_on_board_is_seen_and_a_change_of_one_is_a_check_for_all",
            "tests/scheduler/test_counters.py"
            "::test_a_second_drivers_first_status_is_no_change_unless_it_is_driving",
        ),
    ),
    Duty(
        asked=(
            "A check made after the change and before driving resumes closes it; a later one "
            "closes it late."
        ),
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_counters.py"
            "::test_a_check_in_the_stop_closes_every_change_in_it_and_driving_on_raises_nothing",
            "tests/scheduler/test_counters.py"
            "::test_a_check_at_the_very_moment_of_stopping_belongs_to_that_stop",
            "tests/scheduler/test_counters.py"
            "::test_a_check_after_driving_resumed_closes_the_late_change_and_the_next_is_new",
        ),
    ),
    Duty(
        asked=(
            "Hard braking, a kerb, rough road, wind, rain on new webbing, a touched load, a "
            "roadside inspection, a broken strap and a moved load each call for a check."
        ),
        basis=COMMON_PRACTICE,
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_each_event_is_due_at_once_with_one_tone_and_late_with_one_and_never_coming_up",
            "tests/cli/test_events.py"
            "::test_each_thing_that_may_happen_is_due_at_once_and_stands_before_driving_on",
        ),
    ),
    Duty(
        asked="What happened in other words calls for a check too.",
        basis=COMMON_PRACTICE,
        tests=(
            "tests/cli/test_at_a_terminal.py::test_what_happened_may_be_told_in_other_words",
            "tests/scheduler/test_counters.py"
            "::test_an_event_no_rule_names_has_no_counter_where_there_is_no_rule_for_others",
        ),
    ),
    Duty(
        asked=(
            "A load seen, heard or felt to move: stop at the nearest safe place now, not at the "
            "next planned stop."
        ),
        basis="GOV.UK, Securing loads on HGVs and goods vehicles, chapter 3",
        tests=(
            "tests/cli/test_events.py"
            "::test_at_departure_it_is_said_that_a_moving_load_is_stopped_for_at_once",
            "tests/cli/test_events.py::test_driven_on_with_a_moved_load_every_screen_says_stop_now",
            "tests/cli/test_at_a_terminal.py"
            "::test_a_moved_load_is_told_to_stop_now_and_nothing_is_asked_before_it_stands",
            "tests/scheduler/test_rechecks_counters.py"
            "::test_a_load_that_moves_under_way_is_due_now_and_not_at_the_next_limit",
        ),
    ),
    Duty(
        asked="A completed check closes what happened before it, and not what happens after it.",
        basis=OUR_READING,
        tests=(
            "tests/desk/test_checking.py::test_a_check_answers_something_that_happened",
            "tests/scheduler/test_counters.py"
            "::test_each_event_is_a_due_check_of_its_own_until_a_check_closes_it",
            "tests/scheduler/test_counters.py"
            "::test_an_event_in_a_stop_after_its_check_asks_for_another",
        ),
    ),
)
