"""Importing what another instrument wrote: once, beside what people recorded, never in its place.

The trip of the scene departed at 07:20 with 24,130 mi, stopped at 07:50 and was checked at 07:55
with 24,156 mi; the local offset is six hours west.

Where a case names no source, what it holds is our reading.
"""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.due import State
from scheduler.progress import DutyStatus
from tests.desk.seat import Seat
from tests.scheduler.feeds import made
from tests.scheduler.feeds.made import START, engine, event, gpx
from triplog.checks import counters_of, due_checks_of, duty_of
from triplog.desk.feeding import read_before, record_taken
from triplog.desk.feeds import Feed, Source, read_feed, source_word, zone_named
from triplog.desk.fitting import FUTURE, NO_FIT, Taken, take
from triplog.desk.mending import correct, withdraw
from triplog.desk.refused import Refused
from triplog.desk.road import change_duty, read_odometer
from triplog.desk.setting_up import positions_kept, record_carrier
from triplog.journal.entries import Entry
from triplog.journal.imported_ways import imported_ways
from triplog.wording.feeds import BEFORE_DEPARTURE, taken_lines

Sit = Callable[[str], Seat]
EVENTS = [
    event("9", "030226,112500", code="1", miles="152"),
    event("8", "030226,101500", kind="2", code="1", miles="103"),
    event("7", "030226,081500", code="3", miles="26"),
    event("6", "030226,075300", code="4", miles="26"),
    event("5", "030226,072000", code="3", miles="0"),
    event("4", "030226,060000", code="4"),
]
BEFORE = ("030226,060000", "022626,060000")
ENGINES = [
    engine("a", "030226,113000", "24282", code="3"),
    engine("3", "030226,072000", "24130"),
]


def at_noon(sit: Sit, scene: str = "a first check made") -> Seat:
    """Sit down in a scene at 12:00 local."""
    seat = sit(scene)
    seat.clock.forward(minutes=(START.replace(hour=18) - seat.clock.wall) / timedelta(minutes=1))
    return seat


def read(folder: Path, data: bytes, seat: Seat, source: Source = Source.DUTY_FILE) -> Feed:
    """Read a file of these bytes."""
    path = folder / f"invented.{source}"
    path.write_bytes(data)
    return read_feed(path, source, now=seat.desk.now().wall)


def imported(folder: Path, data: bytes, seat: Seat) -> tuple[Taken, Entry]:
    """Read a duty-record file and record what is of the trip."""
    taken = take(seat.desk, seat.trip, read(folder, data, seat), driver=seat.desk.by)
    return taken, record_taken(seat.desk, seat.trip, taken, driver=seat.desk.by)


def track(folder: Path, seat: Seat, *, count: int = 60) -> Entry:
    """Import a way of 890 m every 30 s from 07:20 on."""
    points = [
        (START + timedelta(minutes=20, seconds=30 * place), 0.0, 0.008 * place)
        for place in range(count)
    ]
    feed = read(folder, gpx(points), seat, Source.GPX)
    taken = take(seat.desk, seat.trip, feed, driver=seat.desk.by)
    return record_taken(seat.desk, seat.trip, taken, driver=seat.desk.by)


def test_a_duty_file_becomes_entries_that_say_imported_and_name_their_file(
    sit: Sit, tmp_path: Path
) -> None:
    seat = at_noon(sit)
    _, about = imported(tmp_path, made.duty_file(EVENTS, ENGINES), seat)
    duty, readings = seat.entries("duty_imported"), seat.entries("odometer_read")
    assert [one.body["status"] for one in duty] == ["driving", "on duty", "driving", "off duty"]
    assert [one.body["odometer"] for one in readings] == [
        "24130 mi",
        "24156 mi",
        "24156 mi",
        "24233 mi",
        "24282 mi",
        "24282 mi",
    ]
    assert {one.via for one in (about, *duty, *readings)} == {"imported"}
    assert {one.body["import"] for one in (*duty, *readings)} == {about.hash}
    assert seat.opened(about)["name"] == "invented.duty-file"
    assert about.body["digest"] == read(tmp_path, made.duty_file(EVENTS, ENGINES), seat).digest


def test_the_same_file_again_is_known_and_a_longer_one_adds_what_is_new(
    sit: Sit, tmp_path: Path
) -> None:
    seat = at_noon(sit)
    imported(tmp_path, made.duty_file(EVENTS[2:], ENGINES[1:]), seat)
    before = seat.count()
    again = read(tmp_path, made.duty_file(EVENTS[2:], ENGINES[1:]), seat)
    assert read_before(seat.trip, again) is not None
    assert seat.count() == before
    taken, _ = imported(tmp_path, made.duty_file(EVENTS, ENGINES), seat)
    assert (len(taken.duty), len(taken.readings)) == (1, 3)
    assert len(seat.entries("duty_imported")) == 4
    assert len(seat.entries("odometer_read")) == 6


