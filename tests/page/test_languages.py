"""French and Spanish: everything the page says has its words, and the trade words are those of the
list. The translations are ours, read by no native speaker.

What the desk tells, with its values in it, is English in the code. Each such sentence that a page
of the cab can meet is read from the source by `refusals.py`; what that leaves out it names, with
the reason.
"""

import csv
import re
from collections.abc import Callable
from itertools import count
from pathlib import Path

import httpx
import pytest

from tests.dossier.scene import Office
from tests.page.refusals import LEFT_OUT, templates, there_is
from tests.page.served import Served
from tests.page.terms import ROOT, every_pair, every_term
from triplog.journal.trip import Trip
from triplog.page.reading import for_the_page
from triplog.page.shown.languages import LANGUAGES, wished, words_in

OTHERS = pytest.mark.parametrize("language", [one for one in LANGUAGES if one != "en"])
_PLACE = re.compile(r"\{[a-z_]+\}")
_NUMBERED = re.compile(r"\{(\d+)(?::(?:said|each))?\}")
_SAME = {"json", "plan", "Note", "Code", "no", "Page", "notes", "article", "; "}


def saying(language: str) -> Callable[[str], str]:
    """What says a term in a language; one that has a form for several, in its form for one.

    Asked as a count is: whether a look-up without a count finds such a term hangs on the Python.
    """
    words, several = words_in(language), dict(every_pair())
    return lambda one: words.ngettext(one, several[one], 1) if one in several else words.say(one)


@OTHERS
def test_everything_the_page_says_has_its_words(language: str) -> None:
    say = saying(language)
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
    say = saying(language)
    for one in every_term():
        assert sorted(_PLACE.findall(one)) == sorted(_PLACE.findall(say(one))), one
        assert sorted(_NUMBERED.findall(one)) == sorted(_NUMBERED.findall(say(one))), one


@OTHERS
@pytest.mark.parametrize("number", [0, 1, 2, 40, 1_000_000])
def test_one_and_several_have_their_forms(language: str, number: int) -> None:
    words = words_in(language)
    assert every_pair()
    for one, several in every_pair():
        told = words.ngettext(one, several, number)
        assert told not in (one, several), "translated"
        assert sorted(_PLACE.findall(told)) == sorted(_PLACE.findall(several))
    trips = ("{count} trip, page {page} of {pages}", "{count} trips, page {page} of {pages}")
    is_one = number == 1 or (language == "fr" and number == 0)
    assert (words.ngettext(*trips, number) == words.ngettext(*trips, 1)) is is_one


def test_english_has_one_and_several() -> None:
    said = words_in("en").ngettext
    assert [said("a trip", "trips", number) for number in (0, 1, 2)] == ["trips", "a trip", "trips"]


@OTHERS
def test_the_trade_words_are_those_of_the_list(language: str) -> None:
    column = {"fr": "french", "es": "spanish"}[language]
    say = saying(language)
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


@OTHERS
def test_every_refusal_a_driver_can_meet_has_its_words(language: str) -> None:
    say = words_in(language).say
    assert len(templates()) > 80
    lacking = [f"{one.where}: {one.text}" for one in templates() if say(one.text) == one.text]
    assert sorted(lacking) == []


def test_what_is_left_out_is_there_and_a_template_of_it_would_be_found() -> None:
    assert [one for one in LEFT_OUT if not there_is(one)] == []
    found = {one.text for one in templates()}
    assert "trip {0} is {1}; checks are made under way" in found, "a plain one"
    assert "no {0} is called {1}" in found, "made before it is told, by a choice of two"
    assert "{0} is {1} since {2} by {3} ({4})" in found, "made by a function"
    assert "is damaged; keep it as it is, and restore a backup" in found, "one of a table"
    assert "the form cannot be read" in found, "of the page itself"


@OTHERS
def test_a_refusal_comes_out_in_words_with_what_stood_in_it(language: str) -> None:
    words = words_in(language)
    for one in templates():
        values = [f"V-{number}w" for number in range(len(set(_NUMBERED.findall(one.text))))]
        told = for_the_page(one.text.format(*values), words)
        assert told == _NUMBERED.sub(r"V-\1w", words.say(one.text)), one.where
        assert all(value in told for value in values)


