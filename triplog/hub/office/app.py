"""The office's pages put together: which address is answered by what, and what goes round it."""

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from triplog.desk.refused import Refused
from triplog.hub.database import HubUnusable
from triplog.hub.office import device_pages, entering, list_pages, message_pages, trip_pages
from triplog.hub.office.browsers import Visitor, visitor
from triplog.hub.office.house import OfficeHouse, asked_by, asking, house_of, hub_reader, shown
from triplog.page.entrance.guard import Application, BodyTooLarge, Guard, Receive, Scope, Send
from triplog.page.reading import for_the_page

_FOREVER = "public, max-age=31536000, immutable"
_AWAY = "the hub's database cannot be reached just now; try again in a moment"


def office_application(house: OfficeHouse) -> Starlette:
    """The application over an open database; closing that is the caller's."""
    app = Starlette(
        routes=[
            Route("/", first),
            *entering.ROUTES,
            *list_pages.ROUTES,
            *trip_pages.ROUTES,
            *device_pages.ROUTES,
            *message_pages.ROUTES,
            Route("/static/{digest}/{name}", static),
            Route("/worker.js", worker),
        ],
        middleware=[Middleware(Known, house=house), Middleware(Guard, door=HubDoor(house))],
        exception_handlers={
            HTTPException: _not_there,
            Refused: _refused,
            HubUnusable: _away,
            BodyTooLarge: _too_large,
            TimeoutError: _too_slow,
            Exception: _our_fault,
        },
    )
    app.state.house = house
    return app


class Known:
    """Looks up whose browser asks, before the guard: in a thread, so that nothing else waits."""

    def __init__(self, app: Application, house: OfficeHouse) -> None:
        self._app = app
        self._house = house

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        secret = ""
        if scope["type"] == "http" and not str(scope["path"]).startswith("/static/"):
            secret = Request(scope).cookies.get(self._house.settings.cookie, "")[:200]
        try:
            who = await run_in_threadpool(self._visitor, secret) if secret else None
        except HubUnusable:
            await PlainTextResponse(_AWAY, 503)(scope, receive, send)
            return
        with asked_by(who, secret):
            await self._app(scope, receive, send)

    def _visitor(self, secret: str) -> Visitor | None:
        return visitor(self._house.database, secret, self._house.clock.read().wall)


class HubDoor:
    """What the guard asks, answered by the house."""

    def __init__(self, house: OfficeHouse) -> None:
        self._house = house

    def is_called(self, name: str) -> bool:
        """Whether the hub goes by this name."""
        return name.lower() in self._house.settings.names

    def is_own_origin(self, origin: str) -> bool:
        """Whether an origin is ours."""
        scheme = "https" if self._house.settings.is_secure else "http"
        return any(origin.lower() == f"{scheme}://{name}" for name in self._house.settings.names)

    def has_cookie(self, cookies: dict[str, str]) -> bool:
        """Whether a request brings our cookie."""
        return self._house.settings.cookie in cookies

    def session(self, cookies: dict[str, str]) -> tuple[Visitor, str] | None:
        """Whose session it is; that was looked up before."""
        del cookies
        return asking.get()

    def refused(self, what: str) -> None:
        """Tell of a refused attempt."""
        self._house.refused(what)


async def first(request: Request) -> Response:
    """To the list."""
    del request
    return RedirectResponse("/office", 303)


async def static(request: Request) -> Response:
    """A file the pages ask for; its address changes when it does, so it is kept for good."""
    files = house_of(request).pages(invented=False).static
    found = files.get(request.path_params["name"])
    if found is None or found.digest != request.path_params["digest"]:
        raise HTTPException(404)
    return Response(found.data, media_type=found.media_type, headers={"cache-control": _FOREVER})


async def worker(request: Request) -> Response:
    """The worker that the pages' script asks for. Here it keeps nothing: the hub's pages are read
    with a connection, or not at all.
    """
    del request
    return Response("// keeps nothing\n", media_type="text/javascript; charset=utf-8")


async def _not_there(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, HTTPException)
    say = hub_reader(request).words.say
    told = say("There is no such page.") if problem.status_code == 404 else say(problem.detail)
    return shown(request, "told.html", status=problem.status_code, told=told)


async def _refused(request: Request, problem: Exception) -> Response:
    words, said = hub_reader(request).words, str(problem)
    own = words.say(said)
    told = own if own != said else for_the_page(said, words)
    return shown(request, "told.html", status=409, told=told)


async def _away(request: Request, problem: Exception) -> Response:
    del request, problem
    return PlainTextResponse(_AWAY, 503)


async def _too_large(request: Request, problem: Exception) -> Response:
    del request, problem
    return PlainTextResponse("that is more than 1 MB; send less", 413)


async def _too_slow(request: Request, problem: Exception) -> Response:
    del request, problem
    return PlainTextResponse("the request came too slowly; send it again", 408)


async def _our_fault(request: Request, problem: Exception) -> Response:
    if (log := house_of(request).log) is not None:
        log.fault("our fault at the pages", problem)
    say = hub_reader(request).words.say
    told = say("Something went wrong that is our fault. What was recorded before stands.")
    return shown(request, "told.html", status=500, told=told)
