"""Each script of the gallery prints what is written in it, and loses nothing."""

import re
from pathlib import Path

import pytest

from tests.errors.gallery import PAGE, page, play_script, scripts_by_name
from tests.errors.wrong import WRONG
from triplog.cli.exit_codes import DONE, FOUND, REFUSED, STOPPED, STORE

SCRIPTS = scripts_by_name()
_WRITE = "see what differs, then: python -m tests.errors --write"
_STORE_WORDS = ("journal", "triplog.sqlite3", "figures")


@pytest.mark.parametrize("name", SCRIPTS)
def test_each_error_is_told_as_the_gallery_shows(name: str, tmp_path: Path) -> None:
    assert play_script(SCRIPTS[name], tmp_path).text == SCRIPTS[name], _WRITE


def test_the_page_shows_every_script() -> None:
    assert PAGE.read_text() == page(SCRIPTS), _WRITE


@pytest.mark.parametrize("name", SCRIPTS)
def test_whatever_is_refused_records_nothing(name: str) -> None:
    ended = re.findall(r"^(.*)\n\[exit (\d+), (.*)\]$", SCRIPTS[name], re.MULTILINE)
    assert ended, "a script has a command"
    for said, code, growth in ended:
        assert int(code) in (DONE, FOUND, REFUSED, STORE, STOPPED)
        if said.startswith("! refused, and recorded that it was asked for"):
            assert (int(code), growth) == (REFUSED, "1 entry recorded")
        elif int(code) not in (DONE, FOUND):
            assert growth == "nothing recorded"


@pytest.mark.parametrize("name", SCRIPTS)
def test_no_error_shows_the_inside_of_the_program(name: str) -> None:
    for word in ("Traceback", "Exception", "our fault", "sqlite3.", "line 0"):
        assert word not in SCRIPTS[name]


@pytest.mark.parametrize("name", [name for name in SCRIPTS if "[exit 3," in SCRIPTS[name]])
def test_what_cannot_be_used_is_named(name: str) -> None:
    assert any(word in SCRIPTS[name] for word in _STORE_WORDS)


def test_every_way_the_world_can_be_wrong_is_shown() -> None:
    given = set(re.findall(r"^given: (.*)$", "\n".join(SCRIPTS.values()), re.MULTILINE))
    assert not WRONG.keys() - given