def test_what_a_later_file_tells_as_changed_is_taken_back(sit: Sit, tmp_path: Path) -> None:
    seat = at_noon(sit)
    imported(tmp_path, made.duty_file(EVENTS, ENGINES), seat)
    changed = [
        event("b", "030226,082500", code="3", miles="26", origin="2"),
        event("7", "030226,081500", code="3", miles="26", status="2"),
        *EVENTS[3:],
    ]
    taken, _ = imported(tmp_path, made.duty_file(changed, ENGINES), seat)
    assert [one.body["status"] for one in taken.superseded] == ["driving"]
    standing = [one.entry.event_time for one in seat.trip.of("duty_imported")]
    assert START.replace(hour=14, minute=15) not in standing
    assert START.replace(hour=14, minute=25) in standing
    assert seat.opened(seat.last("entry_withdrawn"))["reason"].startswith("changed")


@pytest.mark.parametrize(
    ("total", "state", "by_estimate"),
    [("24304", State.COMING_UP, False), ("24306", State.DUE, True), ("24307", State.LATE, False)],
)
def test_imported_miles_make_a_check_due_by_their_upper_end_and_late_by_their_lower(
    total: str, state: State, by_estimate: bool, sit: Sit, tmp_path: Path
) -> None:
    """150 mi from 24,156: reached by 24,305 and a mile, passed by 24,306.5. 65 mph get there."""
    seat = at_noon(sit)
    engines = [engine("a", "030226,103000", total, code="3"), ENGINES[1]]
    imported(tmp_path, made.duty_file([], engines), seat)
    distance = {one.counter.rule_id: one for one in due_checks_of(seat.trip, seat.desk.now().wall)}[
        "us-392.9-distance"
    ]
    assert distance.state is state
    assert distance.by_estimate is by_estimate
    assert distance.counter.odometer_unit == "mi"


def test_imported_driving_counts_as_driving_time_and_typed_duty_decides_what_is_said(
    sit: Sit, tmp_path: Path
) -> None:
    seat = at_noon(sit)
    assert duty_of(seat.trip) is DutyStatus.ON_DUTY
    imported(tmp_path, made.duty_file(EVENTS[2:], ENGINES[1:]), seat)
    assert duty_of(seat.trip) is DutyStatus.DRIVING
    driving = next(one for one in counters_of(seat.trip) if one.rule_id == "us-392.9-driving")
    assert driving.goes_on
    driven = {one.due_key: one.value for one in due_checks_of(seat.trip, seat.desk.now().wall)}
    assert driven[driving.due_key] == (3 * 60 + 45) * 60_000, "from 08:15 to noon"


def test_a_stale_file_that_tells_of_a_stop_lets_no_text_out_while_somebody_drives(
    sit: Sit, tmp_path: Path
) -> None:
    seat = at_noon(sit, "a trip rolling")
    seat.desk.by = "nobody"
    taken = take(
        seat.desk,
        seat.trip,
        read(tmp_path, made.duty_file(EVENTS[3:], ENGINES[1:]), seat),
        driver=next(iter(seat.trip.duty_by_driver)),
    )
    record_taken(seat.desk, seat.trip, taken, driver=next(iter(seat.trip.duty_by_driver)))
    assert duty_of(seat.trip) is DutyStatus.DRIVING
    assert seat.trip.is_driven


def test_whoever_drives_imports_nothing(sit: Sit, tmp_path: Path) -> None:
    seat = at_noon(sit, "a trip rolling")
    before = seat.count()
    with pytest.raises(Refused, match="your duty status is driving"):
        imported(tmp_path, made.duty_file(EVENTS, ENGINES), seat)
    assert seat.count() == before


def test_events_in_the_future_are_kept_with_the_reason_and_do_not_count(
    sit: Sit, tmp_path: Path
) -> None:
    seat = at_noon(sit)
    future = event("c", "030226,190000", code="3", miles="160")
    _, about = imported(tmp_path, made.duty_file([future, *EVENTS], ENGINES), seat)
    asides = about.body["aside"]
    assert isinstance(asides, list)
    assert [(one["what"], one["at"]) for one in asides if one["why"] == FUTURE] == [
        ("driving", "2026-03-03T01:00:00.000Z"),
        ("total miles 24,290", "2026-03-03T01:00:00.000Z"),
    ]
    assert len(seat.entries("duty_imported")) == 4


