"""The page of what the office was told of late checks, and what came of each attempt."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.hub.office.house import ask, house_of, hub_reader, shown
from triplog.hub.told import Message, messages_of
from triplog.journal.entries import ClockReading, time_text
from triplog.page.office.told import page_number, when, zone_text
from triplog.wording.due import Say

_PAGE = 100
CAME = {
    "accepted": "handed over",
    "failed": "not taken",
    "timed_out": "nobody knows whether it arrived",
    "no_backend": "nobody there",
    "cut off": "cut off in the middle",
    "under way": "under way",
}
"""What came of an attempt, in words."""


async def messages_page(request: Request) -> Response:
    """Every message, the newest first, a hundred a page."""
    reading, say = house_of(request).clock.read(), hub_reader(request).words.say
    page = page_number(request.query_params.get("page", "1"))

    def look(connection: Open, carrier: Carrier, _: ClockReading) -> list[Message]:
        return messages_of(connection, carrier.id, most=_PAGE + 1, after=(page - 1) * _PAGE)

    found = await ask(request, "messages", look)
    return shown(
        request,
        "hub/messages.html",
        rows=[_row(one, reading.offset_min, say) for one in found[:_PAGE]],
        page=page,
        pages=page + (len(found) > _PAGE),
        zone=zone_text(reading.offset_min),
    )


def _row(one: Message, offset_min: int, say: Say) -> dict[str, object]:
    tried = [f"{number}. {say(CAME[came])}" for number, came in enumerate(one.told.tried, 1)]
    if one.told_at is not None:
        tried.append(when(time_text(one.told_at), offset_min, offset_min))
    return {
        "trip": one.trip,
        "written": when(time_text(one.told.written), offset_min, offset_min),
        "message": one.told.message.splitlines(),
        "came": tried or [say("waits to be handed over")],
    }


ROUTES = [Route("/office/messages", messages_page)]
