"""The office over all trucks: lists, one trip whole, holds, devices; who comes in and who not."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from exports.verify import verify
from tests.dossier.scene import Office, office
from tests.hub.office_scene import HubBrowser, OfficeScene, office_scene
from tests.hub.scene import HubScene, batch_of
from triplog.desk.checking import Found
from triplog.hub.carriers import add_carrier
from triplog.hub.database import connect
from triplog.journal.batch import Place
from triplog.journal.trip import Trip

LISTS = ("/office", "/office/trips", "/office/devices", "/office/messages")


@pytest.fixture
def scene(hub: HubScene) -> Iterator[OfficeScene]:
    """The office's pages."""
    with office_scene(hub) as found:
        yield found


@pytest.fixture
def yards(scene: OfficeScene, tmp_path: Path) -> list[Office]:
    """Two trucks, each with a trip under way that has arrived."""
    found = []
    for number in (1, 2):
        yard = office(tmp_path / f"truck-{number}")
        yard.departed(yard.judged(yard.loaded(2, 3, f"T-{number}")))
        scene.bring(yard, f"truck-{number}")
        scene.hub.clock.wall = max(scene.hub.clock.wall, yard.clock.wall)
        found.append(yard)
    return found


@pytest.fixture
def browser(scene: OfficeScene, yards: list[Office]) -> HubBrowser:
    """The dispatcher's browser."""
    assert len(yards) == 2
    return scene.browser()


def listed(text: str) -> list[list[str]]:
    """The cells of the table, row by row, without the names of their columns."""
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", text, re.DOTALL)[1:]
    cells = [re.findall(r"<td[^>]*>(.*?)</td>", row, re.DOTALL) for row in rows]
    return [[_in_lines(cell) for cell in row] for row in cells]


def _in_lines(cell: str) -> str:
    bare = re.sub(r'<span class="of".*?</span>', "", cell, flags=re.DOTALL)
    return unescape(re.sub(r"<[^>]*>", "", re.sub(r"<br>|</li>", "\n", bare))).strip()


def trip_of(yard: Office, label: str) -> Trip:
    """A trip as its own truck has it."""
    return yard.trip(label)


def test_the_list_holds_what_is_odd_on_any_truck_worst_first(
    scene: OfficeScene, browser: HubBrowser, yards: list[Office]
) -> None:
    yards[0].clock.forward(minutes=30)
    yards[0].checked(trip_of(yards[0], "T-1"), odometer="24165 mi", T2=Found.SLACK)
    scene.bring(yards[0], "truck-1")
    scene.hub.clock.forward(minutes=900)
    rows = listed(browser.text("/office"))
    assert rows[0][0] in ("T-1", "T-2")
    assert rows[0][4].startswith("late now")
    told = {row[0]: row[4] for row in rows}
    assert "found this week T2 slack, tightened" in told["T-1"]
    assert "not met or not known" in told["T-2"]
    driver = next(row[1] for row in rows if row[0] == "T-2")
    assert driver.split("\n")[0] == "driver"
    (only,) = listed(browser.text("/office?q=T-2&concern=late+now"))
    assert only[0] == "T-2"


def test_a_device_is_on_the_list_when_it_is_silent_or_its_clock_is_off(
    scene: OfficeScene, browser: HubBrowser, yards: list[Office]
) -> None:
    scene.hub.clock.forward(minutes=60 * 25)
    now_ms = int(scene.hub.clock.wall.timestamp() * 1000)
    store = yards[0].desk.store
    batch = batch_of(store, sent_ms=now_ms - 3_600_000)
    scene.hub.push(scene.hub.paired["truck-1"], batch)
    told = {row[0]: row[4] for row in listed(browser.text("/office"))}
    assert "60 min behind the hub's" in told["truck-1"]
    assert "device not heard of" in told["truck-2"]
    rows = {row[0].split("\n")[0]: row for row in listed(browser.text("/office/devices"))}
    assert rows["truck-1"][2] == str(store.head(store.device)[0])  # type: ignore[index]
    assert "Not heard of for 25 h" in rows["truck-2"][5]


def test_a_message_that_nobody_took_for_an_hour_is_on_the_list_with_its_trip(
    scene: OfficeScene, browser: HubBrowser, yards: list[Office]
) -> None:
    hub, trip = scene.hub, trip_of(yards[1], "T-2").id
    with connect(hub.dsn) as connection:
        connection.execute(
            "INSERT INTO hub.outbox (carrier, due_key, stage, trip, message, offset_min,"
            " written_at, next_at) VALUES (%s, 'd', 'late', %s, 'm', 0, %s, %s)",
            (hub.carrier.id, trip, hub.clock.wall, hub.clock.wall),
        )

    def told() -> str:
        rows = {row[0]: row[4] for row in listed(browser.text("/office"))}
        return rows.get("T-2", "")

    hub.clock.forward(minutes=59)
    assert "nobody took" not in told()
    hub.clock.forward(minutes=2)
    assert "message that nobody took Written to the office and taken by nobody: 1." in told()
    (only,) = listed(browser.text("/office?concern=message+that+nobody+took"))
    assert only[0] == "T-2"


