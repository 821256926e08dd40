"""A hub with a carrier, and devices that bring it what they recorded, without a network between."""

import asyncio
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx
from starlette.applications import Starlette

from tests.builders import StandingClock
from triplog.hub.app import Hub, application
from triplog.hub.carriers import Carrier, add_carrier, draw_code, keep_hub_key
from triplog.hub.database import Database, open_database
from triplog.journal.batch import Answer, Batch, Opened, Place, answer_in, pack_batch
from triplog.journal.device_key import read_key
from triplog.journal.store import Store


@dataclass(slots=True)
class PairedStore:
    """A store that is paired: what it shows, and whose key the hub's is."""

    store: Store
    secret: str
    key: str
    office: str


@dataclass(slots=True)
class HubScene:
    """A hub over its database, asked by HTTP in this process."""

    dsn: str
    database: Database
    home: Path
    clock: StandingClock
    carrier: Carrier
    app: Starlette
    paired: dict[str, PairedStore] = field(default_factory=dict)

    def pair(self, store: Store, label: str, *, is_office: bool = False) -> PairedStore:
        """Draw a code and pair a store's device by it."""
        code = draw_code(
            self.database, self.carrier, label, is_office=is_office, now=self.clock.wall
        )
        key = read_key(store.path.parent, store.device)
        assert key is not None, "a journal has its device's key beside it"
        invented = store.fact("invented") == "yes"
        told = {"code": code, "device": store.device, "key": key.text, "invented": invented}
        answer = self.ask("POST", "/pair", json=told)
        assert answer.status_code == 200, answer.text
        found = answer.json()
        one = PairedStore(store, found["secret"], found["key"], found["office"])
        self.paired[label] = one
        return one

    def push(self, one: PairedStore, batch: Batch) -> Answer:
        """Bring a batch, and the hub's answer."""
        response = self.send(one, pack_batch(batch))
        assert response[0] == 200, response[1]
        return answer_in(response[1])

    def send(self, one: PairedStore, packed: bytes) -> tuple[int, bytes]:
        """Bring bytes that may be no batch: the answer's status and body."""
        headers = {"authorization": f"Bearer {one.secret}"}
        response = self.ask("POST", "/push", content=packed, headers=headers)
        return response.status_code, response.content

    def ask(self, method: str, address: str, **more: Any) -> httpx.Response:
        """One request of the hub, in this process."""
        return asyncio.run(_asked(self.app, method, address, more))

    def ask_from(self, caller: str, method: str, address: str) -> httpx.Response:
        """One request from an address, of a hub that is served at 192.168.1.20."""
        return asyncio.run(_asked(self.app, method, address, {}, caller, "192.168.1.20"))

    def held(self, device: str) -> list[bytes]:
        """The entries of a chain as the hub holds them."""
        with self.database.work("worker") as connection:
            rows = connection.execute(
                "SELECT data FROM entry WHERE device = %s ORDER BY seq", (device,)
            ).fetchall()
        return [bytes(data) for (data,) in rows]


async def _asked(
    app: Starlette,
    method: str,
    address: str,
    more: dict[str, Any],
    caller: str = "127.0.0.1",
    at: str = "localhost",
) -> httpx.Response:
    transport = httpx.ASGITransport(app=app, raise_app_exceptions=False, client=(caller, 123))
    async with httpx.AsyncClient(transport=transport, base_url=f"http://{at}") as client:
        return await client.request(method, address, **more)


def lines_of(store: Store, device: str | None = None) -> list[bytes]:
    """The entries of a chain as a store holds them."""
    rows = store.raw.execute(
        "SELECT data FROM entry WHERE device = ? ORDER BY seq", (device or store.device,)
    )
    return [data for (data,) in rows]


def batch_of(
    store: Store,
    begin: int = 0,
    end: int | None = None,
    *,
    sent_ms: int = 0,
    openings: Sequence[Opened] = (),
    known: dict[str, Place] | None = None,
) -> Batch:
    """A batch of a store's own chain, from one number to before another."""
    lines = lines_of(store)
    after = None
    if begin:
        (own_hash,) = store.raw.execute(
            "SELECT hash FROM entry WHERE device = ? AND seq = ?", (store.device, begin - 1)
        ).fetchone()
        after = Place(begin - 1, own_hash)
    return Batch(
        device=store.device,
        after=after,
        sent_ms=sent_ms,
        entries=tuple(lines[begin:end]),
        openings=tuple(openings),
        known=known or {},
    )


def openings_of(store: Store) -> list[Opened]:
    """All private values of a store's own chain."""
    return [Opened(*row) for row in store.opening_rows("device = ?", (store.device,))]


@contextmanager
def hub_scene(
    dsn: str, home: Path, clock: StandingClock, *, opened: Sequence[str] = ("*",)
) -> Iterator[HubScene]:
    """A hub on a database that was brought up."""
    database = open_database(dsn)
    try:
        keep_hub_key(home)
        carrier = add_carrier(database, home, "carrier-1", list(opened), clock.read())
        app = application(Hub(database=database, home=home, clock=clock))
        yield HubScene(dsn, database, home, clock, carrier, app)
    finally:
        database.close()
