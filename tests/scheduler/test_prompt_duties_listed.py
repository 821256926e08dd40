"""A prompt's life and the process that says it: each thing asked, and the tests that hold it.

Not to be read or touched under way: 49 CFR 392.80 (texting) and 392.82 (a telephone in the hand).
The limits counted to: 49 CFR 392.9(b). All else is our reading. A page in the cab is no way of
telling yet; the list of ways is as they are tried today.
"""

from tests.scheduler.duties_listed import OUR_READING, Duty, unmarked, wrong_with

LIMITS = "49 CFR 392.9(b)(3) for the limits; our reading for the stages"
AT_THE_WHEEL = "49 CFR 392.80; 49 CFR 392.82; our reading for what follows of it"
ASLEEP = "49 CFR 395.8(b) for the statuses; our reading for the silence"

LIFE = "tests/scheduler/test_rechecks_prompts.py::"
PROMPTS = "tests/scheduler/test_prompts.py::"
STATES = "tests/scheduler/test_prompt_life.py::"
PROPERTIES = "tests/scheduler/test_properties.py::"
TOLD = "tests/desk/test_prompt_life_told.py::"
WATCHING = "tests/desk/test_watching.py::"
FAULTS = "tests/desk/test_watching_faults.py::"
ROAD = "tests/desk/test_road.py::"
OFFICE = "tests/desk/test_office.py::"
WATCH = "tests/scheduler/test_watch.py::"
PROCESS = "tests/scheduler/test_watch_process.py::"
COMMAND = "tests/cli/test_watch.py::"
KILLED = "tests/faults/test_watch_killed.py::"
STEPS = "tests/desk/test_clock_steps.py::"
SIMULATED = "tests/scheduler/test_simulator.py::"
NOTIFY = "tests/scheduler/test_notify.py::"