def test_the_trips_of_all_trucks_are_one_list(browser: HubBrowser) -> None:
    rows = listed(browser.text("/office/trips"))
    assert {row[0] for row in rows} == {"T-1", "T-2"}
    assert all(row[3].startswith("from the yard") for row in rows)
    assert [row[0] for row in listed(browser.text("/office/trips?sort=trip"))] == ["T-1", "T-2"]
    assert [row[0] for row in listed(browser.text("/office/trips?sort=-trip"))] == ["T-2", "T-1"]
    assert [row[0] for row in listed(browser.text("/office/trips?q=t-2"))] == ["T-2"]
    assert listed(browser.text("/office/trips?state=closed")) == []
    assert len(listed(browser.text("/office/trips?q=driver"))) == 2


def test_one_trip_is_shown_whole_with_the_device_of_each_entry(
    browser: HubBrowser, yards: list[Office]
) -> None:
    trip = trip_of(yards[0], "T-1")
    text = browser.text(f"/office/trip/{trip.id}")
    assert "<svg" in text
    assert "orchard behind the mill" in text
    assert "truck-1" in text
    rows = listed(browser.text(f"/office/trip/{trip.id}/entries"))
    assert {row[1] for row in rows} == {"truck-1"}
    assert rows[-1][5].startswith("trip opened")
    only = listed(browser.text(f"/office/trip/{trip.id}/entries?kind=departed"))
    assert len(only) == 1
    assert browser.get("/office/trip/nothing").status_code == 409


def test_a_hold_is_an_entry_of_the_office_s_chain_and_pending_until_the_device_has_it(
    scene: OfficeScene, browser: HubBrowser, yards: list[Office]
) -> None:
    trip = trip_of(yards[0], "T-1")
    page = f"/office/trip/{trip.id}"
    answer = browser.post(f"{page}/hold", page, reason="a letter came")
    assert answer.status_code == 303
    (hold,) = scene.office("hold_placed")
    assert hold.trip == trip.id
    (card,) = scene.office("person_recorded")
    assert hold.by == card.body["id"]
    assert card.body["label"] == "dispatcher"
    text = browser.text(page)
    assert "a letter came" in text
    assert "Pending on truck-1" in text
    scene.derive()
    held = next(row for row in listed(browser.text("/office")) if row[0] == "T-1")
    assert "evidence hold" in held[4]
    known = {scene.hub.carrier.office: Place(hold.seq, hold.hash)}
    store = yards[0].desk.store
    answered = scene.hub.push(scene.hub.paired["truck-1"], batch_of(store, known=known))
    assert answered.outcome == "taken"
    assert "Pending on" not in browser.text(page)
    rows = {row[0].split("\n")[0]: row for row in listed(browser.text("/office/devices"))}
    assert rows["truck-1"][4] == "0"
    assert int(rows["truck-2"][4]) > 0
    lifted = browser.post(f"{page}/lift", page, hold=hold.hash, reason="the letter was answered")
    assert lifted.status_code == 303
    assert scene.office("hold_lifted")[0].body["hold"] == hold.hash
    assert "No hold stands." in browser.text(page)


def test_the_same_form_sent_twice_places_one_hold(
    scene: OfficeScene, browser: HubBrowser, yards: list[Office]
) -> None:
    page = f"/office/trip/{trip_of(yards[0], 'T-1').id}"
    for _ in range(2):
        browser.post(f"{page}/hold", page, reason="kept", key="a-key-of-one-form-1")
    assert len(scene.office("hold_placed")) == 1
    assert browser.post(f"{page}/hold", page).status_code == 409
    wrong = browser.post(f"{page}/lift", page, hold="0" * 64, reason="none")
    assert wrong.status_code == 409


def test_an_export_is_handed_over_and_verifies(
    scene: OfficeScene, browser: HubBrowser, yards: list[Office], tmp_path: Path
) -> None:
    trip = trip_of(yards[1], "T-2")
    page = f"/office/trip/{trip.id}"
    answer = browser.post(f"{page}/export", page, form="bundle")
    assert answer.status_code == 200, answer.text
    bundle = tmp_path / "bundle.zip"
    bundle.write_bytes(answer.content)
    assert verify(bundle).problems == ()
    (entry,) = scene.witness("exported")
    assert entry.body["trip_of"] == trip.id
    assert browser.post(f"{page}/export", page, form="anything").status_code == 409


def test_nobody_comes_in_without_a_code(scene: OfficeScene, yards: list[Office]) -> None:
    strange = HubBrowser(scene.app)
    trip = trip_of(yards[0], "T-1").id
    for address in (*LISTS, f"/office/trip/{trip}"):
        answer = strange.get(address)
        assert (answer.status_code, answer.headers["location"]) == (303, "/enter")
    assert strange.post("/enter", code="a-code-nobody-drew").status_code == 403
    assert strange.post(f"/office/trip/{trip}/hold", reason="x").status_code == 401
    assert strange.get("/office", host="elsewhere.example").status_code == 421


