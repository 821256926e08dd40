"""Every piece of English that the page says in another language, from source and lists."""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

from babel.messages.extract import extract_from_dir

from scheduler.due import State
from scheduler.progress import DutyStatus
from scheduler.recheck_rules import LegalForce
from tests.page.refusals import templates
from triplog.desk.checking import LOOKS, Fault, Found
from triplog.desk.gear import HELD
from triplog.desk.odometer import Doubt
from triplog.desk.overview import Concern
from triplog.desk.releasing import QUESTIONS, Answer
from triplog.journal.things import Standing
from triplog.journal.trip import TripState
from triplog.page.office.pages import FORM_WORDS
from triplog.page.reading import LIGHTS
from triplog.page.shown.rendering import UNITS
from triplog.screen import CAUTIONS, HURT_GEAR, unrevised_line
from triplog.securement.quantity import Dimension
from triplog.wording import happened
from triplog.wording.due import ADVISED, TITLES

ROOT = Path(__file__).parents[2] / "triplog"
_WHERE = [
    ("page/**.py", "python"),
    ("page/templates/**.html", "jinja2"),
    ("wording/due.py", "python"),
]


def in_source() -> Iterator[str]:
    """What stands in a call of `_` or `say`, and the one of a pair of one and several."""
    for message in _messages():
        if isinstance(message, str):
            yield message
        else:
            yield message[0]


@cache
def every_pair() -> frozenset[tuple[str, str]]:
    """What is said of one and of several."""
    return frozenset(one for one in _messages() if isinstance(one, tuple))


def _messages() -> Iterator[str | tuple[str, str]]:
    for _, _, message, _, _ in extract_from_dir(
        str(ROOT), method_map=_WHERE, keywords={"_": None, "say": None, "ngettext": (1, 2)}
    ):
        if isinstance(message, tuple):
            yield message[0], message[1]
        elif message:
            yield message


def in_lists() -> Iterator[str]:
    """What is chosen from lists and then said."""
    for words in (State, DutyStatus, LegalForce, Fault, Found, Doubt, Concern, Answer, TripState):
        yield from map(str, words)
    yield from (
        *map(str, Dimension),
        *map(str, Standing),
        HELD,
        "tie-down",
        "article",
        " or ",
        "; ",
    )
    for listed in (TITLES, ADVISED, QUESTIONS):
        yield from listed.values()
    yield from (*LOOKS, *FORM_WORDS.values(), *LIGHTS, *UNITS, *CAUTIONS, *happened.HAPPENED)
    yield from (*happened.LOAD_MOVED, happened.STRAP_BROKEN[1], HURT_GEAR, unrevised_line(1))
    yield from ("names", "notes", "places", "reasons", "late, driven on without it")
    yield happened.CAUSE_NOT_FOUND.split(": the plan")[0]


@cache
def every_term() -> frozenset[str]:
    """All of it."""
    return frozenset({*in_source(), *in_lists(), *(one.text for one in templates())})
