"""The words of the hub's own pages in French and Spanish, before those of the page."""

from dataclasses import replace
from functools import cache
from importlib.resources import files

from babel.messages.pofile import read_po
from jinja2 import ChoiceLoader, PackageLoader

from triplog.page.shown.languages import ENGLISH, Words, words_in
from triplog.page.shown.rendering import Pages


@cache
def hub_words(language: str) -> Words:
    """The words of a language: the hub's own, else the page's, else English."""
    page = words_in(language)
    if page.language == ENGLISH:
        return page
    with (files("triplog.hub.office") / "words" / f"{page.language}.po").open("rb") as file:
        own = {str(one.id): str(one.string) for one in read_po(file) if one.id and one.string}
    return replace(page, say=lambda text: own.get(text) or page.say(text))


class HubPages(Pages):
    """Renders the hub's own pages, beside those of the page they are built on."""

    def __init__(self, *, invented: bool) -> None:
        """`invented`: the carrier's data are, which every page of it says."""
        super().__init__(invented=invented)
        self._environment.loader = ChoiceLoader(
            [
                PackageLoader("triplog.hub.office", "templates"),
                PackageLoader("triplog.page", "templates"),
            ]
        )
