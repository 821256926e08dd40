"""French and Spanish: everything the page says has its words, and the trade words are those of the
list. The translations are ours, read by no native speaker.
"""

import csv
import re
from pathlib import Path

import pytest

from tests.page.terms import ROOT, every_pair, every_term
from triplog.page.shown.languages import LANGUAGES, wished, words_in

OTHERS = pytest.mark.parametrize("language", [one for one in LANGUAGES if one != "en"])
_PLACE = re.compile(r"\{[a-z_]+\}")
_SAME = {"json", "plan", "Note", "Code", "no", "Page", "notes", "article"}


@OTHERS
def test_everything_the_page_says_has_its_words(language: str) -> None:
    say = words_in(language).say
    missing = sorted(one for one in every_term() if say(one) == one and one not in _SAME)
    assert missing == []


@OTHERS
def test_nothing_is_translated_that_the_page_does_not_say(language: str) -> None:
    text = (Path(ROOT) / "page" / "words" / f"{language}.po").read_text("utf-8")
    from babel.messages.pofile import read_po

    with (Path(ROOT) / "page" / "words" / f"{language}.po").open("rb") as file:
        told = [one.id for one in read_po(file) if one.id]
    pairs = {(one[0], one[1]) for one in told if not isinstance(one, str)}
    known = {one if isinstance(one, str) else one[0] for one in told}
    assert pairs == every_pair()
    assert known - every_term() == set()
    assert "fuzzy" not in text


@OTHERS
def test_what_is_put_into_a_sentence_stands_in_its_translation(language: str) -> None:
    say = words_in(language).say
    for one in every_term():
        assert sorted(_PLACE.findall(one)) == sorted(_PLACE.findall(say(one))), one


@OTHERS
@pytest.mark.parametrize("count", [0, 1, 2, 40, 1_000_000])
def test_one_and_several_have_their_forms(language: str, count: int) -> None:
    words = words_in(language)
    assert every_pair()
    for one, several in every_pair():
        told = words.ngettext(one, several, count)
        assert told not in (one, several), "translated"
        assert sorted(_PLACE.findall(told)) == sorted(_PLACE.findall(several))
    trips = ("{count} trip, page {page} of {pages}", "{count} trips, page {page} of {pages}")
    is_one = count == 1 or (language == "fr" and count == 0)
    assert (words.ngettext(*trips, count) == words.ngettext(*trips, 1)) is is_one


def test_english_has_one_and_several() -> None:
    said = words_in("en").ngettext
    assert [said("a trip", "trips", count) for count in (0, 1, 2)] == ["trips", "a trip", "trips"]


@OTHERS
def test_the_trade_words_are_those_of_the_list(language: str) -> None:
    column = {"fr": "french", "es": "spanish"}[language]
    say = words_in(language).say
    with (Path(ROOT) / "page" / "words" / "trade.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            word = re.compile(rf"(?<![\w-]){re.escape(row['english'])}(?![\w-])", re.IGNORECASE)
            used = [one for one in every_term() if word.search(one)]
            assert used, row
            for one in used:
                assert row[column].lower() in say(one).lower(), (one, say(one), row[column])


def test_an_empty_text_stays_empty() -> None:
    assert words_in("fr").say("") == ""


@pytest.mark.parametrize(
    ("header", "language"),
    [
        ("fr-CA,fr;q=0.9,en;q=0.5", "fr"),
        ("de,es;q=0.4,en;q=0.3", "es"),
        ("en-US", "en"),
        ("", "en"),
        ("zz;q=not a number,\u0000", "en"),
        ("es;q=0.2,fr;q=0.8", "fr"),
    ],
)
def test_the_browser_s_wish_is_taken_where_there_is_that_language(
    header: str, language: str
) -> None:
    assert wished(header) == language
