"""The long-running process, step by step on a clock moved by hand.

Where a case names no source, what it holds is our reading.
"""

from collections.abc import Iterator
from datetime import timedelta

import pytest
from freezegun import freeze_time

from scheduler.due import State
from scheduler.notify import Attempt, FirstThatWorks, Outcome
from scheduler.progress import DutyStatus
from scheduler.prompts import Channel, Prompt
from scheduler.watch import Unfinished, Watch
from tests.scheduler.day import Day, minute
from tests.scheduler.scene import (
    RUNNING,
    Scene,
    Speaker,
    TakenJournal,
    raised,
)


@pytest.fixture(autouse=True)
def _end_what_was_started() -> Iterator[None]:
    yield
    while RUNNING:
        RUNNING.pop().scheduler.shutdown(wait=False)


def test_there_is_one_job_for_each_counter_at_its_next_moment() -> None:
    with freeze_time(minute(0)):
        scene = Scene(Day(mph=60)).start()
        assert scene.jobs() == {
            "trip-1/us-392.9-first/e1": minute(40),
            "trip-1/us-392.9-distance/e1": minute(120),
            "trip-1/us-392.9-driving/e1": minute(144),
        }
        (look,) = scene.looks
        assert look.next_at == minute(40)
        assert look.trips[0].label == "T-1"


def test_a_late_job_is_run_and_not_dropped_and_several_at_once_are_one() -> None:
    with freeze_time(minute(0)):
        for job in Scene(Day(mph=60)).start().watch.scheduler.get_jobs():
            assert job.misfire_grace_time is None
            assert job.coalesce
            assert job.max_instances == 1


def test_jobs_are_made_anew_when_anything_was_written() -> None:
    scene = Scene(Day(mph=60)).start()
    scene.clock.pass_minutes(30)
    scene.turn()
    assert scene.house.asked == 1
    scene.day.stop(30)
    scene.day.check(30, 12_030)
    scene.day.drive(30)
    scene.house.touched = True
    scene.turn()
    assert scene.house.asked == 2
    assert scene.jobs() == {
        "trip-1/us-392.9-distance/e4": minute(30 + 120),
        "trip-1/us-392.9-driving/e4": minute(30 + 144),
    }


def test_a_trip_that_stands_has_no_job() -> None:
    scene = Scene(Day(mph=60), begin=1)
    scene.day.stop(0.5)
    assert scene.start().jobs() == {}


def test_the_raise_is_written_before_the_attempt_and_its_outcome_after() -> None:
    scene = Scene(Day(mph=60), begin=50)
    order: list[int] = []
    scene.speaker.before = lambda: order.append(len(scene.house.raised) - len(order))
    scene.start()
    assert raised(scene.house) == ["first/e1/due/tone/1"]
    assert order == [1]
    assert scene.house.outcomes == [
        (
            "trip-1/us-392.9-first/e1/due/tone/1",
            (Attempt(notifier="speaker", outcome=Outcome.ACCEPTED),),
            False,
        )
    ]


def test_what_came_due_while_away_is_raised_once_with_its_true_time() -> None:
    scene = Scene(Day(mph=60), begin=100).start()
    assert raised(scene.house) == ["first/e1/due/tone/1"]
    assert scene.house.checks[0].due_at == minute(50)
    scene.watch.look(minute(101))
    assert scene.speaker.said == ["tone"]


def test_what_another_process_has_written_down_already_is_not_said_again() -> None:
    scene = Scene(Day(mph=60), begin=50)
    house = TakenJournal(scene.day)
    speaker = Speaker()
    watch = Watch(house, scene.clock, FirstThatWorks([speaker]))
    watch.start(paused=True)
    RUNNING.append(watch)
    assert house.asked_for == ["trip-1/us-392.9-first/e1/due/tone/1"]
    assert speaker.said == []
    assert house.outcomes == []


def test_nothing_to_read_is_shown_while_driving_and_it_is_at_the_stop() -> None:
    scene = Scene(Day(mph=60), begin=55).start()
    assert scene.speaker.said == ["tone"]
    scene.day.stop(60)
    scene.house.touched = True
    scene.clock.pass_minutes(5)
    scene.turn()
    assert scene.speaker.said == [
        "tone",
        "check due: us-392.9-first",
        "check due: us-392.9-duty",
    ]


