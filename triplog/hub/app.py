"""What devices reach of the hub: pairing, and bringing batches. Everything else is refused.

A batch is answered within one transaction, so that what was acknowledged is durable. What is wrong
with a request is said in one sentence; what goes wrong here is told to the log, not to the sender.
"""

import json
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Mount, Route

from triplog.desk.refused import Refused
from triplog.hub.carriers import carrier_of, digest_of, hub_key, pair
from triplog.hub.chain import NotTaken
from triplog.hub.database import Database, HubUnusable
from triplog.hub.intake import take
from triplog.hub.office.app import office_application
from triplog.hub.office.house import OfficeHouse
from triplog.hub.sending import for_device
from triplog.journal.batch import PACKED_BYTES_MAX, Batch, BatchBroken, batch_in, pack_answer
from triplog.journal.device_key import DeviceKey
from triplog.journal.entries import Clock
from triplog.journal.store_file import StoreUnusable
from triplog.page.house import Settings

_PAIRING_BYTES_MAX = 4096
_SHOWN_MAX = 200
_SENTENCE_MAX = 250
"""A sentence may repeat what was sent, and that may be long."""
_BATCH_TYPE = "application/octet-stream"
Answering = Callable[[Request], Awaitable[Response]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hub:
    """What a hub has at hand. `home`: where its key lies; `office`: how its pages are reached."""

    database: Database
    home: Path
    clock: Clock
    office: Settings = field(default_factory=lambda: Settings(names=frozenset(), is_secure=False))


class NotLetIn(Exception):
    """Nobody is known by what was shown."""


def application(hub: Hub) -> Starlette:
    """The application over an open database; closing that is the caller's."""

    @asynccontextmanager
    async def alive(app: Starlette) -> AsyncIterator[None]:
        yield
        del app

    house = OfficeHouse(settings=hub.office, database=hub.database, home=hub.home, clock=hub.clock)
    app = Starlette(
        routes=[
            Route("/pair", pairing, methods=["POST"]),
            Route("/push", pushing, methods=["POST"]),
            Mount("/", office_application(house)),
        ],
        exception_handlers={
            Refused: _refused,
            NotTaken: _refused,
            BatchBroken: _refused,
            NotLetIn: _not_let_in,
            HubUnusable: _away,
            ClientDisconnect: _gone,
            Exception: _our_fault,
        },
        lifespan=alive,
    )
    app.state.hub = hub
    return app


def hub_of(request: Request) -> Hub:
    """The hub a request came to."""
    found = request.app.state.hub
    assert isinstance(found, Hub), "the application was put together with its hub"
    return found


async def pairing(request: Request) -> Response:
    """Pair a device by a code that was drawn for it."""
    hub = hub_of(request)
    told = _pairing_in(await _body(request, _PAIRING_BYTES_MAX))
    paired = await run_in_threadpool(
        partial(
            pair,
            hub.database,
            hub.home,
            told["code"],
            told["device"],
            told["key"],
            hub.clock.read(),
        )
    )
    return JSONResponse(
        {
            "carrier": paired.carrier,
            "secret": paired.secret,
            "key": paired.key,
            "office": paired.office,
            "opened": list(paired.opened),
        }
    )


async def pushing(request: Request) -> Response:
    """Take a batch, and answer with what the office has written since."""
    shown = request.headers.get("authorization", "")
    if not shown.startswith("Bearer ") or len(shown) > _SHOWN_MAX:
        raise NotLetIn
    hub = hub_of(request)
    secret = shown.removeprefix("Bearer ")
    device, carrier = await run_in_threadpool(_let_in, hub, secret)
    batch = batch_in(await _body(request, PACKED_BYTES_MAX))
    answer = await run_in_threadpool(_take, hub, device, carrier, batch)
    return Response(answer, media_type=_BATCH_TYPE)


def _let_in(hub: Hub, secret: str) -> tuple[str, str]:
    """Whose secret it is, before anything they send is looked at."""
    with hub.database.work("ingest") as connection:
        row = connection.execute(
            "SELECT id, carrier FROM device_with(%s)", (digest_of(secret),)
        ).fetchone()
    if row is None:
        raise NotLetIn
    return row[0], row[1]


def _take(hub: Hub, device: str, carrier_id: str, batch: Batch) -> bytes:
    with hub.database.work("ingest", carrier_id) as connection:
        carrier = carrier_of(connection, carrier_id)
        key = _key(hub, carrier.witness)
        answer = take(connection, carrier, device, batch, key, hub.clock.read())
        entries, openings, more = for_device(connection, carrier, device, batch.known)
    return pack_answer(replace(answer, entries=entries, openings=openings, more=more))


def _key(hub: Hub, chain: str) -> DeviceKey:
    """The hub's key. Without it nothing is wrong with what was brought: it is tried again."""
    try:
        return hub_key(hub.home, chain)
    except (Refused, StoreUnusable) as problem:
        raise HubUnusable(str(problem)) from problem


async def _body(request: Request, limit: int) -> bytes:
    """The body, never more of it than may be."""
    parts: list[bytes] = []
    size = 0
    async for part in request.stream():
        size += len(part)
        if size > limit:
            raise BatchBroken(f"at most {limit} bytes travel at once")
        parts.append(part)
    return b"".join(parts)


def _pairing_in(body: bytes) -> dict[str, str]:
    try:
        told: Any = json.loads(body)
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict):
        raise BatchBroken("a pairing is a JSON object")
    found = {name: told.get(name) for name in ("code", "device", "key")}
    if not all(
        isinstance(one, str) and len(one) <= _SHOWN_MAX and one.isascii() and one.isprintable()
        for one in found.values()
    ):
        raise BatchBroken("a pairing names a code, a device and its key")
    return {name: str(one) for name, one in found.items()}


async def _refused(request: Request, problem: Exception) -> Response:
    del request
    return JSONResponse({"refused": str(problem)[:_SENTENCE_MAX]}, status_code=422)


async def _not_let_in(request: Request, problem: Exception) -> Response:
    del request, problem
    told = "this device is not paired here, or not any more; draw a code at the hub and pair it"
    return JSONResponse({"refused": told}, status_code=401)


async def _away(request: Request, problem: Exception) -> Response:
    del request, problem
    told = "the hub cannot take anything in just now; it is tried again"
    return JSONResponse({"refused": told}, status_code=503)


async def _gone(request: Request, problem: Exception) -> Response:
    del request, problem
    return Response(status_code=400)


async def _our_fault(request: Request, problem: Exception) -> Response:
    del request, problem
    return JSONResponse({"refused": "something went wrong at the hub"}, status_code=500)
