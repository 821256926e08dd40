"""The templates, with what every page has: language, light, form token, the invented mark."""

import hashlib
from dataclasses import dataclass
from functools import cached_property
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from starlette.responses import HTMLResponse

from triplog.page.shown.languages import LANGUAGES, Words
from triplog.wording.amounts import Units

UNITS: dict[str, Units] = {"pounds, miles": "us", "kilograms, kilometres": "si"}
"""The words for the units a person may choose, instead of the carrier's."""
_STATIC = ("page.css", "page.js")
_TYPES = {"css": "text/css; charset=utf-8", "js": "text/javascript; charset=utf-8"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """Who reads a page: the words, the units, which light was chosen, the token of their forms.

    `units` None: as the carrier has it.
    """

    words: Words
    units: Units | None
    light: str
    token: str
    roles: tuple[str, ...]
    person: str


@dataclass(frozen=True, slots=True)
class StaticFile:
    """A file the pages ask for, with its type and the digest in its address."""

    data: bytes
    media_type: str
    digest: str


class Pages:
    """Renders pages; made once."""

    def __init__(self, *, invented: bool) -> None:
        self._invented = invented
        self._environment = Environment(
            loader=PackageLoader("triplog.page", "templates"),
            autoescape=select_autoescape(default=True, default_for_string=True),
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._environment.globals |= {"languages": LANGUAGES, "units_known": UNITS}
        self._environment.globals["static"] = {
            name: f"/static/{one.digest}/{name}" for name, one in self.static.items()
        }

    @cached_property
    def static(self) -> dict[str, StaticFile]:
        """The files the pages ask for, by name."""
        found = {}
        for name in _STATIC:
            data = (files("triplog.page") / "static" / name).read_bytes()
            digest = hashlib.sha256(data).hexdigest()[:16]
            found[name] = StaticFile(data, _TYPES[name.rpartition(".")[2]], digest)
        return found

    @cached_property
    def worker(self) -> str:
        """The service worker, which keeps the pages of the cab for when there is no network."""
        source = (files("triplog.page") / "static" / "worker.js").read_text("utf-8")
        kept = ", ".join(f'"/static/{one.digest}/{name}"' for name, one in self.static.items())
        return f"const KEPT = [{kept}];\n{source}"

    def page(
        self, template: str, reader: Reader, *, status: int = 200, **shown: object
    ) -> HTMLResponse:
        """A page of a template."""
        say = reader.words.say
        text = self._environment.get_template(template).render(
            shown,
            reader=reader,
            _=say,
            say=say,
            ngettext=reader.words.ngettext,
            invented=self._invented,
        )
        return HTMLResponse(text, status_code=status)
