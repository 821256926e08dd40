"""The watcher pushes by itself, and nobody waits for it. All of it is our design; no source."""

import socket
import threading
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.progress import DutyStatus
from scheduler.watch import Look, TripLook
from tests.desk.watched import DEPARTED, HandClock, Watched, watched
from tests.hub.scene import HubScene, lines_of
from tests.hub.served import Relay, Served, relay_to, served
from triplog.cli.watching import Screen
from triplog.desk import hub_contact
from triplog.desk.hub_contact import WithHub
from triplog.desk.hub_pairing import end_pairing, pair
from triplog.desk.office import JournalOffice
from triplog.hub.carriers import unpair

PATIENCE_S = 30.0


@pytest.fixture
def hub_served(hub: HubScene) -> Iterator[Served]:
    """The hub of this test, served."""
    with served(hub) as one:
        yield one


@pytest.fixture
def relay(hub_served: Served) -> Iterator[Relay]:
    """What stands between, and counts requests."""
    with relay_to(hub_served) as one:
        yield one


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Watched]:
    """A trip that has just departed."""
    with watched(tmp_path / "truck") as day:
        yield day


def watch(day: Watched, lot: float = 0.0) -> WithHub:
    """A watcher that pushes, started; no wait is shortened unless the lot says so."""
    house = day.house()
    office = WithHub(JournalOffice(house), house, lot=lambda: lot)
    watcher = day.watch_with(house, office=office)
    watcher.start(paused=True)
    return office


def hub_threads() -> list[threading.Thread]:
    return [one for one in threading.enumerate() if one.name == "hub"]


def settle(day: Watched) -> None:
    """Let what is on its way come to its end, and the watcher see it; so until nothing is begun."""
    for _ in range(10):
        for thread in hub_threads():
            thread.join(PATIENCE_S)
            assert not thread.is_alive()
        day.turn()
        if not hub_threads():
            return
    raise AssertionError("it pushes and pushes")


def pass_ms(day: Watched, ms: int) -> None:
    """Let time pass, and the watcher have its turn."""
    day.clock.go_on_to(day.clock.now + timedelta(milliseconds=ms))
    day.turn()


def is_whole(hub: HubScene, day: Watched) -> bool:
    return hub.held(day.driver.store.device) == lines_of(day.driver.store)


def test_it_pushes_at_once_when_something_is_recorded_and_every_quarter_of_an_hour(
    hub: HubScene, hub_served: Served, relay: Relay, day: Watched
) -> None:
    pair(day.driver, relay.address, hub_served.code("truck-1"), None)
    watch(day)
    settle(day)
    assert is_whole(hub, day)
    day.duty(DutyStatus.ON_DUTY)
    settle(day)
    assert is_whole(hub, day)
    before = relay.requests
    pass_ms(day, 15 * 60_000 - 1)
    settle(day)
    assert relay.requests == before
    pass_ms(day, 1)
    settle(day)
    assert relay.requests == before + 1
    assert is_whole(hub, day)


def test_while_the_hub_is_away_the_pauses_double_and_then_all_arrives(
    hub: HubScene, hub_served: Served, day: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    pair(day.driver, hub_served.address, hub_served.code("truck-1"), None)
    hub_served.stop()
    day.driver.again = True
    begun: list[threading.Thread] = []
    start = threading.Thread.start

    def noted(thread: threading.Thread) -> None:
        # One that is refused at once may be over before anybody looks for it.
        if thread.name == "hub":
            begun.append(thread)
        start(thread)

    monkeypatch.setattr(threading.Thread, "start", noted)
    office = watch(day)
    settle(day)
    for wait_ms in (15_000, 30_000, 60_000):
        day.duty(DutyStatus.DRIVING if wait_ms == 30_000 else DutyStatus.ON_DUTY)
        pass_ms(day, wait_ms - 1)
        assert hub_threads() == [], "what is recorded meanwhile waits too"
        before = len(begun)
        pass_ms(day, 1)
        assert len(begun) == before + 1
        settle(day)
    assert office.trouble == ()
    hub_served.start()
    pass_ms(day, 120_000)
    settle(day)
    assert is_whole(hub, day)


def test_a_hub_that_never_answers_keeps_nobody_waiting(
    hub_served: Served, day: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    pair(day.driver, hub_served.address, hub_served.code("truck-1"), None)
    hub_served.stop()
    with closing(socket.create_server(("127.0.0.1", hub_served.port))):
        monkeypatch.setattr(hub_contact, "_LAST_WAIT_S", 0.0)
        office = watch(day)
        (thread,) = hub_threads()
        day.duty(DutyStatus.ON_DUTY)
        day.check()
        day.forward(60)
        assert hub_threads() == [thread], "it is on its way still"
        office.end()
    thread.join(PATIENCE_S)
    assert not thread.is_alive()


def test_a_journal_without_a_hub_begins_no_thread_and_one_paired_meanwhile_is_pushed(
    hub: HubScene, hub_served: Served, day: Watched
) -> None:
    watch(day)
    day.duty(DutyStatus.ON_DUTY)
    day.forward(60)
    assert hub_threads() == []
    pair(day.driver, hub_served.address, hub_served.code("truck-1"), None)
    day.turn()
    settle(day)
    assert is_whole(hub, day)
    end_pairing(day.driver)
    day.forward(60)
    assert hub_threads() == []


def test_what_the_hub_refuses_is_kept_for_whoever_looks(
    hub: HubScene, hub_served: Served, day: Watched
) -> None:
    pair(day.driver, hub_served.address, hub_served.code("truck-1"), None)
    unpair(hub.database, hub.carrier, "truck-1", hub.clock.read())
    office = watch(day)
    settle(day)
    (told,) = office.trouble
    assert "draw a code" in told


def test_what_there_is_to_tell_of_the_hub_is_told_once_and_not_while_anybody_drives(
    capsys: pytest.CaptureFixture[str],
) -> None:
    screen = Screen(HandClock(DEPARTED), [], lambda: ("! the hub is another",))
    trip = TripLook(trip="a", label="T-1", at=DEPARTED, duty=DutyStatus.DRIVING, due_checks=())
    screen.looked(Look(at=DEPARTED, trips=(trip,), next_at=None))
    assert capsys.readouterr().err == ""
    for wanted in ("! the hub is another\n", ""):
        screen.looked(Look(at=DEPARTED, trips=(), next_at=None))
        assert capsys.readouterr().err == wanted
