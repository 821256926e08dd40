"""The office's outbox over a real journal: written down once, handed over when that can be done.

All of it is our design; common practice, no source.
"""

import os
import stat
import sys
import threading
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.notify import Outcome
from scheduler.office_hook import CommandHook, FolderHook
from scheduler.progress import DutyStatus
from scheduler.watch import Watch
from tests.builders import TRIP
from tests.desk.watched import Watched, watched
from triplog.checks import office_told_on
from triplog.desk import office
from triplog.desk.office import JournalOffice, hook_of, messages, set_hook
from triplog.desk.refused import Refused
from triplog.desk.road import read_odometer
from triplog.desk.setting_up import office_margin, paper_of, record_carrier, units_of
from triplog.journal.entries import Entry
from triplog.journal.trip import trip_of

PATIENCE_S = 10.0


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Watched]:
    """A trip that has just departed; the office is to be told after 5 mi."""
    with watched(tmp_path) as day:
        record_carrier(day.driver, office_margin="5 mi")
        yield day


def watch(day: Watched) -> Watch:
    """A watcher with the office's outbox."""
    house = day.house()
    watcher = day.watch_with(house, office=JournalOffice(house))
    watcher.start(paused=True)
    return watcher


def of_kind(day: Watched, kind: str) -> list[Entry]:
    return [one for one in day.entries() if one.kind == f"office_message_{kind}"]


def hand_over(day: Watched) -> None:
    """A turn that begins an attempt, its end, and a turn that writes down what came of it."""
    day.turn()
    for thread in threading.enumerate():
        if thread.name == "office message":
            thread.join(PATIENCE_S)
    day.turn()


def late(day: Watched) -> None:
    """Driven for 60 min and 58 mi, 8 past the first check; then stopped, where it is read."""
    day.forward(60)
    day.duty(DutyStatus.ON_DUTY)
    day.odometer("24188 mi")


def test_a_check_late_beyond_the_margin_is_told_with_facts_only(day: Watched) -> None:
    folder = day.home / "office"
    folder.mkdir()
    set_hook(day.home, folder=folder)
    watch(day)
    late(day)
    hand_over(day)
    (queued,) = of_kind(day, "queued")
    (tried,) = of_kind(day, "tried")
    assert tried.body == {"queued": queued.hash, "by": "folder", "came": "accepted"}
    (file,) = folder.iterdir()
    assert file.read_text("utf-8").splitlines() == [
        "Trip T-1: a load check is late.",
        "What is late: first check, within 50 mi of setting out with this load"
        " (law, 49 CFR 392.9(b)(2))",
        "Due since: 2026-03-02 08:02 (UTC-06:00)",
        "By how much: late by 8.0 mi",
        "Last odometer reading: 24188 mi, at 2026-03-02 08:02 (UTC-06:00)"
        " (0 min before this was written)",
        "Last duty status recorded: on duty",
        "The vehicle may be moving when you read this: do not call it then. At its next stop, ask"
        " if and where they can stop.",
        "Written: 2026-03-02 08:02 (UTC-06:00). Handed over: 2026-03-02 08:02 (UTC-06:00)."
        " It says what was known when it was written.",
    ]


def test_within_the_margin_and_without_one_nothing_is_written(day: Watched) -> None:
    watch(day)
    day.forward(60)
    day.duty(DutyStatus.ON_DUTY)
    day.odometer("24185 mi")
    assert of_kind(day, "queued") == []
    record_carrier(day.driver, office_margin="none")
    day.forward(1)
    day.odometer("24186 mi")
    assert of_kind(day, "queued") == []


def test_a_message_is_written_once_however_often_it_is_looked_at(day: Watched) -> None:
    watcher = watch(day)
    late(day)
    watcher.look(day.clock.now)
    day.forward(3)
    day.odometer("24188 mi")
    watch(day)
    assert len(of_kind(day, "queued")) == 1
    trip = trip_of(TRIP, day.driver.store.trip_entries(TRIP))
    assert office_told_on(trip) == {of_kind(day, "queued")[0].body["due"]}


def test_without_a_way_out_it_waits_and_goes_when_there_is_one(day: Watched) -> None:
    watch(day)
    late(day)
    hand_over(day)
    assert of_kind(day, "tried") == []
    day.clock.go_on_to(day.clock.now + timedelta(hours=3))
    set_hook(day.home, folder=day.home)
    hand_over(day)
    assert [one.body["came"] for one in of_kind(day, "tried")] == ["accepted"]
    (file,) = day.home.glob("triplog-*.txt")
    assert "Written: 2026-03-02 08:02 (UTC-06:00). Handed over: 2026-03-02 11:02" in file.read_text(
        "utf-8"
    )


def test_while_it_does_not_go_it_is_tried_with_growing_pauses_and_told_once(day: Watched) -> None:
    folder = day.home / "away"
    folder.mkdir()
    set_hook(day.home, folder=folder)
    folder.rmdir()
    watch(day)
    late(day)
    tried_after_min = []
    for minute in range(1, 40):
        before = len(of_kind(day, "tried"))
        hand_over(day)
        if len(of_kind(day, "tried")) > before:
            tried_after_min.append(minute)
        if minute == 20:
            folder.mkdir()
        day.clock.go_on_to(day.clock.now + timedelta(minutes=1))
    assert tried_after_min == [1, 2, 4, 8, 16, 32]
    came = [one.body["came"] for one in of_kind(day, "tried")]
    assert came == ["no_backend"] * 5 + ["accepted"]


