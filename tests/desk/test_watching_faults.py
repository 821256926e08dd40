"""The watcher where something goes wrong: killed, a busy or lost journal, broken notifiers.

Where a case names no source, what it holds is our reading.
"""

import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.due import State
from scheduler.notify import DesktopNotifier, Outcome
from scheduler.progress import DutyStatus
from tests.builders import TRIP
from tests.desk.watched import Speaker, Watched, watched
from triplog.desk.desk import Desk, open_desk
from triplog.desk.trips import close_trip
from triplog.journal.copies import copy_store
from triplog.journal.entries import Clock
from triplog.journal.store_file import StoreUnusable
from triplog.wording.entries import gist

ON_DUTY = DutyStatus.ON_DUTY
ACCEPTED = json.dumps([{"by": "speaker", "came": "accepted"}])


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Watched]:
    """A trip that has just departed, not watched yet."""
    with watched(tmp_path) as day:
        yield day


def watched_until_killed(day: Watched) -> None:
    """A watcher raises what is due and ends before anything came of it."""

    def killed() -> None:
        raise KeyboardInterrupt

    speaker = Speaker()
    speaker.before = killed
    with pytest.raises(KeyboardInterrupt):
        day.watch(speaker)
    assert [one.outcomes for one in day.raised()] == [()]


def test_a_raise_without_outcome_is_said_once_more_and_marked_repeated(day: Watched) -> None:
    day.clock.go_on_to(day.clock.now + timedelta(minutes=50))
    watched_until_killed(day)
    assert list(day.prompt_rows().values()) == [("due", "tone", 1, 0, None)]
    day.watch()
    day.watch()
    (raised,) = day.raised()
    assert [one.body.get("repeated") for one in raised.outcomes] == [True]
    assert gist(raised.entry) == "due, tone 1, us-392.9-first"
    assert [gist(one) for one in raised.outcomes] == ["speaker: accepted, repeated after restart"]
    assert list(day.prompt_rows().values()) == [("due", "tone", 1, 1, ACCEPTED)]
    assert day.speaker.new() == ["tone"]


def test_a_raise_left_on_a_trip_that_was_closed_meanwhile_is_unknown_and_not_said(
    day: Watched,
) -> None:
    day.clock.go_on_to(day.clock.now + timedelta(minutes=50))
    watched_until_killed(day)
    trip = day.driver.trip(TRIP)
    close_trip(day.driver, trip, release_done=True, gear_missing=[], note=None)
    day.watch()
    (raised,) = day.raised()
    (outcome,) = raised.outcomes
    assert outcome.body["outcomes"] == [{"by": "none", "came": "unknown"}]
    assert "repeated" not in outcome.body
    assert day.speaker.new() == []


@pytest.mark.parametrize(
    "holds",
    [
        pytest.param("BEGIN IMMEDIATE", id="is being written"),
        pytest.param("BEGIN; SELECT * FROM entry", id="is being read while we write"),
    ],
)
def test_a_journal_in_use_is_waited_for_and_nothing_is_said_twice(day: Watched, holds: str) -> None:
    day.watch()
    other = day.another_program()
    for statement in holds.split("; "):
        other.execute(statement)
    day.forward(50)
    day.turn()
    assert day.speaker.new() == []
    assert len(day.busy) >= 2
    assert "is being written by another program; looking again" in str(day.busy[0])
    other.execute("ROLLBACK")
    day.turn()
    day.turn()
    assert day.names() == ["first/due/tone/1"]
    assert day.speaker.new() == ["tone"]


def test_a_journal_that_cannot_even_be_read_just_now_does_not_end_the_watcher(
    day: Watched,
) -> None:
    other = day.another_program()
    day.clock.go_on_to(day.clock.now + timedelta(minutes=50))
    house = day.house()
    watch = day.watch_with(house)
    other.execute("BEGIN EXCLUSIVE")
    watch.start(paused=True)
    day.turn()
    assert len(day.busy) == 2
    other.execute("ROLLBACK")
    day.turn()
    assert day.names() == ["first/due/tone/1"]


def test_what_came_of_a_prompt_is_kept_while_the_journal_is_busy(day: Watched) -> None:
    other = day.another_program()

    def writes() -> None:
        other.execute("BEGIN IMMEDIATE")

    day.speaker.before = writes
    day.watch()
    day.forward(50)
    assert day.speaker.new() == ["tone"]
    assert [one.outcomes for one in day.raised()] == [()]
    assert day.busy
    other.execute("ROLLBACK")
    day.speaker.before = lambda: None
    day.turn()
    (coming_up, due) = day.raised()
    for one in (coming_up, due):
        assert [outcome.body.get("repeated") for outcome in one.outcomes] == [None]
    assert day.speaker.new() == ["tone"]


