"""The page put together: which address is answered by what, and what goes round it."""

import asyncio
import contextlib
import sys
from collections.abc import AsyncIterator
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from triplog.desk.entrance import record_refused
from triplog.desk.refused import Refused
from triplog.journal.entries import Clock
from triplog.journal.store_file import StoreUnusable
from triplog.page import entering, live
from triplog.page.cab import pages as cab
from triplog.page.entrance.book import Book, Session
from triplog.page.entrance.guard import BodyTooLarge, Guard
from triplog.page.entrance.refusals import TOO_LARGE, Refusals
from triplog.page.house import House, Settings, house_of
from triplog.page.office import pages as office
from triplog.page.reading import for_the_page, reader_of, wants_json
from triplog.page.shown.rendering import Pages
from triplog.page.work import Work

_FOREVER = "public, max-age=31536000, immutable"


def open_house(home: Path, clock: Clock, settings: Settings, *, heads: Path | None) -> House:
    """Open the journal and the book. Raises Refused or StoreUnusable where that cannot be done."""
    work = Work(home=home, clock=clock, heads=heads)
    invented = work.do(lambda desk: desk.invented)
    book = Book(home)
    refusals = Refusals(
        book,
        lambda what, count, since: work.do(lambda desk: record_refused(desk, what, count, since)),
    )
    return House(
        settings=settings,
        clock=clock,
        work=work,
        book=book,
        refusals=refusals,
        pages=Pages(invented=invented),
    )


def application(house: House) -> Starlette:
    """The application over an open house; closing the house is the caller's."""

    @contextlib.asynccontextmanager
    async def alive(app: Starlette) -> AsyncIterator[None]:
        looking = asyncio.create_task(app.state.changes.run())
        yield
        looking.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await looking

    app = Starlette(
        routes=[
            *entering.ROUTES,
            *live.ROUTES,
            *cab.ROUTES,
            *office.ROUTES,
            Route("/static/{digest}/{name}", static),
            Route("/worker.js", worker),
        ],
        middleware=[Middleware(Guard, door=_HouseDoor(house))],
        exception_handlers={
            HTTPException: _not_there,
            Refused: _refused,
            StoreUnusable: _refused,
            BodyTooLarge: _too_large,
            TimeoutError: _too_slow,
            Exception: _our_fault,
        },
        lifespan=alive,
    )
    app.state.house = house
    app.state.changes = live.Changes(house)
    return app


class _HouseDoor:
    """What the guard asks, answered by the house."""

    def __init__(self, house: House) -> None:
        self._house = house
        self._counting: set[asyncio.Task[None]] = set()

    def is_called(self, name: str) -> bool:
        """Whether the page goes by this name."""
        return name.lower() in self._house.settings.names

    def is_own_origin(self, origin: str) -> bool:
        """Whether an origin is ours."""
        scheme = "https" if self._house.settings.is_secure else "http"
        return any(origin.lower() == f"{scheme}://{name}" for name in self._house.settings.names)

    def has_cookie(self, cookies: dict[str, str]) -> bool:
        """Whether a request brings our cookie."""
        return self._house.settings.cookie in cookies

    def session(self, cookies: dict[str, str]) -> tuple[Session, str] | None:
        """The session of our cookie."""
        secret = cookies.get(self._house.settings.cookie)
        if not secret:
            return None
        found = self._house.book.session(secret, self._house.now_ms())
        return None if found is None else (found, secret)

    def refused(self, what: str) -> None:
        """Count a refused attempt, without waiting for the journal."""
        counting = asyncio.get_running_loop().create_task(self._house.refused(what))
        # A task that nobody holds may be collected before it has run.
        self._counting.add(counting)
        counting.add_done_callback(self._counting.discard)


async def static(request: Request) -> Response:
    """A file the pages ask for; its address changes when it does, so it is kept for good."""
    found = house_of(request).pages.static.get(request.path_params["name"])
    if found is None or found.digest != request.path_params["digest"]:
        raise HTTPException(404)
    return Response(found.data, media_type=found.media_type, headers={"cache-control": _FOREVER})


async def worker(request: Request) -> Response:
    """The service worker; its scope is the whole page, so it stands at the root."""
    return Response(house_of(request).pages.worker, media_type="text/javascript; charset=utf-8")


async def _not_there(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, HTTPException)
    say = reader_of(request).words.say
    told = say("There is no such page.") if problem.status_code == 404 else say(problem.detail)
    return _plain_page(request, told, problem.status_code)


async def _refused(request: Request, problem: Exception) -> Response:
    status = 503 if isinstance(problem, StoreUnusable) else 409
    return _plain_page(request, for_the_page(str(problem), reader_of(request).words), status)


async def _too_large(request: Request, problem: Exception) -> Response:
    del problem
    await house_of(request).refused(TOO_LARGE)
    say = reader_of(request).words.say
    return PlainTextResponse(say("that is more than 1 MB; send less"), 413)


async def _too_slow(request: Request, problem: Exception) -> Response:
    del problem
    say = reader_of(request).words.say
    return PlainTextResponse(say("the request came too slowly; send it again"), 408)


async def _our_fault(request: Request, problem: Exception) -> Response:
    """16.5.1: no internals on the page; what went wrong is told where the server was started."""
    print(f"our fault, at {request.url.path}: {problem!r}", file=sys.stderr, flush=True)
    say = reader_of(request).words.say
    told = say("Something went wrong that is our fault. What was recorded before stands.")
    return _plain_page(request, told, 500)


def _plain_page(request: Request, told: str, status: int) -> Response:
    if wants_json(request):
        return JSONResponse({"refused": told}, status_code=status)
    return house_of(request).pages.page("told.html", reader_of(request), status=status, told=told)
