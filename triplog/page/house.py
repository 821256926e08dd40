"""What the whole page has at hand, and what one request brings."""

import asyncio
import contextlib
import hashlib
from collections import OrderedDict
from dataclasses import dataclass, field

from starlette.requests import Request

from triplog.desk.refused import Refused
from triplog.journal.entries import Clock
from triplog.journal.store_file import StoreUnusable
from triplog.page.entrance.book import Book, Session
from triplog.page.entrance.limits import WrongCodes
from triplog.page.entrance.refusals import Refusals
from triplog.page.shown.rendering import Pages
from triplog.page.work import Work

_SAID_MAX = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Where the page answers. `names`: what it may be called in a Host header, port included.

    `is_secure`: it is reached by HTTPS, so the cookie is bound to that.
    """

    names: frozenset[str]
    is_secure: bool

    @property
    def cookie(self) -> str:
        """The name of the session's cookie; with its prefix browsers hold it to HTTPS."""
        return "__Host-triplog" if self.is_secure else "triplog"


@dataclass(slots=True)
class SaidLately:
    """What was told when an entry was recorded, for the page that comes next; a few, in memory."""

    _lines: OrderedDict[str, tuple[str, ...]] = field(default_factory=OrderedDict)

    def keep(self, entry: str, lines: tuple[str, ...]) -> None:
        """Keep what is told of an entry, by its hash."""
        self._lines[entry] = lines
        while len(self._lines) > _SAID_MAX:
            self._lines.popitem(last=False)

    def lines(self, entry: str) -> tuple[str, ...]:
        """What was told of an entry; empty where it is not known any more."""
        return self._lines.get(entry, ())


@dataclass(slots=True, kw_only=True)
class House:
    """Everything that lives as long as the server."""

    settings: Settings
    clock: Clock
    work: Work
    book: Book
    refusals: Refusals
    pages: Pages
    wrong_codes: WrongCodes = field(default_factory=WrongCodes)
    said: SaidLately = field(default_factory=SaidLately)

    def now_ms(self) -> int:
        """Now, in milliseconds since 1970."""
        return int(self.clock.read().wall.timestamp() * 1000)

    async def refused(self, what: str) -> None:
        """Count a refused attempt; the journal is told from a thread of its own.

        Where the journal is busy the attempt stays counted, and is told with the next.
        """
        with contextlib.suppress(Refused, StoreUnusable):
            await asyncio.to_thread(self.refusals.refused, what, self.now_ms())

    def close(self) -> None:
        """Keep what was counted, end what is under way, close the files."""
        self.refusals.close()
        self.work.close()
        self.book.close()


def house_of(request: Request) -> House:
    """The house a request came to."""
    found = request.app.state.house
    assert isinstance(found, House), "the application was put together with its house"
    return found


def session_of(request: Request) -> Session:
    """The session of a request the guard has let through."""
    found = request.scope["session"]
    assert isinstance(found, Session), "the guard lets nobody through without a session"
    return found


def form_token(secret: str) -> str:
    """What a form must bring along to be ours: it follows from the session's secret alone."""
    return hashlib.sha256(b"form:" + secret.encode()).hexdigest()[:32]
