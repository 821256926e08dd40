"""The watcher over a real journal: a day on the road, other processes, a clock that is set.

What is expected of the counters: 49 CFR 392.9(b)(2) and (3), first 50 mi, then 150 mi, 3 h or a
change of duty status. When a tone or a text may come is our design; common practice, no source.
"""

import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.due import at, in_order
from scheduler.progress import DutyStatus
from scheduler.prompts import prompts
from tests.builders import TRIP
from tests.desk.watched import Watched, watched
from triplog.desk.road import read_odometer
from triplog.journal.entries import time_of

ON_DUTY, DRIVING = DutyStatus.ON_DUTY, DutyStatus.DRIVING
OFF_DUTY, SLEEPER = DutyStatus.OFF_DUTY, DutyStatus.SLEEPER
ACCEPTED = json.dumps([{"by": "speaker", "came": "accepted"}])


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Watched]:
    """A trip that has just departed, not watched yet."""
    with watched(tmp_path) as day:
        yield day


def test_a_tone_comes_up_before_the_limit_and_one_at_it_and_nothing_to_read(day: Watched) -> None:
    day.watch()
    day.forward(36)
    assert day.speaker.new() == []
    day.forward(2)
    assert day.names() == ["first/coming up/tone/1"]
    day.forward(8)
    assert day.names() == ["first/coming up/tone/1"]
    day.forward(2)
    assert day.names() == ["first/coming up/tone/1", "first/due/tone/1"]
    day.forward(50)
    assert day.speaker.new() == ["tone", "tone"]


def test_the_text_comes_at_each_stop_once_until_the_check_is_made(day: Watched) -> None:
    day.watch()
    day.forward(50)
    day.speaker.new()
    day.duty(ON_DUTY)
    assert day.speaker.new() == ["Load check due, trip T-1", "Load check due, trip T-1"]
    day.forward(30)
    assert day.speaker.new() == []

    day.duty(DRIVING)
    assert day.speaker.new() == ["tone"]
    day.forward(10)
    assert day.speaker.new() == []
    day.duty(ON_DUTY)
    assert sorted(day.speaker.new()) == ["Load check due, trip T-1", "Load check late, trip T-1"]
    assert day.names() == [
        "first/coming up/tone/1",
        "first/due/tone/1",
        "first/due/text/1",
        "duty/due/text/1",
        "duty/late/tone/1",
        "duty/late/text/2",
        "first/due/text/2",
    ]

    day.check()
    day.forward(60)
    assert day.speaker.new() == []
    day.duty(DRIVING)
    day.forward(100)
    assert day.speaker.new() == []
    day.forward(15)
    assert day.names()[-1] == "distance/coming up/tone/1"
    assert day.speaker.new() == ["tone"]


def test_a_late_check_has_one_tone_more_for_each_further_100_km(day: Watched) -> None:
    """100 km at the stated top road speed of 65 mph are 57 min 22 s."""
    day.watch()
    day.forward(60)
    day.odometer("24182 mi")
    late = next(one for one in day.raised() if one.name == "first/late/text/1")
    assert late.entry.body["late_by"] == 2 * 1_609_344
    assert late.entry.body["basis"] == "known"
    day.duty(DRIVING)
    day.speaker.new()
    before = len(day.names())

    def first_tones() -> list[str]:
        return [name for name in day.names()[before:] if name.startswith("first/")]

    day.forward(55)
    assert first_tones() == []
    day.forward(2)
    assert first_tones() == ["first/late/tone/2"]
    day.forward(50)
    assert first_tones() == ["first/late/tone/2"]
    day.forward(10)
    assert first_tones() == ["first/late/tone/2", "first/late/tone/3"]


@pytest.mark.parametrize("rest", [OFF_DUTY, SLEEPER])
def test_off_duty_and_in_the_sleeper_it_is_silent_and_then_the_text_comes(
    day: Watched, rest: DutyStatus
) -> None:
    day.watch()
    day.forward(50)
    day.speaker.new()
    day.duty(rest)
    day.forward(600)
    assert day.speaker.new() == []
    day.duty(ON_DUTY)
    assert day.speaker.new() == ["Load check due, trip T-1", "Load check due, trip T-1"]


def test_what_came_due_while_nobody_watched_is_raised_once_when_watching_begins(
    day: Watched,
) -> None:
    day.clock.go_on_to(day.clock.now + timedelta(minutes=190))
    day.watch()
    raised = day.raised()
    assert sorted(one.name for one in raised) == [
        "distance/due/tone/1",
        "driving/late/tone/1",
        "first/due/tone/3",
    ]
    assert {one.entry.event_time for one in raised} == {day.clock.now}
    day.turn()
    assert len(day.raised()) == 3