def test_a_clock_set_forward_is_written_down_and_everything_looked_at_again() -> None:
    scene = Scene(Day(mph=60)).start()
    scene.clock.pass_minutes(1)
    scene.clock.set_wall(timedelta(hours=1))
    scene.turn()
    assert scene.house.steps_ms == [3_600_000]
    assert raised(scene.house) == ["first/e1/due/tone/1"]


def test_a_clock_set_back_is_written_down_and_the_jobs_are_made_anew() -> None:
    scene = Scene(Day(mph=60), begin=45).start()
    assert scene.jobs()["trip-1/us-392.9-first/e1"] == minute(50)
    scene.clock.set_wall(timedelta(minutes=-30))
    scene.turn()
    assert scene.house.steps_ms == [-1_800_000]
    assert scene.jobs()["trip-1/us-392.9-first/e1"] == minute(40)


def test_a_drift_of_two_seconds_is_no_step() -> None:
    scene = Scene(Day(mph=60)).start()
    scene.clock.set_wall(timedelta(seconds=2))
    scene.turn()
    scene.clock.set_wall(timedelta(seconds=-2))
    scene.turn()
    assert scene.house.steps_ms == []
    assert scene.house.asked == 1


def test_the_scheduling_library_is_woken_every_15_seconds(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    scene = Scene(Day(mph=60)).start()
    woken: list[int] = []
    monkeypatch.setattr(
        scene.watch.scheduler, "wakeup", lambda: woken.append(scene.clock.passed_ms)
    )
    begin = scene.clock.passed_ms
    for _ in range(30):
        scene.clock.pass_minutes(2 / 60)
        scene.turn()
    assert [passed - begin for passed in woken] == [16_000, 32_000, 48_000]


def unfinished(stage: State, channel: Channel, number: int) -> Unfinished:
    prompt = Prompt(due_key="trip-1/us-392.9-first/e1", stage=stage, channel=channel, number=number)
    return Unfinished(token=prompt.idem, prompt=prompt)


def scene_after_crash(day: Day, left: Unfinished, begin: float) -> Scene:
    """The prompt was raised by an earlier run, which never wrote what came of it."""
    scene = Scene(day, begin=begin)
    scene.house.left = [left]
    scene.house.raised[left.token] = left.prompt
    return scene.start()


def test_a_raise_without_outcome_is_tried_once_more_at_start_and_marked_repeated() -> None:
    left = unfinished(State.DUE, Channel.TONE, 1)
    scene = scene_after_crash(Day(mph=60), left, 55)
    accepted = (Attempt(notifier="speaker", outcome=Outcome.ACCEPTED),)
    assert scene.house.outcomes == [(left.token, accepted, True)]
    assert list(scene.house.raised) == [left.token]
    scene.watch.look(minute(56))
    assert scene.speaker.said == ["tone"]


def test_a_text_left_without_outcome_waits_for_the_time_it_may_be_shown() -> None:
    day = Day(mph=60)
    day.stop(60)
    day.duty(65, DutyStatus.OFF_DUTY)
    left = unfinished(State.DUE, Channel.TEXT, 1)
    scene = scene_after_crash(day, left, 66)
    assert scene.speaker.said == []
    assert scene.house.outcomes == []
    day.stop(600)
    scene.watch.look(minute(600))
    assert "check due: us-392.9-first" in scene.speaker.said
    assert (left.token, (Attempt(notifier="speaker", outcome=Outcome.ACCEPTED),), True) in (
        scene.house.outcomes
    )


def test_a_raise_whose_moment_has_passed_is_left_unknown_and_not_said() -> None:
    left = unfinished(State.COMING_UP, Channel.TONE, 1)
    scene = scene_after_crash(Day(mph=60), left, 55)
    unknown = (Attempt(notifier="none", outcome=Outcome.UNKNOWN),)
    assert scene.house.outcomes[0] == (left.token, unknown, False)
    assert raised(scene.house)[-1] == "first/e1/due/tone/1"
    assert scene.speaker.said == ["tone"]


def test_a_raise_left_for_a_trip_that_is_over_is_left_unknown() -> None:
    day = Day(mph=60)
    day.ended = minute(52)
    scene = scene_after_crash(day, unfinished(State.DUE, Channel.TONE, 1), 55)
    assert scene.house.outcomes[0][1][0].outcome is Outcome.UNKNOWN
    assert scene.speaker.said == []
