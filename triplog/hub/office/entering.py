"""The entrance of the office: a code gives a session. Choosing language and light, and leaving."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from triplog.hub.office.browsers import choose, end, let_in
from triplog.hub.office.house import form_sent, house_of, hub_reader, shown, visitor_of
from triplog.page.entrance.refusals import WRONG_CODE
from triplog.page.reading import LIGHTS, known_language
from triplog.page.shown.rendering import UNITS

_SESSION_S = 90 * 24 * 3600
_CODE_MAX = 100


async def enter_form(request: Request) -> Response:
    """Where a code is pasted; one in a link stands behind the # and is filled in."""
    return shown(request, "hub/enter.html", told="")


async def enter(request: Request) -> Response:
    """Take a code: a session begins, and the carrier's own log says so."""
    house, say = house_of(request), hub_reader(request).words.say
    form = await form_sent(request)
    code, before = (form.text("code") or "")[:_CODE_MAX], request.scope.get("session")
    secret = await run_in_threadpool(let_in, house.database, code, before, house.clock.read())
    if secret is None:
        house.refused(WRONG_CODE)
        told = say("That code lets nobody in: it was used, is over, or was never drawn.")
        return shown(request, "hub/enter.html", status=403, told=told)
    answer = RedirectResponse("/office", 303)
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
    house, who = house_of(request), visitor_of(request)
    await form_sent(request)
    why, reading = "left by its own person", house.clock.read()
    await run_in_threadpool(end, house.database, who.carrier, who.browser, why, reading)
    answer = RedirectResponse("/enter", 303)
    answer.delete_cookie(house.settings.cookie, path="/", secure=house.settings.is_secure)
    answer.headers["clear-site-data"] = '"cache", "storage"'
    return answer


async def choose_light(request: Request) -> Response:
    """Language, units and light, as chosen on this browser."""
    house, who = house_of(request), visitor_of(request)
    form = await form_sent(request)
    choices = dict(who.choices)
    language, light, units = (
        known_language(form.text("language")),
        form.text("light"),
        form.text("units"),
    )
    if language is not None:
        choices["language"] = language
    if light in LIGHTS:
        choices["light"] = str(light)
    if units is not None:
        choices["units"] = units if units in UNITS else ""
    await run_in_threadpool(choose, house.database, who, choices)
    return RedirectResponse("/office", 303)


ROUTES = [
    Route("/enter", enter_form, methods=["GET"]),
    Route("/enter", enter, methods=["POST"]),
    Route("/leave", leave, methods=["POST"]),
    Route("/choose", choose_light, methods=["POST"]),
]
