"""What goes wrong on the way: a server that is killed, a journal that another program holds, a trip
closed meanwhile, two answers to one prompt, a slow network, stale forms, odd texts.
"""

import os
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser, expect

from tests.dossier.scene import Office
from tests.page.served import PHONE, Served, free_port
from tests.page.test_entrance import token
from tests.page.test_working_day import paired, press, recorded
from triplog.desk.delivering import deliver
from triplog.desk.desk import open_desk
from triplog.desk.trips import close_trip
from triplog.journal.store_file import STORE_NAME
from triplog.journal.trip import Trip

ROOT = Path(__file__).parents[2]


def posted(client: httpx.Client, path: str, key: str, **fields: str) -> httpx.Response:
    """A form, sent as the page's own script sends it."""
    data = {"token": token(client), "key": key, **fields}
    return client.post(path, data=data, headers={"accept": "application/json"})


@pytest.fixture
def client(page: Served, trip: Trip) -> httpx.Client:
    """A phone on a trip that has stopped."""
    found = page.client()
    assert posted(found, f"/cab/{trip.id}/stopped", "s" * 20).status_code == 200
    return found


class Program:
    """`triplog page` as a process of its own, on the machine's clock."""

    def __init__(self, home: Path, port: int) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "triplog", "page", "--port", str(port)],
            cwd=ROOT,
            env={**os.environ, "TRIPLOG_HOME": str(home), "TRIPLOG_HEADS": str(home / "heads")},
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        assert self.process.stdout is not None
        self.url = f"http://127.0.0.1:{port}"
        self.code = ""
        for line in self.process.stdout:
            if "#" in line:
                self.code = line.rpartition("#")[2].strip()
                break
        for _ in range(200):
            try:
                httpx.get(f"{self.url}/enter")
                return
            except httpx.TransportError:
                time.sleep(0.05)

    def kill(self) -> None:
        """End it as a power switch would."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        assert self.process.stdout is not None
        self.process.stdout.close()


@pytest.fixture
def on_the_road(yard: Office, trip: Trip) -> Iterator[tuple[Path, str]]:
    """The home of a trip under way, its store closed in this process."""
    home = yard.desk.home
    yard.desk.store.close()
    yield home, trip.id


@pytest.mark.parametrize("rounds", [4, pytest.param(40, marks=pytest.mark.long)])
def test_a_server_killed_in_the_middle_loses_and_doubles_nothing(
    on_the_road: tuple[Path, str], rounds: int
) -> None:
    home, trip = on_the_road
    port, acknowledged, sent = free_port(), set(), set()
    program = Program(home, port)
    with httpx.Client(base_url=program.url, headers={"origin": program.url}) as client:
        client.post("/enter", data={"code": program.code})
        mine = token(client)
        first = {"token": mine, "key": "s" * 20}
        assert client.post(f"/cab/{trip}/stopped", data=first).status_code == 303
        for number in range(rounds):
            key = f"killed-{number:016}"
            sent.add(f"page-{key}")
            data = {"token": mine, "key": key, "what": "kerb", "note": str(number)}
            delay = 0.0005 * (number % 23)
            killer = threading.Timer(delay, program.kill)
            killer.start()
            try:
                if client.post(f"/cab/{trip}/event", data=data).status_code == 303:
                    acknowledged.add(f"page-{key}")
            except httpx.TransportError:
                pass
            killer.join()
            program = Program(home, port)
            # The session outlives the server, and what was not answered is sent again.
            assert client.post(f"/cab/{trip}/event", data=data).status_code == 303
        program.kill()
    with closing(sqlite3.connect(home / STORE_NAME)) as raw:
        kept = [
            row[0] for row in raw.execute("SELECT idem FROM entry WHERE idem LIKE 'page-kill%'")
        ]
    assert sorted(kept) == sorted(sent)
    assert acknowledged <= set(kept)


def test_a_journal_another_program_holds_is_told_and_nothing_is_lost(
    page: Served, trip: Trip, client: httpx.Client, chromium: Browser
) -> None:
    context = chromium.new_context(viewport=PHONE, has_touch=True, java_script_enabled=False)
    context.set_default_timeout(20_000)
    other = context.new_page()
    code = page.link(label="other").partition("#")[2]
    other.goto(f"{page.url}/enter")
    other.get_by_label("Code").fill(code)
    press(other, "Pair")
    other.wait_for_url("**/cab/*")
    other.goto(page.address(trip, "odometer"))
    other.get_by_label("What the odometer reads").fill("24160")
    holder = sqlite3.connect(page.yard.desk.home / STORE_NAME, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    answer = posted(client, f"/cab/{trip.id}/odometer", "o" * 20, odometer="24160")
    assert answer.status_code == 503
    assert "is being written by another program" in answer.json()["refused"]
    holder.execute("ROLLBACK")
    holder.close()
    press(other, "Record the reading")
    recorded(other)
    context.close()


def test_a_trip_closed_meanwhile_is_said(trip: Trip, client: httpx.Client, yard: Office) -> None:
    desk = open_desk(yard.desk.home, yard.clock)
    deliver(desk, desk.trip(trip.id), list(trip.article_ids), stopped=True)
    close_trip(desk, desk.trip(trip.id), release_done=True, gear_missing=[], note=None)
    desk.store.close()
    for act in ("check", "event", "odometer", "duty", "deliver", "handover", "heard", "close"):
        answer = posted(
            client, f"/cab/{trip.id}/{act}", f"{act:x<20}", answer="all fine", what="kerb",
            odometer="24160", status="driving", article="A", to="owner",
        )  # fmt: skip
        assert answer.status_code in (409, 200), act
        if answer.status_code == 409:
            told = answer.json()["refused"]
            assert len(told) > 10
            assert "triplog " not in told
            assert "--" not in told


def test_two_answers_to_one_prompt_both_stand(
    page: Served, trip: Trip, client: httpx.Client, yard: Office
) -> None:
    yard.clock.forward(minutes=60)
    other = page.client(label="other")
    assert posted(client, f"/cab/{trip.id}/heard", "h" * 20).status_code == 200
    assert posted(other, f"/cab/{trip.id}/heard", "i" * 20).status_code == 200
    again = posted(other, f"/cab/{trip.id}/heard", "i" * 20)
    assert again.json()["lines"] == ["This was recorded already; it stands once."]


def test_a_form_of_an_earlier_pairing_is_refused_in_a_sentence(
    trip: Trip, client: httpx.Client
) -> None:
    stale = {"token": "0" * 32, "key": "z" * 20, "odometer": "24160"}
    answer = client.post(f"/cab/{trip.id}/odometer", data=stale)
    assert answer.status_code == 403
    assert "earlier pairing" in answer.text


ODD_TEXTS = (
    "\N{DELIVERY TRUCK}" * 50,
    "\N{HEBREW LETTER ALEF}\N{RIGHT-TO-LEFT OVERRIDE}abc",
    "a\x00b\x1b[2J",
    "é" * 3_999,
)


@pytest.mark.parametrize("text", ODD_TEXTS)
def test_any_text_is_kept_as_it_was_typed(
    page: Served, trip: Trip, client: httpx.Client, text: str
) -> None:
    answer = posted(client, f"/cab/{trip.id}/event", "e" * 20, what="kerb", note=text)
    assert answer.status_code == 200
    opened = page.yard.desk.store.openings(answer.json()["entry"])
    assert opened["note"] == "".join(char for char in text if ord(char) >= 32).strip()


def test_a_note_of_ten_megabytes_is_refused_in_a_sentence(trip: Trip, client: httpx.Client) -> None:
    data = {"token": token(client), "key": "n" * 20, "what": "kerb", "note": "x" * 10_000_000}
    answer = client.post(f"/cab/{trip.id}/event", data=data, headers={"accept": "application/json"})
    assert answer.status_code == 413
    assert answer.json() == {"refused": "that is more than 1 MB; send less"}
    long = posted(client, f"/cab/{trip.id}/event", "l" * 20, what="kerb", note="x" * 5_000)
    assert long.status_code == 409
    assert "Shorten it" in long.json()["refused"]


def test_a_slow_network_records_once(page: Served, trip: Trip, chromium: Browser) -> None:
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    context.set_default_timeout(20_000)
    screen = paired(context, page)
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Something happened")
    slow = context.new_cdp_session(screen)
    slow.send("Network.enable")
    slow.send(
        "Network.emulateNetworkConditions",
        {
            "offline": False,
            "latency": 1_200,
            "downloadThroughput": 4_000,
            "uploadThroughput": 2_000,
        },
    )
    button = screen.get_by_role("button", name="hard braking")
    # An impatient thumb.
    for _ in range(3):
        button.tap()
    recorded(screen)
    expect(screen.get_by_text("Recorded: hard braking.")).to_be_visible()
    events = page.yard.trip(trip.label).of("event_reported")
    assert len(events) == 1
    context.close()


def test_a_person_s_own_units_stand_beside_those_of_the_rule(
    page: Served, trip: Trip, client: httpx.Client
) -> None:
    assert "km" not in client.get(f"/cab/{trip.id}").text.partition("<select")[0]
    client.post(
        "/choose", data={"token": token(client), "units": "kilograms, kilometres", "light": "day"}
    )
    assert " km)" in client.get(f"/cab/{trip.id}").text
    assert trip.label in client.get(f"/cab/{trip.id}").text
    assert page.house.book.sessions()[0].choices["units"] == "kilograms, kilometres"
