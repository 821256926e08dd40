"""Getting in: a test for each row of the list of the OWASP Application Security Verification
Standard 5.0 that the design takes over (numbers as in the standard), and what else is refused.
"""

import re
import time
from collections import Counter
from datetime import timedelta

import httpx
import pytest
from starlette.routing import Route

from tests.dossier.scene import Office
from tests.page.served import Served
from triplog.journal.trip import Trip
from triplog.page.app import application
from triplog.page.entrance.book import CODE_MS, IDLE_MS, WHOLE_MS, Wanted, digest_of
from triplog.page.entrance.guard import BODY_BYTES_MAX, HEADERS

DIGITS = "00000000"


def entered(page: Served, code: str, **headers: str) -> httpx.Response:
    """The answer to a pairing code."""
    return httpx.post(
        f"{page.url}/enter", data={"code": code}, headers={"origin": page.url, **headers}
    )


def code_of(link: str) -> str:
    return link.partition("#")[2]


def kinds(yard: Office) -> Counter[str]:
    """How many entries of each kind the journal has."""
    return Counter(one.kind for one in yard.desk.store.entries())


def refused(yard: Office) -> Counter[str]:
    """How many refusals the journal tells of, by kind."""
    found: Counter[str] = Counter()
    for entry in yard.desk.store.entries("kind = 'entrance_refused'"):
        found[str(entry.body["what"])] += int(str(entry.body["count"]))
    return found


def eventually(holds: "object") -> None:
    """Wait for what is recorded from a thread of its own."""
    for _ in range(200):
        if callable(holds) and holds():
            return
        time.sleep(0.02)
    pytest.fail("it did not come about within four seconds")


def test_no_page_but_the_entrance_answers_without_a_session(page: Served, trip: Trip) -> None:
    routes = [one for one in application(page.house).routes if isinstance(one, Route)]
    assert len(routes) > 15
    for route in routes:
        path = route.path.replace("{trip}", trip.id).replace("{act}", "check")
        path = path.replace("{digest}/{name}", "0/page.css")
        for method in (route.methods or set()) - {"HEAD"}:
            answer = httpx.request(method, page.url + path, headers={"origin": page.url})
            if path == "/enter" or path.startswith("/static/") or path == "/worker.js":
                continue
            assert answer.status_code in (303, 401), (method, path, answer.status_code)
            assert answer.headers.get("location", "/enter") == "/enter"
            assert trip.label not in answer.text


def test_a_code_is_used_once_and_within_five_minutes(page: Served, yard: Office) -> None:
    # 6.5.1: once; 6.5.5: at most ten minutes.
    code = code_of(page.link())
    assert entered(page, code).status_code == 303
    assert entered(page, code).status_code == 403
    late = code_of(page.link())
    yard.clock.forward(minutes=CODE_MS / 60_000 + 0.1)
    assert entered(page, late).status_code == 403


def test_the_digits_of_a_code_are_used_up_with_its_token(page: Served) -> None:
    wanted = Wanted(label="p", roles=("cab",), person=page.yard.desk.by)
    code = page.house.book.new_code(wanted, page.house.now_ms())
    assert re.fullmatch(r"[0-9]{8}", code.digits)  # 6.5.4: at least 20 bits
    assert len(code.token) >= 22  # 128 bits in base64
    assert entered(page, f"{code.digits[:4]} {code.digits[4:]}").status_code == 303
    assert entered(page, code.token).status_code == 403


def test_of_secrets_only_their_digests_are_kept(page: Served) -> None:
    # 7.2.3: at least 128 bits, drawn by the system; kept as SHA-256.
    client = page.client()
    secret = client.cookies["triplog"]
    assert len(secret) >= 43
    kept = (page.house.book._path).read_bytes()
    assert secret.encode() not in kept
    assert digest_of(secret).encode() in kept
    assert (page.house.book._path).stat().st_mode & 0o777 == 0o600


def test_a_new_pairing_begins_a_new_session_and_ends_the_old(page: Served) -> None:
    # 7.2.4: a new session with each authentication.
    client = page.client()
    before = client.cookies["triplog"]
    client.post("/enter", data={"code": code_of(page.link()), "token": token(client)})
    assert client.cookies["triplog"] != before
    assert httpx.get(f"{page.url}/cab", cookies={"triplog": before}).status_code == 303


def token(client: httpx.Client) -> str:
    """The token of the client's forms, as a page of theirs has it."""
    found = re.search(r'name="token" content="([0-9a-f]+)"', client.get("/enter").text)
    assert found
    return found[1]


@pytest.mark.parametrize("after_ms", [IDLE_MS, WHOLE_MS])
def test_a_session_ends_unused_and_in_any_case(page: Served, yard: Office, after_ms: int) -> None:
    # 7.3.1, 7.3.2: documented limits for unused and for whole time.
    client = page.client()
    if after_ms == WHOLE_MS:
        for _ in range(8):
            yard.clock.forward(minutes=IDLE_MS / 60_000 - 60)
            status = client.get("/cab").status_code
        assert status == 303
        assert client.get("/cab").headers["location"] == "/enter"
        return
    assert client.get("/cab").headers["location"].startswith("/cab/")
    yard.clock.forward(minutes=after_ms / 60_000 + 1)
    assert client.get("/cab").headers["location"] == "/enter"


