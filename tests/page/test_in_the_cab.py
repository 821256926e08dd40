"""The cab at arm's length: what stands for more than was touched is far from what does not; counts
and distances by large buttons; an officer reads every word of the sheet without moving it sideways.
"""

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect

from tests.page.served import Served
from tests.page.test_for_people import CAB_TOUCH_PX, stopped
from tests.page.test_working_day import press, recorded
from triplog.journal.trip import Trip

SIGN_FOR_ALL = "I looked at all 5; the others are fine"
APART_PX = 32
READ_AT_LEAST_PX = 18
CUT_OFF = """(width) => {
  const found = [];
  for (const one of document.querySelectorAll("body *")) {
    const box = one.getBoundingClientRect(), style = getComputedStyle(one);
    if (style.clipPath !== "none" || style.display === "inline" || !box.width) continue;
    const hides = style.overflowX !== "visible" && one.scrollWidth > one.clientWidth + 1;
    if (hides || box.right > width + 1 || box.left < -1)
      if (!one.closest(".skip, thead")) found.push(one.outerHTML.slice(0, 100));
  }
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    if (texts.currentNode.parentElement.closest(".skip, .visually-hidden, thead")) continue;
    const range = document.createRange();
    range.selectNodeContents(texts.currentNode);
    for (const box of range.getClientRects())
      if (box.right > width + 1) found.push(texts.currentNode.data.slice(0, 60));
  }
  return found;
}"""


@pytest.fixture(params=["light", "dark"])
def screen(request: pytest.FixtureRequest, chromium: Browser) -> Iterator[Page]:
    """A phone by day, and by night."""
    context = chromium.new_context(
        color_scheme=request.param,
        reduced_motion="reduce",
        has_touch=True,
        viewport={"width": 390, "height": 844},
    )
    context.set_default_timeout(8_000)
    yield context.new_page()
    context.close()


def edges(one: Locator) -> tuple[float, float]:
    """Where it begins and ends from the top."""
    box = one.bounding_box()
    assert box is not None
    return box["y"], box["y"] + box["height"]


def show_the_sheet(page: Served, screen: Page, trip: Trip) -> None:
    """Give the roadside sheet the whole screen."""
    screen.goto(page.address(trip, "show"))
    screen.get_by_label("Your number").fill("4719")
    press(screen, "Show the sheet")
    screen.wait_for_url("**/shown")


@pytest.mark.parametrize("sheet", ["roadside sheet", "slip"])
def test_every_word_of_a_sheet_is_read_without_moving_it_sideways(
    page: Served, trip: Trip, screen: Page, sheet: str
) -> None:
    stopped(page, screen, trip)
    if sheet == "slip":
        screen.goto(page.address(trip, "slip"))
    else:
        show_the_sheet(page, screen, trip)
        assert screen.get_by_role("table").count() == 4
    cut: list[object] = []
    for width in (320, 390, 640, 768, 1440):
        screen.set_viewport_size({"width": width, "height": 844})
        for size in (100, 200):
            screen.evaluate(f"document.documentElement.style.fontSize = '{size}%'")
            cut += [(width, size, one) for one in screen.evaluate(CUT_OFF, width)]
    assert cut == []


def test_a_sheet_in_little_room_is_a_table_all_the_same(
    page: Served, trip: Trip, screen: Page
) -> None:
    stopped(page, screen, trip)
    show_the_sheet(page, screen, trip)
    table = screen.get_by_role("table").nth(1)
    assert table.get_by_role("columnheader").count() == 6
    row = table.get_by_role("row").nth(1)
    assert row.get_by_role("cell").count() == 6
    first, other = row.get_by_role("cell").nth(0), row.get_by_role("cell").nth(1)
    assert edges(first)[1] <= edges(other)[0], "cell under cell"
    expect(other.get_by_text("Gear")).to_be_visible()
    screen.emulate_media(media="print")
    assert edges(first)[0] == edges(other)[0], "on paper beside one another"
    expect(other.get_by_text("Gear")).to_be_hidden()


def test_a_tie_down_is_one_row_that_says_how_it_stands(
    page: Served, trip: Trip, screen: Page
) -> None:
    stopped(page, screen, trip)
    screen.goto(page.address(trip, "check"))
    rows = screen.locator(".strap > summary")
    assert rows.count() == 5
    for row in rows.all():
        begin, end = edges(row)
        assert CAB_TOUCH_PX <= end - begin <= 90
    third = rows.nth(2)
    assert third.inner_text().split() == ["T3", "S-3,", "L3", "to", "R3", "not", "looked", "at"]
    expect(screen.get_by_text("Said of 0 of 5; the other 5 stay")).to_be_visible()
    third.press("Enter")
    screen.locator("#T3").get_by_label("damaged").check()
    assert third.inner_text().split() == ["T3", "S-3,", "L3", "to", "R3", "damaged"]
    expect(screen.get_by_text("Said of 1 of 5; the other 4 stay")).to_be_visible()
    # Refused, it comes back as it was said, and open.
    screen.get_by_label("What the odometer reads").fill("twelve")
    press(screen, "Record only what I said")
    expect(screen.get_by_text("Not recorded.")).to_be_visible()
    expect(screen.locator("#T3")).to_be_visible()
    expect(screen.locator("#T4")).to_be_hidden()
    assert rows.nth(2).inner_text().split()[-1] == "damaged"


