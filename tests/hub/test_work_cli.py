"""What is typed at a hub's command line: how an office is told, one run of work, what could go."""

import json
import os
import socket
import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import psycopg
import pytest

from tests.builders import DRIVER, duty_changed, odometer_read, reopened
from tests.cli.terminal import Terminal
from tests.hub.derived_scene import push_in_cuts
from tests.hub.late_scene import Truck, office, truck
from tests.hub.receiver import free_port
from tests.hub.scene import HubScene
from triplog.cli.exit_codes import DONE, FOUND, REFUSED
from triplog.desk.retention import kept, today_of
from triplog.hub.carriers import Carrier, add_carrier
from triplog.hub.extract import Asked, extract
from triplog.hub.house import Reached, keep_reached, reached
from triplog.hub.ways_out import SETTING
from triplog.journal.entries import Draft

ONE, DESK, TRIP = "eeeeeeeeeeeeeeee", "dddddddddddddddd", "t" * 16


def triplog(hub: HubScene, *words: str) -> "subprocess.CompletedProcess[str]":
    """`triplog hub` as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "triplog", "hub", *words],
        env=os.environ | {"TRIPLOG_HOME": str(hub.home), "TRIPLOG_HUB_DSN": hub.dsn},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def a_late_trip(hub: HubScene) -> Truck:
    """A trip that stands, 10 miles beyond its first check, of an office that is told after 5."""
    office(hub, DESK)
    made = truck(hub, ONE)
    made.depart(TRIP, "T-1")
    made.record(odometer_read("24190 mi", TRIP), duty_changed("on duty", TRIP))
    return made


def test_an_office_is_told_by_one_run_and_the_list_says_so(hub: HubScene, tmp_path: Path) -> None:
    there = tmp_path / "there"
    there.mkdir()
    a_late_trip(hub)
    before = triplog(hub, "office")
    assert before.returncode == DONE
    assert before.stdout.splitlines() == [
        "the office is told of a check that is more than 5 mi late, by `triplog hub work`",
        "no way of telling it is set on this machine; messages wait",
    ]
    waits = triplog(hub, "work", "--once")
    assert waits.returncode == DONE
    assert "late checks found: 1" in waits.stdout
    assert "waits: Trip T-1: a load check is late." in triplog(hub, "office").stdout
    assert triplog(hub, "office", "--folder", str(there)).returncode == DONE
    done = triplog(hub, "work", "--once", "--json")
    assert json.loads(done.stdout) == {
        "derived": 0,
        "put_aside": 0,
        "late": 0,
        "tried": ["accepted"],
    }
    assert len(list(there.glob("*.txt"))) == 1
    told = triplog(hub, "office")
    assert f"way of telling it: {there}" in told.stdout
    assert "told: Trip T-1: a load check is late." in told.stdout
    found = json.loads(triplog(hub, "office", "--json").stdout)
    assert found["way"] == {"by": "folder", "to": str(there)}
    ((message),) = found["messages"]
    assert (message["trip"], message["tried"], message["repeated"]) == (TRIP, ["accepted"], False)
    assert message["told"] is not None


def test_what_an_office_does_not_take_ends_one_run_with_a_word(hub: HubScene) -> None:
    a_late_trip(hub)
    assert triplog(hub, "office", "--command", "false").returncode == DONE
    done = triplog(hub, "work", "--once")
    assert done.returncode == FOUND
    assert "messages tried: 1, of which told: 0" in done.stdout
    assert "waits, tried once (failed): Trip T-1" in triplog(hub, "office").stdout


def test_an_address_is_told_with_the_key_to_check_calls_by(hub: HubScene) -> None:
    set_now = triplog(hub, "office", "--address", "https://office.example/late")
    (line,) = [one for one in set_now.stdout.splitlines() if one.startswith("calls are signed")]
    key = line.rpartition(" ")[2]
    assert json.loads(triplog(hub, "office", "--json").stdout)["key"] == key
    assert triplog(hub, "office", "--nowhere").returncode == DONE
    assert json.loads(triplog(hub, "office", "--json").stdout)["way"] is None


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["office", "--command", "no-such-program"], "there is no program 'no-such-program' here"),
        (["office", "--folder", "/no/such/folder"], "there is no folder /no/such/folder"),
        (["office", "--nowhere", "--folder", "/"], "name one way"),
        (["office", "--argument", "x"], "--argument belongs to --command"),
        (["office", "--address", "http://office.example/"], "an address begins with https://"),
        (["office", "--carrier", "nobody"], "no carrier is called 'nobody'"),
        (["work", "--json"], "--json belongs to --once"),
        (["retention", "--device", "nobody"], "nobody"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_nothing_is_set(
    hub: HubScene, words: list[str], sentence: str
) -> None:
    refused = triplog(hub, *words)
    assert refused.returncode == REFUSED
    assert sentence in refused.stderr
    assert "Traceback" not in refused.stderr
    assert not (hub.home / SETTING).exists()


def test_a_hub_lists_what_is_kept_as_the_device_itself_does(hub: HubScene, tmp_path: Path) -> None:
    device = Terminal(folder=tmp_path)
    device.type("demo")
    (path,) = tmp_path.rglob("triplog.sqlite3")
    own = subprocess.run(
        [sys.executable, "-m", "triplog", "retention", "list", "--json"],
        env=os.environ | {"TRIPLOG_HOME": str(path.parent)},
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    journal = reopened(path)
    invented = add_carrier(hub.database, hub.home, "demo", ["*"], hub.clock.read(), invented=True)
    scene = replace(hub, carrier=invented)
    push_in_cuts(scene, scene.pair(journal.store, "truck-1"), at_once=100)
    journal.close()
    found = triplog(hub, "retention", "--carrier", "demo", "--json")
    assert found.returncode == DONE, found.stderr
    listed, wanted = json.loads(found.stdout), json.loads(own.stdout)
    assert {one["about"] for one in wanted} >= {"trip", "gear"}
    assert [_without_private(one) for one in listed] == [_without_private(one) for one in wanted]


def _without_private(one: dict[str, object]) -> dict[str, object]:
    """Private values are opened to the hub by their own policy, and photos never."""
    return {name: value for name, value in one.items() if name != "private"}


def test_what_is_over_could_go_and_what_is_held_stays(hub: HubScene) -> None:
    one = truck(hub, ONE)
    for trip, label in ((TRIP, "T-1"), ("u" * 16, "T-2")):
        one.depart(trip, label)
        one.record(_closed(trip))
    hub.clock.wall += timedelta(days=366 * 12)
    assert _stands(hub, hub.carrier) == {"T-1": "could go", "T-2": "could go"}
    one.record(Draft(kind="hold_placed", trip=TRIP, body={}, private={"reason": "x"}, by=DRIVER))
    assert _stands(hub, hub.carrier) == {"T-1": "under hold", "T-2": "could go"}


def _stands(hub: HubScene, carrier: Carrier) -> dict[str, str]:
    with extract(hub.database, "office", hub.home, carrier, Asked(), hub.clock) as desk:
        today: date = today_of(desk)
        return {one.label: one.stands(today) for one in kept(desk)}


def _closed(trip: str) -> Draft:
    body: dict[str, object] = {"trip_heads": {}, "gear_back": [], "release_done": True}
    return Draft(kind="trip_closed", trip=trip, body=body, by=DRIVER)


def test_a_carrier_is_taken_on_once(hub: HubScene) -> None:
    again = triplog(hub, "carrier", hub.carrier.label)
    assert (again.returncode, again.stderr) == (
        REFUSED,
        f"refused, nothing was recorded: there is a carrier '{hub.carrier.label}' already\n",
    )


def test_a_hub_that_cannot_take_anything_in_is_not_served(hub: HubScene, tmp_path: Path) -> None:
    elsewhere = replace(hub, home=tmp_path / "elsewhere")
    said = triplog(elsewhere, "serve", "--port", str(free_port()))
    assert (said.returncode, said.stdout) == (REFUSED, "")
    assert "triplog hub init makes it" in said.stderr
    with psycopg.connect(hub.dsn, autocommit=True) as connection:
        connection.execute("DROP SCHEMA hub CASCADE")
    said = triplog(hub, "serve", "--port", str(free_port()))
    assert (said.returncode, said.stdout) == (REFUSED, "")
    assert said.stderr.endswith("triplog hub init\n")


def test_where_a_hub_is_reached_stays_as_it_was_where_another_has_the_port(hub: HubScene) -> None:
    keep_reached(hub.home, Reached("http://127.0.0.1:1", None))
    with socket.create_server(("127.0.0.1", 0)) as taken:
        said = triplog(hub, "serve", "--port", str(taken.getsockname()[1]))
    assert (said.returncode, said.stdout) == (REFUSED, "")
    assert "another program has it" in said.stderr
    assert reached(hub.home).address == "http://127.0.0.1:1"
