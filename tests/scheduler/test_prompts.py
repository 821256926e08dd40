"""A prompt's life on two channels.

Where a case names no source, what it holds is our reading.
"""

import pytest

from scheduler.due import at
from scheduler.progress import DutyStatus, vehicle_duty
from scheduler.prompts import Channel, Prompt, Said, prompts, shown_before_driving, still_wanted
from tests.scheduler.day import DISTANCE, DRIVING, DUTY, FIRST, Day, minute

DRIVE, ON, OFF, SLEEPER = (
    DutyStatus.DRIVING,
    DutyStatus.ON_DUTY,
    DutyStatus.OFF_DUTY,
    DutyStatus.SLEEPER,
)


class Telling:
    """Everything said on a day, moment by moment."""

    def __init__(self, day: Day) -> None:
        self.day = day
        self.said: list[Said] = []

    def at(self, number: float, duty: DutyStatus | None) -> list[str]:
        """What is said now, as "rule stage channel number", rule names cut short."""
        new = prompts(tuple(self.day.due(number).values()), self.said, duty)
        self.keep(new)
        return [short(prompt) for prompt in new]

    def keep(self, new: tuple[Prompt, ...]) -> None:
        self.said.extend(
            Said(
                due_key=prompt.due_key,
                stage=prompt.stage,
                channel=prompt.channel,
                number=prompt.number,
                outcome=None,
            )
            for prompt in new
        )


def short(prompt: Prompt) -> str:
    rule = prompt.due_key.split("/")[1].removeprefix("us-").removeprefix("392.9-")
    return f"{rule} {prompt.stage} {prompt.channel} {prompt.number}"


def test_while_driving_there_is_one_tone_at_coming_up_one_at_due_and_then_none() -> None:
    telling = Telling(Day(mph=60))
    assert telling.at(39, DRIVE) == []
    assert telling.at(40, DRIVE) == ["first coming up tone 1"]
    assert telling.at(45, DRIVE) == []
    assert telling.at(50, DRIVE) == ["first due tone 1"]
    assert telling.at(111, DRIVE) == []


def test_each_further_100_km_bring_one_more_tone() -> None:
    telling = Telling(Day(mph=60))
    telling.at(50, DRIVE)
    assert telling.at(50 + 63, DRIVE) == ["first due tone 2"]
    assert telling.at(50 + 64, DRIVE) == []
    assert "first due tone 5" in telling.at(50 + 4 * 63, DRIVE)


def test_turning_late_right_after_the_due_tone_is_silent() -> None:
    day = Day(mph=60)
    telling = Telling(day)
    telling.at(50, DRIVE)
    day.read(55, 12_052)
    assert telling.at(55, DRIVE) == []


def test_going_late_without_ever_having_been_due_has_the_one_tone() -> None:
    day = Day(mph=60)
    telling = Telling(day)
    day.read(30, 12_055)
    assert telling.at(30, DRIVE) == ["first late tone 1"]


def test_a_check_taken_back_to_coming_up_has_no_tone_for_that_any_more() -> None:
    day = Day(mph=60)
    telling = Telling(day)
    telling.at(50, DRIVE)
    day.read(50, 12_042)
    assert telling.at(50, DRIVE) == []


@pytest.mark.parametrize("duty", [DRIVE, None, OFF, SLEEPER])
def test_no_text_is_pushed_unless_on_duty_and_not_driving(duty: DutyStatus | None) -> None:
    said = Telling(Day(mph=60)).at(60, duty)
    assert not [line for line in said if "text" in line]


@pytest.mark.parametrize("duty", [OFF, SLEEPER])
def test_off_duty_and_in_the_sleeper_all_is_silent(duty: DutyStatus) -> None:
    assert Telling(Day(mph=60)).at(600, duty) == []


def test_with_the_duty_status_unknown_a_tone_may_sound() -> None:
    assert Telling(Day(mph=60)).at(50, None) == ["first due tone 1"]


def test_the_text_held_back_while_driving_comes_at_the_stop_and_once_at_each_stop() -> None:
    day = Day(mph=60)
    telling = Telling(day)
    telling.at(50, DRIVE)
    day.stop(60)
    assert telling.at(60, ON) == ["first due text 1", "duty due text 1"]
    assert telling.at(61, ON) == []
    day.drive(70)
    assert telling.at(70, DRIVE) == ["duty late tone 1"]
    day.stop(80)
    assert telling.at(80, ON) == ["duty late text 2", "first due text 2"]


