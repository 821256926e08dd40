"""A page that is kept open is told when something changed: server-sent events.

While somebody drives nothing is sent but the tones that `triplog watch` has raised; the page plays
them and stays as it is. One look at the journal every two seconds serves all pages.
"""

import asyncio
from collections.abc import AsyncIterator
from dataclasses import dataclass, field

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.journal.store_file import StoreUnusable
from triplog.journal.trip import Trip
from triplog.page.cab.pages import trip_in, trip_named
from triplog.page.cab.standing import standing
from triplog.page.house import House, house_of, session_of
from triplog.page.reading import reader_of
from triplog.wording.due import Say

_LOOK_EVERY_S = 2.0
_TIME_CHANGES_EVERY = 8
"""What is due changes with time alone too: so many looks without an entry, and it is told anew."""
_STREAMS_MAX = 200


@dataclass(slots=True)
class Changes:
    """Counts up when the journal has grown, or a while has gone by."""

    house: House
    count: int = 0
    streams: int = 0
    _seen: object = None
    _changed: asyncio.Condition = field(default_factory=asyncio.Condition)

    async def run(self) -> None:
        """Look again and again, until cancelled; and have refused attempts recorded in time."""
        looks = 0
        while True:
            await asyncio.sleep(_LOOK_EVERY_S)
            looks += 1
            try:
                await asyncio.to_thread(self.house.refusals.look, self.house.now_ms())
                seen = await self.house.work.ask("cab", _seen) if self.streams else self._seen
            except (Refused, StoreUnusable):
                continue  # another program holds the journal: the next look tells
            if not self.streams:
                continue
            if seen != self._seen or looks % _TIME_CHANGES_EVERY == 0:
                self._seen = seen
                async with self._changed:
                    self.count += 1
                    self._changed.notify_all()

    async def after(self, count: int) -> int:
        """Wait until there is more than that; the count then."""
        async with self._changed:
            await self._changed.wait_for(lambda: self.count > count)
            return self.count


def _seen(desk: Desk) -> object:
    return desk.store.data_version(), desk.store.head(desk.store.device)


@dataclass(frozen=True, slots=True)
class _Now:
    version: str
    tones: int
    stage: str


def _now(desk: Desk, trip_id: str, say: Say) -> _Now:
    trip = trip_in(desk, trip_id)
    raised = _tones(trip)
    stands = standing(desk, trip, say)
    stage = raised[-1] if raised else ""
    return _Now("" if stands.is_still else stands.version, len(raised), stage)


def _tones(trip: Trip) -> list[str]:
    """The stage of each tone that was raised."""
    return [
        str(fact.entry.body["stage"])
        for fact in trip.of("prompt_raised")
        if fact.entry.body["channel"] == "tone"
    ]


async def live(request: Request) -> Response:
    """The stream of one trip."""
    changes: Changes = request.app.state.changes
    if changes.streams >= _STREAMS_MAX:
        say = reader_of(request).words.say
        told = say("too many pages are kept open; this one asks now and then")
        return PlainTextResponse(told, 503)
    return StreamingResponse(
        _stream(request, changes),
        media_type="text/event-stream",
        headers={"x-accel-buffering": "no"},
    )


async def _stream(request: Request, changes: Changes) -> AsyncIterator[str]:
    house, session = house_of(request), session_of(request)
    say, trip_id = reader_of(request).words.say, trip_named(request)

    async def look() -> _Now:
        return await house.work.ask(
            "cab", lambda desk: _now(desk, trip_id, say), person=session.person
        )

    changes.streams += 1
    try:
        count, last = changes.count, await look()
        yield f"event: version\ndata: {last.version}\n\n"
        while True:
            count = await changes.after(count)
            now = await look()
            if now.tones > last.tones:
                yield f"event: tone\ndata: {now.stage}\n\n"
            if now.version != last.version:
                yield f"event: version\ndata: {now.version}\n\n"
            elif now.tones == last.tones:
                yield ": still here\n\n"
            last = now
    finally:
        changes.streams -= 1


ROUTES = [Route("/cab/{trip}/live", live)]
