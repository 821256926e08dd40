"""When a check is due, late, closed or lifted, each thing asked beside the tests that hold it."""

from tests.scheduler.duties_listed import OUR_READING, Duty

DUE_AND_CLOSED = (
    Duty(
        asked="Until the first completed check every counter runs from departure.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_counters.py"
            "::test_before_the_first_check_every_counter_runs_from_departure",
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_a_duty_change_at_mile_20_is_due_inside_the_first_50_miles",
        ),
    ),
    Duty(
        asked="Departing sets the driver to driving, and that is no change.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_counters.py"
            "::test_departing_sets_the_driver_to_driving_and_that_counts_as_no_change",
            "tests/desk/test_rechecks_known.py"
            "::test_departing_sets_the_driver_to_driving_and_no_change_is_due_for_it",
        ),
    ),
    Duty(
        asked="A duty change has no coming up: it is due at once.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_a_duty_change_has_no_coming_up_and_nothing_left_to_count",
            "tests/scheduler/test_counters.py"
            "::test_a_change_is_due_at_once_and_late_from_the_moment_driving_resumes",
        ),
    ),
    Duty(
        asked="An event has no coming up: it is due at once.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_each_event_is_due_at_once_with_one_tone_and_late_with_one_and_never_coming_up",
            "tests/scheduler/test_counters.py"
            "::test_an_event_is_due_at_once_and_late_when_driving_goes_on_past_a_stop",
        ),
    ),
    Duty(
        asked="Due by a duty change is text alone, with no tone.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_prompts.py"
            "::test_a_duty_change_is_text_only_until_late_and_then_has_one_tone",
        ),
    ),
    Duty(
        asked="Due by an event is one tone besides the text.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_prompts.py"
            "::test_an_event_has_one_tone_at_once_and_one_when_driving_resumes",
        ),
    ),
    Duty(
        asked="Driving resumed without a check makes both late, with one tone each.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_each_event_is_due_at_once_with_one_tone_and_late_with_one_and_never_coming_up",
            "tests/scheduler/test_prompts.py"
            "::test_a_duty_change_is_text_only_until_late_and_then_has_one_tone",
        ),
    ),
    Duty(
        asked="Driving that goes on past a stop without a check makes both late.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_counters.py"
            "::test_a_change_under_way_is_late_once_driving_goes_on_past_a_stop",
            "tests/scheduler/test_counters.py"
            "::test_a_swap_at_the_wheel_from_one_moment_to_the_next_is_driving_on_past_a_stop",
            "tests/scheduler/test_counters.py"
            "::test_an_event_is_due_at_once_and_late_when_driving_goes_on_past_a_stop",
        ),
    ),
    Duty(
        asked="Several changes since the last completed check are one due check.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_counters.py"
            "::test_several_changes_since_the_last_check_are_one_due_check",
        ),
    ),
    Duty(
        asked=(
            "To stop for the check and to drive on is one stop: a check in it closes every change "
            "in it."
        ),
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_counters.py"
            "::test_a_check_in_the_stop_closes_every_change_in_it_and_driving_on_raises_nothing",
            "tests/scheduler/test_rechecks_elsewhere.py"
            "::test_the_stop_for_the_check_raises_nothing_new_in_canada",
        ),
    ),
    Duty(
        asked="Without a check it is flagged at the moment driving resumes.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_driven_on_past_a_stop_is_late_with_no_distance_behind_it_yet",
            "tests/scheduler/test_counters.py"
            "::test_a_change_is_due_at_once_and_late_from_the_moment_driving_resumes",
        ),
    ),
    Duty(
        asked="Distance and driving time follow the vehicle and its load, whoever drives.",
        basis="49 CFR 392.9(b)(3)(ii) and (iii); our reading",
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_distance_and_driving_time_go_on_over_a_change_of_drivers",
            "tests/scheduler/test_counters.py"
            "::test_the_vehicle_is_driven_while_any_driver_on_board_is",
        ),
    ),
    Duty(
        asked="Duty changes follow the driver.",
        basis="49 CFR 392.9(b)(3)(i); our reading",
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_each_driver_on_board_is_seen_and_a_change_of_one_is_a_check_for_all",
        ),
    ),
    Duty(
        asked="A team's swap is a change for both.",
        basis="49 CFR 392.9(b)(3)(i); our reading",
        tests=("tests/scheduler/test_counters.py::test_a_team_swap_is_a_change_for_both",),
    ),
    Duty(
        asked="One look may close several duties, and its entry names them all.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_one_check_at_mile_30_closes_the_duty_change_and_the_first_check_alike",
            "tests/desk/test_checking.py"
            "::test_a_complete_check_answers_everything_owed_and_the_first_check_ahead_of_time",
            "tests/scheduler/test_rechecks_elsewhere.py"
            "::test_one_check_closes_every_rule_of_both_countries_in_its_stop",
        ),
    ),
    Duty(
        asked="Saying that a prompt was heard sets nothing to nothing.",
        basis=OUR_READING,
        tests=("tests/desk/test_road.py::test_hearing_what_is_due_closes_nothing",),
    ),
    Duty(
        asked="There is nothing to put a prompt off with: it falls silent by itself and stays due.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_rechecks_prompts.py"
            "::test_after_its_tone_a_prompt_is_silent_by_itself_until_the_driving_ends",
            "tests/desk/test_watching.py"
            "::test_the_text_comes_at_each_stop_once_until_the_check_is_made",
        ),
    ),
    Duty(
        asked="A check that is opened and left sets nothing to nothing.",
        basis=OUR_READING,
        tests=(
            "tests/cli/test_check_at_a_terminal.py"
            "::test_a_check_left_at_its_last_questions_keeps_what_was_told_and_answers_nothing",
            "tests/cli/test_at_a_terminal.py::test_ctrl_c_at_a_question_records_nothing",
        ),
    ),
    Duty(
        asked="A look at some tie-downs sets nothing to nothing, and is recorded as such.",
        basis=OUR_READING,
        tests=(
            "tests/desk/test_checking.py::test_a_look_in_part_answers_nothing",
            "tests/cli/test_check_at_a_terminal.py"
            "::test_a_check_left_in_the_middle_is_recorded_as_a_part_look_and_told_at_the_next",
        ),
    ),
    Duty(
        asked="A hand-over sets nothing to nothing.",
        basis=OUR_READING,
        tests=("tests/desk/test_handing_over.py::test_it_answers_no_check",),
    ),
    Duty(
        asked="A look before departure does not meet the first check.",
        basis="49 CFR 392.9(b)(1) and (2); our reading",
        tests=(
            "tests/scheduler/test_counters.py"
            "::test_a_look_before_departure_or_at_distance_0_does_not_meet_the_first_check",
            "tests/desk/test_checking.py::test_a_check_before_the_departure_is_refused",
        ),
    ),
    Duty(
        asked="Limits are inclusive: at 50.0 mi due, beyond it late by what lies beyond.",
        basis="49 CFR 392.9(b)(2); our reading",
        tests=(
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_the_first_check_is_due_at_50_0_miles_and_late_beyond",
            "tests/scheduler/test_due.py"
            "::test_a_reading_past_the_limit_makes_it_late_by_the_miles_beyond",
        ),
    ),
    Duty(
        asked="Not more than 80 km is inclusive too.",
        basis="NSC Standard 10 s.3; our reading",
        tests=(
            "tests/scheduler/test_rechecks_elsewhere.py"
            "::test_canadas_first_check_is_due_at_80_km_and_late_beyond",
        ),
    ),
    Duty(
        asked="Late needs a reading or recorded driving time past the limit.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_due.py"
            "::test_past_the_limit_by_estimate_only_it_is_due_by_estimate_and_never_late",
            "tests/scheduler/test_due.py"
            "::test_recorded_driving_past_3_h_says_since_when_it_is_late",
            "tests/scheduler/test_whole_miles.py"
            "::test_the_upper_end_makes_a_check_due_and_only_the_lower_end_late",
        ),
    ),
    Duty(
        asked=(
            "Past it by estimate alone it is due, by estimate: no lateness is recorded, no reason "
            "asked."
        ),
        basis=OUR_READING,
        tests=(
            "tests/desk/test_rechecks_known.py"
            "::test_past_the_limit_by_estimate_no_lateness_is_recorded_and_no_reason_asked",
        ),
    ),
    Duty(
        asked="The 100 km between tones may run on the estimate.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_due.py"
            "::test_each_further_100_km_beyond_the_limit_is_counted_on_the_estimate",
        ),
    ),
    Duty(
        asked="Sealed is exempt only with who ordered it not to be opened, and when.",
        basis="49 CFR 392.9(b)(4); our reading",
        tests=(
            "tests/desk/test_road.py::test_a_seal_alone_exempts_nothing",
            "tests/desk/test_road.py::test_sealed_and_ordered_is_exempt_with_seal_order_and_time",
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_a_sealed_vehicle_is_exempt_with_the_reason_however_far_it_went",
        ),
    ),
    Duty(
        asked="Impracticable is exempt only with why, and who loaded.",
        basis="49 CFR 392.9(b)(4); our reading",
        tests=(
            "tests/desk/test_road.py::test_impracticable_needs_why_and_who_loaded",
            "tests/desk/test_road.py::test_impracticable_is_exempt_with_why_and_who_loaded",
            "tests/cli/test_exempt.py::test_impracticable_asks_why_and_who_loaded",
        ),
    ),
    Duty(
        asked="An exemption is for the load as it stood: a part unloading ends it.",
        basis=OUR_READING,
        tests=("tests/cli/test_exempt.py::test_a_part_unloading_ends_the_exemption_and_says_so",),
    ),
    Duty(
        asked="A padlock whose key the driver holds is no seal.",
        basis="the agency's guidance on 49 CFR 392.9, question 1",
        tests=(
            "tests/desk/test_road.py"
            "::test_a_padlock_whose_key_the_driver_holds_is_no_seal_and_the_checks_stay_due",
            "tests/cli/test_exempt.py"
            "::test_a_seal_is_asked_about_and_a_padlock_with_a_key_is_refused_at_once",
        ),
    ),
    Duty(
        asked="The duty to be tied adequately stays on an exempt trip.",
        basis="49 CFR 392.9(a) and (b)(4)",
        tests=(
            "tests/cli/test_exempt.py"
            "::test_the_look_before_driving_is_asked_for_on_an_exempt_trip_too",
            "tests/cli/test_exempt.py::test_what_happened_to_an_exempt_load_is_due_all_the_same",
            "tests/scheduler/test_rechecks_counters.py"
            "::test_what_happened_to_an_exempt_load_is_due_all_the_same",
        ),
    ),
    Duty(
        asked="The question before driving is asked on an exempt trip too.",
        basis="49 CFR 392.9(a); our reading",
        tests=(
            "tests/cli/test_exempt.py"
            "::test_the_look_before_driving_is_asked_for_on_an_exempt_trip_too",
        ),
    ),
)
