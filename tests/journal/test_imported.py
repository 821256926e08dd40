"""Imported duty beside typed duty, and imported ways beside the odometer.

Where a case names no source, what it holds is our reading.
"""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.builders import DRIVER, START, TRIP, departed, entry_made, odometer_read
from triplog.journal.entries import Body, Draft, Entry, time_text
from triplog.journal.imported import duty_differences, duty_said
from triplog.journal.imported_ways import beside_odometer, imported_ways
from triplog.journal.trip import Trip, trip_of

STATUSES = ("driving", "on duty", "off duty", "sleeper")


def at(minute: float) -> datetime:
    """So many minutes after the departure."""
    return START + timedelta(minutes=minute)


def trip_with(*drafts: Draft) -> Trip:
    """A trip that departed, and more entries, all made an hour after the last of their events."""
    entries: list[Entry] = [entry_made(departed("0" * 64))]
    for seq, draft in enumerate(drafts, start=1):
        entries.append(entry_made(draft, seq=seq, minutes=600))
    return trip_of(TRIP, entries)


def typed(minute: float, status: str) -> Draft:
    """A typed change."""
    body: Body = {"driver": DRIVER, "status": status}
    return Draft(kind="duty_changed", trip=TRIP, body=body, by=DRIVER, event_time=at(minute))


def told(minute: float, status: str) -> Draft:
    """An imported one."""
    body: Body = {"driver": DRIVER, "status": status, "import": "0" * 64, "row": 1}
    return Draft(
        kind="duty_imported",
        trip=TRIP,
        body=body,
        by=DRIVER,
        via="imported",
        event_time=at(minute),
    )


def counted(trip: Trip) -> list[tuple[float, str]]:
    """What counts: minutes and statuses."""
    return [((one.at - START) / timedelta(minutes=1), one.status) for one in duty_said(trip)]


def test_imported_changes_count_where_nobody_typed() -> None:
    trip = trip_with(told(60, "on duty"), told(75, "driving"))
    assert counted(trip) == [(0, "driving"), (60, "on duty"), (75, "driving")]


def test_within_ten_minutes_of_a_typed_change_the_typed_one_stands() -> None:
    trip = trip_with(
        typed(60, "on duty"), told(51, "off duty"), typed(90, "driving"), told(82, "driving")
    )
    assert counted(trip) == [(0, "driving"), (60, "on duty"), (90, "driving")]


def test_driving_on_soon_after_a_typed_stop_counts_up_to_its_end() -> None:
    """It is no other word for the stop: eight minutes later the wheels rolled, and nobody typed."""
    trip = trip_with(typed(60, "on duty"), told(68, "driving"))
    assert counted(trip) == [(0, "driving"), (60, "on duty"), (68, "driving")]
    trip = trip_with(typed(60, "on duty"), told(64, "driving"), told(69, "on duty"))
    assert counted(trip)[2:] == [(64, "driving"), (69, "on duty")]


@pytest.mark.parametrize("ahead", [-10, -8, 8, 10])
def test_a_device_whose_clock_is_minutes_off_tells_the_same_drive_once(ahead: int) -> None:
    """49 CFR 395, subpart B, appendix A, 4.3.1.5: within ten minutes."""
    by_hand = [typed(60, "on duty"), typed(90, "driving"), typed(150, "on duty")]
    by_device = [
        told(60 + ahead, "on duty"),
        told(90 + ahead, "driving"),
        told(150 + ahead, "on duty"),
    ]
    assert counted(trip_with(*by_hand, *by_device)) == counted(trip_with(*by_hand))


def test_a_typed_change_is_never_left_out() -> None:
    trip = trip_with(told(30, "on duty"), typed(60, "off duty"), told(90, "driving"))
    assert (60, "off duty") in counted(trip)


def test_an_imported_stop_does_not_count_before_it_is_known_to_have_ended() -> None:
    """Until then nobody has said that the vehicle has not driven on since the file was made."""
    assert counted(trip_with(told(60, "on duty"))) == [(0, "driving")]
    assert counted(trip_with(typed(40, "on duty"), told(60, "off duty"))) == [
        (0, "driving"),
        (40, "on duty"),
        (60, "off duty"),
    ]


def test_imported_driving_counts_at_once() -> None:
    trip = trip_with(typed(40, "on duty"), told(60, "driving"))
    assert counted(trip)[-1] == (60, "driving")


STEPS = st.lists(
    st.tuples(st.integers(0, 300), st.sampled_from(STATUSES), st.booleans()), max_size=12
)


@given(STEPS)
def test_whatever_is_imported_all_that_was_typed_counts(
    steps: list[tuple[int, str, bool]],
) -> None:
    drafts = [(typed if by_hand else told)(minute, status) for minute, status, by_hand in steps]
    said = duty_said(trip_with(*drafts))
    by_hand = sorted(minute for minute, _, typed_one in steps if typed_one)
    assert [one.at for one in said if not one.imported] == [START, *map(at, by_hand)]
    assert [one.at for one in said] == sorted(one.at for one in said)


def test_where_typed_and_imported_differ_both_are_told() -> None:
    trip = trip_with(
        told(1, "driving"), typed(60, "on duty"), told(61, "on duty"), told(90, "driving")
    )
    told_of = [(one.begin, one.end, one.typed, one.imported) for one in duty_differences(trip)]
    assert told_of == [(at(90), None, "on duty", "driving")]


def test_a_few_minutes_apart_is_no_difference() -> None:
    trip = trip_with(told(1, "driving"), typed(60, "on duty"), told(66, "on duty"))
    assert duty_differences(trip) == ()


def way(feed: str, *samples: tuple[float, int]) -> Draft:
    """An imported part of a way."""
    body: Body = {
        "source": "gpx",
        "feed": feed,
        "digest": "0" * 64,
        "bytes": 1,
        "counts": {},
        "way": [{"at": time_text(at(minute)), "metres": metres} for minute, metres in samples],
    }
    return Draft(
        kind="readings_imported",
        trip=TRIP,
        body=body,
        by=DRIVER,
        via="imported",
        event_time=at(500),
    )


def test_parts_of_one_source_are_one_way() -> None:
    trip = trip_with(way("a", (0, 0), (5, 4000)), way("a", (10, 9000)), way("b", (0, 0)))
    first, second = imported_ways(trip)
    assert [metres for _, metres in first.samples] == [0, 4000, 9000]
    assert len(first.entries) == 2
    assert len(second.samples) == 1


def test_a_way_is_set_beside_the_odometer_between_two_readings_on_it() -> None:
    trip = trip_with(
        way("a", (0, 0), (60, 60_000)),
        odometer_read("24140 mi", event_time=at(10)),
        odometer_read("24160 mi", event_time=at(40)),
        odometer_read("24200 mi", event_time=at(70)),
    )
    beside = beside_odometer(trip, imported_ways(trip)[0])
    assert beside is not None
    assert (beside.begin, beside.end) == (START, at(40))
    assert beside.odometer_m == pytest.approx(30 * 1609.344)
    assert beside.way_m == pytest.approx(40_000)


def test_without_two_readings_on_it_a_way_stands_alone() -> None:
    trip = trip_with(way("a", (5, 0), (60, 60_000)), odometer_read(event_time=at(10)))
    assert beside_odometer(trip, imported_ways(trip)[0]) is None