def test_axe_finds_nothing_where_everything_is_opened(
    page: Served, trip: Trip, screen: Page
) -> None:
    stopped(page, screen, trip)
    for act in ("check", "event"):
        screen.goto(page.address(trip, act))
        screen.evaluate("document.querySelectorAll('details').forEach((one) => one.open = true)")
        for answer in ("slack, tightened", "moved"):
            for strap in screen.locator(f".strap input[value='{answer}']").all():
                strap.check()
            assert Axe().run(screen).response["violations"] == []


def test_what_signs_for_all_is_far_from_what_does_not(
    page: Served, trip: Trip, screen: Page
) -> None:
    stopped(page, screen, trip)
    screen.goto(page.address(trip, "check"))
    only = screen.get_by_role("button", name="Record only what I said")
    everything = screen.get_by_role("button", name=SIGN_FOR_ALL)
    heading = screen.get_by_role("heading", name="Or sign for all 5")
    assert edges(heading)[0] - edges(only)[1] >= APART_PX
    assert edges(everything)[0] > edges(heading)[1]
    looks = ["backgroundColor", "borderTopStyle", "fontWeight"]
    for look in looks:
        asked = f"(one) => getComputedStyle(one).{look}"
        assert only.evaluate(asked) != everything.evaluate(asked), look
    screen.locator("summary", has_text="T1").tap()
    screen.locator("#T1").get_by_label("fine").check()
    only.tap()
    recorded(screen)
    check = page.yard.trip(trip.label).last("check_completed")
    assert check is None, "a look at one is no check"


def test_counts_and_distances_are_told_by_large_buttons(
    page: Served, trip: Trip, screen: Page
) -> None:
    stopped(page, screen, trip)
    screen.goto(page.address(trip, "check"))
    screen.locator(".touch a", has_text="T2").locator("rect").tap()
    strap = screen.locator("#T2")
    strap.get_by_label("slack, tightened").check()
    notches = strap.get_by_label("How many notches", exact=True)
    less, more = (strap.get_by_role("button", name=one) for one in ("one less", "one more"))
    for button in (less, more):
        box = button.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= CAB_TOUCH_PX
    for _ in range(3):
        more.tap()
    less.tap()
    assert notches.input_value() == "2"
    for _ in range(3):
        less.tap()
    assert notches.input_value() == "", "none is nothing typed"
    for units, far in (("pounds, miles", "2 in"), ("kilograms, kilometres", "50 mm")):
        screen.goto(page.address(trip))
        screen.get_by_text("Language, units, light, leave").click()
        screen.get_by_label("Units").select_option(units)
        with screen.expect_navigation():
            screen.get_by_role("button", name="Keep").tap()
        screen.goto(page.address(trip, "event"))
        screen.get_by_text("Say how far it moved").tap()
        press(screen, far)
        assert screen.get_by_label("How far").input_value() == far
    press(screen, "Load moved, this far")
    recorded(screen)
    moved = page.yard.trip(trip.label).last("event_reported")
    assert moved is not None
    assert moved.entry.body["moved"] == "50 mm"


def test_a_load_that_moved_is_told_by_one_touch_before_anything_is_asked(
    page: Served, trip: Trip, screen: Page
) -> None:
    stopped(page, screen, trip)
    screen.goto(page.address(trip, "event"))
    controls = screen.locator("main button, main summary, main input:not([type=hidden])")
    assert controls.first.inner_text() == "load moved"
    controls.first.tap()
    recorded(screen)
    moved = page.yard.trip(trip.label).last("event_reported")
    assert moved is not None
    assert moved.entry.body["what"] == "load moved"


def test_the_last_reading_stands_beside_the_box_and_the_limit(
    page: Served, trip: Trip, screen: Page
) -> None:
    page.yard.clock.forward(minutes=20)
    stopped(page, screen, trip)
    screen.goto(page.address(trip))
    due = screen.locator(".due", has_text="by odometer 24,180 mi")
    expect(due.get_by_text("last read 24,130 mi at 07:33")).to_be_visible()
    told = "last read 24,130 mi at 07:33; may be left empty"
    screen.goto(page.address(trip, "check"))
    box = screen.get_by_label("What the odometer reads")
    expect(box).to_have_accessible_description(told)
    screen.goto(page.address(trip, "odometer"))
    expect(box).to_have_accessible_description(told.partition(";")[0])


def test_no_text_in_the_cab_is_small(page: Served, trip: Trip, screen: Page) -> None:
    stopped(page, screen, trip)
    page.yard.clock.forward(minutes=20)
    for name in ("", "check", "event", "duty", "slip"):
        screen.goto(page.address(trip, name))
        least = screen.evaluate(
            "Math.min(...[...document.querySelectorAll('main *, footer *')]"
            ".filter((one) => one.innerText && !one.closest('svg'))"
            ".map((one) => parseFloat(getComputedStyle(one).fontSize)))"
        )
        assert least >= READ_AT_LEAST_PX, name


def test_the_end_of_a_trip_stands_last_and_apart(page: Served, trip: Trip, screen: Page) -> None:
    stopped(page, screen, trip)
    links = screen.locator("main a:visible, main summary:visible, main button:visible")
    assert links.last.inner_text() == "Close the trip"
    last_but_one, close = links.nth(links.count() - 2), links.last
    assert edges(close)[0] - edges(last_but_one)[1] >= 2 * APART_PX
    names = links.all_inner_texts()
    assert len({name.split()[0] for name in names if "tie-down" in name}) == 2
    headings = screen.get_by_role("heading", level=2).all_inner_texts()
    assert headings[-4:] == ["On the road", "The load", "Papers", "The end of the trip"]
