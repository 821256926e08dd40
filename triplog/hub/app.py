"""What devices reach of the hub: pairing, and bringing batches; and what watches over it asks.

A batch is answered within one transaction, so that what was acknowledged is durable. What is wrong
with a request is said in one sentence; what goes wrong here is told to the log, not to the sender.
"""

import asyncio
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
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Mount, Route

from triplog.desk.refused import Refused
from triplog.hub.carriers import Asked, Carrier, carrier_of, digest_of, hub_key, pair
from triplog.hub.chain import NotTaken
from triplog.hub.database import Database, HubUnusable
from triplog.hub.health import MEDIA_TYPE, health, may_watch, metrics
from triplog.hub.hub_log import HubLog, place_of, short
from triplog.hub.intake import take
from triplog.hub.office.app import office_application
from triplog.hub.office.house import OfficeHouse
from triplog.hub.sending import for_device
from triplog.hub.state import Busy, Counted, Standing, standing
from triplog.journal.batch import PACKED_BYTES_MAX, Batch, BatchBroken, batch_in, pack_answer
from triplog.journal.device_key import DeviceKey, read_key
from triplog.journal.entries import Clock
from triplog.journal.store_file import StoreUnusable
from triplog.page.house import Settings

_PAIRING_BYTES_MAX = 4096
_PAIRING_SECONDS_MAX = 60.0
_BATCH_SECONDS_MAX = 600.0
"""A truck where the network is poor brings a megabyte in minutes."""
_SILENT_SECONDS_MAX = 30.0
"""How long nothing may come of a body that has begun."""
_SHOWN_MAX = 200
_SENTENCE_MAX = 250
"""A sentence may repeat what was sent, and that may be long."""
_BATCH_TYPE = "application/octet-stream"
_NOT_KEPT = {"cache-control": "no-store"}
_TOLD_OUTCOMES = {"forked": "another history came", "behind": "an old copy came"}
Answering = Callable[[Request], Awaitable[Response]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hub:
    """What a hub has at hand.

    `home`: where its key lies; `office`: how its pages are reached; `watched_from`: addresses that
    may ask for its health beside this machine; `log` None: nothing is told.
    """

    database: Database
    home: Path
    clock: Clock
    office: Settings = field(default_factory=lambda: Settings(names=frozenset(), is_secure=False))
    watched_from: frozenset[str] = frozenset()
    log: HubLog | None = None
    counted: Counted = field(default_factory=Counted)

    def tell(self, what: str, **told: str | int | None) -> None:
        """Write a line of the log."""
        if self.log is not None:
            self.log.tell(what, **told)

    def fault(self, what: str, problem: Exception, **told: str | int | None) -> None:
        """Write in the log what went wrong here."""
        if self.log is not None:
            self.log.fault(what, problem, **told)


class NotLetIn(Exception):
    """Nobody is known by what was shown."""


def application(hub: Hub) -> Starlette:
    """The application over an open database; closing that is the caller's."""

    @asynccontextmanager
    async def alive(app: Starlette) -> AsyncIterator[None]:
        yield
        del app

    house = OfficeHouse(
        settings=hub.office, database=hub.database, home=hub.home, clock=hub.clock, log=hub.log
    )
    app = Starlette(
        routes=[
            Route("/pair", pairing, methods=["POST"]),
            Route("/push", pushing, methods=["POST"]),
            Route("/health", telling_health, methods=["GET"]),
            Route("/metrics", telling_figures, methods=["GET"]),
            Mount("/", office_application(house)),
        ],
        exception_handlers={
            Refused: _refused,
            NotTaken: _refused,
            BatchBroken: _refused,
            NotLetIn: _not_let_in,
            HubUnusable: _away,
            Busy: _busy,
            TimeoutError: _too_slow,
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
    asked = _asked_in(await _body(request, _PAIRING_BYTES_MAX, _PAIRING_SECONDS_MAX))
    paired = await run_in_threadpool(partial(pair, hub.database, hub.home, asked, hub.clock.read()))
    hub.counted.pairing("paired")
    hub.tell("device paired", device=short(asked.device))
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
    request.state.device = device
    with hub.counted.one_of_few(device):
        batch = batch_in(await _body(request, PACKED_BYTES_MAX, _BATCH_SECONDS_MAX))
        outcome, answer = await run_in_threadpool(_take, hub, device, carrier, batch)
    hub.counted.batch(outcome)
    if outcome in _TOLD_OUTCOMES:
        hub.tell(_TOLD_OUTCOMES[outcome], device=short(device), of=short(batch.device))
    return Response(answer, media_type=_BATCH_TYPE)


async def telling_health(request: Request) -> Response:
    """Whether this hub is well: 200, or 503 with what is the trouble."""
    hub = hub_of(request)
    if not may_watch(request, hub.watched_from):
        return _not_watched()
    found, has_key = await run_in_threadpool(_looked_at, hub)
    told = health(found, has_key=has_key)
    return JSONResponse(told, status_code=200 if told["is_well"] else 503, headers=_NOT_KEPT)


async def telling_figures(request: Request) -> Response:
    """The figures for a monitoring system, also where the database is away."""
    hub = hub_of(request)
    if not may_watch(request, hub.watched_from):
        return _not_watched()
    found, _ = await run_in_threadpool(_looked_at, hub)
    return Response(
        metrics(found, hub.counted).encode(), headers={**_NOT_KEPT, "content-type": MEDIA_TYPE}
    )


def _looked_at(hub: Hub) -> tuple[Standing | Exception, bool]:
    has_key = read_key(hub.home, "hub") is not None
    try:
        return standing(hub.database, hub.clock.read().wall), has_key
    except HubUnusable as problem:
        return problem, has_key


def _not_watched() -> Response:
    return PlainTextResponse("asked from this machine, or where hub serve --watched-from says", 403)


def _let_in(hub: Hub, secret: str) -> tuple[str, str]:
    """Whose secret it is, before anything they send is looked at."""
    with hub.database.work("ingest") as connection:
        row = connection.execute(
            "SELECT id, carrier FROM device_with(%s)", (digest_of(secret),)
        ).fetchone()
    if row is None:
        raise NotLetIn
    return row[0], row[1]


def _take(hub: Hub, device: str, carrier_id: str, batch: Batch) -> tuple[str, bytes]:
    with hub.database.work("ingest", carrier_id) as connection:
        carrier = carrier_of(connection, carrier_id)
        key = _key(hub, carrier)
        answer = take(connection, carrier, device, batch, key, hub.clock.read())
        entries, openings, more = for_device(connection, carrier, device, batch.known)
    whole = replace(answer, entries=entries, openings=openings, more=more)
    return answer.outcome, pack_answer(whole)


def _key(hub: Hub, carrier: Carrier) -> DeviceKey:
    """The hub's key. Without it nothing is wrong with what was brought: it is tried again."""
    try:
        return hub_key(hub.home, carrier.id, carrier.witness)
    except (Refused, StoreUnusable) as problem:
        raise HubUnusable(str(problem)) from problem


async def _body(request: Request, limit: int, seconds_max: float) -> bytes:
    """The body, never more of it than may be. Raises TimeoutError where it comes too slowly."""
    parts: list[bytes] = []
    size = 0
    async with asyncio.timeout(seconds_max), asyncio.timeout(_SILENT_SECONDS_MAX) as silent:
        async for part in request.stream():
            silent.reschedule(asyncio.get_running_loop().time() + _SILENT_SECONDS_MAX)
            size += len(part)
            if size > limit:
                raise BatchBroken(f"at most {limit} bytes travel at once")
            parts.append(part)
    return b"".join(parts)


def _asked_in(body: bytes) -> Asked:
    try:
        told: Any = json.loads(body)
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict):
        raise BatchBroken("a pairing is a JSON object")
    texts = [told.get(name) for name in ("code", "device", "key")]
    if not all(
        isinstance(one, str) and len(one) <= _SHOWN_MAX and one.isascii() and one.isprintable()
        for one in texts
    ):
        raise BatchBroken("a pairing names a code, a device and its key")
    code, device, key = map(str, texts)
    return Asked(code=code, device=device, key=key, invented=told.get("invented") is True)


async def _refused(request: Request, problem: Exception) -> Response:
    hub, why = hub_of(request), type(problem).__name__
    if request.url.path == "/pair":
        hub.counted.pairing("refused")
        hub.tell("pairing refused", why=why, at_code=place_of(problem))
    else:
        _count(request, "refused")
        hub.tell("batch refused", device=_whose(request), why=why, at_code=place_of(problem))
    return JSONResponse({"refused": str(problem)[:_SENTENCE_MAX]}, status_code=422)


async def _not_let_in(request: Request, problem: Exception) -> Response:
    del problem
    _count(request, "not_let_in")
    told = "this device is not paired here, or not any more; draw a code at the hub and pair it"
    return JSONResponse({"refused": told}, status_code=401)


async def _away(request: Request, problem: Exception) -> Response:
    _count(request, "put_off")
    hub_of(request).fault("nothing can be taken in", problem, device=_whose(request))
    told = "the hub cannot take anything in just now; it is tried again"
    return JSONResponse({"refused": told}, status_code=503)


async def _busy(request: Request, problem: Exception) -> Response:
    del problem
    _count(request, "put_off")
    hub_of(request).tell("too many batches of one device at once", device=_whose(request))
    told = "this device brings other batches just now; it is tried again"
    return JSONResponse({"refused": told}, status_code=503)


async def _too_slow(request: Request, problem: Exception) -> Response:
    del problem
    _count(request, "put_off")
    hub_of(request).tell("a body came too slowly", device=_whose(request))
    told = "it came too slowly; it is tried again"
    return JSONResponse({"refused": told}, status_code=408, headers={"connection": "close"})


async def _gone(request: Request, problem: Exception) -> Response:
    del request, problem
    return Response(status_code=400)


async def _our_fault(request: Request, problem: Exception) -> Response:
    _count(request, "fault")
    hub_of(request).fault("our fault", problem, device=_whose(request))
    return JSONResponse({"refused": "something went wrong at the hub"}, status_code=500)


def _count(request: Request, outcome: str) -> None:
    if request.url.path == "/push":
        hub_of(request).counted.batch(outcome)


def _whose(request: Request) -> str | None:
    """The device that was let in, as the log tells it."""
    device = getattr(request.state, "device", None)
    return None if device is None else short(device)
