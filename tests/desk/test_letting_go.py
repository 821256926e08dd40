"""Deleting under retention: nothing private is left, the chain is whole, no hold is passed by."""

import contextlib
import multiprocessing
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from multiprocessing.connection import Connection
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from exports.verify import verify
from tests.builders import StandingClock
from tests.cli.terminal import Terminal
from tests.desk.private_story import TEXTS, tell_story
from tests.desk.seat import Seat, take_seat
from tests.pictures import canvas, jpeg
from triplog.desk.desk import NOBODY, Desk, open_desk
from triplog.desk.exporting import export
from triplog.desk.finding_things import gear_named, the_trip
from triplog.desk.gear import set_standing
from triplog.desk.holding import hold_gear, hold_trip, lift_gear_hold, lift_trip_hold
from triplog.desk.incident import Facts, report
from triplog.desk.keeping import back_up, restore
from triplog.desk.letting_go import delete_gear, delete_trip
from triplog.desk.looking import trip_record, trips
from triplog.desk.photos import add_photos, take_in
from triplog.desk.refused import Refused, RefusedAndRecorded
from triplog.desk.retention import kept, set_company_period, today_of
from triplog.desk.trips import close_trip
from triplog.journal import attachments
from triplog.journal.entries import ClockReading
from triplog.journal.erasing import left_in_file
from triplog.journal.things import Standing
from triplog.journal.trip import TripState

Told = tuple[Terminal, Seat]
OVER = 1097
"""Days until three years are over, whichever leap day lies among them."""
OF_TRIP = set(TEXTS) - {"carrier", "owner", "helper", "vehicle", "gear"}
WHY = "its three years are over"


@pytest.fixture
def told(tmp_path: Path) -> Iterator[Told]:
    """A closed trip with private texts everywhere."""
    terminal, seat = tell_story(tmp_path, heads=tmp_path / "second place")
    with contextlib.closing(seat.desk.store):
        yield terminal, seat


def years_later(seat: Seat) -> None:
    seat.later(OVER * 24 * 60)


def private_texts(seat: Seat) -> set[str]:
    return {value for *_, value in seat.desk.store.opening_rows()}


def test_nothing_private_of_the_trip_is_left_and_the_rest_stays(told: Told, tmp_path: Path) -> None:
    _, seat = told
    before = seat.count()
    entries = [entry.hash for entry in seat.desk.store.entries()]
    years_later(seat)
    done = delete_trip(seat.desk, seat.trip, reason=WHY)
    assert (done.openings, done.photos, done.is_left) == (len(OF_TRIP), 0, False)
    assert private_texts(seat) == {TEXTS[one] for one in set(TEXTS) - OF_TRIP} | {WHY}
    gone = [TEXTS[one].encode() for one in OF_TRIP]
    assert not left_in_file(seat.desk.store.path, gone)
    assert seat.count() == before + 1
    assert [entry.hash for entry in seat.desk.store.entries()][:before] == entries
    assert seat.desk.store.check() == []
    made = export(seat.desk, tmp_path / "out", ("bundle",), seat.trip)
    assert verify(made.files[0]).problems == ()


def test_the_act_says_who_why_and_by_which_period_and_lists_show_it(told: Told) -> None:
    _, seat = told
    years_later(seat)
    entry = delete_trip(seat.desk, seat.trip, reason=WHY).entry
    assert entry.by == seat.desk.by
    assert seat.opened(entry) == {"reason": WHY}
    assert (entry.body["why"], entry.body["period"]) == ("retention", "us-injury-claims")
    assert entry.body["until"] == "2029-03-02"
    shown = "deleted under retention, 2029-03-03 by owner"
    (row,) = trips(seat.desk, open_only=False)
    assert row["kept"] == shown
    (found,) = [one for one in kept(seat.desk) if one.about == "trip"]
    assert found.stands(today_of(seat.desk)) == shown
    assert trip_record(seat.desk, seat.trip)["opened"] == {}
    with pytest.raises(Refused, match="nothing private of trip T-1 is left"):
        delete_trip(seat.desk, seat.trip, reason=WHY)


def test_lists_made_anew_show_the_same(told: Told) -> None:
    _, seat = told
    years_later(seat)
    delete_trip(seat.desk, seat.trip, reason=WHY)
    before = trips(seat.desk, open_only=False)
    seat.desk.store.rebuild(seat.desk.tables)
    assert trips(seat.desk, open_only=False) == before


def test_before_its_period_is_over_it_is_refused_and_that_is_recorded(told: Told) -> None:
    _, seat = told
    before = private_texts(seat)
    with pytest.raises(RefusedAndRecorded, match="trip T-1 stays until 2029-03-02: 36 months"):
        delete_trip(seat.desk, seat.trip, reason="tidying up")
    entry = seat.last("deletion_refused")
    assert entry.body["why"] == "before its period is over"
    assert (entry.trip, entry.body["until"]) == (seat.trip.id, "2029-03-02")
    assert seat.opened(entry) == {"reason": "tidying up"}
    assert private_texts(seat) == before | {"tidying up"}
    set_company_period(seat.desk, "trip", 48)
    years_later(seat)
    with pytest.raises(RefusedAndRecorded, match=r"2030-03-02: 48 months.*company rule"):
        delete_trip(seat.desk, seat.trip, reason=WHY)


