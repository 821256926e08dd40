"""The lists of the hub are those a journal has that took in the same entries, from each on."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.builders import (
    DRIVER,
    TRIP,
    Journal,
    depart,
    duty_changed,
    gear_recorded,
    new_journal,
    odometer_read,
    person_recorded,
    plan_recorded,
    reopened,
    trip_opened,
    vehicle_recorded,
    withdrawn,
)
from tests.cli.terminal import Terminal
from tests.hub.derived_scene import hub_rows, journal_rows, push_in_cuts, rebuilt, work_off
from tests.hub.logs import answered, new_log, pair_log
from tests.hub.scene import HubScene
from triplog.hub.carriers import add_carrier
from triplog.journal.batch import pack_batch
from triplog.journal.device_key import make_key
from triplog.journal.entries import Draft
from triplog.journal.store import Store

GEAR = "ggggggggggggggga"


@pytest.fixture
def pair_of_journals(tmp_path: Path) -> Iterator[list[Journal]]:
    """Two devices' journals, each with its key beside."""
    made = []
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        journal = new_journal(tmp_path / name / "triplog.sqlite3")
        make_key(tmp_path / name, journal.store.device)
        made.append(journal)
    yield made
    for journal in made:
        journal.close()


def test_a_whole_day_with_everything_in_it(hub: HubScene, tmp_path: Path) -> None:
    Terminal(folder=tmp_path).type("demo")
    (path,) = tmp_path.rglob("triplog.sqlite3")
    journal = reopened(path)
    invented = add_carrier(hub.database, hub.home, "demo", ["*"], hub.clock.read(), invented=True)
    hub = replace(hub, carrier=invented)
    one = hub.pair(journal.store, "truck-1")
    push_in_cuts(hub, one, at_once=17)
    wanted = journal_rows(journal)
    seldom = {name for name, rows in wanted.items() if not rows}
    assert seldom <= {"due", "photo"}, "the day holds a row of every other kind"
    assert hub_rows(hub, list(wanted)) == wanted
    assert rebuilt(hub, list(wanted)) == wanted
    journal.close()


def test_a_trip_of_two_devices_in_whatever_order_they_come(
    hub: HubScene, pair_of_journals: list[Journal]
) -> None:
    one, other = pair_of_journals
    plan = depart(one)
    one.record(vehicle_recorded(), person_recorded(DRIVER, "dr-1"), gear_recorded(GEAR, "S-1"))
    other.clock.forward(minutes=30)
    other.record(odometer_read("24150 mi"), duty_changed("on duty"), _photo())
    one.record(plan_recorded(mass="6400 lb", follows=plan.hash), minutes=50)
    wrong = other.record(odometer_read("94150 mi"))
    other.record(withdrawn(wrong))
    both = [hub.pair(one.store, "truck-1"), hub.pair(other.store, "truck-2")]
    push_in_cuts(hub, both[1], at_once=3)
    push_in_cuts(hub, both[0], at_once=4)
    _copy_in(one, other.store)
    wanted = journal_rows(one)
    assert wanted["photo"]
    assert wanted["due"], "a trip under way has counters"
    assert hub_rows(hub, list(wanted)) == wanted
    assert rebuilt(hub, list(wanted)) == wanted


def test_a_card_taken_back_elsewhere_before_the_card_came(
    hub: HubScene, pair_of_journals: list[Journal]
) -> None:
    one, other = pair_of_journals
    cards = [one.record(gear_recorded(GEAR[:-1] + end, f"S-{end}")) for end in "23"]
    _copy_in(other, one.store)
    other.record(withdrawn(cards[0]))
    back = other.record(withdrawn(cards[1]))
    other.record(withdrawn(back))
    first, second = hub.pair(one.store, "truck-1"), hub.pair(other.store, "truck-2")
    push_in_cuts(hub, second, at_once=2)
    assert hub_rows(hub, ["gear"]) == {"gear": []}
    push_in_cuts(hub, first, at_once=100)
    wanted = journal_rows(other)
    assert [row[1] for row in wanted["gear"]] == ["S-3"]
    assert hub_rows(hub, list(wanted)) == wanted


def test_what_no_rows_can_be_made_of_is_put_aside_and_the_rest_goes_on(hub: HubScene) -> None:
    log, good = new_log("eeeeeeeeeeeeeeee"), new_log("ffffffffffffffff")
    secrets = [pair_log(hub, one) for one in (log, good)]
    log.append(trip_opened("t" * 16, label="T-9"))
    bad = trip_opened("u" * 16, label="T-8")
    bad.body["label"] = 7
    log.append(bad)
    good.append(trip_opened("v" * 16, label="T-7\0"))
    for one, secret in zip((log, good), secrets, strict=True):
        answered(hub, secret, pack_batch(one.batch()))
    aside = work_off(hub)
    ((about, reason),) = ((one.about, reason) for one, reason in aside)
    assert about == "u" * 16
    assert reason.startswith("AssertionError in text_in")
    assert [row[1] for row in hub_rows(hub, ["trip"])["trip"]] == ["T-9", "T-7\ufffd"]
    with hub.database.work("worker") as connection:
        kept = connection.execute("SELECT what, about, reason FROM put_aside").fetchall()
        assert kept == [("trip", "u" * 16, reason)]
        assert connection.execute("SELECT count(*) FROM to_derive").fetchone() == (0,)


def test_corrections_upon_corrections_do_not_stop_the_others(hub: HubScene) -> None:
    log = new_log("eeeeeeeeeeeeeeee")
    secret = pair_log(hub, log)
    last = log.append(trip_opened(TRIP))
    for number in range(1500):
        last = log.append(_opened_again(last.hash, number))
    log.append(trip_opened("v" * 16, label="T-7"))
    answered(hub, secret, pack_batch(log.batch()))
    assert [one.about for one, _ in work_off(hub)] == [TRIP]
    assert [row[1] for row in hub_rows(hub, ["trip"])["trip"]] == ["T-7"]


def _opened_again(follows: str, number: int) -> Draft:
    body: dict[str, object] = {"id": TRIP, "label": f"T-{number}"}
    return Draft(kind="trip_opened", trip=TRIP, body=body, by=DRIVER, follows=follows)


def _photo() -> Draft:
    body: dict[str, object] = {
        "digest": "0" * 64,
        "file": f"photos/{'0' * 64}.jpg",
        "bytes": 4000,
        "media_type": "image/jpeg",
        "width_px": 40,
        "height_px": 30,
        "shows": "a strap",
        "taken_time_source": "none",
        "tie_downs": ["T1", "T2"],
    }
    return Draft(kind="photo_added", trip=TRIP, body=body, by=DRIVER)


def _copy_in(journal: Journal, store: Store) -> None:
    """Put another store's own chain beside, as taking in does, its things named."""
    rows = store.raw.execute("SELECT * FROM entry WHERE device = ?", (store.device,)).fetchall()
    width = ", ".join("?" * len(rows[0]))
    with journal.store.raw:
        journal.store.raw.executemany(f"INSERT INTO entry VALUES ({width})", rows)
