"""Rules as data, and knowing where the trip is: each thing asked beside the tests that hold it."""

from tests.scheduler.duties_listed import OUR_READING, Duty

RULES_AS_DATA = (
    Duty(
        asked="A rule has its jurisdiction, trigger, value and unit, and what it is counted from.",
        basis="49 CFR 392.9(b); our reading",
        tests=(
            "tests/scheduler/test_recheck_rules.py"
            "::test_the_four_triggers_stand_as_49_cfr_392_9_prints_them",
            "tests/scheduler/test_rechecks_policy.py"
            "::test_a_source_is_kept_with_its_number_and_its_legal_force",
            "tests/scheduler/test_recheck_rules.py"
            "::test_a_broken_figures_file_names_the_file_the_line_and_the_column",
        ),
    ),
    Duty(
        asked=(
            "A rule has its legal force: law, code of practice, guidance, common practice or "
            "company rule."
        ),
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_rechecks_policy.py"
            "::test_a_source_is_kept_with_its_number_and_its_legal_force",
            "tests/scheduler/test_rechecks_policy.py"
            "::test_only_the_united_states_and_canada_have_numbers_in_law",
            "tests/scheduler/test_recheck_rules.py"
            "::test_an_event_rule_is_common_practice_without_a_source_and_never_law",
        ),
    ),
    Duty(
        asked="A rule has its citation, its edition and how sure it is, and they are shown.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_rechecks_policy.py"
            "::test_what_was_taken_from_memory_or_second_hand_says_so",
            "tests/scheduler/test_rechecks_policy.py::test_a_number_that_is_ours_says_so",
            "tests/wording/test_recheck_rules.py"
            "::test_every_rule_is_listed_with_its_force_and_how_sure_it_is",
        ),
    ),
    Duty(
        asked="A rule is valid from a day and to a day.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_recheck_rules.py"
            "::test_a_rule_that_has_ended_is_in_force_on_its_last_day_and_not_after",
            "tests/scheduler/test_recheck_rules.py"
            "::test_a_day_before_any_rule_was_in_force_is_refused",
        ),
    ),
    Duty(
        asked="A trip keeps the rules as they stood when it departed.",
        basis=OUR_READING,
        tests=(
            "tests/desk/test_recheck_rules.py"
            "::test_the_departure_carries_every_row_it_pinned_whole",
            "tests/desk/test_recheck_rules.py"
            "::test_the_company_rules_a_trip_departed_with_stay_its_own",
            "tests/scheduler/test_rules_combined.py"
            "::test_the_rows_that_earlier_departures_pinned_are_still_read_and_all_of_them_run",
        ),
    ),
    Duty(
        asked=(
            "A trip in the United States and Canada takes the smaller of each kind: 80 km, 240 km, "
            "3 h."
        ),
        basis="49 CFR 392.9(b); NSC Standard 10 s.3; the smaller: our reading",
        tests=(
            "tests/scheduler/test_rules_combined.py"
            "::test_a_trip_in_the_united_states_and_canada_takes_80_km_240_km_and_3_hours",
            "tests/desk/test_recheck_rules.py"
            "::test_a_trip_through_canada_as_well_takes_the_smaller_of_each_kind",
            "tests/scheduler/test_rechecks_elsewhere.py"
            "::test_at_80_2_km_on_a_trip_through_both_countries_the_check_is_late_by_canadas_rule",
        ),
    ),
    Duty(
        asked="Each due check says which rule made it.",
        basis=OUR_READING,
        tests=(
            "tests/wording/test_recheck_rules.py"
            "::test_on_a_trip_through_two_countries_each_due_check_says_which_rule_made_it",
        ),
    ),
    Duty(
        asked="Guidance is never worded as a requirement.",
        basis=OUR_READING,
        tests=(
            "tests/wording/test_recheck_rules.py"
            "::test_guidance_is_named_as_guidance_and_gone_beyond_not_late",
            "tests/wording/test_recheck_rules.py::test_what_does_not_bind_never_says_must",
            "tests/wording/test_recheck_rules.py::test_only_what_binds_is_worded_as_a_requirement",
            "tests/desk/test_recheck_rules.py"
            "::test_advice_that_was_gone_beyond_is_not_late_in_the_record_and_no_reason_is_asked",
            "tests/desk/test_stops.py::test_a_limit_that_does_not_bind_is_named_with_its_force",
        ),
    ),
    Duty(
        asked="A company rule may only tighten.",
        basis=OUR_READING,
        tests=(
            "tests/desk/test_recheck_rules.py"
            "::test_a_company_rule_looser_than_every_law_is_refused",
            "tests/desk/test_recheck_rules.py"
            "::test_a_company_rule_looser_than_the_law_of_this_trip_stands_behind_it",
            "tests/desk/test_recheck_rules.py"
            "::test_a_tighter_company_rule_runs_beside_the_law_it_tightens",
        ),
    ),
    Duty(
        asked="A loss of tension that was found may only tighten.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_observed_loss.py"
            "::test_it_never_comes_after_the_3_hours_of_the_law",
            "tests/scheduler/test_observed_loss.py::test_more_lost_never_means_later",
            "tests/desk/test_tension_found.py"
            "::test_a_reading_below_the_plan_is_recorded_and_brings_the_next_look_forward",
        ),
    ),
    Duty(
        asked="Nothing lengthens an interval of the law.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_no_other_rule_however_it_is_put_lengthens_a_limit_of_the_law",
        ),
    ),
)