def test_on_its_last_day_it_stays_and_on_the_next_it_goes(told: Told) -> None:
    _, seat = told
    # From 2 March 2026 to 2 March 2029 there are three years and a leap day.
    seat.later((3 * 365 + 1) * 24 * 60)
    assert today_of(seat.desk) == date(2029, 3, 2)
    with pytest.raises(RefusedAndRecorded, match="until 2029-03-02"):
        delete_trip(seat.desk, seat.trip, reason=WHY)
    seat.later(24 * 60)
    delete_trip(seat.desk, seat.trip, reason=WHY)


def test_an_incident_another_program_reported_meanwhile_counts(told: Told) -> None:
    _, seat = told
    years_later(seat)
    trip = seat.trip
    with contextlib.closing(open_desk(seat.desk.home, seat.clock).store) as store:
        other = Desk(home=seat.desk.home, store=store, clock=seat.clock, by=seat.desk.by)
        report(other, other.trip(trip.id), Facts(answers={}), at=None, stopped=True)
        lift_trip_hold(other, other.trip(trip.id), hold=None, reason="settled")
    with pytest.raises(RefusedAndRecorded, match=r"stays until 2032-03-03: .*390\.15"):
        delete_trip(seat.desk, trip, reason=WHY)


def test_under_a_hold_it_is_refused_and_recorded_with_who_asked(told: Told) -> None:
    _, seat = told
    placed = hold_trip(seat.desk, seat.trip, reason="a letter")
    years_later(seat)
    before = private_texts(seat)
    with pytest.raises(RefusedAndRecorded, match="T-1 is under an evidence hold"):
        delete_trip(seat.desk, seat.trip, reason=WHY)
    entry = seat.last("deletion_refused")
    assert (entry.by, entry.body["holds"]) == (seat.desk.by, [placed.hash])
    assert entry.body["why"] == "under hold"
    assert private_texts(seat) == before | {WHY}
    lift_trip_hold(seat.desk, seat.trip, hold=None, reason="settled")
    delete_trip(seat.desk, seat.trip, reason=WHY)


def test_it_is_the_act_of_a_named_person_with_a_reason(told: Told) -> None:
    _, seat = told
    years_later(seat)
    before = seat.count()
    with pytest.raises(Refused, match="with a reason"):
        delete_trip(seat.desk, seat.trip, reason=" ")
    seat.desk.by = NOBODY
    with pytest.raises(Refused, match="a named person"):
        delete_trip(seat.desk, seat.trip, reason=WHY)
    assert seat.count() == before


def test_a_trip_that_has_not_ended_stays_however_old(tmp_path: Path) -> None:
    seat = take_seat("a trip stopped", tmp_path)
    with contextlib.closing(seat.desk.store):
        years_later(seat)
        with pytest.raises(RefusedAndRecorded, match="not ended"):
            delete_trip(seat.desk, seat.trip, reason=WHY)
        assert seat.last("deletion_refused").body["why"] == "not ended"


def test_gear_goes_when_it_has_been_out_of_use_long_enough(told: Told) -> None:
    _, seat = told
    with pytest.raises(RefusedAndRecorded, match="gear S-1 stays: it is in use"):
        delete_gear(seat.desk, "S-1", reason=WHY)
    assert seat.last("deletion_refused").body["about"]
    set_standing(seat.desk, "S-1", Standing.UNFIT, reason="cut up")
    years_later(seat)
    entry = delete_gear(seat.desk, "S-1", reason=WHY).entry
    assert entry.trip is None
    assert not private_texts(seat) & {TEXTS["gear"], "cut up"}
    assert TEXTS["origin"] in private_texts(seat)
    assert seat.desk.store.check() == []


def _photograph(seat: Seat, label: str, file: Path, *, mark: int) -> str:
    file.write_bytes(jpeg(canvas(mark=mark)))
    trip = seat.trip_called(label)
    taken = take_in([file])
    add_photos(seat.desk, trip, taken, shows=["rear"], tie_downs=[], gear=[], stopped=True,
               note=None, place=None)  # fmt: skip
    return taken[0].digest


