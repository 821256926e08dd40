"""French and Spanish for the hub's own pages: everything they say has its words."""

import re
from pathlib import Path

import pytest
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po

from tests.page.terms import every_pair, every_term
from triplog.hub.office.devices import Odd
from triplog.hub.office.message_pages import CAME
from triplog.hub.office.trip_pages import FORMS
from triplog.hub.office.words import hub_words

ROOT = Path(__file__).parents[2] / "triplog" / "hub" / "office"
OTHERS = pytest.mark.parametrize("language", ["fr", "es"])
_WHERE = [("**.py", "python"), ("templates/**.html", "jinja2")]
_PLACE = re.compile(r"\{[a-z_]+\}")
_SAME = {"Code", "Page", "Message", "Messages"}
REFUSED = (
    "there is no such trip",
    "a hold is placed and lifted with a reason",
    "that hold does not stand any more; look at the trip again",
    "this browser only reads",
)
"""Sentences that are raised, and told on a page."""


def said() -> set[str]:
    """Every piece of English that the hub's pages say."""
    found = extract_from_dir(
        str(ROOT), method_map=_WHERE, keywords={"_": None, "say": None, "ngettext": (1, 2)}
    )
    told = {message for _, _, message, _, _ in found if isinstance(message, str) and message}
    return {*told, *map(str, Odd), *FORMS.values(), *CAME.values(), *REFUSED}


def own(language: str) -> set[str]:
    """What the hub's own catalogue translates."""
    with (ROOT / "words" / f"{language}.po").open("rb") as file:
        return {str(one.id) for one in read_po(file) if one.id}


@OTHERS
def test_everything_the_hub_s_pages_say_has_its_words(language: str) -> None:
    say = hub_words(language).say
    assert sorted(one for one in said() if say(one) == one and one not in _SAME) == []


@OTHERS
def test_nothing_is_translated_that_they_do_not_say_or_the_page_says(language: str) -> None:
    assert own(language) - said() == set()
    assert own(language) & every_term() == set()
    assert every_pair()


@OTHERS
def test_what_is_put_into_a_sentence_stands_in_its_translation(language: str) -> None:
    say = hub_words(language).say
    for one in said():
        assert sorted(_PLACE.findall(one)) == sorted(_PLACE.findall(say(one))), one


def test_what_is_refused_is_raised_in_these_words() -> None:
    source = "".join(path.read_text("utf-8") for path in ROOT.glob("*.py"))
    for one in REFUSED:
        assert f'"{one}"' in source
