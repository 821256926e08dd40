"""How a hub is served: what any caller is allowed of connections, headers and time.

What a batch may hold stands in `journal/batch.py`, what a body may take in `app.py`; all of it is
in the table of limits in DEVELOPERS.md.
"""

import asyncio
import ipaddress
from pathlib import Path

import uvicorn
from starlette.applications import Starlette
from uvicorn.protocols.http.h11_impl import H11Protocol

CONNECTIONS_MAX = 500
"""Beyond so many a request is answered 503, and beyond twice as many a caller is hung up on."""
CONNECTIONS_OF_ONE_MAX = 100
"""Of one address. Many trucks may come by one address of a mobile network."""
HEADERS_BYTES_MAX = 16 << 10
HEAD_SECONDS_MAX = 20.0
"""How long a request's first lines may take, from when the line was opened or last answered."""
ANSWER_SECONDS_MAX = 60.0
"""How long a caller may take nothing of its answer."""
_KEPT_S = 15
_LEAVE_S = 5


def config(
    app: Starlette,
    host: str,
    port: int,
    certificate: Path | None = None,
    key: Path | None = None,
) -> uvicorn.Config:
    """How the application is served at an address; with a certificate by HTTPS alone."""
    return uvicorn.Config(
        app,
        host=host,
        port=port,
        http=Caller,
        ws="none",
        log_level="critical",
        access_log=False,
        server_header=False,
        timeout_keep_alive=_KEPT_S,
        timeout_graceful_shutdown=_LEAVE_S,
        limit_concurrency=CONNECTIONS_MAX,
        h11_max_incomplete_event_size=HEADERS_BYTES_MAX,
        ssl_certfile=certificate,
        ssl_keyfile=key,
    )


class Caller(H11Protocol):
    """One connection. It is hung up where it only holds a place that others need."""

    _head: asyncio.TimerHandle | None = None
    _stalled: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """A caller has come."""
        super().connection_made(transport)
        if self._is_one_too_many():
            transport.abort()
            return
        self._await_head()

    def handle_events(self) -> None:
        """Something of a request has come."""
        super().handle_events()
        if self.cycle is not None and not self.cycle.response_complete:
            _stop(self._head)

    def on_response_complete(self) -> None:
        """A request was answered; another may follow on the same line."""
        self._await_head()
        super().on_response_complete()

    def pause_writing(self) -> None:
        """The caller takes nothing just now."""
        super().pause_writing()
        self._stalled = self.loop.call_later(ANSWER_SECONDS_MAX, self.transport.abort)

    def resume_writing(self) -> None:
        """The caller takes again what it is sent."""
        _stop(self._stalled)
        super().resume_writing()

    def connection_lost(self, exc: Exception | None) -> None:
        """The caller is gone."""
        _stop(self._head)
        _stop(self._stalled)
        super().connection_lost(exc)

    def is_from(self, host: str) -> bool:
        """Whether it came from that address."""
        return self.client is not None and self.client[0] == host

    def _await_head(self) -> None:
        _stop(self._head)
        self._head = self.loop.call_later(HEAD_SECONDS_MAX, self.transport.abort)

    def _is_one_too_many(self) -> bool:
        if len(self.connections) > 2 * CONNECTIONS_MAX:
            return True
        host = self.client[0] if self.client else ""
        if not host or ipaddress.ip_address(host.partition("%")[0]).is_loopback:
            # Whatever stands before the hub on its own machine brings everybody's requests.
            return False
        of_one = [one for one in self.connections if isinstance(one, Caller) and one.is_from(host)]
        return len(of_one) > CONNECTIONS_OF_ONE_MAX


def _stop(timer: asyncio.TimerHandle | None) -> None:
    if timer is not None:
        timer.cancel()