def test_the_raise_is_durable_before_the_attempt_and_its_outcome_follows(day: Watched) -> None:
    seen: list[tuple[str, ...]] = []
    day.speaker.before = lambda: seen.append(tuple(entry.kind for entry in day.entries()[-2:]))
    day.watch()
    day.forward(50)
    assert seen == [("departed", "prompt_raised"), ("prompt_outcome", "prompt_raised")]
    (coming_up, due) = day.raised()
    first = next(entry for entry in day.entries() if entry.kind == "departed")
    a_millisecond_at_65_mph_mm = 30
    assert 0 <= due.entry.body["value"] - 80_467_200 < a_millisecond_at_65_mph_mm  # type: ignore[operator]
    body = {**due.entry.body, "value": 80_467_200}
    came_due_at = time_of(str(body.pop("due_at")))
    assert timedelta(0) <= due.entry.event_time - came_due_at < timedelta(seconds=1)
    assert body == {
        "due": f"{TRIP}/us-392.9-first/{first.hash}",
        "rule": "us-392.9-first",
        "since": first.hash,
        "stage": "due",
        "channel": "tone",
        "number": 1,
        "state": "due",
        "basis": "estimated",
        "value": 80_467_200,
        "limit": 80_467_200,
    }
    assert (due.entry.via, due.entry.trip) == ("program", TRIP)
    assert due.entry.idem == f"{TRIP}/us-392.9-first/{first.hash}/due/tone/1"
    for one in (coming_up, due):
        (outcome,) = one.outcomes
        assert outcome.seq == one.entry.seq + 1
        assert outcome.body == {
            "raised": one.entry.hash,
            "outcomes": [{"by": "speaker", "came": "accepted"}],
        }


def test_each_prompt_has_its_row_with_what_came_of_it(day: Watched) -> None:
    day.watch()
    day.forward(50)
    day.duty(ON_DUTY)
    assert day.prompt_rows() == {
        one.entry.hash: (*_stage_channel_number(one.name), 0, ACCEPTED) for one in day.raised()
    }
    assert len(day.raised()) == 4


def _stage_channel_number(name: str) -> tuple[str, str, int]:
    _, stage, channel, number = name.split("/")
    return stage, channel, int(number)


def test_two_watchers_at_once_raise_each_prompt_once_between_them(day: Watched) -> None:
    """The lock on the file is one wall, the name of the prompt in the journal the other."""
    one, other = day.watch(), day.watch()
    day.clock.go_on_to(day.clock.now + timedelta(minutes=50))
    one.look(day.clock.now)
    other.look(day.clock.now)
    assert day.names() == ["first/due/tone/1"]
    assert day.speaker.new() == ["tone"]


def test_what_was_decided_before_another_process_wrote_is_not_said(day: Watched) -> None:
    day.clock.go_on_to(day.clock.now + timedelta(minutes=50))
    house = day.house()
    (trip,) = house.open_trips()
    (check, *_) = in_order(at(counter, day.clock.now) for counter in trip.counters)
    (prompt,) = prompts((check,), trip.said, trip.duty)
    read_odometer(day.driver, day.driver.trip(TRIP), "24150 mi", stopped=True)

    assert house.raise_prompt(prompt, check) is None
    house.open_trips()
    assert house.raise_prompt(prompt, check) is not None
    assert house.raise_prompt(prompt, check) is None
    assert len(day.raised()) == 1


def test_a_duty_change_of_another_process_is_seen_at_the_next_turn(day: Watched) -> None:
    day.watch()
    day.forward(50)
    looks = len(day.looks)
    day.turn()
    assert len(day.looks) == looks
    day.duty(ON_DUTY)
    assert len(day.looks) == looks + 1
    assert day.looks[-1].trips[0].duty is ON_DUTY
    assert day.looks[-1].next_at is None


def test_a_clock_set_on_by_an_hour_is_an_entry_and_what_is_due_then_is_said(day: Watched) -> None:
    day.watch()
    day.forward(10)
    day.clock.set_wall(timedelta(hours=1))
    day.turn()
    assert day.steps() == ["3600.000"]
    assert day.names() == ["first/due/tone/1"]
    day.forward(10)
    assert day.names() == ["first/due/tone/1"]
    assert day.speaker.new() == ["tone"]


def test_a_clock_set_back_by_an_hour_is_an_entry_and_nothing_is_said_twice(day: Watched) -> None:
    day.watch()
    day.forward(50)
    day.clock.set_wall(timedelta(hours=-1))
    day.turn()
    assert day.steps() == ["-3600.000"]
    day.forward(70)
    # After 2 h at 65 mph: 130 mi, 100 km beyond the first 50 mi, and 80 % of 150 mi.
    assert day.names() == [
        "first/coming up/tone/1",
        "first/due/tone/1",
        "first/due/tone/2",
        "distance/coming up/tone/1",
    ]
    assert day.speaker.new() == ["tone"] * 4


def test_a_text_about_a_demos_trip_says_that_it_is_invented(day: Watched) -> None:
    with day.driver.writing() as writing:
        writing.store.set_fact("invented", "yes")
    day.watch()
    day.forward(50)
    day.duty(ON_DUTY)
    texts = [said for said in day.speaker.said if said != "tone"]
    assert {text.partition(", trip")[0] for text in texts} == {"Invented: Load check due"}


def test_only_a_trip_with_new_entries_is_read_anew(day: Watched) -> None:
    house = day.house()
    (before,) = house.open_trips()
    (same,) = house.open_trips()
    assert same.counters is before.counters
    day.clock.go_on_to(day.clock.now + timedelta(minutes=5))
    read_odometer(day.driver, day.driver.trip(TRIP), "24131 mi", stopped=True)
    (after,) = house.open_trips()
    assert after.counters != before.counters