def test_steps_of_the_clock_are_written_each_once_when_the_journal_is_free(day: Watched) -> None:
    day.watch()
    other = day.another_program()
    other.execute("BEGIN IMMEDIATE")
    day.clock.set_wall(timedelta(seconds=-90.5))
    day.turn()
    day.clock.set_wall(timedelta(seconds=30))
    day.turn()
    assert day.steps() == []
    other.execute("ROLLBACK")
    day.turn()
    day.turn()
    assert day.steps() == ["-90.500", "30.000"]


class Broken:
    """A notifier that keeps no promise."""

    name = "broken"

    def tone(self, _stage: State, /) -> Outcome:
        raise RuntimeError("no such device")

    def text(self, title: str, message: str) -> Outcome:
        raise RuntimeError(f"no way to show {title}: {message}")


class Hanging:
    """A notifier that gave up waiting."""

    name = "hanging"

    def tone(self, _stage: State, /) -> Outcome:
        return Outcome.TIMED_OUT

    def text(self, _title: str, _message: str) -> Outcome:
        return Outcome.TIMED_OUT


def test_notifiers_that_break_or_hang_are_recorded_and_never_end_the_watcher(
    day: Watched,
) -> None:
    day.watch(Broken(), Hanging())
    day.forward(50)
    day.duty(ON_DUTY)
    raised = day.raised()
    assert [one.name for one in raised][-1] == "duty/due/text/1"
    for one in raised:
        (outcome,) = one.outcomes
        assert outcome.body["outcomes"] == [
            {"by": "broken", "came": "failed"},
            {"by": "hanging", "came": "timed_out"},
        ]


def test_a_desktop_whose_daemon_is_dead_leaves_it_to_the_next_notifier(
    day: Watched, tmp_path: Path
) -> None:
    dead = DesktopNotifier(
        "triplog",
        answers=lambda: False,
        environ={"DBUS_SESSION_BUS_ADDRESS": "unix:path=/nowhere"},
        platform="linux",
        sandbox=tmp_path / "none",
    )
    day.watch(dead, day.speaker)
    day.forward(50)
    day.duty(ON_DUTY)
    text = next(one for one in day.raised() if one.name == "first/due/text/1")
    assert text.outcomes[0].body["outcomes"] == [
        {"by": "desktop", "came": "no_backend"},
        {"by": "speaker", "came": "accepted"},
    ]


def test_a_journal_that_was_taken_away_ends_it_with_a_sentence(day: Watched) -> None:
    day.watch()
    day.path.rename(day.path.with_name("elsewhere"))
    with pytest.raises(StoreUnusable, match="is not there any more"):
        day.turn()


def test_another_file_in_the_journals_place_ends_it_with_a_sentence(day: Watched) -> None:
    day.watch()
    copy_store(day.driver.store, day.path.with_name("copy"))
    day.path.with_name("copy").replace(day.path)
    with pytest.raises(StoreUnusable, match="is another file now"):
        day.turn()


def test_a_journal_whose_bytes_were_damaged_ends_it_with_a_sentence(day: Watched) -> None:
    day.watch()
    with day.path.open("r+b") as file:
        file.write(b"x" * 100)
    with pytest.raises(StoreUnusable, match="is no journal, or its first bytes are lost"):
        day.turn()


def test_an_entry_whose_bytes_are_no_entry_ends_it_with_a_sentence(day: Watched) -> None:
    house = day.house()
    other = day.another_program()
    other.execute("DROP TRIGGER entry_is_never_changed")
    other.execute("UPDATE entry SET data = x'00' WHERE kind = 'departed'")
    with pytest.raises(StoreUnusable, match="does not hold together"):
        day.watch_with(house).start(paused=True)


def test_a_journal_that_cannot_be_written_is_refused_before_watching(
    day: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    def reading_only(home: Path, clock: Clock) -> Desk:
        return open_desk(home, clock, reading_only=True)

    monkeypatch.setattr("tests.desk.watched.open_desk", reading_only)
    with pytest.raises(StoreUnusable, match="is write-protected; nothing was recorded"):
        day.watch()
