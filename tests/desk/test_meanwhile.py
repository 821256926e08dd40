"""What happens when the clock or another program does something between reading and writing."""

from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.progress import DutyStatus
from tests import builders
from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.desk.road import change_duty


def _desk(path: Path, clock: builders.StandingClock) -> Desk:
    from triplog.journal.store import open_store

    return Desk(home=path.parent, store=open_store(path), clock=clock, by=builders.DRIVER)


def _departed(tmp_path: Path) -> tuple[Path, builders.StandingClock]:
    journal = builders.new_journal(tmp_path / "triplog.sqlite3")
    builders.depart(journal)
    journal.close()
    return tmp_path / "triplog.sqlite3", journal.clock


def test_a_trip_written_to_by_another_program_meanwhile_is_read_again_first(
    tmp_path: Path,
) -> None:
    path, clock = _departed(tmp_path)
    clock.forward(minutes=5)
    mine, other = _desk(path, clock), _desk(path, clock)
    trip = mine.trip(builders.TRIP)
    change_duty(
        other,
        other.trip(builders.TRIP),
        DutyStatus.ON_DUTY,
        driver=builders.DRIVER,
        at=None,
        place=None,
        reason=None,
    )
    with pytest.raises(Refused, match="by another program meanwhile"):
        change_duty(
            mine,
            trip,
            DutyStatus.OFF_DUTY,
            driver=builders.DRIVER,
            at=None,
            place=None,
            reason=None,
        )
    assert len(mine.trip(builders.TRIP).of("duty_changed")) == 1


def test_an_entry_after_the_clock_was_set_back_still_comes_after_the_one_before(
    tmp_path: Path,
) -> None:
    path, clock = _departed(tmp_path)
    departed_at = clock.wall
    clock.forward(minutes=20)
    clock.wall -= timedelta(hours=1)
    desk = _desk(path, clock)
    entry, _ = change_duty(
        desk,
        desk.trip(builders.TRIP),
        DutyStatus.ON_DUTY,
        driver=builders.DRIVER,
        at=None,
        place=None,
        reason=None,
    )
    assert entry.event_time == departed_at + timedelta(minutes=20)
    assert entry.entry_time == departed_at - timedelta(minutes=40)
    assert not desk.trip(builders.TRIP).is_driven