def test_a_code_lets_in_once_and_not_for_long(scene: OfficeScene) -> None:
    from triplog.hub.office.browsers import draw_browser_code

    hub = scene.hub
    code = draw_browser_code(hub.database, hub.carrier, "desk", "office", hub.clock.wall)
    assert HubBrowser(scene.app).post("/enter", code=code).status_code == 303
    assert HubBrowser(scene.app).post("/enter", code=code).status_code == 403
    late = draw_browser_code(hub.database, hub.carrier, "desk", "office", hub.clock.wall)
    hub.clock.forward(minutes=16)
    assert HubBrowser(scene.app).post("/enter", code=late).status_code == 403
    (paired,) = scene.witness("browser_paired")
    assert paired.body["label"] == "desk"


def test_a_session_ends_when_it_is_left_unused_and_when_it_is_left(
    scene: OfficeScene, browser: HubBrowser
) -> None:
    assert browser.post("/leave", "/office").status_code == 303
    assert browser.get("/office").status_code == 303
    assert len(scene.witness("browser_unpaired")) == 1
    other = scene.browser("another")
    scene.hub.clock.forward(minutes=60 * 24 * 15)
    assert other.get("/office").headers["location"] == "/enter"


def test_a_form_of_another_page_is_refused_and_told_once_an_hour(
    scene: OfficeScene, browser: HubBrowser, yards: list[Office]
) -> None:
    page = f"/office/trip/{trip_of(yards[0], 'T-1').id}"
    for _ in range(3):
        answer = browser.post(f"{page}/hold", reason="x", token="0" * 32, key="k" * 20)
        assert answer.status_code == 403
    assert len(scene.witness("entrance_refused")) == 1
    assert scene.office("hold_placed") == []


def test_what_an_auditor_opens_is_recorded_once_an_hour_and_they_change_nothing(
    scene: OfficeScene, yards: list[Office]
) -> None:
    auditor = scene.browser("the auditor", "auditor")
    trip = trip_of(yards[0], "T-1")
    page = f"/office/trip/{trip.id}"
    for address in ("/office", "/office", "/office/trips", "/office/devices", page):
        auditor.text(address)
    looked = scene.witness("auditor_looked")
    assert [one.body["about"] for one in looked] == ["to look at", "trips", "devices", "trip"]
    assert looked[-1].body["trip_of"] == trip.id
    scene.hub.clock.forward(minutes=61)
    auditor.text("/office")
    assert len(scene.witness("auditor_looked")) == 5
    assert "Place a hold" not in auditor.text(page)
    assert auditor.post(f"{page}/hold", page, reason="x").status_code == 403
    assert scene.office("hold_placed") == []
    exported = auditor.post(f"{page}/export", page, form="json")
    assert exported.status_code == 200
    kinds = [one.body["about"] for one in scene.witness("auditor_looked")]
    assert "export of a trip" in kinds
    assert len(scene.witness("exported")) == 1


def test_another_carrier_s_browser_sees_nothing(
    scene: OfficeScene, yards: list[Office], browser: HubBrowser
) -> None:
    hub = scene.hub
    other = add_carrier(hub.database, hub.home, "carrier-2", ["*"], hub.clock.read())
    strange = scene.browser_of(other, "their dispatcher", "office")
    trip = trip_of(yards[0], "T-1").id
    assert "T-1" in browser.text("/office/trips")
    for address in LISTS:
        assert listed(strange.text(address)) == []
    for address in (f"/office/trip/{trip}", f"/office/trip/{trip}/entries"):
        assert strange.get(address).status_code == 409
    for act, more in (("hold", {"reason": "x"}), ("export", {"form": "json"})):
        answer = strange.post(f"/office/trip/{trip}/{act}", "/office", **more)
        assert answer.status_code == 409, act
    assert scene.office("hold_placed") == []


def test_a_device_s_secret_opens_no_page_and_a_browser_s_brings_no_batch(
    scene: OfficeScene, browser: HubBrowser, yards: list[Office]
) -> None:
    secret = scene.hub.paired["truck-1"].secret
    truck = HubBrowser(scene.app, {"triplog": secret})
    assert truck.get("/office").headers["location"] == "/enter"
    bearer = HubBrowser(scene.app)
    assert bearer.get("/office", authorization=f"Bearer {secret}").status_code == 303
    headers = {"authorization": f"Bearer {browser.cookies['triplog']}"}
    assert scene.hub.ask("POST", "/push", content=b"", headers=headers).status_code == 401
    assert yards


def test_every_page_is_said_in_french_and_spanish(browser: HubBrowser, yards: list[Office]) -> None:
    trip = trip_of(yards[0], "T-1").id
    for language, word in (("fr", "Appareils"), ("es", "Dispositivos")):
        browser.post("/choose", "/office", language=language)
        for address in (*LISTS, f"/office/trip/{trip}"):
            text = browser.text(address)
            assert f'<html lang="{language}"' in text
            assert word in text
