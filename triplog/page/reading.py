"""Reading a request: who reads, in which words; what a form says; refusals without the terminal's
commands in them.
"""

import hmac
import re
from urllib.parse import parse_qsl

from starlette.exceptions import HTTPException
from starlette.requests import Request

from triplog.page.entrance.book import Session
from triplog.page.entrance.refusals import WRONG_TOKEN
from triplog.page.forms import Form
from triplog.page.house import form_token, house_of
from triplog.page.shown.languages import LANGUAGES, Words, words_for
from triplog.page.shown.rendering import UNITS, Reader

LIGHTS = ("as the device", "day", "night")
_FIELDS_MAX = 500
_PLACE = re.compile(r"the journal \S*/\S+ ")
_COMMAND = r"(?:`triplog[^`]*`|--[a-z][a-z-]+)"
_WITH_COMMAND = re.compile(
    rf"\. If [^.]*{_COMMAND}[^.]*|(?:[;.,:] |, and |\. )?[^;.,:]*{_COMMAND}[^;.]*"
)


def reader_of(request: Request) -> Reader:
    """Who reads: by what was chosen on the browser, else by what the browser asks for."""
    session: Session | None = request.scope.get("session")
    choices = {} if session is None else session.choices
    secret = str(request.scope.get("secret", ""))
    return Reader(
        words=words_for(choices, request.headers.get("accept-language", "")),
        units=UNITS.get(choices.get("units", "")),
        light=choices.get("light", LIGHTS[0]),
        token=form_token(secret) if secret else "",
        roles=() if session is None else session.roles,
        person="" if session is None else session.person,
    )


async def read_form(request: Request) -> Form:
    """What a form says; 403 where it does not bring the token of its session."""
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
        await house_of(request).refused(WRONG_TOKEN)
        raise HTTPException(403, "that form is not of this page, or of an earlier pairing")
    return form


def _plain(value: str) -> str:
    """A value without what steers a terminal or cannot be stored; lines end in line feeds."""
    text = value.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(char for char in text if char == "\n" or ord(char) >= 32)


def wants_json(request: Request) -> bool:
    """Whether the page's own script asks, which shows the answer itself."""
    return request.headers.get("accept", "").startswith("application/json")


def for_the_page(sentence: str, words: Words) -> str:
    """A refusal in the reader's words, without what only somebody at the terminal can use."""
    return words.tell(without_commands(sentence))


def without_commands(sentence: str) -> str:
    """A refusal without where files lie, and without what names the terminal's commands."""
    left = _WITH_COMMAND.sub("", _PLACE.sub("the journal ", sentence)).strip(" ;,.")
    return left or sentence


def known_language(word: str | None) -> str | None:
    """A language there is; None for any other word."""
    return word if word in LANGUAGES else None
