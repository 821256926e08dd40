"""When the office is told, and the ways of handing a message over.

Once after the company's margin, with facts only, and tried again with growing pauses: our design;
common practice, no source.
"""

import sys
from pathlib import Path

import pytest

from scheduler.counters import counters
from scheduler.due import due
from scheduler.notify import Outcome
from scheduler.office import next_to_tell, pause_ms, to_tell
from scheduler.office_hook import CommandHook, FolderHook
from scheduler.progress import DutyStatus
from tests.scheduler.day import US, Day, minute

FIVE_MI_MM = 5 * 1_609_344


def told_at(day: Day, at: float, told: frozenset[str] = frozenset()) -> list[str]:
    """The rules whose checks the office is to be told of at a minute of the day."""
    checks = due(US, day.progress(), minute(at))
    return [one.counter.rule_id for one in to_tell(checks, told, FIVE_MI_MM)]


@pytest.mark.parametrize(
    ("odometer", "told"),
    [(12_050.1, []), (12_055.0, []), (12_055.1, ["us-392.9-first"])],
)
def test_beyond_the_margin_past_the_limit_and_not_at_it(odometer: float, told: list[str]) -> None:
    day = Day(mph=60)
    day.read(58, odometer)
    assert told_at(day, 58) == told


def test_past_the_limit_by_estimate_only_the_office_is_not_told() -> None:
    assert told_at(Day(mph=60), 90) == []


def test_the_office_is_told_once_for_each_due_check() -> None:
    day = Day(mph=60)
    day.read(58, 12_058)
    (check,) = to_tell(due(US, day.progress(), minute(58)), (), FIVE_MI_MM)
    assert told_at(day, 58, frozenset({check.due_key})) == []


def test_late_driving_time_counts_as_the_way_it_holds_at_the_top_speed() -> None:
    """5 mi at 60 mph are 5 min: 3 h 05 and not a millisecond earlier is beyond."""
    day = Day(mph=60)
    day.read(1, 12_000.1)
    running = counters(US, day.progress())
    moment = next_to_tell(running, (), FIVE_MI_MM, minute(100))
    assert moment is not None
    assert "us-392.9-driving" not in told_at(day, 185)
    checks = due(US, day.progress(), moment)
    assert "us-392.9-driving" in [one.counter.rule_id for one in to_tell(checks, (), FIVE_MI_MM)]
    assert (moment - minute(185)).total_seconds() == 0.001


def test_a_duty_change_driven_on_without_is_told_after_the_margin_by_driving_alone() -> None:
    day = Day(mph=60)
    day.stop(10)
    day.drive(20)
    running = counters(US, day.progress())
    moment = next_to_tell(running, (), FIVE_MI_MM, minute(21))
    assert told_at(day, 24.9) == []
    assert moment is not None
    assert 0 < (moment - minute(25)).total_seconds() < 0.01
    assert told_at(day, 25.1) == ["us-392.9-duty"]


def test_where_no_top_speed_tells_how_far_the_office_is_told_that_it_is_late() -> None:
    day = Day(mph=None)
    day.stop(10)
    day.drive(20)
    assert told_at(day, 21) == ["us-392.9-duty"]


def test_where_no_top_speed_tells_how_far_it_is_looked_at_again_as_soon_as_it_drives_on() -> None:
    day = Day(mph=None)
    day.stop(10)
    day.drive(20)
    moment = next_to_tell(counters(US, day.progress()), (), FIVE_MI_MM, minute(20))
    assert moment is not None
    assert (moment - minute(20)).total_seconds() == 0.001
    assert told_at(day, 20) == []
    assert told_at(day, 20.001) == ["us-392.9-duty"]


def test_at_a_stop_nothing_new_is_told_by_the_passing_of_time() -> None:
    day = Day(mph=60)
    day.duty(100, DutyStatus.ON_DUTY)
    assert next_to_tell(counters(US, day.progress()), (), FIVE_MI_MM, minute(101)) is None


def test_the_pauses_grow_from_a_minute_to_an_hour() -> None:
    minutes = [pause_ms(failures) / 60_000 for failures in (1, 2, 3, 6, 7, 8, 500)]
    assert minutes == [1, 2, 4, 32, 60, 60, 60]


def command(program: str, limit_s: float = 20.0) -> CommandHook:
    """A command of one line of Python."""
    return CommandHook((sys.executable, "-c", program), limit_s)


def test_a_command_gets_the_message_whole_on_standard_input_and_no_shell(tmp_path: Path) -> None:
    target = tmp_path / "$(touch oops); `x`"
    program = "import pathlib, sys; pathlib.Path(sys.argv[1]).write_bytes(sys.stdin.buffer.read())"
    hook = CommandHook((sys.executable, "-c", program, str(target)))
    assert hook.hand_over("one", "by 5 mi – “late”\n") is Outcome.ACCEPTED
    assert target.read_text("utf-8") == "by 5 mi – “late”\n"
    assert [one.name for one in tmp_path.iterdir()] == [target.name]


@pytest.mark.parametrize(
    ("hook", "came"),
    [
        (command("raise SystemExit(3)"), Outcome.FAILED),
        (command("import time; time.sleep(60)", 0.2), Outcome.TIMED_OUT),
        (CommandHook(("/nowhere/at/all",)), Outcome.NO_BACKEND),
        (CommandHook(("nul\0",)), Outcome.FAILED),
    ],
)
def test_a_command_that_does_not_do_it_is_told_apart(hook: CommandHook, came: Outcome) -> None:
    assert hook.hand_over("one", "message") is came


def test_a_command_that_reads_nothing_and_ends_well_has_taken_the_message() -> None:
    assert command("pass").hand_over("one", "x" * 1_000_000) is Outcome.ACCEPTED


def test_a_folder_gets_one_whole_file_for_each_message_and_a_repeat_replaces_it(
    tmp_path: Path,
) -> None:
    hook = FolderHook(tmp_path)
    assert hook.hand_over("one", "first") is Outcome.ACCEPTED
    assert hook.hand_over("one", "again") is Outcome.ACCEPTED
    assert hook.hand_over("two", "second") is Outcome.ACCEPTED
    assert {one.name: one.read_text("utf-8") for one in tmp_path.iterdir()} == {
        "one.txt": "again",
        "two.txt": "second",
    }


def test_a_folder_that_is_not_there_takes_nothing(tmp_path: Path) -> None:
    assert FolderHook(tmp_path / "away").hand_over("one", "message") is Outcome.NO_BACKEND
