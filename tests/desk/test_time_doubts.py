"""A time that cannot be right is asked about, recorded as stated, and counts for nothing.

Our reading: an entry is kept as it was received, and what neither the clock nor the departure bears
out starts and ends no count of 49 CFR 392.9(b); common practice, no source.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exports.document import Table
from scheduler.progress import DutyStatus
from tests.builders import Journal
from tests.desk.seat import Seat, take_seat
from triplog.checks import counters_of
from triplog.desk.checking import LOOKS, Found, Line, record_check
from triplog.desk.departing import depart
from triplog.desk.finding_things import gear_named
from triplog.desk.looking import trip_record
from triplog.desk.mending import correct, withdraw
from triplog.desk.refused import Refused
from triplog.desk.road import change_duty, read_odometer, report_event
from triplog.desk.time_doubts import NOT_ASKED, TimeAsked
from triplog.dossier.trip_sheet import trip_sheet
from triplog.journal.entries import Entry
from triplog.journal.things import Standing
from triplog.journal.trip import TripState

Sit = Callable[[str], Seat]
Act = Callable[[Seat, datetime, TimeAsked], Entry]
STANDS = TimeAsked(stands=True)
HOUR = timedelta(hours=1)


def odometer(seat: Seat, at: datetime | None, asked: TimeAsked = NOT_ASKED) -> Entry:
    """A reading, thirty-one miles on."""
    return read_odometer(
        seat.desk, seat.trip, "24187", stopped=True, at=at, sure=True, time_asked=asked
    )


def duty(seat: Seat, at: datetime | None, asked: TimeAsked = NOT_ASKED) -> Entry:
    """The driver goes off duty."""
    entry, _ = change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.OFF_DUTY,
        driver=seat.desk.by,
        at=at,
        place=None,
        reason=None,
        time_asked=asked,
    )
    return entry


def broken(seat: Seat, at: datetime | None, asked: TimeAsked = NOT_ASKED) -> Entry:
    """A strap breaks."""
    return report_event(
        seat.desk,
        seat.trip,
        "broken strap",
        stopped=True,
        tie_downs=["T1"],
        moved=None,
        at=at,
        note=None,
        place=None,
        time_asked=asked,
    )


def check(seat: Seat, at: datetime | None, asked: TimeAsked = NOT_ASKED) -> Entry:
    """A look at both tie-downs."""
    return record_check(
        seat.desk,
        seat.trip,
        lines=[Line(tie_down=name, found=Found.FINE) for name in ("T1", "T2")],
        looked_at=LOOKS,
        stopped=True,
        odometer="24187",
        sure=True,
        at=at,
        time_asked=asked,
    ).entry


def part_look(seat: Seat, at: datetime | None, asked: TimeAsked = NOT_ASKED) -> Entry:
    """A look at one of two tie-downs."""
    return record_check(
        seat.desk,
        seat.trip,
        lines=[Line(tie_down="T1", found=Found.SLACK)],
        looked_at=(),
        stopped=True,
        at=at,
        time_asked=asked,
    ).entry


ACTS = {
    "odometer": odometer,
    "duty": duty,
    "broken strap": broken,
    "check": check,
    "part look": part_look,
}
DOUBTS = {"ahead of the clock": 3 * HOUR, "before departure": -3 * HOUR}


def counts(seat: Seat) -> list[tuple[object, ...]]:
    """What the counters hold, without the names of entries."""
    return sorted(
        (one.rule_id, one.counted_since, one.as_of, one.known, one.estimate, one.basis, one.goes_on)
        for one in counters_of(seat.trip)
    )


@pytest.mark.parametrize("away", DOUBTS.values(), ids=DOUBTS)
@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_nothing_is_recorded_at_such_a_time_unless_somebody_says_that_it_stands(
    act: Act, away: timedelta, sit: Sit
) -> None:
    seat = sit("a trip stopped")
    before = seat.count()
    with pytest.raises(Refused, match="say so with --as-stated"):
        act(seat, seat.clock.wall + away, NOT_ASKED)
    assert seat.count() == before


@pytest.mark.parametrize("doubt", DOUBTS)
@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_it_is_recorded_as_stated_with_its_doubt_and_counts_for_nothing(
    act: Act, doubt: str, sit: Sit
) -> None:
    seat = sit("a trip stopped")
    before, state, duty_before = counts(seat), seat.trip.state, seat.trip.duty_by_driver
    stated = seat.clock.wall + DOUBTS[doubt]
    entry = act(seat, stated, STANDS)
    assert entry.event_time == stated
    assert entry.entry_time == seat.clock.wall
    assert entry.body["time_doubt"] == doubt
    assert counts(seat) == before
    assert (seat.trip.state, seat.trip.duty_by_driver) == (state, duty_before)
    assert [fact.entry for fact in seat.trip.doubtful] == [entry]
    assert "closes" not in entry.body or entry.body["closes"] == []


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_saying_that_a_right_time_stands_doubts_nothing(act: Act, sit: Sit) -> None:
    seat = sit("a trip stopped")
    assert "time_doubt" not in act(seat, seat.clock.wall, STANDS).body


def test_the_next_entry_is_dated_now_and_not_after_what_has_not_come(sit: Sit) -> None:
    seat = sit("a trip stopped")
    odometer(seat, seat.clock.wall + 3 * HOUR, STANDS)
    seat.later(5)
    assert check(seat, None).event_time == seat.clock.wall


def test_once_its_time_has_come_it_counts_no_more_than_before(sit: Sit) -> None:
    """It was written down before it can have happened; that stays so."""
    seat = sit("a trip stopped")
    check(seat, seat.clock.wall + HOUR, STANDS)
    before = counts(seat)
    seat.later(120)
    assert counts(seat) == before


def test_a_driver_who_drove_stands_now_whatever_time_is_stated(sit: Sit) -> None:
    seat = sit("a trip rolling")
    check(seat, seat.clock.wall + HOUR, STANDS)
    assert seat.trip.state is TripState.STOPPED
    assert seat.last("duty_changed").event_time == seat.clock.wall


def test_a_strap_said_to_be_broken_is_set_aside_now(sit: Sit) -> None:
    seat = sit("a trip stopped")
    broken(seat, seat.clock.wall + HOUR, STANDS)
    assert gear_named(seat.desk, "S-1").standing is Standing.SET_ASIDE
    assert seat.last("gear_standing_set").event_time == seat.clock.wall


def test_what_was_typed_first_is_kept_beside_the_time_that_was_meant(sit: Sit) -> None:
    seat = sit("a trip stopped")
    first = seat.clock.wall + HOUR
    entry = odometer(seat, None, TimeAsked(first=first))
    assert entry.body["time_first"] == first.isoformat(timespec="milliseconds").replace(
        "+00:00", "Z"
    )
    assert seat.trip.doubtful == ()


def test_before_the_departure_a_check_is_kept_where_somebody_says_that_it_stands(
    sit: Sit,
) -> None:
    seat = sit("a trip planned")
    with pytest.raises(Refused, match="has not departed"):
        check(seat, None)
    assert check(seat, None, STANDS).body["time_doubt"] == "before departure"
    assert seat.trip.state is TripState.PLANNED


def test_a_correction_of_the_time_takes_the_doubt_away_and_the_check_answers(sit: Sit) -> None:
    seat = sit("a trip stopped")
    entry = check(seat, seat.clock.wall + HOUR, STANDS)
    made = correct(
        seat.desk, entry.hash, changes={}, at=seat.clock.wall, reason="the hour was a slip"
    )
    assert "time_doubt" not in made.body
    assert seat.trip.doubtful == ()
    assert "us-392.9-first" in str(made.body["closes"])
    assert counts(seat)[0][1] == seat.clock.wall


def test_a_correction_of_anything_else_leaves_the_doubt(sit: Sit) -> None:
    seat = sit("a trip stopped")
    entry = odometer(seat, seat.clock.wall + HOUR, STANDS)
    seat.later(120)
    made = correct(seat.desk, entry.hash, changes={"odometer": "24190"}, at=None, reason="misread")
    assert made.body["time_doubt"] == "ahead of the clock"
    assert [fact.entry for fact in seat.trip.doubtful] == [made]


def test_a_right_time_is_corrected_to_one_that_cannot_be_only_where_that_is_said(sit: Sit) -> None:
    seat = sit("a first check made")
    checked, ahead = seat.last("check_completed"), seat.clock.wall + HOUR
    with pytest.raises(Refused, match="has not come yet"):
        correct(seat.desk, checked.hash, changes={}, at=ahead, reason="later")
    made = correct(seat.desk, checked.hash, changes={}, at=ahead, reason="later", time_asked=STANDS)
    assert [fact.entry for fact in seat.trip.doubtful] == [made]


def test_it_can_be_taken_back(sit: Sit) -> None:
    seat = sit("a trip stopped")
    odometer(seat, seat.clock.wall + HOUR, STANDS)
    withdraw(seat.desk, None, reason="nonsense")
    assert seat.trip.doubtful == ()


def test_the_departure_is_not_taken_back_under_it(sit: Sit) -> None:
    seat = sit("a trip rolling")
    odometer(seat, seat.clock.wall - 3 * HOUR, STANDS)
    with pytest.raises(Refused, match="recorded on the road"):
        withdraw(seat.desk, seat.last("departed").hash, reason="not yet")


def test_the_trip_sheet_the_record_and_the_tables_show_it_with_its_doubt(sit: Sit) -> None:
    seat = sit("a trip stopped")
    entry = check(seat, seat.clock.wall - 3 * HOUR, STANDS)
    sheet = trip_sheet(seat.trip, {}, {}, seat.clock.wall, -360, invented=False)
    rows = [row for block in sheet.blocks if isinstance(block, Table) for row in block.rows]
    assert [row[4] for row in rows if "check completed" in row[1]] == ["before departure"]
    facts = {one["entry"]: one for one in trip_record(seat.desk, seat.trip)["facts"]}
    assert facts[entry.hash]["time_doubt"] == "before departure"
    (found,) = seat.desk.store.raw.execute(
        "SELECT time_doubt FROM check_made WHERE entry = ?", (entry.hash,)
    ).fetchone()
    assert found == "before departure"


def test_a_duty_change_from_before_the_plan_was_written_down_is_taken(sit: Sit) -> None:
    """Everything but the load was written down later: the departure, and a stop on the way."""
    seat = sit("a trip planned")
    planned = seat.last("plan_recorded").event_time
    depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer="24130 mi",
        top_speed="65 mph",
        next_stop=None,
        reason=None,
        at=planned - 2 * HOUR,
    )
    assert duty(seat, planned - HOUR).event_time == planned - HOUR


STEPS = st.lists(
    st.tuples(st.sampled_from(sorted(ACTS)), st.sampled_from(["now", *DOUBTS])), max_size=6
)


@settings(max_examples=12, deadline=None)
@given(steps=STEPS, scene=st.sampled_from(["a trip stopped", "a first check made"]))
def test_counters_with_doubtful_entries_are_those_without_them(
    steps: list[tuple[str, str]], scene: str
) -> None:
    with TemporaryDirectory() as one, TemporaryDirectory() as other:
        seats = [take_seat(scene, Path(folder)) for folder in (one, other)]
        for act, when in steps:
            for seat in seats:
                seat.later(7)
                seat.desk.again = True
                if when == "now":
                    with_duty_anew(seat, ACTS[act])
            if when != "now":
                ACTS[act](seats[0], seats[0].clock.wall + DOUBTS[when], STANDS)
        assert counts(seats[0]) == counts(seats[1])
        assert_rows_rebuilt(seats[0])
        for seat in seats:
            seat.desk.store.close()


def with_duty_anew(seat: Seat, act: Callable[..., Entry]) -> None:
    """Do something now; the same duty status twice running is refused, and is no matter here."""
    if act is duty and "off duty" in seat.trip.duty_by_driver.values():
        return
    act(seat, None)


def assert_rows_rebuilt(seat: Seat) -> None:
    """The derived tables are those made anew from the whole journal."""
    journal = Journal(store=seat.desk.store, tables=seat.desk.tables)
    assert journal.rows() == journal.rebuilt_rows()
