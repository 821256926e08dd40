"""The working day on the page alone, at phone size: a real server, a real store, a real browser.

What the page records is what the commands record; the test reads it in the journal.
"""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.dossier.scene import Office
from tests.page.served import PHONE, Served, served
from triplog.journal.trip import Trip, TripState

ALL_FINE = "All looked at, none slack"


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    """A phone: narrow, and touched."""
    context = chromium.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    context.set_default_timeout(8_000)
    yield context
    context.close()


def paired(phone: BrowserContext, page: Served, *roles: str, label: str = "phone-1") -> Page:
    """The page of the only open trip, on a phone that has just been paired."""
    screen = phone.new_page()
    screen.goto(page.link(*roles, label=label))
    screen.wait_for_url("**/cab/*")
    return screen


def kinds(page: Served, trip: Trip) -> list[str]:
    """The kinds of the trip's entries, in their order."""
    return [one.kind for one in page.yard.desk.store.trip_entries(trip.id)]


def press(screen: Page, name: str) -> None:
    """Touch a button or a link by its name; of a link, wait for its page."""
    # Names are whole words: "Depart" is not "Departed".
    link = screen.get_by_role("link", name=name, exact=True)
    target = screen.get_by_role("button", name=name, exact=True).or_(link).first
    target.wait_for()
    href = target.get_attribute("href")
    target.tap()
    if href is not None:
        screen.wait_for_url(f"**{href}")
    screen.wait_for_load_state()


def recorded(screen: Page) -> None:
    """The page that follows an act that was recorded."""
    screen.wait_for_url("**done=**")


def test_a_check_with_nothing_found_takes_at_most_six_touches(
    phone: BrowserContext, page: Served, trip: Trip
) -> None:
    screen = paired(phone, page)
    touches = 0
    for name in ("I have stopped off the road", "Check the load", ALL_FINE):
        press(screen, name)
        touches += 1
    recorded(screen)
    assert touches <= 6
    assert page.yard.trip(trip.label).last("check_completed") is not None
    expect(screen.get_by_text("Checked.")).to_be_visible()


def test_while_it_is_driven_the_page_shows_nothing_but_how_to_stop(
    phone: BrowserContext, page: Served, trip: Trip
) -> None:
    screen = paired(phone, page)
    controls = screen.locator("main a, main button, main input:not([type=hidden]), main select")
    assert controls.count() == 1
    assert not any(character.isdigit() for character in screen.inner_text("main"))
    shown = screen.content()
    page.yard.clock.forward(minutes=120)
    screen.wait_for_timeout(2_500)
    assert screen.content() == shown, "nothing on it changes by itself"
    for act in ("check", "odometer", "deliver", "event", "duty"):
        screen.goto(page.address(trip, act))
        assert controls.count() == 1


def test_the_working_day_on_the_page_alone(phone: BrowserContext, yard: Office) -> None:
    planned = yard.judged(yard.loaded(2, 5))
    home = yard.desk.home
    with served(yard, home.parent / "heads") as page:
        screen = paired(phone, page)
        _depart(screen)
        yard.clock.forward(minutes=45)
        _first_stop(screen)
        yard.clock.forward(minutes=2)
        _drive_on(screen)
        yard.clock.forward(minutes=200)
        _late_with_a_broken_strap(screen)
        yard.clock.forward(minutes=20)
        _deliver_and_let_off(screen)
        trip = yard.trip(planned.label)
    assert trip.state is TripState.CLOSED
    made = [one.kind for one in yard.desk.store.trip_entries(trip.id) if one.via == "page"]
    for kind in ("departed", "check_completed", "event_reported", "gear_replaced", "released"):
        assert kind in made
    checks = trip.of("check_completed")
    assert len(checks) == 2
    assert "late" in checks[1].entry.body
    assert any(one.entry.body.get("cause") == "tie-down added" for one in trip.of("plan_recorded"))
    assert yard.desk.store.openings(checks[1].entry.hash)["reason"] == "no safe place to stop"
    assert yard.desk.store.check() == []


def _depart(screen: Page) -> None:
    press(screen, "Loaded and tied")
    screen.get_by_label("All gear was looked at: no damage, no knots").check()
    screen.get_by_label("yes", exact=True).check()
    press(screen, "Loaded and tied as planned")
    recorded(screen)
    press(screen, "Depart")
    screen.get_by_label("What the odometer reads").fill("24130")
    reason = screen.get_by_label("Why depart all the same")
    if reason.count():
        reason.fill("end fittings not told")
    press(screen, "Depart")
    recorded(screen)


def _first_stop(screen: Page) -> None:
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Check the load")
    # A digit was typed wrongly: asked about, and what else was typed is kept.
    screen.get_by_label("What the odometer reads").fill("42165")
    press(screen, ALL_FINE)
    expect(screen.get_by_text("Not recorded.")).to_be_visible()
    assert screen.get_by_label("What the odometer reads").input_value() == "42165"
    screen.get_by_label("What the odometer reads").fill("24165")
    press(screen, ALL_FINE)
    recorded(screen)


def _drive_on(screen: Page) -> None:
    press(screen, "Drive on, or other duty")
    press(screen, "Drive on")
    recorded(screen)
    expect(screen.get_by_role("button", name="I have stopped off the road")).to_be_visible()


