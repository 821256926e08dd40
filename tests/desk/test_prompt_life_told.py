"""What a prompt leaves behind: who heard it and how, and that it can be read at any time.

That hearing closes nothing, and that what is due is told to whoever asks: our reading; common
practice, no source. Nothing to read at the wheel: 49 CFR 392.80.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduler.progress import DutyStatus
from scheduler.prompts import Channel
from tests.builders import TRIP
from tests.desk.watched import Watched, watched
from triplog.desk.due_now import due_now
from triplog.desk.refused import Refused
from triplog.desk.road import hear_prompts
from triplog.wording.entries import gist


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Watched]:
    """A trip that has just departed, watched."""
    with watched(tmp_path) as day:
        day.watch()
        yield day


def test_who_heard_it_when_and_how_is_recorded_and_what_comes_next_is_the_same(
    day: Watched,
) -> None:
    day.forward(50)
    with pytest.raises(Refused, match="driving"):
        hear_prompts(day.driver, day.driver.trip(TRIP), note=None)
    day.duty(DutyStatus.ON_DUTY)
    before = day.names()
    owed = [one for trip in due_now(day.home, day.clock).trips for one in trip.due if one.is_due]
    heard = hear_prompts(day.driver, day.driver.trip(TRIP), note="from the cab")
    day.turn()
    assert [one.body["due"] for one in heard] == [one.due_key for one in owed]
    assert {(one.by, one.via, one.event_time) for one in heard} == {
        (day.driver.by, day.driver.via, day.clock.now)
    }
    assert {gist(one) for one in heard} == {"us-392.9-first", "us-392.9-duty"}
    assert day.driver.store.openings(heard[0].hash)["note"] == "from the cab"
    assert day.names() == before
    day.forward(5)
    day.duty(DutyStatus.DRIVING)
    day.forward(1)
    assert "duty/late/tone/1" in day.names()


@pytest.mark.parametrize("status", list(DutyStatus))
def test_what_was_said_and_heard_is_still_told_to_whoever_asks(
    day: Watched, status: DutyStatus
) -> None:
    day.forward(50)
    day.duty(DutyStatus.ON_DUTY)
    hear_prompts(day.driver, day.driver.trip(TRIP), note=None)
    day.turn()
    if status is not DutyStatus.ON_DUTY:
        day.duty(status)
    (trip,) = due_now(day.home, day.clock).trips
    assert {"us-392.9-first", "us-392.9-duty"} <= {
        one.counter.rule_id for one in trip.due if one.is_due
    }


def test_a_prompt_is_silent_by_itself_and_nothing_has_to_be_pressed_until_the_stop(
    day: Watched,
) -> None:
    day.forward(50)
    assert day.names()[-1] == "first/due/tone/1"
    day.forward(40)
    assert day.names()[-1] == "first/due/tone/1"
    assert {one.entry.body["channel"] for one in day.raised()} == {str(Channel.TONE)}
    assert [one for one in day.entries() if one.kind == "prompt_heard"] == []
    day.duty(DutyStatus.ON_DUTY)
    assert "first/due/text/1" in day.names()
