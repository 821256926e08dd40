"""The office: what is not as it should be, in one plain list; one trip whole; exports."""

import re
from html import unescape

import httpx
import pytest
from playwright.sync_api import Browser, expect

from tests.dossier.scene import Office
from tests.page.listed import listed
from tests.page.served import PHONE, Served
from tests.page.test_entrance import token
from tests.page.test_working_day import paired, press, recorded
from triplog.desk.finding_things import person_named
from triplog.desk.gear import change_gear
from triplog.desk.handing_over import hand_over
from triplog.desk.holding import hold_trip
from triplog.desk.mending import correct
from triplog.desk.people import add_person
from triplog.journal.store import Store
from triplog.journal.trip import Trip
from triplog.page.office import lists


def test_it_lists_what_is_not_as_it_should_be_and_nothing_else(
    busy: Trip, client: httpx.Client, yard: Office
) -> None:
    yard.judged(yard.loaded(1, 1, "T-2"))
    (row,) = listed(client.get("/office").text)
    assert row[0] == busy.label, "T-2 has not left: nothing is wrong with it"
    found, unmet, held = row[4].split("\n")
    assert found.startswith("found this week T2 slack, tightened")
    assert unmet.startswith("left with something not met or not known 0 not met, 2 not known")
    assert held.startswith("evidence hold 1 hold, the trip is stopped"), "worst first"
    assert row[5] in found, "the newest of the times"


def test_the_counts_above_stay_by_concern(busy: Trip, client: httpx.Client) -> None:
    text = client.get("/office").text
    assert busy.state
    for told in ("found this week: 1", "not met or not known: 1", "evidence hold: 1"):
        assert told in text


def test_the_worst_trip_stands_first(busy: Trip, client: httpx.Client, yard: Office) -> None:
    late = yard.departed(yard.judged(yard.loaded(1, 2, "A-LATE")))
    yard.clock.forward(minutes=240)
    yard.checked(busy)
    rows = listed(client.get("/office").text)
    assert [row[0] for row in rows] == [late.label, busy.label]
    upside_down = listed(client.get("/office?sort=-why").text)
    assert [row[0] for row in upside_down] == [busy.label, late.label]


def test_who_is_late_says_whether_they_can_stop_and_whom_to_ring(
    page: Served, trip: Trip, client: httpx.Client, yard: Office
) -> None:
    card = person_named(yard.desk, "driver").card.entry
    change = {"reach": "the telephone in the cab, 5550143"}
    correct(yard.desk, card.hash, changes=change, at=None, reason="it was not told")
    yard.clock.forward(minutes=600)
    (late,) = listed(client.get("/office").text)
    assert late[:4] == [
        trip.label,
        "driver\nthe driver's own name\nthe telephone in the cab, 5550143",
        "flatbed",
        "from the yard\nto the orchard behind the mill",
    ]
    first = late[4].split("\n")[0]
    assert first.startswith("late now")
    assert "driving; ask if and where they can stop" in first
    assert "49 CFR 392.9" in first
    (row,) = listed(client.get("/office/trips").text)
    assert row[:4] == late[:4]
    assert "5550143" in client.get(f"/office/trip/{trip.id}").text
    assert page.url


def test_the_driver_is_who_took_over_last(trip: Trip, client: httpx.Client, yard: Office) -> None:
    add_person(yard.desk, label="relief", roles=["drives"], name="another name", reach=None)
    hand_over(yard.desk, trip, to="relief", giver=None, looked_together=None, stopped=True)
    (row,) = listed(client.get("/office/trips").text)
    assert row[1] == "relief\nanother name"