def _late_with_a_broken_strap(screen: Page) -> None:
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Something happened")
    screen.get_by_label("T2").check()
    press(screen, "broken strap")
    recorded(screen)
    expect(screen.get_by_text("Add the new one first").first).to_be_visible()
    press(screen, "Exchange a tie-down")
    assert screen.get_by_label("Which tie-down").input_value() == "T2"
    screen.get_by_label("Which gear takes its place").select_option("S-9")
    screen.get_by_label("Why it had to be, if that was found").fill("cut at an edge")
    press(screen, "Done: the new one on first, then the old one off")
    recorded(screen)
    press(screen, "Check the load")
    screen.get_by_label("Why it is late").fill("no safe place to stop")
    screen.get_by_label("What the odometer reads").fill("24310")
    strap = screen.locator("#T3")
    screen.locator("summary", has_text="T3").tap()
    strap.get_by_label("slack, tightened").check()
    for _ in range(2):
        strap.get_by_role("button", name="one more").tap()
    press(screen, "I looked at all 5; the others are fine")
    recorded(screen)


def _deliver_and_let_off(screen: Page) -> None:
    press(screen, "Let the straps off")
    press(screen, "Each was looked at, and is a yes")
    screen.wait_for_url("**/release?done=**")
    expect(screen.get_by_text("Ready to let off")).to_be_visible()
    press(screen, "Back to the trip")
    press(screen, "Deliver")
    screen.get_by_label("A,").check()
    press(screen, "Delivered")
    recorded(screen)
    # What is left is short of a tie-down: one more, before rolling on.
    press(screen, "One more tie-down")
    screen.get_by_label("Which gear").select_option("S-10")
    screen.get_by_label("B,").check()
    screen.get_by_label("From which anchor point").select_option("L9")
    screen.get_by_label("To which anchor point").select_option("R9")
    press(screen, "It is on and tensioned: add it to the plan")
    screen.wait_for_url("**/tie-down?done=**")
    press(screen, "Back to the trip")
    press(screen, "Deliver")
    screen.get_by_label("B,").check()
    press(screen, "Delivered")
    recorded(screen)
    press(screen, "Close the trip")
    screen.get_by_label("The gear was counted: all of it is back").check()
    press(screen, "Close the trip")
    recorded(screen)


def test_two_phones_at_once_see_one_another(chromium: Browser, page: Served, trip: Trip) -> None:
    contexts = [chromium.new_context(viewport=PHONE, has_touch=True) for _ in range(2)]
    one, other = (
        paired(context, page, label=f"phone-{number}") for number, context in enumerate(contexts)
    )
    press(one, "I have stopped off the road")
    recorded(one)
    other.goto(page.address(trip))
    press(one, "Check the load")
    press(one, ALL_FINE)
    recorded(one)
    # The other is told, and shows it without being touched.
    expect(other.get_by_text("nothing due").first).to_be_visible(timeout=8_000)
    assert kinds(page, trip).count("check_completed") == 1
    for context in contexts:
        context.close()


def test_the_back_button_and_a_reload_record_nothing_twice(
    phone: BrowserContext, page: Served, trip: Trip
) -> None:
    screen = paired(phone, page)
    press(screen, "I have stopped off the road")
    recorded(screen)
    press(screen, "Check the load")
    press(screen, ALL_FINE)
    recorded(screen)
    screen.reload()
    screen.go_back()
    screen.wait_for_load_state()
    assert kinds(page, trip).count("check_completed") == 1
    # The form that is back is sent again, under the key it had.
    screen.goto(page.address(trip, "odometer"))
    screen.get_by_label("What the odometer reads").fill("24160")
    key = screen.locator("input[name=key]").input_value()
    press(screen, "Record the reading")
    recorded(screen)
    client = page.client(label="again")
    token = client.get("/enter").text.partition('name="token" content="')[2][:32]
    data = {"token": token, "key": key, "odometer": "24160"}
    again = client.post(f"/cab/{trip.id}/odometer", data=data)
    assert again.status_code == 303
    assert kinds(page, trip).count("odometer_read") == 1


def test_without_javascript_everything_is_recorded(
    chromium: Browser, page: Served, trip: Trip
) -> None:
    context = chromium.new_context(viewport=PHONE, has_touch=True, java_script_enabled=False)
    screen = context.new_page()
    code = page.link().partition("#")[2]
    screen.goto(f"{page.url}/enter")
    screen.get_by_label("Code").fill(code)
    press(screen, "Pair")
    press(screen, "I have stopped off the road")
    press(screen, "Check the load")
    # The handle of a strap in the picture is touched: its line opens.
    expect(screen.get_by_role("group", name="T4")).to_be_hidden()
    screen.get_by_role("link", name="T4: say what was found").locator("rect").tap()
    assert screen.url.endswith("#T4")
    screen.locator("#T4").get_by_label("damaged").check()
    press(screen, "I looked at all 5; the others are fine")
    recorded(screen)
    context.close()
    check = page.yard.trip(trip.label).last("check_completed")
    assert check is not None
    found = {one["tie_down"]: one["found"] for one in check.entry.body["lines"]}  # type: ignore[attr-defined]
    assert found == {"T1": "fine", "T2": "fine", "T3": "fine", "T4": "damaged", "T5": "fine"}
