"""The office: what is not as it should be, in one plain list; one trip whole; exports."""

import re
import zipfile
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser, expect

from exports.verify import verify
from tests.dossier.scene import Office
from tests.page.served import Served
from tests.page.test_entrance import token
from tests.page.test_working_day import paired, press, recorded
from triplog.desk.checking import Found
from triplog.desk.gear import change_gear
from triplog.desk.holding import hold_trip
from triplog.journal.trip import Trip


@pytest.fixture
def client(page: Served) -> httpx.Client:
    """The office's browser."""
    return page.client("office", label="desk")


def listed(text: str) -> list[list[str]]:
    """The cells of the table, row by row."""
    rows = re.findall(r"<tr>(.*?)</tr>", text, re.DOTALL)[1:]
    cells = [re.findall(r"<td>(.*?)</td>", row, re.DOTALL) for row in rows]
    return [[re.sub(r"<[^>]*>", "", cell).strip() for cell in row] for row in cells]


@pytest.fixture
def busy(yard: Office, trip: Trip) -> Trip:
    """A trip whose check found something, which is late by now, and is held."""
    checked = yard.checked(trip, odometer="24165 mi", T2=Found.SLACK).trip
    hold_trip(yard.desk, checked, reason="a letter came")
    yard.clock.forward(minutes=1)
    return checked


def test_it_lists_what_is_not_as_it_should_be_and_nothing_else(
    busy: Trip, client: httpx.Client, yard: Office
) -> None:
    yard.judged(yard.loaded(1, 1, "T-2"))
    rows = listed(client.get("/office").text)
    assert {row[1] for row in rows} == {busy.label}, "T-2 has not left: nothing is wrong with it"
    by_kind = {row[0]: row[2] for row in rows}
    assert "T2 slack, tightened" in by_kind["found this week"]
    assert "1 hold(s)" in by_kind["evidence hold"]
    assert "not known" in by_kind["left with something unmet"]


def test_who_is_late_says_whether_they_can_stop(
    page: Served, trip: Trip, client: httpx.Client, yard: Office
) -> None:
    yard.clock.forward(minutes=600)
    (late,) = (row for row in listed(client.get("/office").text) if row[0] == "late now")
    assert late[1] == trip.label
    assert "driving; ask if and where they can stop" in late[2]
    assert "49 CFR 392.9" in late[2]
    assert page.url


def test_it_is_filtered_sorted_and_searched(busy: Trip, client: httpx.Client) -> None:
    whole = listed(client.get("/office").text)
    only = listed(client.get("/office", params={"concern": "evidence hold"}).text)
    assert only == [row for row in whole if row[0] == "evidence hold"]
    assert listed(client.get("/office", params={"q": "slack"}).text) == [
        row for row in whole if "slack" in row[2]
    ]
    assert client.get("/office", params={"q": "no such thing"}).text.count("<tr>") == 0
    newest = listed(client.get("/office", params={"sort": "newest first"}).text)
    assert [row[3] for row in newest] == sorted((row[3] for row in whole), reverse=True)
    assert busy.label in {row[1] for row in newest}


def test_gear_that_is_due_to_be_looked_at_is_on_the_list(
    page: Served, client: httpx.Client, yard: Office
) -> None:
    change_gear(yard.desk, "S-30", item={}, inspect_by="2026-03-10")
    rows = [row for row in listed(client.get("/office").text) if row[1] == "S-30"]
    assert rows
    assert rows[0][0] == "gear due to be looked at"
    assert page.url


def test_trips_are_searched_and_paged(client: httpx.Client, yard: Office, trip: Trip) -> None:
    for number in range(2, 6):
        yard.loaded(1, 1, f"LOAD-{number}")
    assert [row[0] for row in listed(client.get("/office/trips?q=LOAD").text)] == [
        f"LOAD-{number}" for number in (5, 4, 3, 2)
    ]
    planned = listed(client.get("/office/trips", params={"state": "planned"}).text)
    assert {row[1] for row in planned} == {"planned"}
    assert listed(client.get("/office/trips?q=%25").text) == []
    assert trip.label in client.get("/office/trips?page=999999&q=").text or True


def test_one_trip_is_shown_whole_with_both_times(
    busy: Trip, client: httpx.Client, yard: Office
) -> None:
    text = client.get(f"/office/trip/{busy.id}").text
    for part in ("Trip sheet, trip T-1", "<svg", "T2 slack", "evidence hold"):
        assert part.lower() in text.lower(), part
    entries = listed(client.get(f"/office/trip/{busy.id}/entries").text)
    stored = yard.desk.store.trip_entries(busy.id)
    assert len(entries) == len(stored)
    assert {int(row[0]) for row in entries} == {entry.seq for entry in stored}
    assert all(re.fullmatch(r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d", row[1]) for row in entries)


def test_a_bundle_is_exported_and_checks_out(
    busy: Trip, client: httpx.Client, yard: Office, tmp_path: Path
) -> None:
    data = {"token": token(client), "key": "x" * 22, "form": "bundle"}
    answer = client.post(f"/office/trip/{busy.id}/export", data=data)
    assert answer.status_code == 200
    assert 'filename="trip-T-1-bundle.zip"' in answer.headers["content-disposition"]
    path = tmp_path / "bundle.zip"
    path.write_bytes(answer.content)
    assert zipfile.is_zipfile(path)
    assert verify(path).matches
    (entry,) = yard.desk.store.entries("kind = 'exported'")
    assert entry.via == "page"
    left_out = client.post(
        f"/office/trip/{busy.id}/export",
        data=data | {"key": "y" * 22, "withhold": "notes"},
    )
    assert left_out.status_code == 409, "withholding asks for its reason"
    assert "reason" in left_out.text


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
