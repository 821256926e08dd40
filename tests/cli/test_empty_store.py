"""No journal yet, or one in which nothing has happened: a clear sentence, whatever is typed."""

from pathlib import Path

import pytest

from tests.cli.terminal import Answer, Terminal
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, REFUSED, STORE

NEWER = (
    "readings day.gpx",
    "readings day.nmea --follow",
    "slip",
    "handover --to relief",
    "second-look --by relief",
    "replace T1 --with S-3",
    "stops add yard",
    "stops list",
    "late-reason traffic",
    "office",
    "rules trip",
    "rules add CA",
    "trip picture",
    "trip show",
    "trip list",
    "unloading",
    "due",
    "hear",
    "check --all-fine",
    "check --all-fine --as-stated --trip T-1",
    "verify nothing.zip --beside",
    "watch --once",
)
ANSWERS_ANYWAY = ("office", "trip list", "due")


def is_plain(said: Answer) -> bool:
    """Whether what was said is a sentence for people."""
    words = said.out + said.err
    return "Traceback" not in words and "our fault" not in words and len(words.split()) > 3


@pytest.mark.parametrize("line", NEWER)
def test_without_a_journal_it_is_told_how_to_begin_one(line: str, tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    said = terminal.type(*line.split())
    assert is_plain(said)
    assert said.code in (STORE, REFUSED)
    assert said.code == REFUSED or "`triplog begin` makes one" in said.err


@pytest.mark.parametrize("line", NEWER)
def test_in_a_journal_without_a_trip_it_is_told_that_there_is_none(
    line: str, tmp_path: Path
) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a journal just begun", terminal)
    (tmp_path / "day.gpx").write_bytes(b"")
    (tmp_path / "day.nmea").write_bytes(b"")
    before = terminal.entry_count()
    said = terminal.type(*line.split())
    assert is_plain(said)
    assert said.code == (DONE if line in ANSWERS_ANYWAY else REFUSED)
    assert terminal.entry_count() == before


def test_the_first_trip_is_asked_for_by_its_command(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a journal just begun", terminal)
    assert "there is no trip yet; `triplog trip new` opens one" in terminal.type("slip").err