def test_what_fell_due_in_the_sleeper_is_said_when_on_duty_again() -> None:
    day = Day(mph=60)
    telling = Telling(day)
    day.duty(55, SLEEPER)
    assert telling.at(55, SLEEPER) == []
    day.stop(600)
    assert telling.at(600, ON) == ["first due tone 1", "first due text 1", "duty due text 1"]


def test_a_duty_change_is_text_only_until_late_and_then_has_one_tone() -> None:
    day = Day(mph=60)
    telling = Telling(day)
    day.stop(10)
    assert telling.at(10, ON) == ["duty due text 1"]
    day.drive(15)
    assert telling.at(15, DRIVE) == ["duty late tone 1"]
    assert telling.at(20, DRIVE) == []


def test_an_event_has_one_tone_at_once_and_one_when_driving_resumes() -> None:
    day = Day(mph=60)
    telling = Telling(day)
    day.event(5, "kerb")
    assert telling.at(5, DRIVE) == ["any-event-kerb due tone 1"]
    day.stop(10)
    assert telling.at(10, ON) == ["any-event-kerb due text 1", "duty due text 1"]
    day.drive(15)
    assert telling.at(15, DRIVE) == ["any-event-kerb late tone 2", "duty late tone 1"]
    assert telling.at(16, DRIVE) == []


def test_a_check_that_cannot_be_told_or_is_not_due_says_nothing() -> None:
    assert Telling(Day(mph=None)).at(60, ON) == []


def test_before_driving_every_due_check_counts_as_shown_once_in_this_stop() -> None:
    day = Day(mph=60)
    telling = Telling(day)
    day.duty(60, OFF)
    checks = tuple(day.due(60).values())
    shown = shown_before_driving(checks, telling.said)
    assert [short(prompt) for prompt in shown] == ["first due text 1", "duty due text 1"]
    telling.keep(shown)
    assert shown_before_driving(checks, telling.said) == ()


def test_a_check_that_is_only_coming_up_does_not_hold_up_driving() -> None:
    day = Day(mph=60)
    day.stop(45)
    shown = shown_before_driving(tuple(day.due(45).values()), [])
    assert [short(prompt) for prompt in shown] == ["duty due text 1"]


def test_the_name_of_a_prompt_holds_check_stage_channel_and_number() -> None:
    (prompt,) = prompts(tuple(Day(mph=60).due(50).values()), [], DRIVE)
    assert prompt.idem == "trip-1/us-392.9-first/e1/due/tone/1"
    assert prompt.channel is Channel.TONE


def test_a_prompt_from_before_is_still_wanted_only_while_it_would_be_raised_again() -> None:
    day = Day(mph=60)
    counter = day.counters()[FIRST]
    (coming_up,) = prompts((at(counter, minute(40)),), [], DRIVE)
    (due_tone,) = prompts((at(counter, minute(50)),), [], DRIVE)
    assert still_wanted(coming_up, at(counter, minute(45)))
    assert not still_wanted(coming_up, at(counter, minute(50)))
    assert still_wanted(due_tone, at(counter, minute(60)))
    assert not still_wanted(due_tone, at(counter, minute(120)))
    day.stop(60)
    text = next(
        prompt
        for prompt in prompts((day.due(60)[FIRST],), [], ON)
        if prompt.channel is Channel.TEXT
    )
    assert still_wanted(text, day.due(65)[FIRST])
    day.drive(70)
    day.stop(80)
    assert not still_wanted(text, day.due(80)[FIRST])


def test_the_day_of_three_limits_stays_inside_the_budget_of_tones() -> None:
    """Two tones a due check and one more for each 100 km driven late."""
    day = Day(mph=60)
    telling = Telling(day)
    for number in range(0, 241):
        telling.at(number, vehicle_duty(day.duties))
    by_rule = {
        rule: [one.number for one in telling.said if f"/{rule}/" in one.due_key]
        for rule in (FIRST, DISTANCE, DRIVING, DUTY)
    }
    assert by_rule == {FIRST: [1, 1, 2, 3, 4], DISTANCE: [1, 1, 2], DRIVING: [1, 1], DUTY: []}
