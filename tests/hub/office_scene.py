"""The office's pages of a hub, asked in this process by paired browsers, over two carriers."""

import asyncio
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import httpx
import psycopg
from starlette.applications import Starlette

from tests.dossier.scene import Office
from tests.hub.scene import HubScene, PairedStore, batch_of, openings_of
from triplog.hub.app import Hub, application
from triplog.hub.carriers import Carrier
from triplog.hub.derived import bring_up_derived, write_thing, write_trip
from triplog.hub.office.browsers import Role, draw_browser_code
from triplog.journal.entries import Entry, entry_of
from triplog.page.house import Settings

NAME = "localhost"
_TOKEN = re.compile(r'<meta name="token" content="([^"]*)">')
_KEY = re.compile(r'name="key" value="([^"]*)"')


@dataclass(slots=True)
class HubBrowser:
    """A browser before the office's pages, with its cookie."""

    app: Starlette
    cookies: dict[str, str] = field(default_factory=dict)

    def get(self, address: str, **headers: str) -> httpx.Response:
        """Open a page."""
        return self._ask("GET", address, headers=headers)

    def text(self, address: str) -> str:
        """What a page says; it has to be there."""
        answer = self.get(address)
        assert answer.status_code == 200, answer.text
        return answer.text

    def post(self, address: str, page: str | None = None, **fields: str) -> httpx.Response:
        """Send a form as the page it stands on would."""
        told = {} if page is None else self._hidden(page)
        return self._ask("POST", address, data=told | fields, headers={"origin": f"http://{NAME}"})

    def _hidden(self, page: str) -> dict[str, str]:
        text = self.text(page)
        token, key = _TOKEN.search(text), _KEY.search(text)
        assert token is not None
        return {"token": token[1], "key": key[1] if key else "k" * 20}

    def _ask(self, method: str, address: str, **more: Any) -> httpx.Response:
        async def asked() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(
                transport=transport, base_url=f"http://{NAME}", cookies=self.cookies
            ) as client:
                return await client.request(method, address, **more)

        answer = asyncio.run(asked())
        self.cookies |= dict(answer.cookies)
        return answer


@dataclass(slots=True)
class OfficeScene:
    """A hub whose pages are served."""

    hub: HubScene
    app: Starlette

    def browser(self, label: str = "dispatcher", role: Role = "office") -> HubBrowser:
        """A browser of the hub's carrier that has been paired."""
        return self.browser_of(self.hub.carrier, label, role)

    def browser_of(self, carrier: Carrier, label: str, role: Role) -> HubBrowser:
        """A browser of a carrier that has been paired."""
        now = self.hub.clock.wall
        code = draw_browser_code(self.hub.database, carrier, label, role, now)
        found = HubBrowser(self.app)
        answer = found.post("/enter", code=code)
        assert answer.status_code == 303, answer.text
        return found

    def bring(self, yard: Office, label: str) -> PairedStore:
        """Pair a truck's journal where it is new, bring all of it, and derive what follows."""
        store = yard.desk.store
        one = self.hub.paired.get(label) or self.hub.pair(store, label)
        self.hub.push(one, batch_of(store, openings=openings_of(store)))
        self.derive()
        return one

    def derive(self) -> None:
        """Make the rows of all that waits, as a worker does."""
        with self.hub.database.work("worker") as connection:
            rows = connection.execute("DELETE FROM to_derive RETURNING carrier, what, about")
            for carrier, what, about in sorted(set(rows.fetchall())):
                query = f"SELECT data FROM entry WHERE {what} = %s ORDER BY device, seq"
                entries = [entry_of(bytes(d)) for (d,) in connection.execute(query, (about,))]
                write = write_trip if what == "trip" else write_thing
                write(connection, carrier, about, entries)

    def witness(self, kind: str) -> list[Entry]:
        """The entries of a kind in the carrier's own log of what was received and looked at."""
        return self._own(self.hub.carrier.witness, kind)

    def office(self, kind: str) -> list[Entry]:
        """The entries of a kind in the office's own chain."""
        return self._own(self.hub.carrier.office, kind)

    def _own(self, chain: str, kind: str) -> list[Entry]:
        entries = [entry_of(line) for line in self.hub.held(chain)]
        return [one for one in entries if one.kind == kind]


@contextmanager
def office_scene(hub: HubScene) -> Iterator[OfficeScene]:
    """The pages of a hub."""
    with psycopg.connect(hub.dsn, autocommit=True) as connection:
        bring_up_derived(connection)
    settings = Settings(names=frozenset({NAME}), is_secure=False)
    served = Hub(database=hub.database, home=hub.home, clock=hub.clock, office=settings)
    yield OfficeScene(hub, application(served))