PROMPTS_LIFE = (
    Duty(
        asked="A check goes from nothing due to coming up at 80 % of its limit, due and late.",
        basis=LIMITS,
        tests=(
            LIFE + "test_nothing_due_then_coming_up_at_80_percent_then_due_at_the_limit_then_late",
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_coming_up_is_at_40_miles_120_miles_and_2_h_24",
            "tests/scheduler/test_due.py::test_the_next_moment_walks_through_every_stage_of_a_day",
        ),
    ),
    Duty(
        asked="Each stage is raised once on each channel, under a running number.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_each_stage_is_raised_once_for_each_channel_and_number",
            PROMPTS + "test_the_name_of_a_prompt_holds_check_stage_channel_and_number",
            PROPERTIES
            + "test_nothing_is_said_twice_nothing_to_read_under_way_and_tones_keep_their_budget",
            STATES + "test_whatever_happens_prompts_and_counters_keep_to_the_rules",
        ),
    ),
    Duty(
        asked="Hearing is recorded with person, time and way, and closes nothing.",
        basis=OUR_READING,
        tests=(
            TOLD + "test_who_heard_it_when_and_how_is_recorded_and_what_comes_next_is_the_same",
            ROAD + "test_hearing_what_is_due_closes_nothing",
        ),
    ),
    Duty(
        asked="By itself a prompt is silent until the duty status is no longer driving.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_after_its_tone_a_prompt_is_silent_by_itself_until_the_driving_ends",
            TOLD + "test_a_prompt_is_silent_by_itself_and_nothing_has_to_be_pressed_until_the_stop",
        ),
    ),
    Duty(
        asked="Past the company's margin the office is told, and told once.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_past_the_margin_the_office_is_told_and_the_driver_hears_no_more_for_it",
            "tests/scheduler/test_office.py::test_beyond_the_margin_past_the_limit_and_not_at_it",
            "tests/scheduler/test_office.py::test_the_office_is_told_once_for_each_due_check",
            OFFICE + "test_a_message_is_written_once_however_often_it_is_looked_at",
            "tests/faults/test_office_killed.py"
            "::test_killed_again_and_again_each_message_is_told_and_recorded_once",
        ),
    ),
    Duty(
        asked="What the office is to be told waits while there is no way out; both times are kept.",
        basis=OUR_READING,
        tests=(
            OFFICE + "test_without_a_way_out_it_waits_and_goes_when_there_is_one",
            OFFICE + "test_while_it_does_not_go_it_is_tried_with_growing_pauses_and_told_once",
        ),
    ),
    Duty(
        asked="While driving: a tone at coming up, one at due, then one for each further 100 km.",
        basis=OUR_READING,
        tests=(
            PROMPTS + "test_while_driving_there_is_one_tone_at_coming_up_one_at_due_and_then_none",
            LIFE + "test_a_tone_at_coming_up_one_at_due_and_one_more_for_each_further_100_km",
            LIFE + "test_at_most_two_tones_for_a_check_and_one_more_for_each_100_km_late",
            WATCHING + "test_a_late_check_has_one_tone_more_for_each_further_100_km",
        ),
    ),
    Duty(
        asked="The tone at coming up comes before the limit, so that a stop can be found.",
        basis=LIMITS,
        tests=(
            WATCHING + "test_a_tone_comes_up_before_the_limit_and_one_at_it_and_nothing_to_read",
        ),
    ),
    Duty(
        asked="A text is pushed only while the driver is on duty and not driving.",
        basis=AT_THE_WHEEL,
        tests=(
            LIFE + "test_a_text_is_pushed_only_while_on_duty_and_not_driving",
            PROMPTS + "test_no_text_is_pushed_unless_on_duty_and_not_driving",
            WATCHING + "test_the_text_comes_at_each_stop_once_until_the_check_is_made",
            COMMAND
            + "test_on_a_real_desktop_nothing_is_shown_while_driving_and_the_text_is_at_the_stop",
        ),
    ),
    Duty(
        asked="What is due is shown at the latest before driving is recorded.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_what_is_due_is_shown_at_the_latest_before_driving_is_recorded",
            ROAD + "test_before_driving_each_owed_check_is_recorded_as_shown_once_a_stop",
            "tests/cli/test_at_a_terminal.py"
            "::test_driving_on_late_asks_why_and_shows_what_is_due_first",
        ),
    ),
    Duty(
        asked="Nothing has to be read or touched while the vehicle moves.",
        basis=AT_THE_WHEEL,
        tests=(
            LIFE + "test_everything_said_while_driving_is_for_the_ear_alone",
            "tests/desk/test_gates.py::test_no_entry_is_made_while_driving",
            COMMAND
            + "test_in_a_pipe_the_line_of_state_comes_at_the_stop_and_stands_still_while_driving",
        ),
    ),
    Duty(
        asked="A prompt falls silent without a key until the next stop, where its text comes.",
        basis=AT_THE_WHEEL,
        tests=(
            TOLD + "test_a_prompt_is_silent_by_itself_and_nothing_has_to_be_pressed_until_the_stop",
            PROMPTS
            + "test_the_text_held_back_while_driving_comes_at_the_stop_and_once_at_each_stop",
        ),
    ),
    Duty(
        asked="Off duty and in the sleeper nothing sounds and nothing shows.",
        basis=ASLEEP,
        tests=(
            LIFE + "test_in_the_sleeper_and_off_duty_nothing_sounds_and_nothing_shows",
            WATCHING + "test_off_duty_and_in_the_sleeper_it_is_silent_and_then_the_text_comes",
        ),
    ),
    Duty(
        asked="What was said can be read at any time after.",
        basis=OUR_READING,
        tests=(
            TOLD + "test_what_was_said_and_heard_is_still_told_to_whoever_asks",
            LIFE + "test_what_is_due_can_always_be_looked_up",
        ),
    ),
)

