"""For people: axe-core finds nothing on any page; nothing is cut off at any width, nor at four
times the size; what is touched is large enough; day and night.

axe-core comes with the test package `axe-playwright-python`; nothing of it lies in this tree. The
sizes: WCAG 2.2, 1.4.10 (reflow at 320 CSS px), 1.4.4 and 2.5.8; in the cab 15 mm, our own figure,
for gloves.
"""

from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.page.served import Served
from triplog.journal.trip import Trip
from triplog.page.cab.pages import ACTS

WIDTHS = (320, 390, 768, 1440)
CAB_TOUCH_PX, OFFICE_TOUCH_PX = 56.6, 48.0
LARGE = (
    "main button, main .button, main .tick, main select,"
    " main input:not([type=checkbox]):not([type=radio]):not([type=hidden])"
)


def pages(trip: Trip) -> list[str]:
    """Every page there is, by its address."""
    cab = [f"/cab/{trip.id}/{act}" for act in ACTS if act != "depart"]
    office = ["/office", "/office/trips", f"/office/trip/{trip.id}"]
    return [
        "/enter",
        "/cab",
        f"/cab/{trip.id}",
        *cab,
        f"/cab/{trip.id}/slip",
        f"/cab/{trip.id}/show",
        *office,
        f"/office/trip/{trip.id}/entries",
        "/nothing",
    ]


def stopped(page: Served, screen: Page, trip: Trip) -> None:
    """Pair the screen, and say that the vehicle stands."""
    screen.goto(page.link("cab", "office"))
    screen.wait_for_url("**/cab/*")
    screen.get_by_role("button", name="I have stopped off the road").click()
    screen.wait_for_url("**done=**")
    assert trip.id in screen.url


@pytest.fixture(params=["light", "dark"])
def screen(request: pytest.FixtureRequest, chromium: Browser) -> Iterator[Page]:
    """A browser by day, and by night."""
    context = chromium.new_context(
        color_scheme=request.param, reduced_motion="reduce", viewport={"width": 390, "height": 844}
    )
    context.set_default_timeout(8_000)
    yield context.new_page()
    context.close()


def test_axe_finds_nothing_on_any_page(page: Served, trip: Trip, screen: Page) -> None:
    found: list[str] = []
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
    strict = {"runOnly": [*rules["runOnly"], "wcag2aaa"]}

    def look(name: str, options: dict[str, Any]) -> None:
        result = Axe().run(screen, options=options)
        for one in result.response["violations"]:
            nodes = "; ".join(node["html"][:120] for node in one["nodes"][:3])
            found.append(f"{name}: {one['id']}: {nodes}")

    screen.goto(page.link("cab", "office"))
    screen.wait_for_url("**/cab/*")
    look("still", strict)
    stopped_here(screen)
    for name in pages(trip):
        screen.goto(page.url + name)
        look(name, strict if name.startswith("/cab") else rules)
    screen.goto(f"{page.url}/cab/{trip.id}/show")
    screen.get_by_label("Your number").fill("4719")
    screen.get_by_role("button", name="Show the sheet").click()
    screen.wait_for_url("**/shown")
    look("/shown", rules)
    assert found == []


def stopped_here(screen: Page) -> None:
    screen.get_by_role("button", name="I have stopped off the road").click()
    screen.wait_for_url("**done=**")


def test_nothing_is_cut_off_at_any_width(page: Served, trip: Trip, screen: Page) -> None:
    stopped(page, screen, trip)
    too_wide = []
    for width in WIDTHS:
        screen.set_viewport_size({"width": width, "height": 844})
        for name in pages(trip):
            screen.goto(page.url + name)
            whole = screen.evaluate("document.documentElement.scrollWidth")
            if whole > width:
                too_wide.append((name, width, whole))
    assert too_wide == []


def test_at_four_times_the_size_nothing_is_lost(page: Served, trip: Trip, screen: Page) -> None:
    # 1280 px at 400 % are 320 CSS px; text alone at 200 % (1.4.4).
    stopped(page, screen, trip)
    screen.set_viewport_size({"width": 320, "height": 256})
    for name in pages(trip):
        screen.goto(page.url + name)
        screen.evaluate("document.documentElement.style.fontSize = '200%'")
        whole = screen.evaluate("document.documentElement.scrollWidth")
        assert whole <= 320, (name, whole)


