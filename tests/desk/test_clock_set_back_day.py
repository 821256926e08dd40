"""The wall clock is set back in the middle of a trip, and the day goes on.

What happens next is dated after what happened before, and every screen, gate and record counts
from there: our reading; common practice, no source. Limits: 49 CFR 392.9(b)(2) and (3).
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.due import State
from scheduler.progress import DutyStatus
from tests.builders import DRIVER, TRIP
from tests.desk.watched import Watched, watched
from triplog.desk.checking import Found, Line, record_check, tie_downs_of
from triplog.desk.due_now import due_now
from triplog.desk.exporting import export
from triplog.desk.handing_over import slip
from triplog.desk.late_reasons import late_without_reason
from triplog.desk.looking import trip_record
from triplog.desk.road import change_duty, hear_prompts, read_odometer, report_event
from triplog.desk.when import moment
from triplog.dossier.slip import slip_lines
from triplog.dossier.timeline import timeline_of
from triplog.journal.entries import Entry
from triplog.journal.trip import Trip

HOURS = timedelta(hours=2)


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Watched]:
    """Driven for 30 min; then the clock is set back two hours, and driven for 40 min more."""
    with watched(tmp_path) as day:
        day.watch()
        day.forward(30)
        day.clock.set_wall(-HOURS)
        day.turn()
        day.forward(40)
        yield day


def trip(day: Watched) -> Trip:
    return day.driver.trip(TRIP)


def duty(day: Watched, status: DutyStatus) -> Entry:
    entry, _ = change_duty(
        day.driver, trip(day), status, driver=DRIVER, at=None, place=None, reason=None
    )
    day.turn()
    return entry


def test_a_late_check_is_late_and_closes_what_was_due(day: Watched) -> None:
    """70 min of driving, then 58 mi read: 8 mi past the first 50."""
    duty(day, DutyStatus.ON_DUTY)
    day.clock.go_on_to(day.clock.now + timedelta(minutes=3))
    read_odometer(day.driver, trip(day), "24188 mi", stopped=True)
    assert late_without_reason(day.driver, trip(day)) != ()
    day.clock.go_on_to(day.clock.now + timedelta(minutes=3))
    lines = [Line(tie_down=name, found=Found.FINE) for name in tie_downs_of(trip(day))]
    checked = record_check(day.driver, trip(day), lines=lines, looked_at=(), stopped=True)
    assert [one.counter.rule_id for one in checked.late] == ["us-392.9-first"]
    assert {one.counter.rule_id for one in checked.closed} >= {"us-392.9-first", "us-392.9-duty"}


def test_by_estimate_due_the_same_for_who_asks_who_hears_and_who_drives_on(day: Watched) -> None:
    duty(day, DutyStatus.ON_DUTY)
    (asked,) = due_now(day.home, day.clock).trips
    owed = {one.due_key for one in asked.due if one.is_due}
    assert {one.split("/")[1] for one in owed} == {"us-392.9-first", "us-392.9-duty"}
    heard = hear_prompts(day.driver, trip(day), note=None)
    assert {one.body["due"] for one in heard} == owed
    record = trip_record(day.driver, trip(day))
    assert {one["due"] for one in record["due"] if one["state"] == "due"} == owed
    day.clock.go_on_to(day.clock.now + timedelta(minutes=5))
    _, stretch = change_duty(
        day.driver,
        trip(day),
        DutyStatus.DRIVING,
        driver=DRIVER,
        at=None,
        place=None,
        reason=None,
    )
    assert {one.due_key for one in stretch.due if one.state is State.DUE} == owed


def test_the_order_of_what_was_written_is_that_of_the_trip(day: Watched) -> None:
    before = trip(day).facts[-1].entry.event_time
    written = [duty(day, DutyStatus.ON_DUTY)]
    day.clock.go_on_to(day.clock.now + timedelta(minutes=4))
    written.append(
        report_event(
            day.driver, trip(day), "kerb", stopped=True, tie_downs=[], moved=None, at=None,
            note=None, place=None,
        )
    )  # fmt: skip
    times = [before, *(one.event_time for one in written)]
    assert times == sorted(times)
    passed = written[1].event_time - written[0].event_time - timedelta(minutes=4)
    assert abs(passed) < timedelta(milliseconds=10), "a millisecond for each entry between"
    assert all(one.entry_time < before for one in written), "the step shows"


def test_a_time_told_as_so_long_ago_is_of_the_trip(day: Watched) -> None:
    """Stopped for 10 min, 5 min ago is after the stop."""
    stopped = duty(day, DutyStatus.ON_DUTY)
    day.clock.go_on_to(day.clock.now + timedelta(minutes=10))
    told = moment("5 min ago", day.driver.now_on(trip(day)))
    assert told is not None
    assert abs(told - stopped.event_time - timedelta(minutes=5)) < timedelta(milliseconds=10)


def test_slip_and_picture_count_to_the_same_moment(day: Watched) -> None:
    """70 min and the few milliseconds of the entries between, rounded up."""
    duty(day, DutyStatus.ON_DUTY)
    reading = day.driver.now_on(trip(day))
    told = " ".join(slip_lines(slip(day.driver, trip(day), reading), 200))
    assert "1 h 11 min of driving" in " ".join(told.split())
    drawing = timeline_of(trip(day), reading.wall)
    assert drawing is not None
    assert "3 h: 1 h 11 min so far" in drawing.alt


def test_once_the_wall_clock_has_caught_up_it_is_the_wall_clocks_time_again(day: Watched) -> None:
    duty(day, DutyStatus.ON_DUTY)
    assert day.driver.now_on(trip(day)) != day.driver.now()
    day.clock.go_on_to(day.clock.now + timedelta(hours=3))
    assert day.driver.now_on(trip(day)) == day.driver.now()


def test_the_calendars_alarm_rings_by_the_wall_clock(day: Watched, tmp_path: Path) -> None:
    """Driven on after a check, 3 h of driving are over 3 h from now, whatever the clock says."""
    duty(day, DutyStatus.ON_DUTY)
    day.check()
    day.clock.go_on_to(day.clock.now + timedelta(minutes=5))
    duty(day, DutyStatus.DRIVING)
    made = export(day.driver, tmp_path, ("calendar",), trip(day))
    (path,) = made.files
    begins = [
        datetime.strptime(line.partition(":")[2], "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
        for line in path.read_text("utf-8").splitlines()
        if line.startswith("DTSTART")
    ]
    in_3_h = day.clock.now + timedelta(hours=3)
    assert any(abs(one - in_3_h) < timedelta(seconds=2) for one in begins)
