"""English, French and Spanish for the page; the catalogues are text, `words/*.po`."""

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.support import Translations

from triplog.page.shown.desk_said import told_in

LANGUAGES = {"en": "English", "fr": "Français", "es": "Español"}
ENGLISH = "en"


@dataclass(frozen=True, slots=True)
class Words:
    """The words of one language: `say` turns a piece of English into it.

    `ngettext` takes English for one and for several, and the number, and gives the form for it.
    `tell` turns a sentence of the desk, with its values in it, into the language.
    """

    language: str
    say: Callable[[str], str]
    ngettext: Callable[[str, str, int], str]
    tell: Callable[[str], str]


def words_for(choices: Mapping[str, str], header: str) -> Words:
    """The words a browser gets: as chosen on it, else as its Accept-Language header asks."""
    return words_in(choices.get("language") or wished(header))


@cache
def words_in(language: str) -> Words:
    """The words of a language; English where there are none."""
    if language == ENGLISH or language not in LANGUAGES:
        return Words(ENGLISH, _same, lambda one, some, n: one if n == 1 else some, _same)
    source = files("triplog.page") / "words" / f"{language}.po"
    with source.open("rb") as file:
        catalogue = read_po(file, locale=language)
    made = io.BytesIO()
    write_mo(made, catalogue)
    made.seek(0)
    translations = Translations(made)

    def say(text: str) -> str:
        # An empty text is the key of the catalogue's own head.
        return str(translations.ugettext(text)) if text else ""

    return Words(
        language,
        say,
        lambda one, some, n: str(translations.ungettext(one, some, n)),
        told_in((one.id for one in catalogue if isinstance(one.id, str)), say),
    )


def _same(text: str) -> str:
    return text


def wished(header: str) -> str:
    """The language an Accept-Language header asks for first, of those there are."""
    asked: list[tuple[float, int, str]] = []
    for place, part in enumerate(header.split(",")[:20]):
        name, _, quality = part.partition(";")
        weight = quality.strip().removeprefix("q=")
        try:
            asked.append((-float(weight or "1"), place, name.strip().lower()[:2]))
        except ValueError:
            continue
    return next((name for _, _, name in sorted(asked) if name in LANGUAGES), ENGLISH)