def test_what_is_touched_is_large_enough(page: Served, trip: Trip, screen: Page) -> None:
    stopped(page, screen, trip)
    small = []
    for name in pages(trip):
        screen.goto(page.url + name)
        least = CAB_TOUCH_PX if name.startswith("/cab") else OFFICE_TOUCH_PX
        screen.evaluate(
            "document.querySelectorAll('details').forEach((one) => { one.open = true })"
        )
        for one in screen.locator(LARGE).all():
            box = one.bounding_box()
            if box is not None and min(box["height"], box["width"]) < least - 0.5:
                small.append((name, one.evaluate("(e) => e.outerHTML.slice(0, 90)"), box))
    assert small == []
    screen.goto(f"{page.url}/cab/{trip.id}/check")
    for handle in screen.locator(".touch a").all():
        box = handle.bounding_box()
        assert box is not None
        assert box["height"] >= CAB_TOUCH_PX
        assert box["width"] >= CAB_TOUCH_PX


def test_a_page_is_dark_from_its_first_moment_at_night(
    page: Served, trip: Trip, chromium: Browser
) -> None:
    context = chromium.new_context(color_scheme="light")
    screen = context.new_page()
    stopped(page, screen, trip)
    screen.get_by_text("Language, units, light, leave").click()
    screen.get_by_label("Light").select_option("night")
    screen.get_by_role("button", name="Keep").click()
    screen.wait_for_url("**/cab/*")
    # The style sheet is waited for before anything is drawn, and says so itself in the head.
    assert screen.get_attribute("meta[name=color-scheme]", "content") == "dark"
    assert screen.evaluate("getComputedStyle(document.documentElement).backgroundColor") == (
        "rgb(13, 13, 13)"
    )
    sheets = screen.locator("head link[rel=stylesheet]")
    assert sheets.count() == 1
    assert sheets.get_attribute("media") is None
    context.close()


def test_the_page_is_read_in_french_and_in_spanish(
    page: Served, trip: Trip, chromium: Browser
) -> None:
    for language, word in (("fr-CA", "Contrôler le chargement"), ("es-MX", "Revisar la carga")):
        context = chromium.new_context(locale=language)
        screen = context.new_page()
        screen.goto(page.link(label=language))
        screen.wait_for_url("**/cab/*")
        if screen.locator("button.whole").count():
            screen.locator("button.whole").click()
            screen.wait_for_url("**done=**")
        assert screen.get_by_role("link", name=word).count() == 1
        assert screen.get_attribute("html", "lang") == language[:2]
        context.close()
    assert trip.id


def test_everything_can_be_done_with_the_keyboard_alone(
    page: Served, trip: Trip, chromium: Browser
) -> None:
    context = chromium.new_context()
    screen = context.new_page()
    stopped(page, screen, trip)
    for _ in range(12):
        screen.keyboard.press("Tab")
        focused = screen.evaluate("document.activeElement.textContent")
        if focused.strip() == "Check the load":
            break
    screen.keyboard.press("Enter")
    screen.wait_for_url("**/check")
    for _ in range(8):
        screen.keyboard.press("Tab")
        focused = screen.evaluate("document.activeElement.textContent")
        if "none slack" in focused:
            break
    outline = screen.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid", "where the focus is can be seen"
    screen.keyboard.press("Enter")
    screen.wait_for_url("**done=**")
    assert page.yard.trip(trip.label).last("check_completed") is not None
    context.close()


def test_the_cab_page_is_small(page: Served, trip: Trip, chromium: Browser) -> None:
    """At most 60 kB over the wire and five requests, by what the browser itself counted."""
    context = chromium.new_context(service_workers="block")
    screen = context.new_page()
    stopped(page, screen, trip)
    asked: list[str] = []
    sizes: list[int] = []

    def finished(request: Any) -> None:
        asked.append(request.url)
        if "/live" not in request.url:
            told = request.sizes()
            sizes.append(told["responseBodySize"] + told["responseHeadersSize"])

    fresh = chromium.new_context(storage_state=context.storage_state(), service_workers="block")
    other = fresh.new_page()
    other.on("requestfinished", finished)
    for name in ("", "check"):
        asked.clear()
        sizes.clear()
        other.goto(page.address(trip, name))
        other.wait_for_timeout(500)
        assert len(asked) <= 5, asked
        assert sum(sizes) <= 60_000, sizes
    fresh.close()
    context.close()