def test_unidentified_driving_and_edits_are_kept_in_the_entry_about_the_file(
    sit: Sit, tmp_path: Path
) -> None:
    seat = at_noon(sit)
    edited = [event("d", "030226,080100", code="2", status="2", miles=""), *EVENTS]
    nobody = [made.unidentified("e", "030226,083000", "1")]
    _, about = imported(tmp_path, made.duty_file(edited, ENGINES, nobody=nobody), seat)
    asides = about.body["aside"]
    assert isinstance(asides, list)
    assert [(one["what"], one["why"]) for one in asides if one["why"] != BEFORE_DEPARTURE] == [
        ("sleeper", "superseded: changed later"),
        ("driving", "unidentified driving: nobody's"),
    ]


def test_what_is_from_before_the_departure_is_kept_for_a_day_and_does_not_count(
    sit: Sit, tmp_path: Path
) -> None:
    seat = at_noon(sit)
    this_day, days_ago = (event("4", at, code="4", miles="") for at in BEFORE)
    data = made.duty_file([*EVENTS[:-1], this_day, days_ago], ENGINES)
    taken, about = imported(tmp_path, data, seat)
    asides = about.body["aside"]
    assert isinstance(asides, list)
    assert [(one["what"], one["why"]) for one in asides] == [("on duty", BEFORE_DEPARTURE)]
    assert taken.elsewhere == 1
    said = "\n".join(taken_lines(taken, "day.csv", "0" * 64, unit="mi", offset_min=-360))
    assert "1 row before the trip departed, 2026-03-02 06:00 to 2026-03-02 06:00" in said


def test_the_same_file_gives_more_once_the_departure_is_put_right_and_nothing_twice(
    sit: Sit, tmp_path: Path
) -> None:
    """It departed at 05:50, and 07:20 was a slip: the status of 06:00 is of the trip."""
    seat = at_noon(sit)
    data = made.duty_file(EVENTS, ENGINES)
    imported(tmp_path, data, seat)
    back = withdraw(seat.desk, seat.entries("duty_imported")[2].hash, reason="not his")[1]
    departed = seat.last("departed")
    at = departed.event_time - timedelta(minutes=90)
    correct(seat.desk, departed.hash, changes={}, at=at, reason="a slip")
    taken, _ = imported(tmp_path, data, seat)
    assert [str(one.status) for one in taken.duty] == ["on duty"]
    assert taken.readings == []
    standing = [fact.entry.event_time for fact in seat.trip.of("duty_imported")]
    assert len(standing) == len(set(standing)) == 4
    assert back.event_time not in standing, "what a person took back stays taken back"
    assert not take(seat.desk, seat.trip, read(tmp_path, data, seat), driver=seat.desk.by).is_new


@pytest.mark.parametrize(
    ("totals", "said"),
    [
        (("38834", "38916"), "only if they are kilometres"),
        (("24980", "25132"), "do not fit the odometer"),
        (("14130", "14282"), "do not fit the odometer"),
    ],
)
def test_miles_of_another_instrument_or_unit_are_kept_and_do_not_count(
    totals: tuple[str, str], said: str, sit: Sit, tmp_path: Path
) -> None:
    """24,130 mi are 38,834 km: the file of a device set to the wrong unit."""
    seat = at_noon(sit)
    engines = [
        engine("a", "030226,090000", totals[1], code="3"),
        engine("3", "030226,072000", totals[0]),
    ]
    taken, about = imported(tmp_path, made.duty_file([], engines), seat)
    assert taken.readings == []
    assert any(said in one.what for one in taken.noted)
    asides = about.body["aside"]
    assert isinstance(asides, list)
    assert [one["why"] for one in asides] == [NO_FIT, NO_FIT]


def test_several_power_units_have_to_be_told_apart(sit: Sit, tmp_path: Path) -> None:
    seat = at_noon(sit)
    engines = [engine("b", "030226,090000", "800", unit="14"), *ENGINES]
    feed = read(tmp_path, made.duty_file([], engines, units=("12", "14")), seat)
    with pytest.raises(Refused, match="several power units: 12, 14"):
        take(seat.desk, seat.trip, feed, driver=seat.desk.by)
    with pytest.raises(Refused, match="does not tell of power unit '15'"):
        take(seat.desk, seat.trip, feed, driver=seat.desk.by, unit="15")
    taken = take(seat.desk, seat.trip, feed, driver=seat.desk.by, unit="12")
    assert (len(taken.readings), taken.elsewhere) == (2, 1)


