"""The office: one trip whole, its entries, its export; times, and what is printed."""

import re
import zipfile
from html import unescape
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser

from exports.verify import verify
from tests.dossier.scene import Office
from tests.page.listed import listed
from tests.page.served import Served
from tests.page.test_entrance import token
from triplog.desk.mending import correct, withdraw
from triplog.desk.road import read_odometer
from triplog.journal.trip import Trip
from triplog.page.office import pages


def test_one_trip_is_shown_whole(busy: Trip, client: httpx.Client) -> None:
    text = client.get(f"/office/trip/{busy.id}").text
    for part in ("Trip sheet, trip T-1", "<svg", "T2 slack", "evidence hold", "Findings"):
        assert part.lower() in text.lower(), part
    assert ".json" not in text
    title, sheet, form = (text.index(one) for one in ("<h1>", "Trip sheet, trip", 'id="export"'))
    assert title < sheet < form, "the title, the documents, the export"
    assert text.index('href="#export"') < sheet
    assert text.count("<h1>") == 1
    assert "Leave out of the export" in text


def test_entries_tell_both_times_and_which_strap_and_who(
    busy: Trip, client: httpx.Client, yard: Office
) -> None:
    text = client.get(f"/office/trip/{busy.id}/entries").text
    entries = listed(text)
    stored = yard.desk.store.trip_entries(busy.id)
    assert [int(row[0]) for row in entries] == [one.seq for one in reversed(stored)]
    assert "those that are missing here belong to other trips, or to none" in text
    for row in entries:
        assert all(re.fullmatch(r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d", one) for one in row[1:3])
        assert row[3] == "driver, the driver's own name"
    added = [row[4] for row in reversed(entries) if "tie-down added" in row[4]]
    assert added == [
        f"plan recorded tie-down added: T{number} (S-{number})" for number in range(1, 6)
    ]


def test_entries_are_searched_and_filtered_by_kind(busy: Trip, client: httpx.Client) -> None:
    address = f"/office/trip/{busy.id}/entries"
    judged = client.get(address, params={"kind": "plan judged"}).text
    assert {row[4].partition(" 3")[0] for row in listed(judged)} == {"plan judged"}
    assert '<option value="plan judged" selected>' in judged
    (row,) = listed(client.get(address, params={"q": "t4 (s-4)"}).text)
    assert "T4" in row[4]
    whole = listed(client.get(address).text)
    assert listed(client.get(address, params={"q": "own name"}).text) == whole
    nothing = client.get(address, params={"q": "no such thing"}).text
    assert "<table" not in nothing
    assert "0 entries" in nothing


def test_entries_are_paged_by_number(
    busy: Trip, client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = f"/office/trip/{busy.id}/entries"
    whole = listed(client.get(address).text)
    monkeypatch.setattr(pages, "_ENTRIES_PAGE", 2)
    found = client.get(address, params={"page": 2, "kind": "plan recorded"}).text
    of_kind = [row for row in whole if row[4].startswith("plan recorded")]
    assert listed(found) == of_kind[2:4]
    assert "?kind=plan+recorded&amp;page=3" in found or "?kind=plan%20recorded&amp;page=3" in found


def test_an_entry_that_no_longer_holds_leads_to_what_does(
    trip: Trip, client: httpx.Client, yard: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = read_odometer(yard.desk, trip, "24150 mi", stopped=True)
    new = correct(yard.desk, read.hash, changes={"odometer": "24155 mi"}, at=None, reason="misread")
    yard.clock.forward(minutes=20)
    gone = read_odometer(yard.desk, yard.trip(trip.label), "24160 mi", stopped=True)
    taken, _ = withdraw(yard.desk, gone.hash, reason="another vehicle's")
    address = f"/office/trip/{trip.id}/entries"
    told = {row[0]: row[4] for row in listed(client.get(address).text)}
    assert f"corrected by entry {new.seq}" in told[str(read.seq)]
    assert f"taken back by entry {taken.seq}" in told[str(gone.seq)]
    assert "by entry" not in "".join(
        text for seq, text in told.items() if seq not in (str(read.seq), str(gone.seq))
    )
    monkeypatch.setattr(pages, "_ENTRIES_PAGE", 1)
    text = client.get(address, params={"q": "corrected by entry"}).text
    (link,) = re.findall(r'href="([^"]*)">corrected by', text)
    there, _, anchor = unescape(link).partition("#")
    assert f'<tr role="row" id="{anchor}"' in client.get(address + there).text


def test_a_time_bears_its_zone_where_the_reader_has_another(
    busy: Trip, client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = f"/office/trip/{busy.id}/entries"
    here = client.get(address).text
    assert "Times are UTC-06:00 unless" in here
    monkeypatch.setattr("tests.builders.OFFSET_MIN", -300)
    assert "Times are UTC-05:00 unless" in client.get("/office").text
    (row,) = listed(client.get("/office").text)
    assert re.fullmatch(r"2026-03-02 \d\d:\d\d UTC-06:00", row[5])
    for before, after in zip(listed(here), listed(client.get(address).text), strict=True):
        assert after[1] == f"{before[1]} UTC-06:00", "one time, where it happened, with its zone"


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


@pytest.mark.parametrize("act", ["", "/trips", "/trip/{trip}", "/trip/{trip}/entries"])
def test_on_paper_no_column_is_cut_and_nothing_is_asked(
    page: Served, busy: Trip, chromium: Browser, act: str
) -> None:
    """On a letter-size sheet (8.5 in less the margins are 740 px) as the browser lays it out."""
    context = chromium.new_context(viewport={"width": 740, "height": 960})
    screen = context.new_page()
    screen.goto(page.link("office", label="print"))
    screen.wait_for_url("**/office")
    screen.goto(f"{page.url}/office{act.format(trip=busy.id)}")
    screen.emulate_media(media="print")
    whole = screen.evaluate(
        "Math.max(...[...document.querySelectorAll('main, table, svg')]"
        ".map((one) => one.getBoundingClientRect().right))"
    )
    assert whole <= 740
    assert screen.locator("table").count(), "there is something to print"
    for one in screen.locator("input, select, button, header, nav").all():
        assert not one.is_visible(), one.evaluate("(e) => e.outerHTML")
    shown = screen.evaluate(
        "[...document.querySelectorAll('thead')].map((one) => getComputedStyle(one).display)"
    )
    assert set(shown) == {"table-header-group"}, "what a browser repeats on each sheet"
    context.close()
