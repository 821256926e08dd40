"""Without a connection: what is recorded is kept on the phone, with its time, and stands once."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from tests.dossier.scene import Office
from tests.page.served import PHONE, Served, start
from tests.page.test_working_day import ALL_FINE, kinds, paired, press, recorded
from triplog.journal.trip import Trip

NONSENSE = "twelve miles \N{DELIVERY TRUCK} \N{HEBREW LETTER ALEF}"
WAITS = "1 entry waits on this phone"


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    """A phone whose connection can be taken away."""
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    context.set_default_timeout(8_000)
    yield context
    context.close()


def send_now(screen: Page) -> None:
    """What the page does every ten seconds, and when the connection is back."""
    screen.evaluate("dispatchEvent(new Event('online'))")


def test_what_is_recorded_offline_is_kept_and_sent_with_its_time(
    phone: BrowserContext, page: Served, trip: Trip, yard: Office
) -> None:
    screen = paired(phone, page)
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Check the load")
    phone.set_offline(True)
    screen.clock.install()
    screen.get_by_role("button", name=ALL_FINE).tap()
    expect(screen.get_by_text(WAITS)).to_be_visible()
    assert kinds(page, trip).count("check_completed") == 0
    # Half an hour later, by both clocks, the connection is back.
    screen.clock.fast_forward(30 * 60_000)
    yard.clock.forward(minutes=30)
    phone.set_offline(False)
    send_now(screen)
    expect(screen.get_by_text("Sent and recorded")).to_be_visible()
    check = yard.trip(trip.label).last("check_completed")
    assert check is not None
    waited = check.entry.entry_time - check.entry.event_time
    assert 29 * 60 < waited.total_seconds() < 32 * 60
    assert screen.evaluate("localStorage.getItem('triplog-kept')") == "[]"


def test_the_phone_s_clock_may_be_wrong(
    phone: BrowserContext, page: Served, trip: Trip, yard: Office
) -> None:
    screen = paired(phone, page)
    screen.clock.install(time="2031-01-01T00:00:00Z")
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Odometer")
    phone.set_offline(True)
    screen.get_by_label("What the odometer reads").fill("24160")
    screen.get_by_role("button", name="Record the reading").tap()
    expect(screen.get_by_text(WAITS)).to_be_visible()
    screen.clock.fast_forward(10 * 60_000)
    yard.clock.forward(minutes=10)
    phone.set_offline(False)
    send_now(screen)
    expect(screen.get_by_text("Sent and recorded")).to_be_visible()
    reading = yard.trip(trip.label).last("odometer_read")
    assert reading is not None
    assert 9 * 60 < (reading.entry.entry_time - reading.entry.event_time).total_seconds() < 12 * 60


def test_several_are_sent_in_the_order_they_were_made(
    phone: BrowserContext, page: Served, trip: Trip
) -> None:
    screen = paired(phone, page)
    phone.set_offline(True)
    # Stopped, without a connection; the page cannot change, and the stop is said to wait.
    screen.get_by_role("button", name="I have stopped off the road").tap()
    expect(screen.get_by_text(WAITS)).to_be_visible()
    screen.get_by_role("button", name="I have stopped off the road").tap()
    expect(screen.get_by_text("2 entries wait on this phone")).to_be_visible()
    phone.set_offline(False)
    send_now(screen)
    expect(screen.get_by_text("Sent and recorded").first).to_be_visible()
    # The second stop says nothing new: it is refused in a sentence and stays readable.
    expect(screen.get_by_text("the duty status is on duty already")).to_be_visible()
    assert kinds(page, trip).count("duty_changed") == 1
    press(screen, "Leave it")
    assert screen.evaluate("localStorage.getItem('triplog-kept')") == "[]"


def test_a_closed_tab_loses_nothing(phone: BrowserContext, page: Served, trip: Trip) -> None:
    screen = paired(phone, page)
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Something happened")
    phone.set_offline(True)
    screen.get_by_role("button", name="hard braking").tap()
    expect(screen.get_by_text(WAITS)).to_be_visible()
    screen.close()
    phone.set_offline(False)
    again = phone.new_page()
    again.goto(page.address(trip))
    expect(again.get_by_text("Sent and recorded")).to_be_visible()
    assert kinds(page, trip).count("event_reported") == 1


def test_an_answer_that_is_lost_on_the_way_records_nothing_twice(
    phone: BrowserContext, page: Served, trip: Trip
) -> None:
    screen = paired(phone, page)
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Odometer")
    lost = 0

    def lose(route: Route) -> None:
        nonlocal lost
        lost += 1
        if lost == 1:
            route.fetch()  # the server has it, and the answer is lost
            route.abort("connectionreset")
        else:
            route.continue_()

    screen.route("**/odometer", lambda r: lose(r) if r.request.method == "POST" else r.continue_())
    screen.get_by_label("What the odometer reads").fill("24160")
    screen.get_by_role("button", name="Record the reading").tap()
    # It is sent again at once, under the same key.
    expect(screen.get_by_text("Sent and recorded")).to_be_visible()
    assert kinds(page, trip).count("odometer_read") == 1


def test_a_server_that_is_gone_and_back_loses_nothing(
    phone: BrowserContext, yard: Office, trip: Trip, tmp_path: Path
) -> None:
    from tests.page.served import free_port

    port = free_port()
    page = start(yard, tmp_path / "heads", port)
    screen = paired(phone, page)
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Check the load")
    page.stop()
    page.house.close()
    screen.get_by_role("button", name=ALL_FINE).tap()
    expect(screen.get_by_text(WAITS)).to_be_visible()
    again = start(yard, tmp_path / "heads", port)
    try:
        send_now(screen)
        expect(screen.get_by_text("Sent and recorded")).to_be_visible()
        assert kinds(again, trip).count("check_completed") == 1
    finally:
        again.stop()
        again.house.close()


def test_the_page_can_be_reloaded_without_a_connection_where_the_browser_trusts_it(
    phone: BrowserContext, page: Served
) -> None:
    screen = paired(phone, page)
    press(screen, "I have stopped off the road")
    recorded(screen)
    screen.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    screen.reload()
    screen.wait_for_function("navigator.serviceWorker.controller !== null")
    screen.reload()
    phone.set_offline(True)
    screen.reload()
    expect(screen.get_by_role("link", name="Check the load")).to_be_visible()
    phone.set_offline(False)


def test_a_refusal_keeps_what_was_typed(phone: BrowserContext, page: Served) -> None:
    screen = paired(phone, page)
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Odometer")
    screen.get_by_label("What the odometer reads").fill(NONSENSE)
    press(screen, "Record the reading")
    expect(screen.get_by_text("Not recorded.")).to_be_visible()
    assert screen.get_by_label("What the odometer reads").input_value() == NONSENSE
