"""Any request at all: every address with any method, fields and texts ends with a sentence, and the
journal stays whole. Hypothesis makes them; the addresses are those of the application itself.
"""

import json
import string
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.routing import Route

from tests.dossier.scene import office
from tests.page.served import Served, served
from tests.page.test_entrance import token
from triplog.page.app import application
from triplog.page.cab.pages import ACTS

FIELDS = (
    *("status", "odometer", "sure", "new_instrument", "typed_first", "what", "tie_down", "moved"),
    *("answer", "found-T1", "found-T2", "notches-T1", "moved-T1", "look", "fault-tarps", "note"),
    *("right-tarps", "reason", "place", "made_ago_ms", "article", "to", "looked_together", "order"),
    *("open_points", "gear", "cause", "kept", "missing", "all_back", "release_done", "number"),
    *("answer-level", "form", "withhold", "language", "light", "code", "next_stop", "soft_load"),
    *("next_stop_odometer", "top_speed", "carried_before", "looked_over"),
)
WORDS = (
    *("", "driving", "on duty", "24,150 mi", "-1", "1e400", "9" * 40, "all fine", "others fine"),
    *("slack, tightened", "damaged", "yes", "no", "T1", "A", "S-9", "load moved", "broken strap"),
    *("the new one on first", "bundle", "json", "+42 mi", "\u202e", "\N{DELIVERY TRUCK}", "\x00"),
    *("12 mm", "' OR 1=1 --", "<script>", "{{ 7*7 }}", "%s", "../../etc", "\ud7ff", "x" * 5_000),
)
METHODS = ("GET", "POST", "PUT", "DELETE", "HEAD", "OPTIONS", "PATCH")
OURS = ("Traceback", "Error(", "sqlite3.", 'File "/', "our fault")
ANY = settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Served, httpx.Client, str]]:
    """A page over a trip that has stopped, and a client that may do everything."""
    folder: Path = tmp_path_factory.mktemp("any")
    yard = office(folder / "home")
    trip = yard.departed(yard.judged(yard.loaded(2, 5)))
    yard.clock.forward(minutes=40)
    with served(yard, folder / "heads") as page:
        client = page.client("cab", "office")
        mine = token(client)
        client.post(f"/cab/{trip.id}/stopped", data={"token": mine, "key": "k" * 22})
        client.headers["x-token"] = mine
        yield page, client, trip.id


def addresses(page: Served, trip: str) -> list[str]:
    """Every address, with the trip there is and some there is not."""
    found = []
    for route in application(page.house).routes:
        if isinstance(route, Route) and route.path not in ("/leave", "/cab/{trip}/live"):
            for name in (trip, "a" * 16, "..%2f..", "x"):
                for act in (*ACTS, "nothing"):
                    path = route.path.replace("{trip}", name).replace("{act}", act)
                    found.append(path.replace("{digest}", "0").replace("{name}", "page.css"))
    return list(dict.fromkeys(one for one in found if not one.endswith("/show")))


@ANY
@given(
    place=st.integers(0, 10_000),
    method=st.sampled_from(METHODS),
    fields=st.dictionaries(
        st.sampled_from(FIELDS), st.sampled_from(WORDS) | st.text(max_size=30), max_size=8
    ),
    key=st.text(string.ascii_letters, max_size=30),
    wants=st.sampled_from(["text/html", "application/json", "*/*"]),
)
def test_every_request_ends_with_a_sentence(
    asked: tuple[Served, httpx.Client, str],
    place: int,
    method: str,
    fields: dict[str, str],
    key: str,
    wants: str,
) -> None:
    page, client, trip = asked
    there = addresses(page, trip)
    path = there[place % len(there)]
    sent = {name: _sendable(value) for name, value in fields.items()}
    sent |= {"token": client.headers["x-token"], "key": key}
    is_post = method == "POST"
    answer = client.request(
        method,
        path,
        data=sent if is_post else None,
        params=None if is_post else sent,
        headers={"accept": wants},
    )
    assert answer.status_code < 500 or answer.status_code == 503, (method, path, fields)
    for word in OURS:
        assert word not in answer.text, (method, path, fields)
    if method != "HEAD" and answer.headers.get("content-type") == "application/json":
        json.loads(answer.text)


def _sendable(value: str) -> str:
    return value.encode("utf-8", "ignore").decode()


@ANY
@given(body=st.binary(max_size=400), kind=st.sampled_from(["", "text/plain", "application/json",
       "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"]))  # fmt: skip
def test_any_body_ends_with_a_sentence(
    asked: tuple[Served, httpx.Client, str], body: bytes, kind: str
) -> None:
    _, client, trip = asked
    answer = client.post(f"/cab/{trip}/odometer", content=body, headers={"content-type": kind})
    assert answer.status_code in (400, 403, 409, 415)


def test_after_all_of_it_the_journal_is_whole(asked: tuple[Served, httpx.Client, str]) -> None:
    page, client, trip = asked
    assert client.get(f"/cab/{trip}").status_code in (200, 303)
    assert page.yard.desk.store.check() == []
