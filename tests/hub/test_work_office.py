"""The office's page of messages: what was written of late checks, and what came of it."""

import re
from html import unescape

from scheduler.notify import Outcome
from tests.builders import odometer_read
from tests.hub.late_scene import Mouth, look, office, truck
from tests.hub.office_scene import office_scene
from tests.hub.scene import HubScene
from triplog.hub.carriers import add_carrier
from triplog.hub.outbox import hand_over_one

TRIP = "t" * 16


def test_each_message_stands_with_what_came_of_it_for_its_own_carrier_alone(
    hub: HubScene,
) -> None:
    office(hub, "dddddddddddddddd")
    one = truck(hub, "eeeeeeeeeeeeeeee")
    one.depart(TRIP, "T-<1>")
    one.record(odometer_read("24190 mi", TRIP))
    look(hub)
    other = add_carrier(hub.database, hub.home, "carrier-2", ["*"], hub.clock.read())
    with office_scene(hub) as scene:
        browser = scene.browser()
        assert _came(browser.text("/office/messages")) == ["waits to be handed over"]
        mouth = Mouth([], Outcome.TIMED_OUT)
        for came in (Outcome.TIMED_OUT, Outcome.ACCEPTED):
            mouth.came = came
            assert hand_over_one(hub.database, hub.clock, {hub.carrier.id: mouth}) is not None
            hub.clock.forward(minutes=5)
        text = browser.text("/office/messages")
        assert "Trip T-&lt;1&gt;: a load check is late." in text
        (found,) = _came(text)
        assert found.startswith("1. nobody knows whether it arrived 2. handed over ")
        assert f'href="/office/trip/{TRIP}"' in text
        browser.post("/choose", "/office", language="fr")
        assert "remis" in browser.text("/office/messages")
        auditor = scene.browser("the auditor", "auditor")
        assert _came(auditor.text("/office/messages")) == [found]
        assert [e.body["about"] for e in scene.witness("auditor_looked")] == ["messages"]
        strange = scene.browser_of(other, "their dispatcher", "office")
        assert _came(strange.text("/office/messages")) == []


def _came(text: str) -> list[str]:
    """The last cell of each row, its lines after one another."""
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", text, re.DOTALL)[1:]
    cells = [re.findall(r"<td[^>]*>(.*?)</td>", row, re.DOTALL)[-1] for row in rows]
    bare = [re.sub(r'<span class="of".*?</span>', "", cell) for cell in cells]
    return [" ".join(unescape(re.sub(r"<[^>]*>", " ", cell)).split()) for cell in bare]