def test_the_owner_can_end_a_session(page: Served) -> None:
    # 7.4.5: an administrator ends sessions.
    client = page.client()
    (session,) = page.house.book.sessions()
    assert session.label == "client"
    page.house.book.end(session.browser)
    assert client.get("/cab").headers["location"] == "/enter"


def test_whoever_leaves_is_out(page: Served, yard: Office) -> None:
    client = page.client()
    answer = client.post("/leave", data={"token": token(client)})
    assert answer.headers["clear-site-data"] == '"cache", "storage"'
    assert client.get("/cab").headers["location"] == "/enter"
    assert kinds(yard)["browser_unpaired"] == 1


def test_the_cookie_is_for_this_page_alone(page: Served) -> None:
    # 3.3.1, 3.3.2, 3.3.4.
    answer = entered(page, code_of(page.link()))
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert "Path=/" in cookie
    assert "Domain" not in cookie
    assert "Secure" not in cookie  # plain HTTP on this machine; by HTTPS it is __Host- and Secure


def test_a_form_without_its_token_is_refused(page: Served, trip: Trip, yard: Office) -> None:
    # 3.5.1: a token per session, and what the browser says of where it comes from.
    client = page.client()
    before = sum(kinds(yard).values())
    for data in ({}, {"token": "0" * 32}):
        answer = client.post(f"/cab/{trip.id}/stopped", data={"key": "k" * 22, **data})
        assert answer.status_code == 403
    foreign = {"origin": "http://elsewhere.invalid"}
    answer = client.post(f"/cab/{trip.id}/stopped", data={"token": token(client)}, headers=foreign)
    assert answer.status_code == 403
    site = {"origin": page.url, "sec-fetch-site": "cross-site"}
    answer = client.post(f"/cab/{trip.id}/stopped", data={"token": token(client)}, headers=site)
    assert answer.status_code == 403
    eventually(lambda: refused(yard)["form that is not ours"] == 1)
    assert sum(kinds(yard).values()) - before == 1, "only the refusal, once"


def test_nothing_is_changed_by_asking_for_a_page(page: Served, trip: Trip, yard: Office) -> None:
    # 3.5.3.
    client = page.client("cab", "office")
    before = sum(kinds(yard).values())
    for path in ("/", "/cab", f"/cab/{trip.id}", f"/cab/{trip.id}/stopped", "/office", "/leave"):
        client.get(path, params={"key": "k" * 22, "status": "driving"})
    assert sum(kinds(yard).values()) == before


def test_only_the_page_s_own_name_is_answered(page: Served, yard: Office) -> None:
    # Against DNS rebinding: a page elsewhere whose name is made to point here.
    for name in ("elsewhere.invalid", "127.0.0.1", "127.0.0.1:1", ""):
        answer = httpx.get(f"{page.url}/enter", headers={"host": name})
        assert answer.status_code in (400, 421), name
    eventually(lambda: refused(yard)["address by another name"] == 1)


def test_every_answer_says_what_browsers_may_do_with_it(page: Served, trip: Trip) -> None:
    # 3.2.1, 3.4.3 to 3.4.6.
    client = page.client("cab", "office")
    for path in ("/enter", "/cab", f"/cab/{trip.id}", "/office", "/nothing", "/worker.js"):
        answer = client.get(path)
        for name, value in HEADERS.items():
            assert answer.headers[name] == value, (path, name)
    policy = HEADERS["content-security-policy"]
    for part in ("default-src 'none'", "object-src 'none'", "base-uri 'none'", "frame-ancestors"):
        assert part in policy
    assert "unsafe" not in policy
    assert "http" not in policy


def test_a_body_of_more_than_a_megabyte_is_refused(page: Served, trip: Trip) -> None:
    client = page.client()
    told = client.post(
        f"/cab/{trip.id}/odometer",
        data={"token": token(client), "note": "x" * BODY_BYTES_MAX},
    )
    assert told.status_code == 413

    def drops() -> "object":
        for _ in range(40):
            yield b"x" * 65_536

    streamed = client.post(
        f"/cab/{trip.id}/odometer",
        content=drops(),  # type: ignore[arg-type]
        headers={"content-type": "application/x-www-form-urlencoded"},
    )
    assert streamed.status_code == 413


def test_an_error_of_ours_shows_nothing_from_inside(
    page: Served, trip: Trip, monkeypatch: pytest.MonkeyPatch
) -> None:
    # 16.5.1, 16.5.3.
    client = page.client()

    def breaks(*_: object) -> None:
        raise KeyError("a secret from inside")

    monkeypatch.setattr("triplog.page.cab.pages.standing", breaks)
    answer = client.get(f"/cab/{trip.id}")
    assert answer.status_code == 500
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text
    assert "our fault" in answer.text


