"""The hub's pages for people: axe-core finds nothing, nothing is cut off, large enough to touch.

The widths are those of a phone and of a desk, and 320 px (WCAG 2.2, 1.4.10); what is touched has
48 px, our own figure for the office.
"""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.dossier.scene import office
from tests.hub.office_scene import OfficeScene, office_scene
from tests.hub.scene import HubScene
from tests.page.served import free_port, run_in_thread
from tests.page.test_for_people import LARGE, OFFICE_TOUCH_PX
from triplog.desk.checking import Found
from triplog.hub.app import Hub, application
from triplog.hub.office.browsers import draw_browser_code
from triplog.page.house import Settings

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


@pytest.fixture
def url(hub: HubScene, tmp_path: Path) -> Iterator[str]:
    """The pages of a hub with a held trip whose check found something, and a silent truck."""
    port = free_port()
    settings = Settings(names=frozenset({f"127.0.0.1:{port}"}), is_secure=False)
    served = Hub(database=hub.database, home=hub.home, clock=hub.clock, office=settings)
    # What drives the browser has a loop of its own in this thread.
    with office_scene(hub) as scene, ThreadPoolExecutor(1) as elsewhere:
        elsewhere.submit(_fill, scene, tmp_path).result()
        server = uvicorn.Server(
            uvicorn.Config(
                application(served),
                host="127.0.0.1",
                port=port,
                log_level="critical",
                access_log=False,
                timeout_graceful_shutdown=2,
            )
        )
        with run_in_thread(server):
            yield f"http://127.0.0.1:{port}"


def _fill(scene: OfficeScene, tmp_path: Path) -> None:
    yard = office(tmp_path / "truck")
    trip = yard.departed(yard.judged(yard.loaded(2, 3)))
    yard.clock.forward(minutes=30)
    yard.checked(trip, odometer="24165 mi", T2=Found.SLACK)
    scene.bring(yard, "truck-1")
    scene.hub.clock.wall = yard.clock.wall
    page = f"/office/trip/{trip.id}"
    scene.browser().post(f"{page}/hold", page, reason="a letter came")
    scene.derive()
    scene.hub.clock.forward(minutes=60 * 30)


@pytest.fixture(params=["light", "dark"])
def screen(request: pytest.FixtureRequest, chromium: Browser) -> Iterator[Page]:
    """A browser by day, and by night."""
    context = chromium.new_context(color_scheme=request.param, reduced_motion="reduce")
    context.set_default_timeout(8_000)
    yield context.new_page()
    context.close()


def paired(hub: HubScene, url: str, screen: Page) -> list[str]:
    """Pair the screen by its link; the addresses of every page there is."""
    code = draw_browser_code(hub.database, hub.carrier, "desk", "office", hub.clock.wall)
    screen.goto(f"{url}/enter#{code}")
    screen.wait_for_url("**/office")
    screen.goto(f"{url}/office/trips")
    trip = screen.locator("tbody a").first.get_attribute("href")
    lists = ["/office", "/office/trips", "/office/devices", "/office/messages"]
    return [*lists, str(trip), f"{trip}/entries", "/enter", "/nothing"]


def test_axe_finds_nothing_on_any_page(hub: HubScene, url: str, screen: Page) -> None:
    found: list[str] = []
    for name in paired(hub, url, screen):
        screen.goto(url + name)
        for one in Axe().run(screen, options=RULES).response["violations"]:
            nodes = "; ".join(node["html"][:120] for node in one["nodes"][:3])
            found.append(f"{name}: {one['id']}: {nodes}")
    assert found == []


def test_nothing_is_cut_off_and_what_is_touched_is_large(
    hub: HubScene, url: str, screen: Page
) -> None:
    too_wide, small = [], []
    names = paired(hub, url, screen)
    for width in (320, 390, 768, 1440):
        screen.set_viewport_size({"width": width, "height": 844})
        for name in names:
            screen.goto(url + name)
            whole = screen.evaluate("document.documentElement.scrollWidth")
            if whole > width:
                too_wide.append((name, width, whole))
            for one in screen.locator(LARGE).all():
                box = one.bounding_box()
                if box is not None and min(box["height"], box["width"]) < OFFICE_TOUCH_PX - 0.5:
                    small.append((name, one.evaluate("(e) => e.outerHTML.slice(0, 90)")))
    assert too_wide == []
    assert small == []


def test_the_pages_ask_for_nothing_from_elsewhere_and_break_nothing(
    hub: HubScene, url: str, screen: Page
) -> None:
    asked: list[str] = []
    told: list[str] = []
    screen.on("request", lambda one: asked.append(one.url))
    screen.on("pageerror", lambda one: told.append(str(one)))
    for name in paired(hub, url, screen):
        screen.goto(url + name)
    assert [one for one in asked if not one.startswith((url, "data:"))] == []
    assert told == []
