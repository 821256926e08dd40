"""The guard before every page: whose name is called, how large, whose session, whose form.

A pure ASGI layer. What it refuses is counted for the journal. Numbers are those of OWASP ASVS 5.0.
"""

import asyncio
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any, Protocol

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from triplog.page.entrance.book import Session
from triplog.page.entrance.refusals import (
    NO_SESSION,
    TOO_LARGE,
    WRONG_HOST,
    WRONG_ROLE,
    WRONG_TOKEN,
)
from triplog.page.shown.languages import words_for

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Scope, Receive, Send], Awaitable[None]]

BODY_BYTES_MAX = 1 << 20
BODY_SECONDS_MAX = 20.0
ENTRANCE = "/enter"
SHOWN = "/shown"
_OPEN = (ENTRANCE, "/static/", "/worker.js")
_ROLE_OF = {"/cab": "cab", "/office": "office"}
HEADERS = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:;"
        " connect-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none';"
        " object-src 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "x-frame-options": "DENY",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), camera=(), microphone=()",
    "cache-control": "no-store",
}
"""3.4.3 to 3.4.6: what every answer says; a static file says its own cache-control."""


class Door(Protocol):
    """What the guard asks of the house."""

    def is_called(self, name: str) -> bool:
        """Whether the page may be called by this name, port included."""

    def is_own_origin(self, origin: str) -> bool:
        """Whether a page of this origin is ours."""

    def session(self, cookies: dict[str, str]) -> tuple[Session, str] | None:
        """The session of a request's cookies, with its secret."""

    def has_cookie(self, cookies: dict[str, str]) -> bool:
        """Whether the request brings a session's cookie at all."""

    def refused(self, what: str) -> None:
        """Count a refused attempt."""


class Guard:
    """Lets through what may come in; everything else is answered here, in a sentence."""

    def __init__(self, app: Application, door: Door) -> None:
        self._app = app
        self._door = door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        answer = self._refusal(scope)
        if answer is not None:
            await answer(scope, receive, with_headers)
            return
        await self._app(scope, _bounded(receive), with_headers)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        wished = headers.get("accept-language", "")
        if not self._door.is_called(headers.get("host", "")):
            self._door.refused(WRONG_HOST)
            say = words_for({}, wished).say
            return PlainTextResponse(say("this page does not go by that name"), 421)
        cookies = _cookies(headers)
        session, secret = self._door.session(cookies) or (None, "")
        scope["session"], scope["secret"] = session, secret
        say = words_for({} if session is None else session.choices, wished).say
        size = headers.get("content-length", "0")
        if not size.isdecimal() or int(size) > BODY_BYTES_MAX:
            self._door.refused(TOO_LARGE)
            return _told(headers, say("that is more than 1 MB; send less"), 413)
        if scope["method"] not in ("GET", "HEAD") and self._is_foreign(headers):
            self._door.refused(WRONG_TOKEN)
            return _told(headers, say("that form is not of this page"), 403)
        path = str(scope["path"])
        if _is_open(path):
            return None
        if session is not None:
            return self._of_another(session, path, headers, say)
        if self._door.has_cookie(cookies):
            self._door.refused(NO_SESSION)
        if scope["method"] in ("GET", "HEAD"):
            return RedirectResponse(ENTRANCE, 303)
        return _told(headers, say("this browser is not paired any more; pair it anew"), 401)

    def _is_foreign(self, headers: Headers) -> bool:
        """Whether another site's page has sent it: 3.5.1, by what browsers say themselves."""
        origin = headers.get("origin")
        if origin is not None and not self._door.is_own_origin(origin):
            return True
        return headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none")

    def _of_another(
        self, session: Session, path: str, headers: Headers, say: Callable[[str], str]
    ) -> Response | None:
        """The answer to who asks for a page that is not theirs, or shows the sheet; None: go on."""
        if session.showing is not None and not path.startswith(SHOWN):
            return RedirectResponse(SHOWN, 303)
        for begins, role in _ROLE_OF.items():
            if (path == begins or path.startswith(f"{begins}/")) and role not in session.roles:
                self._door.refused(WRONG_ROLE)
                return _told(headers, say("this browser is not paired for that page"), 403)
        return None


def _told(headers: Headers, sentence: str, status: int) -> Response:
    """A sentence, as the page's own script reads it where that asks."""
    if headers.get("accept", "").startswith("application/json"):
        return JSONResponse({"refused": sentence}, status_code=status)
    return PlainTextResponse(sentence, status)


def _is_open(path: str) -> bool:
    return any(path == one or (one.endswith("/") and path.startswith(one)) for one in _OPEN)


def _cookies(headers: Headers) -> dict[str, str]:
    try:
        read = SimpleCookie(headers.get("cookie", ""))
    except CookieError:
        return {}
    return {name: one.value for name, one in read.items()}


class BodyTooLarge(Exception):
    """A body grew beyond what is taken."""


def _bounded(receive: Receive) -> Receive:
    """The body of a request, of at most so many bytes and in at most so long."""
    taken = 0
    whole = False

    async def bounded() -> Message:
        nonlocal taken, whole
        if whole:
            return await receive()
        async with asyncio.timeout(BODY_SECONDS_MAX):
            message = await receive()
        taken += len(message.get("body", b""))
        if taken > BODY_BYTES_MAX:
            raise BodyTooLarge
        whole = not message.get("more_body", False)
        return message

    return bounded
