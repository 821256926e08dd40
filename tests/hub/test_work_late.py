"""Late checks of all trucks: each is written down once for its office, whoever's clock is off.

The limits are those of 49 CFR 392.9(b): within the first 50 miles, and then after 150 miles or 3
hours of driving, whichever comes first. The margin is our design.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.builders import DRIVER, duty_changed, odometer_read
from tests.hub.late_scene import card, look, office, outbox, truck
from tests.hub.scene import HubScene
from triplog.hub.carriers import add_carrier
from triplog.hub.margins import Margins
from triplog.journal.entries import Draft

ONE, OTHER, DESK = "eeeeeeeeeeeeeeee", "ffffffffffffffff", "dddddddddddddddd"
TRIP, SECOND = "t" * 16, "u" * 16


def test_a_check_late_beyond_the_margin_is_written_down_once(hub: HubScene) -> None:
    office(hub, DESK)
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.record(odometer_read("24184 mi", TRIP))
    assert look(hub) == 0, "4 miles late are within the margin of 5"
    one.record(odometer_read("24186 mi", TRIP))
    assert look(hub) == 1
    one.record(odometer_read("24190 mi", TRIP))
    assert look(hub) == 0
    assert outbox(hub) == [(hub.carrier.id, "Trip T-1: a load check is late.")]


def test_the_message_says_what_is_known_and_that_the_vehicle_may_be_moving(hub: HubScene) -> None:
    office(hub, DESK)
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.record(odometer_read("24190 mi", TRIP))
    look(hub)
    with hub.database.work("worker") as connection:
        ((message, offset_min),) = connection.execute("SELECT message, offset_min FROM outbox")
    assert "By how much: late by 10.0 mi" in message
    assert "Last odometer reading: 24190 mi" in message
    assert "Last duty status recorded: driving" in message
    assert "do not call it then" in message
    assert offset_min == -360


def test_many_that_look_at_once_write_it_down_once(hub: HubScene) -> None:
    office(hub, DESK)
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.record(odometer_read("24190 mi", TRIP))
    with ThreadPoolExecutor(6) as all_of_them:
        found = [done.result() for done in [all_of_them.submit(look, hub) for _ in range(24)]]
    assert sum(found) == 1
    assert len(outbox(hub)) == 1


@pytest.mark.parametrize("ahead_min", [0, 90, -90, 1, -1, 60 * 24 * 400])
def test_a_clock_that_is_off_makes_no_message_early_or_late(hub: HubScene, ahead_min: int) -> None:
    office(hub, DESK)
    one = truck(hub, ONE, ahead=timedelta(minutes=ahead_min))
    one.depart(TRIP, "T-1")
    one.check(TRIP)
    # 3 hours of driving less the two minutes it drove before, and 5 miles at 65 miles an hour.
    hub.clock.forward(minutes=180 - 3)
    assert look(hub) == 0
    hub.clock.forward(minutes=3 + 3)
    assert look(hub) == 0, "within the margin"
    hub.clock.forward(minutes=3)
    assert look(hub) == 1
    assert look(hub) == 0


def test_what_was_stood_still_is_not_driving_time(hub: HubScene) -> None:
    office(hub, DESK)
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.check(TRIP)
    one.record(duty_changed("off duty", TRIP))
    hub.clock.forward(minutes=60 * 24)
    assert look(hub) == 0


def test_the_margin_is_the_office_s_own_and_any_device_s_where_that_says_nothing(
    hub: HubScene,
) -> None:
    one, margins = truck(hub, ONE), Margins()
    one.depart(TRIP, "T-1")
    one.record(odometer_read("24190 mi", TRIP))
    assert look(hub, margins) == 0, "nobody has named a margin"
    desk = office(hub, DESK, None)
    one.record(card("5 mi"))
    assert look(hub, margins) == 0, "the office's own card names none"
    desk.record(card("20 mi"))
    assert look(hub, margins) == 0
    desk.record(card("9 mi"))
    assert look(hub, margins) == 1


def test_where_no_office_has_a_card_a_device_s_counts(hub: HubScene) -> None:
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.record(card("5 mi"), odometer_read("24190 mi", TRIP))
    assert look(hub) == 1


def test_two_carriers_are_told_each_of_its_own(hub: HubScene) -> None:
    made = add_carrier(hub.database, hub.home, "carrier-2", ["*"], hub.clock.read())
    beside = replace(hub, carrier=made)
    office(hub, DESK, "5 mi")
    office(beside, "cccccccccccccccc", "30 mi")
    one, other = truck(hub, ONE), truck(beside, OTHER)
    one.depart(TRIP, "T-1")
    other.depart(SECOND, "T-1")
    one.record(odometer_read("24190 mi", TRIP))
    other.record(odometer_read("24190 mi", SECOND))
    assert look(hub) == 1
    assert outbox(hub) == [(hub.carrier.id, "Trip T-1: a load check is late.")]
    other.record(odometer_read("24211 mi", SECOND))
    assert look(hub) == 1
    assert [carrier for carrier, _ in outbox(hub)] == [hub.carrier.id, made.id]


def test_a_trip_that_is_over_makes_no_message_and_what_was_written_stays(hub: HubScene) -> None:
    office(hub, DESK)
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.depart(SECOND, "T-2")
    one.record(odometer_read("24190 mi", TRIP))
    assert look(hub) == 1
    one.record(odometer_read("24190 mi", SECOND), _closed(SECOND), _closed(TRIP))
    assert look(hub) == 0
    assert [line for _, line in outbox(hub)] == ["Trip T-1: a load check is late."]
    with hub.database.work("worker") as connection:
        assert connection.execute("SELECT count(*) FROM last_writer").fetchone() == (0,)


def test_what_is_corrected_or_made_anew_is_not_told_again(hub: HubScene) -> None:
    office(hub, DESK)
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.record(odometer_read("24190 mi", TRIP))
    read = one.log.hashes[-1]
    assert look(hub) == 1
    one.record(odometer_read("24150 mi", TRIP, follows=read))
    assert look(hub) == 0
    one.record(odometer_read("24195 mi", TRIP, follows=read))
    one.brought = 0
    one.bring()
    assert look(hub) == 0
    assert len(outbox(hub)) == 1


def test_a_trip_no_rows_can_be_made_of_any_more_is_told_by_those_it_had(hub: HubScene) -> None:
    office(hub, DESK)
    one = truck(hub, ONE)
    one.depart(TRIP, "T-1")
    one.record(odometer_read("24190 mi", TRIP))
    one.record(odometer_read("far", TRIP))
    other = truck(hub, OTHER)
    other.depart(SECOND, "T-2")
    other.record(odometer_read("24190 mi", SECOND))
    with hub.database.work("worker") as connection:
        assert connection.execute("SELECT about FROM put_aside").fetchall() == [(TRIP,)]
    assert look(hub) == 2
    assert sorted(line[5:8] for _, line in outbox(hub)) == ["T-1", "T-2"]


def _closed(trip: str) -> Draft:
    body: dict[str, object] = {"trip_heads": {}, "gear_back": [], "release_done": True}
    return Draft(kind="trip_closed", trip=trip, body=body, by=DRIVER)