KNOWING_WHERE = (
    Duty(
        asked="An odometer that was read, typed or imported, comes before any estimate.",
        basis=OUR_READING,
        tests=(
            "tests/desk/test_rechecks_known.py"
            "::test_a_reading_makes_a_known_distance_of_an_estimated_one",
            "tests/desk/test_feeding.py"
            "::test_an_odometer_read_by_hand_is_not_doubted_for_a_file_in_whole_miles",
            "tests/desk/test_feeding.py"
            "::test_imported_driving_counts_as_driving_time_and_typed_duty_decides_what_is_said",
        ),
    ),
    Duty(
        asked="A duty file's miles are whole, and kept as an interval.",
        basis="49 CFR 395 subpart B appendix A, 7.43, from memory; the interval: our reading",
        tests=(
            "tests/scheduler/feeds/test_duty_file.py"
            "::test_whole_miles_stand_for_an_interval_and_a_sum_of_two_for_twice_that",
            "tests/scheduler/test_whole_miles.py"
            "::test_the_upper_end_makes_a_check_due_and_only_the_lower_end_late",
            "tests/desk/test_feeding.py"
            "::test_imported_miles_make_a_check_due_by_their_upper_end_and_late_by_their_lower",
        ),
    ),
    Duty(
        asked="What a receiver measured is shown beside the odometer.",
        basis=OUR_READING,
        tests=(
            "tests/cli/test_readings.py"
            "::test_a_track_stands_beside_the_odometer_and_no_place_is_kept",
            "tests/journal/test_imported.py"
            "::test_a_way_is_set_beside_the_odometer_between_two_readings_on_it",
        ),
    ),
    Duty(
        asked="It corrects nothing and is corrected by nothing.",
        basis=OUR_READING,
        tests=(
            "tests/desk/test_feeding.py::test_a_way_counts_for_nothing_that_is_due",
            "tests/desk/test_rechecks_known.py"
            "::test_neither_corrects_the_other_a_way_of_a_receiver_and_the_odometer",
        ),
    ),
    Duty(
        asked=(
            "Estimated distance is the last known and driving time since at the stated top road "
            "speed."
        ),
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_counters.py"
            "::test_distance_is_the_last_reading_and_driving_time_since_at_top_speed",
            "tests/desk/test_checking.py"
            "::test_the_way_is_bounded_by_the_faster_vehicle_or_by_nothing_that_was_stated",
        ),
    ),
    Duty(
        asked="It is an upper bound: a prompt may come early and never late.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_properties.py"
            "::test_the_upper_bound_is_never_below_what_was_really_driven",
        ),
    ),
    Duty(
        asked="An estimate is always labelled.",
        basis=OUR_READING,
        tests=(
            "tests/wording/test_recheck_rules.py"
            "::test_what_is_no_reading_is_labelled_wherever_it_is_counted",
            "tests/dossier/test_timeline.py"
            "::test_an_estimate_is_dashed_and_called_so_and_never_late",
        ),
    ),
    Duty(
        asked="With no duty status known, time gone by since departure bounds driving time.",
        basis=OUR_READING,
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_with_nothing_recorded_time_gone_by_since_departure_bounds_driving_time",
            "tests/scheduler/test_counters.py"
            "::test_without_any_duty_status_time_gone_by_stands_for_driving_time_and_says_so",
        ),
    ),
    Duty(
        asked=(
            "And at the stated top road speed it bounds the way: at 65 mph 50 mi after 46 min, 150 "
            "mi after 2 h 18 min; and it says so."
        ),
        basis="worked out by us from 49 CFR 392.9(b); the bound: our reading",
        tests=(
            "tests/scheduler/test_rechecks_counters.py"
            "::test_with_nothing_recorded_time_gone_by_at_top_speed_bounds_the_way_and_says_so",
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_without_a_reading_65_mph_brings_50_miles_after_46_min_and_150_after_2_h_18",
        ),
    ),
    Duty(
        asked="A top road speed that was not stated is asked for at departure.",
        basis=OUR_READING,
        tests=(
            "tests/cli/test_top_speed.py"
            "::test_it_is_asked_for_at_departure_and_then_the_limits_are_foretold",
        ),
    ),
    Duty(
        asked="Until it is stated the answer is cannot tell, with what decides.",
        basis=OUR_READING,
        tests=(
            "tests/cli/test_top_speed.py"
            "::test_until_it_is_stated_it_cannot_be_told_and_what_decides_is_said",
            "tests/scheduler/test_rechecks_counters.py"
            "::test_a_top_speed_stated_later_tells_what_could_not_be_told",
            "tests/scheduler/test_due.py"
            "::test_no_top_speed_and_driving_since_the_last_reading_is_cannot_tell",
            "tests/desk/test_checking.py"
            "::test_a_top_speed_stated_after_the_change_of_vehicle_settles_what_could_not_be_told",
        ),
    ),
    Duty(
        asked=(
            "A reading that runs backwards, is too fast, has digits swapped or the wrong unit is "
            "asked about."
        ),
        basis=OUR_READING,
        tests=(
            "tests/desk/test_road.py::test_an_odd_reading_is_doubted_by_what_is_odd_about_it",
            "tests/cli/test_at_a_terminal.py::test_an_odd_reading_is_asked_about_and_not_refused",
            "tests/cli/test_check_at_a_terminal.py"
            "::test_a_check_asks_about_an_odd_reading_and_why_it_is_late_by_that_reading",
        ),
    ),
    Duty(
        asked="A replaced instrument counts from its own first reading.",
        basis=OUR_READING,
        tests=(
            "tests/desk/test_road.py"
            "::test_a_replaced_odometer_is_told_apart_and_counts_from_its_first_reading",
            "tests/desk/test_readings_with.py"
            "::test_a_replaced_instrument_counts_from_the_reading_told_with_it",
            "tests/desk/test_readings_with.py"
            "::test_a_check_read_off_a_replaced_instrument_is_not_late_by_the_difference",
        ),
    ),
    Duty(
        asked="What was typed first and what was confirmed are both kept, wherever it was typed.",
        basis=OUR_READING,
        tests=(
            "tests/desk/test_road.py::test_what_was_typed_first_is_kept_beside_what_was_confirmed",
            "tests/desk/test_readings_with.py"
            "::test_what_was_typed_first_is_kept_beside_what_was_confirmed",
            "tests/cli/test_check_at_a_terminal.py"
            "::test_a_reading_typed_wrongly_at_a_check_is_typed_again_and_both_are_kept",
        ),
    ),
    Duty(
        asked="No reading is refused for good.",
        basis=OUR_READING,
        tests=(
            "tests/desk/test_road.py"
            "::test_a_doubted_reading_is_recorded_only_when_confirmed_and_says_what_was_asked",
            "tests/desk/test_readings_with.py"
            "::test_an_odd_reading_is_asked_about_and_not_refused_for_good",
        ),
    ),
    Duty(
        asked="A planned stop beyond the next limit is said at departure.",
        basis="49 CFR 392.9(b)(2); our reading",
        tests=(
            "tests/desk/test_stops.py"
            "::test_at_departure_a_stop_is_compared_with_the_first_check_limits_are_inclusive",
            "tests/cli/test_at_a_terminal.py"
            "::test_depart_asks_why_where_something_is_not_met_or_not_known",
        ),
    ),
    Duty(
        asked="It is said at each stop.",
        basis=OUR_READING,
        tests=(
            "tests/cli/test_stops.py::test_it_is_said_at_a_stop",
            "tests/cli/test_stops.py::test_a_delivery_says_it_too",
            "tests/desk/test_stops.py::test_after_a_check_the_limit_runs_from_the_check",
        ),
    ),
    Duty(
        asked="It is said before rolling is recorded.",
        basis=OUR_READING,
        tests=(
            "tests/cli/test_stops.py"
            "::test_driving_on_says_it_before_it_is_recorded_and_a_nearer_stop_settles_it",
        ),
    ),
)