THE_PROCESS = (
    Duty(
        asked="One function of rules, progress and moment decides, and it is pure.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_one_pure_function_decides_and_says_the_same_however_often_it_is_asked",
            "tests/test_house.py::test_a_pure_room_asks_no_clock_and_touches_no_file",
        ),
    ),
    Duty(
        asked="The scheduling library wakes the loop and decides nothing.",
        basis=OUR_READING,
        tests=(
            SIMULATED + "test_jobs_run_by_hand_say_the_same_as_the_scheduling_library",
            PROCESS + "test_a_frozen_clock_moved_on_and_a_wakeup_make_the_due_job_speak",
            PROCESS + "test_in_real_time_a_prompt_comes_when_its_moment_does",
        ),
    ),
    Duty(
        asked="Jobs come out of the journal anew at the start, at each entry and at a clock step.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_the_jobs_are_made_at_the_start_after_every_entry_and_after_a_clock_step",
            WATCH + "test_jobs_are_made_anew_when_anything_was_written",
            WATCH + "test_a_clock_set_back_is_written_down_and_the_jobs_are_made_anew",
        ),
    ),
    Duty(
        asked="What another process writes is seen: the store's data version is read every 2 s.",
        basis=OUR_READING,
        tests=(
            LIFE
            + "test_the_library_has_to_look_at_the_time_every_15_seconds_and_a_step_is_beyond_2",
            WATCHING + "test_a_duty_change_of_another_process_is_seen_at_the_next_turn",
            COMMAND
            + "test_in_a_pipe_the_line_of_state_comes_at_the_stop_and_stands_still_while_driving",
        ),
    ),
    Duty(
        asked="A raise is recorded, once, before it is tried, and what came of it afterwards.",
        basis=OUR_READING,
        tests=(
            WATCHING + "test_the_raise_is_durable_before_the_attempt_and_its_outcome_follows",
            LIFE + "test_the_raise_is_written_before_the_attempt_and_what_came_of_it_after",
        ),
    ),
    Duty(
        asked="What has no outcome at the start is said once more and marked as repeated.",
        basis=OUR_READING,
        tests=(
            FAULTS + "test_a_raise_without_outcome_is_said_once_more_and_marked_repeated",
            WATCH + "test_a_raise_without_outcome_is_tried_once_more_at_start_and_marked_repeated",
            KILLED + "test_killed_before_the_attempt_it_is_made_by_the_next_watcher",
        ),
    ),
    Duty(
        asked="Nothing is recorded twice and nothing goes without an attempt.",
        basis=OUR_READING,
        tests=(
            KILLED + "test_killed_again_and_again_no_prompt_is_lost_and_none_recorded_twice",
            WATCHING + "test_two_watchers_at_once_raise_each_prompt_once_between_them",
            SIMULATED
            + "test_on_simulated_trips_each_check_is_told_when_due_and_allowed_and_never_otherwise",
            FAULTS + "test_a_journal_in_use_is_waited_for_and_nothing_is_said_twice",
        ),
    ),
    Duty(
        asked="A wall clock that moves over 2 s against the steady one gives an entry, new jobs.",
        basis=OUR_READING,
        tests=(
            WATCH + "test_a_clock_set_forward_is_written_down_and_everything_looked_at_again",
            WATCH + "test_a_clock_set_back_is_written_down_and_the_jobs_are_made_anew",
            WATCH + "test_a_drift_of_two_seconds_is_no_step",
            STEPS + "test_steps_to_and_fro_raise_nothing_twice_and_are_each_an_entry",
        ),
    ),
    Duty(
        asked="A computer that slept looks like a clock set forward.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_a_suspend_looks_like_a_clock_set_forward_and_is_written_down",
            STEPS + "test_set_forward_or_asleep_it_counts_as_time_that_passed_for_both",
        ),
    ),
    Duty(
        asked="Driving time is of the recorded duty and readings, never of the library's waits.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_driving_time_comes_from_recorded_duty_and_not_from_how_long_was_waited",
        ),
    ),
    Duty(
        asked="A second watcher on one store says so and leaves.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_the_second_of_two_watchers_says_so_and_leaves",
            COMMAND + "test_a_second_watcher_says_so_and_leaves_and_the_first_goes_on",
            PROCESS + "test_a_second_watcher_on_the_same_store_says_so_and_leaves",
        ),
    ),
    Duty(
        asked="Each attempt is recorded as accepted, no backend, failed or timed out; never seen.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_what_came_of_an_attempt_is_never_that_it_was_seen",
            FAULTS + "test_notifiers_that_break_or_hang_are_recorded_and_never_end_the_watcher",
            NOTIFY + "test_what_the_desktop_raises_becomes_an_outcome",
            NOTIFY + "test_a_call_that_does_not_come_back_is_timed_out",
            WATCHING + "test_each_prompt_has_its_row_with_what_came_of_it",
        ),
    ),
    Duty(
        asked="Where one way takes nothing the next is tried: desktop, bell and line, sound file.",
        basis=OUR_READING,
        tests=(
            LIFE + "test_every_way_tried_is_recorded_and_the_next_is_tried_until_one_takes_it",
            COMMAND
            + "test_in_a_pipe_the_line_of_state_comes_at_the_stop_and_stands_still_while_driving",
            FAULTS + "test_a_desktop_whose_daemon_is_dead_leaves_it_to_the_next_notifier",
            "tests/scheduler/test_sound.py"
            "::test_the_first_player_that_plays_gets_the_file_and_no_other",
        ),
    ),
    Duty(
        asked="Daylight saving, midnight, time zones and a leap day change no interval.",
        basis="49 CFR 392.9(b)(3) counts driving; our reading for the calendar",
        tests=(
            LIFE + "test_no_change_of_the_calendar_or_the_zone_changes_an_interval",
            STEPS + "test_daylight_saving_begins_or_ends_on_the_way_and_changes_no_interval",
        ),
    ),
)


def test_each_thing_asked_of_prompts_and_process_has_a_basis_and_tests_that_are_there() -> None:
    assert wrong_with((*PROMPTS_LIFE, *THE_PROCESS)) == []
    assert unmarked((*PROMPTS_LIFE, *THE_PROCESS)) == []