def test_words_in_a_place_are_translated_and_labels_are_not() -> None:
    tell = words_in("fr").tell
    assert (
        tell("trip open is closed; checks are made under way")
        == "état du voyage open : clos ; les contrôles se font en route"
    )
    two = "999 mi: it is below the reading before; two digits may be swapped"
    assert tell(two) == (
        "999 mi : il est au-dessous du relevé précédent ; deux chiffres sont peut-être inversés"
    )
    assert tell("no gear is called 'S-9'; there is: S-1, open") == (
        "rien ne s'appelle 'S-9' (matériel) ; il y a : S-1, open"
    )
    assert tell("trip T-1 is loaded; this needs one that is rolling or stopped") == (
        "état du voyage T-1 : chargé ; il en faut un qui soit : en route ou arrêté"
    )
    assert tell("nothing of the kind is known") == "nothing of the kind is known"
    assert tell("trip " * 500) == "trip " * 500, "too long to be one of ours"


def test_what_only_the_terminal_can_do_is_not_told_on_the_page() -> None:
    english = words_in("en")
    odd = "9 mi: it is odd. If it is right, say so with --sure; it is recorded then. If not, --no-x"
    assert for_the_page(odd, english) == "9 mi: it is odd"
    assert for_the_page("the journal /home/x/a.sqlite3 is damaged; keep it", english) == (
        "the journal is damaged; keep it"
    )


def _french(page: Served) -> tuple[httpx.Client, str]:
    """A driver's client that has chosen French, and the token of its forms."""
    client = page.client("cab")
    asked = client.get("/cab", follow_redirects=True).text
    token = asked.partition('name="token" content="')[2].partition('"')[0]
    assert client.post("/choose", data={"token": token, "language": "fr"}).status_code == 303
    client.headers["accept"] = "application/json"
    return client, token


def test_a_french_driver_is_refused_in_french(page: Served, yard: Office, trip: Trip) -> None:
    client, token = _french(page)
    numbers = count(1)

    def told(act: str, *, sent: str = token, **fields: str) -> tuple[int, str]:
        data = {"token": sent, "key": f"key-of-this-form-{next(numbers):04}", **fields}
        answer = client.post(f"/cab/{trip.id}/{act}", data=data)
        return answer.status_code, str(answer.json().get("refused", ""))

    assert told("stopped") == (200, "")
    assert told("odometer", odometer="10") == (
        409,
        "10 mi : il est au-dessous du relevé précédent",
    )
    assert told("duty", status="on duty")[1].startswith("l'état de service est déjà : en service")
    assert told("check", answer="all fine", sent="of an earlier page") == (
        403,
        "ce formulaire n'est pas de cette page, ou vient d'un appairage précédent",
    )
    assert told("check", answer="all fine", key="short") == (
        409,
        "le formulaire a perdu sa clé ; rouvrez la page et remplissez-le de nouveau",
    )
    articles = yard.desk.trip(trip.id).article_ids
    delivered = {"token": token, "key": "key-of-the-delivery", "article": [*articles]}
    assert client.post(f"/cab/{trip.id}/deliver", data=delivered).status_code == 200
    assert told("close", all_back="yes", release_done="yes") == (200, "")
    assert told("check", answer="all fine") == (
        409,
        f"état du voyage {trip.label} : clos ; les contrôles se font en route",
    )


def test_the_guard_answers_in_the_reader_s_words(page: Served) -> None:
    client, token = _french(page)
    large = client.post("/cab/x/check", content=b"x" * ((1 << 20) + 1))
    assert large.json() == {"refused": "c'est plus de 1 Mo ; envoyez moins"}
    foreign = client.post("/leave", data={"token": token}, headers={"origin": "http://other"})
    assert foreign.json() == {"refused": "ce formulaire n'est pas de cette page"}
    office = client.get("/office")
    assert office.json() == {"refused": "ce navigateur n'est pas appairé pour cette page"}
    stranger = httpx.Client(base_url=page.url, headers={"accept-language": "es", "host": "other"})
    with stranger:
        assert stranger.get("/enter").text == "esta página no lleva ese nombre"