def test_coming_in_and_being_refused_stand_in_the_journal(page: Served, yard: Office) -> None:
    # 16.3.1, 16.3.2.
    page.client(label="phone-1")
    (entry,) = yard.desk.store.entries("kind = 'browser_paired'")
    assert entry.body["label"] == "phone-1"
    assert entry.body["roles"] == ["cab"]
    assert entry.via == "program"
    entered(page, DIGITS)
    assert refused(yard)["wrong pairing code"] == 1


def test_wrong_codes_wait_longer_and_shut_nobody_out(page: Served, yard: Office) -> None:
    # 6.1.1, 6.3.1, 6.6.3: limited, and no way to lock a driver out.
    paired = page.client()
    answers = [entered(page, DIGITS).status_code for _ in range(6)]
    assert answers == [403] * 5 + [429]
    # A paired browser goes on, and a QR code is let in from the same address.
    assert paired.get("/cab").status_code == 303
    assert entered(page, code_of(page.link())).status_code == 303
    entered(page, DIGITS)
    yard.clock.forward(minutes=2)
    assert entered(page, DIGITS).status_code == 403


def test_after_fifty_wrong_codes_those_that_stand_are_withdrawn(page: Served, yard: Office) -> None:
    client = page.client()
    standing = page.link()
    for _ in range(50):
        yard.clock.forward(minutes=0.05)
        page.house.wrong_codes._by_address.clear()
        entered(page, DIGITS)
    assert entered(page, code_of(standing)).status_code == 403
    assert client.get("/cab").headers["location"].startswith("/cab/")


def test_a_hundred_thousand_refused_attempts_are_few_entries(page: Served, yard: Office) -> None:
    start = yard.clock.wall
    count = 100_000
    for number in range(count):
        moment = int((start + timedelta(seconds=number * 0.18)).timestamp() * 1000)
        page.house.refusals.refused("wrong pairing code", moment)
    entries = list(yard.desk.store.entries("kind = 'entrance_refused'"))
    # Five hours: the first at once, then one an hour.
    assert len(entries) == 5
    told = sum(int(str(one.body["count"])) for one in entries)
    later = int((start + timedelta(hours=6)).timestamp() * 1000)
    page.house.refusals.look(later)
    assert refused(yard)["wrong pairing code"] == count
    assert told < count


def test_what_was_counted_is_told_after_a_restart(page: Served, yard: Office) -> None:
    now = page.house.now_ms()
    for _ in range(3):
        page.house.refusals.refused("wrong pairing code", now)
    page.house.refusals.close()
    assert page.house.book.refusals()["wrong pairing code"][2] == 2
    assert refused(yard)["wrong pairing code"] == 1


def test_a_cab_does_not_see_the_office(page: Served, yard: Office) -> None:
    assert page.client("cab").get("/office").status_code == 403
    assert page.client("office", label="other").get("/cab").status_code == 403
    eventually(lambda: refused(yard)["page of another role"] == 1)


def test_while_the_sheet_is_shown_nothing_else_answers(page: Served, trip: Trip) -> None:
    client = page.client("cab", "office")
    mine = token(client)
    shown = client.post(f"/cab/{trip.id}/show", data={"token": mine, "number": "4719"})
    assert shown.headers["location"] == "/shown"
    for path in ("/", "/cab", f"/cab/{trip.id}", f"/cab/{trip.id}/check", "/office", "/leave"):
        assert client.get(path).headers["location"] == "/shown"
    text = client.get("/shown").text
    assert "Roadside sheet, trip T-1" in text
    assert "href" not in re.sub(r"<link[^>]*>|<a class=\"skip\"[^>]*>", "", text)
    assert client.post("/shown", data={"token": mine, "number": "1234"}).status_code == 403
    back = client.post("/shown", data={"token": mine, "number": "4719"})
    assert back.headers["location"] == f"/cab/{trip.id}"
    assert client.get(f"/cab/{trip.id}").status_code == 200


def test_numbers_tried_on_a_shown_sheet_wait_longer(page: Served, trip: Trip) -> None:
    client = page.client()
    mine = token(client)
    client.post(f"/cab/{trip.id}/show", data={"token": mine, "number": "4719"})
    answers = [
        client.post("/shown", data={"token": mine, "number": "0000"}).status_code for _ in range(7)
    ]
    assert answers == [403] * 5 + [429] * 2
    page.yard.clock.forward(minutes=2)
    back = client.post("/shown", data={"token": mine, "number": "4719"})
    assert back.status_code == 303


def test_a_number_that_is_easy_to_guess_is_not_taken(page: Served, trip: Trip) -> None:
    client = page.client()
    for number in ("", "12", "abcd", "1" * 20):
        answer = client.post(
            f"/cab/{trip.id}/show", data={"token": token(client), "number": number}
        )
        assert answer.status_code == 409