def test_photos_go_with_the_trip_but_for_those_another_trip_has_too(tmp_path: Path) -> None:
    seat = take_seat("two trips open", tmp_path)
    with contextlib.closing(seat.desk.store):
        own = _photograph(seat, "T-1", tmp_path / "own.jpg", mark=1)
        shared = _photograph(seat, "T-1", tmp_path / "shared.jpg", mark=2)
        assert _photograph(seat, "T-2", tmp_path / "shared.jpg", mark=2) == shared
        close_trip(seat.desk, seat.trip, release_done=True, gear_missing=[], note=None)
        years_later(seat)
        done = delete_trip(seat.desk, seat.trip, reason=WHY)
        assert (done.photos, done.shared) == (1, 1)
        assert done.entry.body["attachments"] == [own]
        assert not attachments.has(seat.desk.store, own)
        assert attachments.has(seat.desk.store, shared)
        made = export(seat.desk, tmp_path / "out", ("bundle",), seat.trip)
        assert verify(made.files[0]).problems == ()


def test_a_back_up_made_before_does_not_bring_the_texts_back(told: Told, tmp_path: Path) -> None:
    _, seat = told
    back_up(seat.desk, tmp_path / "kept.sqlite3")
    years_later(seat)
    delete_trip(seat.desk, seat.trip, reason=WHY)
    desk = restore(
        tmp_path / "kept.sqlite3",
        tmp_path / "new home",
        seat.clock,
        told_heads=[],
        heads_kept=tmp_path / "second place",
        although_behind=True,
    ).desk
    with contextlib.closing(desk.store):
        gone = [TEXTS[one].encode() for one in OF_TRIP]
        assert not left_in_file(desk.store.path, gone)


@dataclass
class WaitingClock(StandingClock):
    """A clock that tells when it is first read, and goes on when it is told to."""

    pipe: Connection | None = None

    def read(self) -> ClockReading:
        """The clocks now, once whoever holds the other end lets go."""
        pipe, self.pipe = self.pipe, None
        if pipe is not None:
            pipe.send("about to write")
            pipe.recv()
        return super().read()


def _delete_in_a_process(home: Path, clock: StandingClock, pipe: Connection) -> None:
    desk = open_desk(home, clock)
    trip = the_trip(desk, "T-1", TripState)
    desk.clock = WaitingClock(wall=clock.wall, boot_ms=clock.boot_ms, pipe=pipe)
    try:
        delete_trip(desk, trip, reason=WHY)
        pipe.send("deleted")
    except RefusedAndRecorded as problem:
        pipe.send(str(problem))
    desk.store.close()


def test_a_hold_placed_while_another_process_is_about_to_delete_counts(told: Told) -> None:
    _, seat = told
    years_later(seat)
    before = private_texts(seat)
    here, there = multiprocessing.get_context("spawn").Pipe()
    other = multiprocessing.get_context("spawn").Process(
        target=_delete_in_a_process, args=(seat.desk.home, seat.clock, there)
    )
    other.start()
    assert here.poll(60), "the other process never came to its transaction"
    assert here.recv() == "about to write"
    hold_trip(seat.desk, seat.trip, reason="a letter")
    here.send("go on")
    assert here.poll(60), "the other process never said what came of it"
    assert "under an evidence hold" in here.recv()
    other.join(60)
    assert private_texts(seat) == before | {"a letter", WHY}
    assert seat.last("deletion_refused").body["why"] == "under hold"


STEPS = st.lists(
    st.sampled_from(["hold", "hold S-1", "lift", "lift S-1", "delete", "years"]), max_size=14
)


@given(STEPS)
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_whatever_the_order_nothing_under_a_hold_ever_goes(steps: list[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        seat = take_seat("a first check made", Path(folder))
        with contextlib.closing(seat.desk.store):
            close_trip(seat.desk, seat.trip, release_done=True, gear_missing=[], note="wet straps")
            _walk(seat, steps)


def _walk(seat: Seat, steps: list[str]) -> None:
    """Take the steps beside a plain count of the holds that stand and of the days gone by."""
    holds, on_gear, days, is_there = 0, 0, 0, True
    seat.desk.again = True
    for step in steps:
        seat.later(1)
        if step == "years":
            years_later(seat)
            days += OVER
        elif step == "hold":
            hold_trip(seat.desk, seat.trip, reason="a letter")
            holds += 1
        elif step == "hold S-1":
            hold_gear(seat.desk, "S-1", reason="a letter")
            on_gear += 1
        elif step == "lift" and holds:
            name = seat.trip.holds[0].original.hash
            lift_trip_hold(seat.desk, seat.trip, hold=name, reason="settled")
            holds -= 1
        elif step == "lift S-1" and on_gear:
            name = gear_named(seat.desk, "S-1").holds[0].original.hash
            lift_gear_hold(seat.desk, "S-1", hold=name, reason="settled")
            on_gear -= 1
        elif step == "delete":
            may = holds == on_gear == 0 and days >= OVER and is_there
            if may:
                delete_trip(seat.desk, seat.trip, reason=WHY)
                is_there = False
            else:
                with pytest.raises(Refused):
                    delete_trip(seat.desk, seat.trip, reason=WHY)
        assert ("wet straps" in private_texts(seat)) is is_there
