"""The entrance: a pairing code gives a session. Choosing language and light, and leaving."""

import hmac
from hashlib import scrypt
from secrets import token_hex

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from triplog.desk.desk import Desk
from triplog.desk.entrance import record_paired, record_unpaired
from triplog.desk.export_forms import sheet_document
from triplog.page.entrance.book import Session, Showing, Wanted
from triplog.page.entrance.refusals import WRONG_CODE
from triplog.page.house import House, house_of, session_of
from triplog.page.reading import LIGHTS, known_language, read_form, reader_of
from triplog.page.shown.rendering import UNITS

_SESSION_S = 90 * 24 * 3600
_DIGITS = 8
_NUMBER_DIGITS = range(4, 13)
_FREE_TRIES, _WAIT_MS = 5, 10_000


async def first(request: Request) -> Response:
    """To the page the browser is paired for."""
    session = session_of(request)
    return RedirectResponse("/cab" if "cab" in session.roles else "/office", 303)


async def enter_form(request: Request) -> Response:
    """Where a pairing code is typed; one in a QR code stands behind the # and is filled in."""
    return _entrance(request, "", 200)


async def enter(request: Request) -> Response:
    """Take a code: a session begins, and the journal says so."""
    house, say = house_of(request), reader_of(request).words.say
    form = await read_form(request)
    code = "".join((form.text("code") or "").split())
    address = request.client.host if request.client else ""
    now_ms = house.now_ms()
    wait_ms = house.wrong_codes.must_wait_ms(address, now_ms)
    is_typed = code.isdecimal() and len(code) == _DIGITS
    if is_typed and wait_ms:
        told = say("Too many wrong codes. Wait {seconds} seconds, then type it again.")
        return _entrance(request, told.format(seconds=-(-wait_ms // 1000)), 429)
    wanted = house.book.take_code(code, now_ms) if code else None
    if wanted is None:
        await house.refused(WRONG_CODE)
        if house.wrong_codes.wrong(address, now_ms):
            house.book.withdraw_codes()
        told = say("That code is not known, or its five minutes are over. Have a new one drawn.")
        return _entrance(request, told, 403)
    house.wrong_codes.right(address)
    before: Session | None = request.scope.get("session")
    return await _let_in(house, wanted, before)


async def _let_in(house: House, wanted: Wanted, before: Session | None) -> Response:
    """A new session, with a new secret; an earlier one of the same browser ends (7.2.4)."""

    def record(desk: Desk) -> str:
        if before is not None:
            record_unpaired(desk, before.browser, "paired anew")
        return record_paired(desk, wanted.label, wanted.roles, wanted.person).browser

    browser = await house.work.ask("cab", record, person=wanted.person, via="program")
    if before is not None:
        house.book.end(before.browser)
    secret = house.book.begin(browser, wanted, house.now_ms())
    answer = RedirectResponse("/", 303)
    answer.set_cookie(
        house.settings.cookie,
        secret,
        max_age=_SESSION_S,
        path="/",
        httponly=True,
        secure=house.settings.is_secure,
        samesite="strict",
    )
    return answer


async def leave(request: Request) -> Response:
    """End the session of this browser."""
    house, session = house_of(request), session_of(request)
    await read_form(request)
    await house.work.ask(
        "cab",
        lambda desk: record_unpaired(desk, session.browser, "left by its own person"),
        person=session.person,
    )
    house.book.end(session.browser)
    answer = RedirectResponse("/enter", 303)
    answer.delete_cookie(house.settings.cookie, path="/", secure=house.settings.is_secure)
    answer.headers["clear-site-data"] = '"cache", "storage"'
    return answer


async def choose(request: Request) -> Response:
    """Language, units and light, as chosen on this browser."""
    house, session = house_of(request), session_of(request)
    form = await read_form(request)
    choices = dict(session.choices)
    language, light = known_language(form.text("language")), form.text("light")
    if language is not None:
        choices["language"] = language
    if light in LIGHTS:
        choices["light"] = str(light)
    units = form.text("units")
    if units is not None:
        choices["units"] = units if units in UNITS else ""
    house.book.choose(session, choices)
    return RedirectResponse("/", 303)


async def show_form(request: Request) -> Response:
    """Before a sheet is shown: a number is chosen that takes it back."""
    return house_of(request).pages.page(
        "cab/show.html", reader_of(request), trip=request.path_params["trip"], refused=""
    )


async def show(request: Request) -> Response:
    """Show the roadside sheet and nothing else, until the number is typed."""
    house, session = house_of(request), session_of(request)
    form = await read_form(request)
    number, trip = form.text("number") or "", str(request.path_params["trip"])
    if not number.isdecimal() or len(number) not in _NUMBER_DIGITS:
        reader = reader_of(request)
        told = reader.words.say("Choose a number of at least four digits, and remember it.")
        return house.pages.page("cab/show.html", reader, status=409, trip=trip, refused=told)
    salt = token_hex(16)
    house.book.show(session, Showing(trip=trip, salt=salt, number=_hashed(number, salt)))
    return RedirectResponse("/shown", 303)


async def shown(request: Request) -> Response:
    """The sheet, full screen; nothing on it leads elsewhere."""
    return await _sheet(request, "", 200)


async def take_back(request: Request) -> Response:
    """Back to the driver's page, with the number that was chosen."""
    house, session = house_of(request), session_of(request)
    form, showing = await read_form(request), session.showing
    if showing is None:
        return RedirectResponse("/", 303)
    now_ms, say = house.now_ms(), reader_of(request).words.say
    if now_ms < showing.wait_until_ms:
        seconds = -(-(showing.wait_until_ms - now_ms) // 1000)
        return await _sheet(request, say("Wait {seconds} seconds.").format(seconds=seconds), 429)
    if hmac.compare_digest(_hashed(form.text("number") or "", showing.salt), showing.number):
        house.book.show(session, None)
        return RedirectResponse(f"/cab/{showing.trip}", 303)
    tries = showing.tries + 1
    wait = _WAIT_MS * max(0, tries - _FREE_TRIES + 1)
    house.book.show(
        session,
        Showing(
            trip=showing.trip,
            salt=showing.salt,
            number=showing.number,
            tries=tries,
            wait_until_ms=now_ms + min(wait, 6 * _WAIT_MS),
        ),
    )
    return await _sheet(request, say("That is another number."), 403)


async def _sheet(request: Request, told: str, status: int) -> Response:
    house, session = house_of(request), session_of(request)
    showing = session.showing
    if showing is None:
        return RedirectResponse("/", 303)

    def look(desk: Desk) -> object:
        trip = desk.trip(showing.trip)
        return sheet_document(desk, trip, desk.now_on(trip))

    document = await house.work.ask("cab", look, person=session.person)
    return house.pages.page(
        "shown.html", reader_of(request), status=status, document=document, told=told
    )


def _entrance(request: Request, told: str, status: int) -> Response:
    return house_of(request).pages.page("enter.html", reader_of(request), status=status, told=told)


def _hashed(number: str, salt: str) -> str:
    return scrypt(number.encode(), salt=salt.encode(), n=2**14, r=8, p=1).hex()


ROUTES = [
    Route("/", first),
    Route("/enter", enter_form, methods=["GET"]),
    Route("/enter", enter, methods=["POST"]),
    Route("/leave", leave, methods=["POST"]),
    Route("/choose", choose, methods=["POST"]),
    Route("/cab/{trip}/show", show_form, methods=["GET"]),
    Route("/cab/{trip}/show", show, methods=["POST"]),
    Route("/shown", shown, methods=["GET"]),
    Route("/shown", take_back, methods=["POST"]),
]