def test_a_trip_that_has_not_departed_takes_no_readings(sit: Sit, tmp_path: Path) -> None:
    seat = at_noon(sit, "a trip planned")
    feed = read(tmp_path, made.duty_file(EVENTS, ENGINES), seat)
    with pytest.raises(Refused, match="depart` comes first"):
        take(seat.desk, seat.trip, feed, driver=seat.desk.by)


def test_a_way_is_kept_as_times_and_distances_without_a_place(sit: Sit, tmp_path: Path) -> None:
    seat = at_noon(sit)
    entry = track(tmp_path, seat)
    way = imported_ways(seat.trip)[0]
    assert way.samples[-1][1] == pytest.approx(59 * 0.008 * 111_195, rel=1e-3)
    assert "positions" not in seat.opened(entry)
    assert b"0.008" not in entry.data


def test_places_are_kept_only_once_switched_on_and_then_private(sit: Sit, tmp_path: Path) -> None:
    seat = at_noon(sit)
    record_carrier(seat.desk, positions="keep")
    seat.later(1)
    assert positions_kept(seat.desk)
    record_carrier(seat.desk, units="si")
    entry = track(tmp_path, seat)
    assert "0.00000 0.08000" in seat.opened(entry)["positions"]
    assert b"0.08" not in entry.data


def test_a_way_counts_for_nothing_that_is_due(sit: Sit, tmp_path: Path) -> None:
    """GPX distance is shown beside the odometer, not instead."""
    seat = at_noon(sit)
    now = seat.desk.now().wall
    before = due_checks_of(seat.trip, now)
    track(tmp_path, seat)
    assert due_checks_of(seat.trip, now) == before


def test_a_track_that_has_grown_adds_only_its_new_end(sit: Sit, tmp_path: Path) -> None:
    seat = at_noon(sit)
    track(tmp_path, seat, count=40)
    track(tmp_path, seat, count=60)
    first, second = imported_ways(seat.trip)
    assert second.samples[0][0] > first.samples[-1][0]


def test_an_odometer_read_by_hand_is_not_doubted_for_a_file_in_whole_miles(
    sit: Sit, tmp_path: Path
) -> None:
    seat = at_noon(sit)
    imported(tmp_path, made.duty_file(EVENTS, ENGINES), seat)
    assert read_odometer(seat.desk, seat.trip, "24281.8", stopped=True).body == {
        "odometer": "24281.8 mi"
    }


def test_typed_duty_goes_on_after_an_import(sit: Sit, tmp_path: Path) -> None:
    seat = at_noon(sit)
    imported(tmp_path, made.duty_file(EVENTS, ENGINES), seat)
    change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.DRIVING,
        driver=seat.desk.by,
        at=None,
        place=None,
        reason=None,
    )
    assert seat.trip.is_driven


def test_rebuilt_rows_are_those_that_were_written(sit: Sit, tmp_path: Path) -> None:
    seat = at_noon(sit)
    imported(tmp_path, made.duty_file(EVENTS, ENGINES), seat)
    query = "SELECT * FROM odometer_reading ORDER BY entry"
    due = "SELECT * FROM due ORDER BY due_key"
    written = [seat.desk.store.raw.execute(one).fetchall() for one in (query, due)]
    seat.desk.store.rebuild(seat.desk.tables)
    assert [seat.desk.store.raw.execute(one).fetchall() for one in (query, due)] == written


def test_what_is_named_wrongly_is_refused_with_what_to_write() -> None:
    with pytest.raises(Refused, match=r"--kind what log\.txt is"):
        source_word("csv", "log.txt")
    with pytest.raises(Refused, match="no time zone 'Home'"):
        zone_named("Home")
    assert source_word(None, "a.GPX") is Source.GPX


def test_a_file_tells_its_kind_by_how_it_begins_where_its_name_does_not(tmp_path: Path) -> None:
    written = {
        Source.DUTY_FILE: made.duty_file([], []),
        Source.GPX: gpx([(START, 0.0, 0.0)]),
        Source.NMEA: b"stamp 1\n$GPRMC,,V,,,,,,,,,,N*53\n",
    }
    for kind, data in written.items():
        path = tmp_path / f"{kind}.txt"
        path.write_bytes(data)
        assert source_word(None, str(path)) is kind
    (tmp_path / "rubbish").write_bytes(b"\x00\xff")
    (tmp_path / "empty").write_bytes(b"")
    with pytest.raises(Refused, match="say with --kind"):
        source_word(None, str(tmp_path / "rubbish"))
    with pytest.raises(Refused, match="is empty"):
        source_word(None, str(tmp_path / "empty"))
    with pytest.raises(Refused, match="folder"):
        source_word(None, str(tmp_path))
    with pytest.raises(Refused, match="No such file"):
        source_word(None, str(tmp_path / "nowhere"))