def test_an_end_between_the_way_out_and_the_record_is_repeated_and_says_so(day: Watched) -> None:
    set_hook(day.home, folder=day.home)
    watch(day)
    late(day)
    # Its attempt has begun by now, and it never has another turn to write down what came of it.
    watch(day)
    hand_over(day)
    (tried,) = of_kind(day, "tried")
    assert tried.body["repeated"] is True
    (file,) = day.home.glob("triplog-*.txt")
    assert file.read_text("utf-8").startswith("Repeated: this may have reached you before.\n")


def test_a_repeat_that_does_not_go_is_still_a_repeat_when_it_goes_later(day: Watched) -> None:
    folder = day.home / "office"
    folder.mkdir()
    set_hook(day.home, folder=folder)
    watch(day)
    late(day)
    # Its attempt has begun by now, and it never has another turn to write down what came of it.
    for thread in threading.enumerate():
        if thread.name == "office message":
            thread.join(PATIENCE_S)
    away = folder.rename(day.home / "away")
    watch(day)
    hand_over(day)
    away.rename(folder)
    day.clock.go_on_to(day.clock.now + timedelta(minutes=1))
    hand_over(day)
    assert [(one.body["came"], one.body.get("repeated")) for one in of_kind(day, "tried")] == [
        ("no_backend", True),
        ("accepted", True),
    ]
    (file,) = folder.glob("triplog-*.txt")
    assert file.read_text("utf-8").startswith("Repeated: this may have reached you before.\n")


def test_a_command_that_was_cut_off_may_have_told_it_and_the_next_says_so(
    day: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow = CommandHook((sys.executable, "-c", "import time; time.sleep(60)"), 0.1)
    monkeypatch.setattr(office, "hook_of", lambda _home: slow)
    watch(day)
    late(day)
    hand_over(day)
    monkeypatch.setattr(office, "hook_of", lambda _home: FolderHook(day.home))
    day.clock.go_on_to(day.clock.now + timedelta(minutes=1))
    hand_over(day)
    assert [(one.body["came"], one.body.get("repeated")) for one in of_kind(day, "tried")] == [
        ("timed_out", None),
        ("accepted", True),
    ]


def test_the_watcher_goes_on_while_a_command_hangs_and_writes_down_a_soon_end(
    day: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    let_go = threading.Event()

    class Slow:
        name = "slow"

        def hand_over(self, _name: str, _message: str, /) -> Outcome:
            let_go.wait(PATIENCE_S)
            return Outcome.ACCEPTED

    monkeypatch.setattr(office, "hook_of", lambda _home: Slow())
    house = day.house()
    outbox = JournalOffice(house)
    day.watch_with(house, office=outbox).start(paused=True)
    late(day)
    day.forward(1)
    day.speaker.new()
    day.duty(DutyStatus.DRIVING)
    assert day.speaker.new() == ["tone"]
    assert of_kind(day, "tried") == []
    let_go.set()
    outbox.end()
    assert [one.body["came"] for one in of_kind(day, "tried")] == ["accepted"]


def test_a_driver_in_the_middle_of_a_record_is_not_held_up_by_a_message(day: Watched) -> None:
    watch(day)
    day.forward(60)
    day.duty(DutyStatus.ON_DUTY)
    read_odometer(day.driver, day.driver.trip(TRIP), "24188 mi", stopped=True)
    trip = day.driver.trip(TRIP)
    day.turn()
    assert of_kind(day, "queued")
    day.clock.go_on_to(day.clock.now + timedelta(minutes=3))
    read_odometer(day.driver, trip, "24188 mi", stopped=True)


def test_the_outbox_holds_what_waits_and_what_was_told(day: Watched) -> None:
    watch(day)
    late(day)
    (waiting,) = messages(day.driver)
    assert not waiting.is_told
    set_hook(day.home, folder=day.home)
    hand_over(day)
    (told,) = messages(day.driver)
    assert told.is_told
    assert told.tried == ("accepted",)


def test_the_card_keeps_its_margin_when_something_else_on_it_changes(day: Watched) -> None:
    record_carrier(day.driver, units="si")
    assert (office_margin(day.driver), units_of(day.driver)) == ("5 mi", "si")
    record_carrier(day.driver, office_margin="8 km")
    assert (office_margin(day.driver), paper_of(day.driver)) == ("8 km", "letter")
    with pytest.raises(Refused, match="a way driven"):
        record_carrier(day.driver, office_margin="10 ft")
    with pytest.raises(Refused, match="five"):
        record_carrier(day.driver, office_margin="five miles")


def test_the_way_out_is_kept_beside_the_journal_readable_by_its_owner_alone(tmp_path: Path) -> None:
    set_hook(tmp_path, command=[sys.executable, "-c", "pass"])
    hook = hook_of(tmp_path)
    assert isinstance(hook, CommandHook)
    assert list(hook.command)[1:] == ["-c", "pass"]
    assert Path(hook.command[0]).is_absolute()
    if os.name == "posix":
        assert stat.S_IMODE((tmp_path / "office.json").stat().st_mode) == 0o600
    set_hook(tmp_path)
    assert hook_of(tmp_path) is None
    assert list(tmp_path.iterdir()) == []


def test_a_way_out_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="no program 'no-such-program'"):
        set_hook(tmp_path, command=["no-such-program"])
    with pytest.raises(Refused, match="no folder"):
        set_hook(tmp_path, folder=tmp_path / "away")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("text", ["{", "[]", '{"command": []}', '{"command": "rm"}', "null"])
def test_a_setting_that_cannot_be_read_is_refused_and_never_run(tmp_path: Path, text: str) -> None:
    (tmp_path / "office.json").write_text(text, "utf-8")
    with pytest.raises(Refused, match="set the way out anew"):
        hook_of(tmp_path)