def test_what_is_private_is_read_through_its_opening_alone(
    busy: Trip, client: httpx.Client, yard: Office
) -> None:
    names = [one for (one,) in yard.desk.store.raw.execute("SELECT name FROM sqlite_schema")]
    for table in (one for one in names if one not in ("opening", "entry")):
        columns = yard.desk.store.raw.execute(f"SELECT * FROM pragma_table_info('{table}')")
        for column in [one[1] for one in columns]:
            rows = yard.desk.store.raw.execute(
                f'SELECT 1 FROM "{table}" WHERE "{column}" LIKE ?', ("%orchard behind%",)
            )
            assert rows.fetchall() == [], (table, column)
    opened = busy.first("trip_opened")
    assert opened is not None
    card = person_named(yard.desk, "driver").card.entry
    for one in (opened.entry, card):
        yard.desk.store.raw.execute("DELETE FROM opening WHERE entry = ?", (one.hash,))
    (row,) = listed(client.get("/office").text)
    assert row[1] == "driver\nthe name can no longer be read"
    assert row[3] == "can no longer be read"
    yard.opened("T-9")
    told = {row[0]: row[1:4] for row in listed(client.get("/office/trips").text)}
    assert told["T-9"] == ["no driver yet", "flatbed", "not told"]


def test_private_values_are_opened_for_the_rows_shown_alone(
    trip: Trip, client: httpx.Client, yard: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(4):
        yard.opened(f"T-{number + 2}", origin="the yard")
    monkeypatch.setattr(lists, "_PAGE", 2)
    opened: list[str] = []
    whole = Store.openings

    def counted(self: Store, entry_hash: str) -> dict[str, str]:
        opened.append(entry_hash)
        return whole(self, entry_hash)

    monkeypatch.setattr(Store, "openings", counted)
    text = client.get("/office/trips?sort=trip").text
    assert [row[0] for row in listed(text)] == ["T-1", "T-2"]
    assert "5 trips, page 1 of 3" in text
    assert len(opened) == 3, "two openings of trips, one card"
    assert trip.label


def test_it_is_filtered_and_searched(busy: Trip, client: httpx.Client) -> None:
    (whole,) = listed(client.get("/office").text)
    (only,) = listed(client.get("/office", params={"concern": "evidence hold"}).text)
    assert only[4] == whole[4].split("\n")[-1]
    for words in ("slack", "ORCHARD", "own name", busy.label, "flatbed"):
        assert listed(client.get("/office", params={"q": words}).text) == [whole], words
    assert client.get("/office", params={"q": "no such thing"}).text.count("<tr") == 0


def test_heads_sort_and_say_so_and_filters_stay(
    busy: Trip, client: httpx.Client, yard: Office
) -> None:
    for number in (10, 2):
        hold_trip(yard.desk, yard.opened(f"T-{number}"), reason="a letter came")
    held = {"concern": "evidence hold", "q": "T-"}
    text = client.get("/office", params=held | {"sort": "trip"}).text
    assert [row[0] for row in listed(text)] == [busy.label, "T-2", "T-10"]
    head = re.search(r'aria-sort="ascending"><a href="([^"]*)">([^<]*)', text)
    assert head
    assert head[2] == "Trip or gear"
    assert text.count("aria-sort") == 1
    other = client.get(f"/office{unescape(head[1])}").text
    assert [row[0] for row in listed(other)] == ["T-10", "T-2", busy.label]
    assert 'aria-sort="descending"' in other
    assert 'name="q" value="T-"' in other
    assert '<option value="evidence hold" selected>' in other
    assert '<input type="hidden" name="sort" value="-trip">' in other
    for key in ("driver", "vehicle", "route", "why", "newest", "-newest", "nothing there is"):
        rows = listed(client.get("/office", params=held | {"sort": key}).text)
        assert {row[0] for row in rows} == {busy.label, "T-2", "T-10"}, key
    newest = listed(client.get("/office?sort=-newest").text)
    assert [row[0] for row in newest] == ["T-2", "T-10", busy.label]


def test_gear_that_is_due_to_be_looked_at_is_on_the_list(
    page: Served, client: httpx.Client, yard: Office
) -> None:
    change_gear(yard.desk, "S-30", item={}, inspect_by="2026-03-10")
    (row,) = (row for row in listed(client.get("/office").text) if row[0] == "S-30")
    assert row[1:4] == ["", "", ""]
    assert row[4] == "gear due to be looked at ratchet strap, in stock 2026-03-10"
    assert page.url


def test_trips_are_searched_and_paged(client: httpx.Client, yard: Office, trip: Trip) -> None:
    for number in range(2, 6):
        yard.loaded(1, 1, f"LOAD-{number}")
    assert [row[0] for row in listed(client.get("/office/trips?q=LOAD").text)] == [
        f"LOAD-{number}" for number in (5, 4, 3, 2)
    ]
    planned = listed(client.get("/office/trips", params={"state": "planned"}).text)
    assert {row[4] for row in planned} == {"planned"}
    assert listed(client.get("/office/trips?q=%25").text) == []
    for words in ("driver", "flatbed"):
        rows = listed(client.get("/office/trips", params={"q": words}).text)
        assert [row[0] for row in rows] == [trip.label], "the trips that have left, by label"
    assert listed(client.get("/office/trips?page=999999&q=").text) == []
    one = client.get("/office/trips", params={"q": trip.label}).text
    assert "1 trip, page 1 of 1" in one
    french = client.get("/office/trips", headers={"accept-language": "fr"}).text
    assert "5 voyages, page 1 de 1" in french


def test_trips_are_sorted_by_each_head(client: httpx.Client, yard: Office, trip: Trip) -> None:
    for number in (10, 2):
        yard.opened(f"T-{number}")
    text = client.get("/office/trips?q=T-").text
    assert [row[0] for row in listed(text)] == ["T-2", "T-10", trip.label], "newest first"
    heads = re.findall(r"<th[^>]*><a href=\"([^\"]*)\">", text)
    assert len(heads) == 10
    for head in heads:
        assert "q=T-" in head
        rows = listed(client.get(f"/office/trips{unescape(head)}").text)
        assert len(rows) == 3, head
    named = listed(client.get("/office/trips?sort=trip").text)
    assert [row[0] for row in named] == ["T-1", "T-2", "T-10"]
    left = listed(client.get("/office/trips?sort=departed").text)
    assert left[0][0] == trip.label, "what has not left stands last"


def test_the_list_is_read_at_any_size_and_leads_to_the_trip(
    page: Served, busy: Trip, chromium: Browser
) -> None:
    context = chromium.new_context(viewport={"width": 1440, "height": 900})
    screen = context.new_page()
    screen.goto(page.link("office", label="wide"))
    screen.wait_for_url("**/office")
    screen.get_by_role("link", name=busy.label).first.click()
    expect(screen.get_by_role("heading", name="Trip sheet, trip T-1")).to_be_visible()
    context.close()


def test_a_page_that_cannot_be_told_asks_now_and_then(
    page: Served, trip: Trip, chromium: Browser
) -> None:
    """Where no stream comes through, it polls; both times it is shown what has changed."""
    context = chromium.new_context(has_touch=True)
    screen = paired(context, page)
    press(screen, "I have stopped off the road")
    recorded(screen)
    screen.route("**/live", lambda route: route.abort())
    screen.clock.install()
    screen.goto(page.address(trip))
    other = page.client(label="other")
    data = {"token": token(other), "key": "c" * 20, "answer": "all fine"}
    assert other.post(f"/cab/{trip.id}/check", data=data).status_code == 303
    screen.clock.fast_forward(31_000)
    expect(screen.get_by_text("nothing due").first).to_be_visible()
    context.close()


def test_without_its_script_the_list_is_sorted_by_its_heads(
    page: Served, busy: Trip, chromium: Browser
) -> None:
    context = chromium.new_context(java_script_enabled=False, viewport=PHONE)
    client = page.client("office", label="plain")
    context.add_cookies(
        [{"name": name, "value": value, "url": page.url} for name, value in client.cookies.items()]
    )
    screen = context.new_page()
    screen.goto(f"{page.url}/office?q={busy.label}")
    head = screen.get_by_role("columnheader", name="Driver")
    head.get_by_role("link").click()
    expect(screen.get_by_role("columnheader", name="Driver")).to_have_attribute(
        "aria-sort", "ascending"
    )
    assert screen.get_by_label("Search").input_value() == busy.label
    context.close()
