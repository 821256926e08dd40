"""The page served for a test: a real server in a thread of this process, on a clock of the test."""

import asyncio
import contextlib
import socket
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import uvicorn
from playwright.sync_api import ViewportSize

from tests.dossier.scene import Office
from triplog.journal.trip import Trip
from triplog.page.app import application, open_house
from triplog.page.entrance.book import Wanted
from triplog.page.house import House, Settings

PHONE: ViewportSize = {"width": 390, "height": 844}


@dataclass(slots=True, kw_only=True)
class Served:
    """A page that is served. `yard`: the office whose journal it is, open in this thread too."""

    url: str
    house: House
    yard: Office
    server: uvicorn.Server
    thread: threading.Thread
    clients: list[httpx.Client] = field(default_factory=list)

    def link(self, *roles: str, person: str = "driver", label: str = "phone-1") -> str:
        """A link that pairs one browser."""
        from triplog.desk.finding_things import person_named

        who = person_named(self.yard.desk, person).id
        wanted = Wanted(label=label, roles=roles or ("cab",), person=who)
        code = self.house.book.new_code(wanted, self.house.now_ms())
        return f"{self.url}/enter#{code.token}"

    def client(self, *roles: str, person: str = "driver", label: str = "client") -> httpx.Client:
        """A client that has been paired, and sends what a browser would."""
        client = httpx.Client(base_url=self.url, headers={"origin": self.url}, timeout=20)
        self.clients.append(client)
        code = self.link(*roles, person=person, label=label).partition("#")[2]
        answer = client.post("/enter", data={"code": code})
        assert answer.status_code == 303, answer.text
        return client

    def address(self, trip: Trip, act: str = "") -> str:
        """The address of a trip's page, or of one thing to do on it."""
        return f"{self.url}/cab/{trip.id}{'/' + act if act else ''}"

    def stop(self) -> None:
        """End the server as Ctrl-C would."""
        for client in self.clients:
            client.close()
        self.server.should_exit = True
        self.thread.join(20)
        assert not self.thread.is_alive()


def free_port() -> int:
    """A port nobody listens on."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def start(yard: Office, heads: Path, port: int) -> Served:
    """Serve a yard's journal on a port; returns when it answers."""
    settings = Settings(names=frozenset({f"127.0.0.1:{port}"}), is_secure=False)
    house = open_house(yard.desk.home, yard.clock, settings, heads=heads)
    config = uvicorn.Config(
        application(house),
        host="127.0.0.1",
        port=port,
        log_level="critical",
        access_log=False,
        timeout_graceful_shutdown=2,
    )
    server = uvicorn.Server(config)
    thread = _started(server)
    return Served(
        url=f"http://127.0.0.1:{port}", house=house, yard=yard, server=server, thread=thread
    )


def _started(server: uvicorn.Server) -> threading.Thread:
    """The thread a server runs in, once it answers."""
    thread = threading.Thread(target=lambda: asyncio.run(server.serve()), daemon=True)
    thread.start()
    while not server.started:
        assert thread.is_alive(), "the server did not start"
        thread.join(0.02)
    return thread


@contextlib.contextmanager
def run_in_thread(server: uvicorn.Server) -> Iterator[None]:
    """A server that runs until the end of the block."""
    thread = _started(server)
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(20)


@contextlib.contextmanager
def served(yard: Office, heads: Path) -> Iterator[Served]:
    """The page of a yard, served until the end of the block."""
    page = start(yard, heads, free_port())
    try:
        yield page
    finally:
        page.stop()
        page.house.close()
