"""A prompt's life and the process that says it: one test for each thing that has to hold.

The rules counted with are those of 49 CFR 392.9(b)(2) and (3): 50 mi, then 150 mi, 3 h or a change
of duty status. That nothing is to be read or touched while moving: 49 CFR 392.80 and 392.82 (no
texting, no telephone in the hand while driving). All else is our reading; common practice, no
source. Over the real journal the same is shown in tests/desk/test_watching*.py, test_office.py and
test_clock_steps.py, with real processes in tests/cli/test_watch.py and tests/faults.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from freezegun import freeze_time
from hypothesis import given
from hypothesis import strategies as st

from scheduler.due import State, due
from scheduler.notify import Attempt, FirstThatWorks, Outcome
from scheduler.office import to_tell
from scheduler.progress import DutyStatus
from scheduler.prompts import Channel, Said, prompts, shown_before_driving
from scheduler.watch import CHANGE_LOOK_S, STEP_MS, WAKE_MS, Watch
from scheduler.watch_lock import AlreadyWatching, only_watcher
from tests.scheduler.day import DEPARTURE, FIRST, MILE_MM, US, Day, minute
from tests.scheduler.scene import RUNNING, Scene, Speaker, raised
from tests.scheduler.test_prompts import DRIVE, OFF, ON, SLEEPER, Telling

MI_100_KM = 62.1371192
"""100 km at 60 mph, in miles and so in minutes (1 mi = 1.609344 km exactly)."""


@pytest.fixture(autouse=True)
def _end_what_was_started() -> Iterator[None]:
    yield
    while RUNNING:
        RUNNING.pop().scheduler.shutdown(wait=False)


# A prompt's life.


def test_nothing_due_then_coming_up_at_80_percent_then_due_at_the_limit_then_late() -> None:
    day = Day(mph=60)
    assert [day.states(at)[FIRST] for at in (39.9, 40, 49.9, 50)] == [
        "nothing due",
        "coming up",
        "coming up",
        "due",
    ]
    day.read(51, 12_050.1)
    assert day.states(51)[FIRST] == "late"


@given(st.lists(st.sampled_from([DRIVE, ON, OFF, SLEEPER, None]), min_size=1, max_size=40))
def test_each_stage_is_raised_once_for_each_channel_and_number(
    duties: list[DutyStatus | None],
) -> None:
    telling = Telling(Day(mph=60))
    said = [one for at, duty in enumerate(duties) for one in telling.at(35 + at, duty)]
    assert len(said) == len(set(said))


def test_after_its_tone_a_prompt_is_silent_by_itself_until_the_driving_ends() -> None:
    day = Day(mph=60)
    telling = Telling(day)
    assert telling.at(50, DRIVE) == ["first due tone 1"]
    assert [telling.at(at, DRIVE) for at in (51, 70, 100)] == [[], [], []]
    day.stop(101)
    assert "first due text 1" in telling.at(101, ON)


def test_past_the_margin_the_office_is_told_and_the_driver_hears_no_more_for_it() -> None:
    day = Day(mph=60)
    day.read(56, 12_056)
    telling = Telling(day)
    assert telling.at(56, DRIVE) == ["first late tone 1"]
    checks = due(US, day.progress(), minute(56))
    assert [one.counter.rule_id for one in to_tell(checks, (), 5 * MILE_MM)] == [FIRST]
    assert telling.at(56, DRIVE) == []


def test_a_tone_at_coming_up_one_at_due_and_one_more_for_each_further_100_km() -> None:
    telling = Telling(Day(mph=60))
    first = [
        (at, one)
        for at in range(0, 190)
        for one in telling.at(at, DRIVE)
        if one.startswith("first")
    ]
    assert first == [
        (40, "first coming up tone 1"),
        (50, "first due tone 1"),
        (int(50 + MI_100_KM) + 1, "first due tone 2"),
        (int(50 + 2 * MI_100_KM) + 1, "first due tone 3"),
    ]


@pytest.mark.parametrize("duty", [DRIVE, OFF, SLEEPER, None])
def test_a_text_is_pushed_only_while_on_duty_and_not_driving(duty: DutyStatus | None) -> None:
    day = Day(mph=60)
    day.stop(60)
    telling = Telling(day)
    assert not [one for one in telling.at(60, duty) if " text " in one]
    assert [one for one in telling.at(60, ON) if " text " in one]


def test_what_is_due_is_shown_at_the_latest_before_driving_is_recorded() -> None:
    day = Day(mph=60)
    day.duty(55, OFF)
    checks = tuple(day.due(56).values())
    shown = shown_before_driving(checks, ())
    assert {one.due_key for one in shown} == {one.due_key for one in checks if one.is_due}
    assert {one.channel for one in shown} == {Channel.TEXT}


@pytest.mark.parametrize("duty", [OFF, SLEEPER])
def test_in_the_sleeper_and_off_duty_nothing_sounds_and_nothing_shows(duty: DutyStatus) -> None:
    day = Day(mph=60)
    day.duty(55, duty)
    telling = Telling(day)
    assert [telling.at(at, duty) for at in (55, 300, 655)] == [[], [], []]


@pytest.mark.parametrize("duty", [DRIVE, OFF, SLEEPER, None])
def test_what_is_due_can_always_be_looked_up(duty: DutyStatus | None) -> None:
    day = Day(mph=60)
    if duty is not None:
        day.duty(50, duty)
    assert day.states(50)[FIRST] == "due"


# The process.


def test_one_pure_function_decides_and_says_the_same_however_often_it_is_asked() -> None:
    day = Day(mph=60)
    asked = [due(US, day.progress(), minute(50)) for _ in range(3)]
    assert asked[0] == asked[1] == asked[2]
    assert prompts(asked[0], (), DRIVE) == prompts(asked[1], (), DRIVE)


def test_the_jobs_are_made_at_the_start_after_every_entry_and_after_a_clock_step() -> None:
    with freeze_time(minute(0)):
        scene = Scene(Day(mph=60)).start()
        first = "trip-1/us-392.9-first/e1"
        assert scene.jobs()[first] == minute(40)
        scene.day.stop(10)
        scene.house.touched = True
        scene.clock.pass_minutes(10)
        scene.turn()
        assert first not in scene.jobs()
        scene.day.drive(30)
        scene.house.touched = True
        scene.clock.pass_minutes(20)
        scene.turn()
        assert scene.jobs()[first] == minute(60)
        scene.clock.set_wall(timedelta(minutes=20))
        looks = len(scene.looks)
        scene.turn()
        assert len(scene.looks) == looks + 1
        assert first not in scene.jobs() or scene.jobs()[first] > scene.clock.now


def test_the_library_has_to_look_at_the_time_every_15_seconds_and_a_step_is_beyond_2() -> None:
    assert (WAKE_MS, STEP_MS, CHANGE_LOOK_S) == (15_000, 2_000, 2)


def test_the_raise_is_written_before_the_attempt_and_what_came_of_it_after() -> None:
    scene = Scene(Day(mph=60), begin=50)
    written: list[tuple[int, int]] = []
    scene.speaker.before = lambda: written.append(
        (len(scene.house.raised), len(scene.house.outcomes))
    )
    scene.start()
    assert written == [(1, 0)]
    assert len(scene.house.outcomes) == 1


def test_a_suspend_looks_like_a_clock_set_forward_and_is_written_down() -> None:
    scene = Scene(Day(mph=60)).start()
    scene.clock.set_wall(timedelta(hours=8))
    scene.turn()
    assert scene.house.steps_ms == [8 * 3_600_000]


def test_driving_time_comes_from_recorded_duty_and_not_from_how_long_was_waited() -> None:
    day = Day(mph=60)
    day.stop(10)
    scene = Scene(day, begin=10).start()
    scene.clock.pass_minutes(600)
    scene.watch.look(scene.clock.now)
    (trip,) = scene.looks[-1].trips
    (driving,) = (one for one in trip.due_checks if "driving" in one.due_key)
    assert driving.value == 10 * 60_000


def test_the_second_of_two_watchers_says_so_and_leaves(tmp_path: Path) -> None:
    scene = Scene(Day())
    with (
        only_watcher(tmp_path / "watch.lock"),
        pytest.raises(AlreadyWatching, match="another watcher is running here"),
    ):
        scene.watch.run(tmp_path / "watch.lock")


def test_what_came_of_an_attempt_is_never_that_it_was_seen() -> None:
    assert {str(one) for one in Outcome} == {
        *("accepted", "no_backend", "failed", "timed_out"),
        "unknown",  # the program ended in between
    }


class Lacking(Speaker):
    """A way of saying things that this machine does not have."""

    name = "lacking"

    def _say(self, _what: str) -> Outcome:
        return Outcome.NO_BACKEND


def test_every_way_tried_is_recorded_and_the_next_is_tried_until_one_takes_it() -> None:
    scene = Scene(Day(mph=60), begin=50)
    watch = Watch(scene.house, scene.clock, FirstThatWorks([Lacking(), Speaker(), Lacking()]))
    watch.start(paused=True)
    RUNNING.append(watch)
    ((_, attempts, _),) = scene.house.outcomes
    assert attempts == (
        Attempt(notifier="lacking", outcome=Outcome.NO_BACKEND),
        Attempt(notifier="speaker", outcome=Outcome.ACCEPTED),
    )


@pytest.mark.parametrize(
    "departure",
    [
        pytest.param(datetime(2026, 3, 8, 7, 30, tzinfo=UTC), id="clocks go on, US Central"),
        pytest.param(datetime(2026, 11, 1, 6, 30, tzinfo=UTC), id="clocks go back, US Central"),
        pytest.param(datetime(2026, 5, 4, 23, 30, tzinfo=UTC), id="over midnight"),
        pytest.param(datetime(2028, 2, 28, 23, 30, tzinfo=UTC), id="into a leap day"),
        pytest.param(
            datetime(2026, 5, 4, 8, 0, tzinfo=timezone(timedelta(hours=-6))), id="another zone"
        ),
    ],
)
def test_no_change_of_the_calendar_or_the_zone_changes_an_interval(departure: datetime) -> None:
    day = Day(mph=60)
    day.shift(departure - DEPARTURE)
    found = {one.due_key: one for one in due(US, day.progress(), departure)}
    moments = {key.split("/")[1]: (one.coming_up_at, one.due_at) for key, one in found.items()}
    assert moments == {
        "us-392.9-first": (
            departure + timedelta(minutes=40),
            departure + timedelta(minutes=50),
        ),
        "us-392.9-distance": (
            departure + timedelta(minutes=120),
            departure + timedelta(minutes=150),
        ),
        "us-392.9-driving": (
            departure + timedelta(minutes=144),
            departure + timedelta(minutes=180),
        ),
    }


def test_at_most_two_tones_for_a_check_and_one_more_for_each_100_km_late() -> None:
    day = Day(mph=60)
    said: list[Said] = []
    telling = Telling(day)
    for at in range(0, 400):
        telling.at(at, DRIVE)
    said = [one for one in telling.said if FIRST in one.due_key]
    further = int((399 - 50) / MI_100_KM)
    assert len(said) == 2 + further
    assert {one.stage for one in said} == {State.COMING_UP, State.DUE}


def test_everything_said_while_driving_is_for_the_ear_alone() -> None:
    scene = Scene(Day(mph=60), begin=35).start()
    for _ in range(60):
        scene.clock.pass_minutes(5)
        scene.watch.look(scene.clock.now)
    assert set(scene.speaker.said) == {"tone"}
    assert all("/tone/" in one for one in raised(scene.house))
