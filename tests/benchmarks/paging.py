"""The page: what it adds to the desk, and how the office's list grows with the trips there are.

The floor of a page is the same desk call and an empty answer of a server of the same kind: nobody
serves a page for less. Everything is asked over loopback by one client that keeps its connection.
"""

import itertools
import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import httpx
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tests.benchmarks.measure import Figure, by_turns
from tests.benchmarks.on_the_road import open_trips
from tests.builders import DRIVER
from tests.dossier.scene import Office, office
from tests.page.served import free_port, run_in_thread, served
from triplog.desk.checking import LOOKS, Found, Line, record_check, tie_downs_of
from triplog.desk.desk import open_desk
from triplog.journal.trip import Trip
from triplog.page.app import application, open_house
from triplog.page.cab.standing import standing
from triplog.page.entrance.book import Wanted
from triplog.page.house import Settings

MANY, FEW, OPEN = 10_000, 100, 50
ASKED = 20


def figures(place: Path) -> list[Figure]:
    """The cab's page, a check by HTTP, and the office's list among many trips and few."""
    found = []
    with ExitStack() as stack:
        yard, trip = _stopped(place / "by-page")
        page = stack.enter_context(served(yard, place / "heads"))
        client, empty = page.client("cab"), stack.enter_context(_empty())
        token = _token(client)
        desk = open_desk(yard.desk.home, yard.clock)

        def ours() -> None:
            for _ in range(ASKED):
                assert client.get(f"/cab/{trip.id}").status_code == 200

        def bare() -> None:
            for _ in range(ASKED):
                standing(desk, desk.trip(trip.id), lambda text: text)
                assert empty.get("/").status_code == 200

        found.append(by_turns(f"{ASKED} x the cab's page", ours, bare, limit=2))
        other, its_trip = _stopped(place / "by-desk")
        found.append(
            by_turns(
                "5 x a check, all fine, by HTTP to the same at the desk",
                _checks_by_page(yard, client, trip, token),
                _checks_at_desk(other, its_trip),
                limit=2,
                rounds=11,
            )
        )
    with _overview(place / "many", MANY) as many, _overview(place / "few", FEW) as few:
        found.append(
            by_turns(f"the office's list, {MANY:,} trips to {FEW}", many, few, limit=2, rounds=11)
        )
    for name in ("by-page", "by-desk", "many", "few"):
        shutil.rmtree(place / name)
    return found


def _stopped(home: Path) -> tuple[Office, Trip]:
    """A trip that has departed, whose first check has been made: it stands."""
    yard = office(home)
    trip = yard.departed(yard.judged(yard.loaded(2, 5)))
    return yard, yard.checked(trip).trip


def _token(client: httpx.Client) -> str:
    found = re.search(r'name="token" content="([0-9a-f]+)"', client.get("/enter").text)
    assert found
    return found[1]


def _checks_by_page(
    yard: Office, client: httpx.Client, trip: Trip, token: str
) -> Callable[[], None]:
    numbers = itertools.count()

    def act() -> None:
        for _ in range(5):
            yard.clock.forward(minutes=3)
            data = {"token": token, "key": f"{next(numbers):022}", "answer": "all fine"}
            assert client.post(f"/cab/{trip.id}/check", data=data).status_code == 303

    return act


def _checks_at_desk(yard: Office, trip: Trip) -> Callable[[], None]:
    numbers = itertools.count()
    lines = [Line(tie_down=one, found=Found.FINE) for one in tie_downs_of(trip)]

    def act() -> None:
        for _ in range(5):
            yard.clock.forward(minutes=3)
            yard.desk.key = f"{next(numbers):022}"
            now = yard.desk.trip(trip.id)
            record_check(yard.desk, now, lines=lines, looked_at=LOOKS, stopped=True)

    return act


@contextmanager
def _empty() -> Iterator[httpx.Client]:
    """A client of a server whose every answer is empty."""

    async def nothing(_: Request) -> Response:
        return Response(b"")

    port = free_port()
    config = uvicorn.Config(
        Starlette(routes=[Route("/", nothing)]), host="127.0.0.1", port=port, log_level="critical",
        access_log=False,
    )  # fmt: skip
    with (
        run_in_thread(uvicorn.Server(config)),
        httpx.Client(base_url=f"http://127.0.0.1:{port}") as client,
    ):
        yield client


@contextmanager
def _overview(home: Path, count: int) -> Iterator[Callable[[], None]]:
    """Asks for the office's list; of the trips fifty are open, the others ended long ago."""
    journal = open_trips(home, count)
    raw = journal.store.raw
    kept = [one for (one,) in raw.execute("SELECT id FROM trip ORDER BY id LIMIT ?", (OPEN,))]
    marks = ", ".join("?" * len(kept))
    raw.execute(
        "UPDATE trip SET is_open = 0, state = 'closed', ended_at = '2020-01-01T00:00:00.000Z'"
        f" WHERE id NOT IN ({marks})",
        kept,
    )
    raw.execute(f"DELETE FROM due WHERE trip NOT IN ({marks})", kept)
    clock = journal.clock
    journal.close()
    clock.forward(minutes=90)
    port = free_port()
    settings = Settings(names=frozenset({f"127.0.0.1:{port}"}), is_secure=False)
    house = open_house(home, clock, settings, heads=home)
    config = uvicorn.Config(
        application(house), host="127.0.0.1", port=port, log_level="critical", access_log=False
    )
    url = f"http://127.0.0.1:{port}"
    code = house.book.new_code(Wanted(label="o", roles=("office",), person=DRIVER), house.now_ms())
    with (
        run_in_thread(uvicorn.Server(config)),
        httpx.Client(base_url=url, headers={"origin": url}) as client,
    ):
        assert client.post("/enter", data={"code": code.token}).status_code == 303
        assert "late now" in client.get("/office").text

        def act() -> None:
            for _ in range(5):
                assert client.get("/office").status_code == 200

        yield act
    house.close()
