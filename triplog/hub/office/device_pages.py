"""The page of the devices: up to which entry each has arrived, when it was last heard of."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.hub.office.devices import Device, devices_of, odd_text
from triplog.hub.office.house import ask, house_of, hub_reader, shown
from triplog.journal.entries import ClockReading, time_text
from triplog.page.office.told import page_number, when, zone_text

_PAGE = 200


async def devices_page(request: Request) -> Response:
    """Every device, by label."""
    reading, asked = house_of(request).clock.read(), request.query_params
    words, page = asked.get("q", "").strip()[:100], page_number(asked.get("page", "1"))
    say = hub_reader(request).words.say

    def look(connection: Open, carrier: Carrier, _: ClockReading) -> list[Device]:
        return devices_of(connection, carrier)

    found = [
        one
        for one in await ask(request, "devices", look)
        if words.casefold() in f"{one.label}\n{one.id}".casefold()
    ]
    rows = [
        {
            "label": one.label,
            "id": one.id,
            "use": say("Office") if one.is_office else say("Cab"),
            "seq": "" if one.seq is None else one.seq,
            "heard": ""
            if one.seen_at is None
            else when(time_text(one.seen_at), reading.offset_min, reading.offset_min),
            "pending": one.pending,
            "odd": [
                *([say("not paired any more")] if one.unpaired_at is not None else []),
                *(odd_text(one, odd, reading.wall, say) for odd in one.odd(reading.wall)),
            ],
        }
        for one in found[(page - 1) * _PAGE : page * _PAGE]
    ]
    return shown(
        request,
        "hub/devices.html",
        rows=rows,
        in_all=len(found),
        q=words,
        page=page,
        pages=max(1, -(-len(found) // _PAGE)),
        filters={"q": words} if words else {},
        zone=zone_text(reading.offset_min),
    )


ROUTES = [Route("/office/devices", devices_page)]
