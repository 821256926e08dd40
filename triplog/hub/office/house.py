"""What the office's pages have at hand, who asks, and what a form brings."""

import hmac
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar
from urllib.parse import parse_qsl

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from triplog.hub.carriers import Carrier
from triplog.hub.database import Database, Open
from triplog.hub.hub_log import HubLog
from triplog.hub.office.browsers import Visitor
from triplog.hub.office.looked import note_looked, note_refused
from triplog.hub.office.words import HubPages, hub_words
from triplog.journal.entries import Clock, ClockReading
from triplog.page.entrance.refusals import WRONG_ROLE, WRONG_TOKEN
from triplog.page.forms import Form
from triplog.page.house import Settings, form_token
from triplog.page.reading import reader_of
from triplog.page.shown.rendering import Reader

_FIELDS_MAX = 200
Result = TypeVar("Result")
asking: ContextVar[tuple[Visitor, str] | None] = ContextVar("asking", default=None)
"""Who asks, with the secret that was shown; None: nobody who is paired."""


@dataclass(slots=True, kw_only=True)
class OfficeHouse:
    """Everything that lives as long as the server.

    `home`: where the hub's key lies; `log` None: nothing is told.
    """

    settings: Settings
    database: Database
    home: Path
    clock: Clock
    log: HubLog | None = None
    _pages: dict[bool, HubPages] = field(default_factory=dict)

    def pages(self, *, invented: bool) -> HubPages:
        """What renders the pages of a carrier."""
        if invented not in self._pages:
            self._pages[invented] = HubPages(invented=invented)
        return self._pages[invented]

    def refused(self, what: str) -> None:
        """Tell the log that somebody was refused of whom nothing is known."""
        if self.log is not None:
            self.log.tell("refused at the pages", why=what)


def house_of(request: Request) -> OfficeHouse:
    """The house a request came to."""
    found = request.app.state.house
    assert isinstance(found, OfficeHouse), "the application was put together with its house"
    return found


def visitor_of(request: Request) -> Visitor:
    """Who asks, behind the guard."""
    found = request.scope["session"]
    assert isinstance(found, Visitor), "the guard lets nobody through without a session"
    return found


def hub_reader(request: Request) -> Reader:
    """Who reads, in which words."""
    found = reader_of(request)
    return replace(found, words=hub_words(found.words.language))


def shown(request: Request, template: str, *, status: int = 200, **told: object) -> Response:
    """A page of a template, for whoever asks."""
    who: Visitor | None = request.scope.get("session")
    pages = house_of(request).pages(invented=who is not None and who.carrier.invented)
    return pages.page(
        template,
        hub_reader(request),
        status=status,
        carrier="" if who is None else who.carrier.label,
        may_act=who is not None and who.role == "office",
        **told,
    )


async def ask(
    request: Request,
    about: str,
    look: Callable[[Open, Carrier, ClockReading], Result],
    *,
    trip: str | None = None,
) -> Result:
    """What a page shows, looked up in the visitor's own role and carrier, in a thread.

    What an auditor asks for is recorded first; `about` names the page, `trip` whose it is.
    """
    house, who = house_of(request), visitor_of(request)
    reading = house.clock.read()

    def work() -> Result:
        note_looked(house.database, who, about, reading, trip=trip)
        with house.database.work(who.role, who.carrier.id) as connection:
            return look(connection, who.carrier, reading)

    return await run_in_threadpool(work)


async def form_sent(request: Request) -> Form:
    """What a form says; refused where it does not bring the token of its session."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/x-www-form-urlencoded":
        raise HTTPException(415, "a form is sent as application/x-www-form-urlencoded")
    try:
        text = (await request.body()).decode()
        fields = parse_qsl(
            text, keep_blank_values=True, max_num_fields=_FIELDS_MAX, errors="strict"
        )
    except ValueError as problem:
        raise HTTPException(400, "the form cannot be read") from problem
    form = Form(tuple((name, _plain(value)) for name, value in fields))
    secret = str(request.scope.get("secret", ""))
    if secret and not hmac.compare_digest(form.text("token") or "", form_token(secret)):
        await refuse(request, WRONG_TOKEN)
        raise HTTPException(403, "that form is not of this page, or of an earlier pairing")
    return form


async def acting(request: Request) -> Form:
    """The form of somebody who may act; an auditor's browser only reads."""
    form = await form_sent(request)
    if visitor_of(request).role != "office":
        await refuse(request, WRONG_ROLE)
        raise HTTPException(403, "this browser only reads")
    return form


async def refuse(request: Request, what: str) -> None:
    """Record that a paired browser was refused something."""
    house, who = house_of(request), visitor_of(request)
    await run_in_threadpool(note_refused, house.database, who, what, house.clock.read())


@contextmanager
def asked_by(who: Visitor | None, secret: str) -> Iterator[None]:
    """While it lasts, a request is known to be asked by somebody."""
    token = asking.set(None if who is None else (who, secret))
    try:
        yield
    finally:
        asking.reset(token)


def _plain(value: str) -> str:
    """A value without what steers a terminal or cannot be stored; lines end in line feeds."""
    text = value.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(char for char in text if char == "\n" or ord(char) >= 32)
