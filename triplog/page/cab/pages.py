"""The addresses of the cab: which trip, how it stands, the forms, the sheet for an officer."""

import re
import secrets
from collections.abc import Callable, Mapping
from typing import TypeVar

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from triplog.desk.desk import Desk
from triplog.desk.handing_over import slip
from triplog.desk.looking import trips
from triplog.desk.refused import Refused
from triplog.dossier.slip import slip_document
from triplog.journal.entries import Entry
from triplog.journal.repeats import AlreadyRecorded
from triplog.journal.store_file import StoreUnusable
from triplog.journal.trip import Trip
from triplog.page.cab import checking, on_the_road, the_load
from triplog.page.cab.act import Act, Said
from triplog.page.cab.standing import Standing, standing
from triplog.page.forms import Form, OddReading
from triplog.page.house import house_of, session_of
from triplog.page.reading import for_the_page, read_form, reader_of, wants_json
from triplog.wording.due import Say

ACTS: dict[str, Act] = {**on_the_road.ACTS, **checking.ACTS, **the_load.ACTS}
_TRIP = re.compile(r"[a-z2-7]{16}")
Result = TypeVar("Result")


async def trips_page(request: Request) -> Response:
    """The open trips; where there is one, that one."""
    house, session = house_of(request), session_of(request)
    rows = await house.work.ask(
        "cab", lambda desk: trips(desk, open_only=True), person=session.person
    )
    if len(rows) == 1:
        return RedirectResponse(f"/cab/{rows[0]['id']}", 303)
    return house.pages.page("cab/trips.html", reader_of(request), trips=rows)


async def trip_page(request: Request) -> Response:
    """How a trip stands."""
    house, reader = house_of(request), reader_of(request)
    say = reader.words.say
    found = await _ask(request, lambda desk, trip: standing(desk, trip, say, reader.units))
    said = house.said.lines(request.query_params.get("done", ""))
    template = "cab/still.html" if found.is_still else "cab/trip.html"
    key = secrets.token_urlsafe(16)
    return house.pages.page(template, reader, standing=found, said=said, key=key)


async def version(request: Request) -> Response:
    """What changes when anything on the trip's page would; for a page that cannot be kept open."""
    say = reader_of(request).words.say
    found = await _ask(request, lambda desk, trip: standing(desk, trip, say))
    return JSONResponse({"version": found.version, "is_still": found.is_still})


async def act_form(request: Request) -> Response:
    """The form of one thing that can be done."""
    return await _form(request, _act(request), {}, "", 200)


async def act_done(request: Request) -> Response:
    """Record what a form says; what cannot be recorded is told above the form, the text kept."""
    house, session, act = house_of(request), session_of(request), _act(request)
    say = reader_of(request).words.tell
    form = await read_form(request)
    try:
        key = form.key
        trip_id = trip_named(request)

        def record(desk: Desk) -> Said:
            trip = trip_in(desk, trip_id)
            known = desk.store.with_idem(key)
            if known is not None:
                return _known(known, say)
            act.refuse_at_the_wheel(trip, say)
            try:
                return act.record(desk, trip, form, say)
            except AlreadyRecorded as before:
                return _known(before.entry, say)

        said = await house.work.ask("cab", record, person=session.person, key=key)
    except (Refused, StoreUnusable) as problem:
        return await _told(request, act, form, problem)
    house.said.keep(said.entry.hash, said.lines)
    to = f"/cab/{trip_id}{'/' + said.then if said.then else ''}?done={said.entry.hash}"
    if wants_json(request):
        told = {"entry": said.entry.hash, "lines": list(said.lines), "to": to}
        return JSONResponse(told)
    return RedirectResponse(to, 303)


async def slip_page(request: Request) -> Response:
    """The hand-over slip."""
    house, reader = house_of(request), reader_of(request)
    document, found = await _ask(
        request,
        lambda desk, trip: (
            slip_document(slip(desk, trip, desk.now_on(trip))),
            standing(desk, trip, reader.words.say),
        ),
    )
    said = house.said.lines(request.query_params.get("done", ""))
    return house.pages.page(
        "cab/document.html", reader, document=document, standing=found, said=said
    )


def _known(entry: Entry, say: Say) -> Said:
    return Said(entry, (say("This was recorded already; it stands once."),))


async def _told(request: Request, act: Act, form: Form, problem: Exception) -> Response:
    """A refusal: above the form with what was typed, or as JSON for what waits on the phone."""
    said = for_the_page(str(problem), reader_of(request).words)
    # What is only busy may be sent again; what was refused has to be looked at.
    status = 503 if isinstance(problem, StoreUnusable) else 409
    if wants_json(request):
        return JSONResponse({"refused": said}, status_code=status)
    typed = dict(form.typed)
    if isinstance(problem, OddReading):
        typed.setdefault("typed_first", typed.get("odometer", ""))
        typed["asks_reading"] = "yes"
    return await _form(request, act, typed, said, status)


async def _form(
    request: Request, act: Act, typed: Mapping[str, str], refused: str, status: int
) -> Response:
    house, reader = house_of(request), reader_of(request)
    say = reader.words.tell

    def look(desk: Desk, trip: Trip) -> tuple[Standing, Mapping[str, object] | None, str]:
        stands = standing(desk, trip, say, reader.units)
        try:
            act.refuse_at_the_wheel(trip, say)
            return stands, act.shown(desk, trip, say), refused
        except Refused as problem:
            return stands, None, refused or for_the_page(str(problem), reader.words)

    stands, shown, told = await _ask(request, look)
    if shown is None:
        template = "cab/still.html" if stands.is_still else "cab/refused.html"
        said = (told,) if told and refused else ()
        return house.pages.page(
            template,
            reader,
            status=status,
            standing=stands,
            said=said,
            refused=told,
            key=secrets.token_urlsafe(16),
        )
    return house.pages.page(
        act.template,
        reader,
        status=status,
        standing=stands,
        typed=typed,
        refused=told,
        said=house.said.lines(request.query_params.get("done", "")),
        key=secrets.token_urlsafe(16),
        **shown,
    )


async def _ask(request: Request, look: Callable[[Desk, Trip], Result]) -> Result:
    """Look at the trip of the address."""
    trip_id = trip_named(request)
    house, session = house_of(request), session_of(request)
    return await house.work.ask(
        "cab", lambda desk: look(desk, trip_in(desk, trip_id)), person=session.person
    )


def _act(request: Request) -> Act:
    name = request.path_params["act"]
    if name not in ACTS:
        raise HTTPException(404)
    return ACTS[name]


def trip_named(request: Request) -> str:
    """The id of the trip of an address; 404 for what is none."""
    found = str(request.path_params["trip"])
    if not _TRIP.fullmatch(found):
        raise HTTPException(404)
    return found


def trip_in(desk: Desk, trip_id: str) -> Trip:
    """The trip of that id; 404 where the journal has none."""
    trip = desk.trip(trip_id)
    if not trip.facts:
        raise HTTPException(404)
    return trip


ROUTES = [
    Route("/cab", trips_page),
    Route("/cab/{trip}", trip_page),
    Route("/cab/{trip}/version", version),
    Route("/cab/{trip}/slip", slip_page),
    Route("/cab/{trip}/{act}", act_form, methods=["GET"]),
    Route("/cab/{trip}/{act}", act_done, methods=["POST"]),
]
