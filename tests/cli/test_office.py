"""`triplog office` and the margin on the carrier's card, as typed."""

import sys
from pathlib import Path

import pytest

from tests.builders import new_journal
from tests.cli.watch_process import triplog
from triplog.cli.exit_codes import DONE, REFUSED
from triplog.journal.store_file import STORE_NAME

NOT_TOLD = "the office is not told of late checks: no margin is set"
NO_WAY = "no way of telling it is set on this machine; messages wait"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    new_journal(tmp_path / STORE_NAME).close()
    return tmp_path


def test_it_says_what_is_set_and_what_is_set_is_kept(home: Path) -> None:
    assert triplog(home, "office").stdout.splitlines() == [NOT_TOLD, NO_WAY]
    set_margin = triplog(home, "carrier", "--office-margin", "5 mi")
    assert set_margin.returncode == DONE
    assert "`triplog office`" in set_margin.stderr
    told = "the office is told of a check that is more than 5 mi late, by `triplog watch`"
    way = f"way of telling it: {sys.executable} -m office --to night desk"
    words = ["--command", sys.executable]
    for one in ("-m", "office", "--to", "night desk"):
        words += [f"--argument={one}"]
    assert triplog(home, "office", *words).stdout.splitlines() == [told, way]
    assert triplog(home, "office").stdout.splitlines() == [told, way]
    assert triplog(home, "office", "--nowhere").stdout.splitlines() == [told, NO_WAY]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--command", "no-such-program"], "there is no program 'no-such-program' here"),
        (["--folder", "/no/such/folder"], "there is no folder /no/such/folder"),
        (["--nowhere", "--folder", "/"], "name one way"),
        (["--argument", "x"], "--argument belongs to --command"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_nothing_is_set(
    home: Path, words: list[str], sentence: str
) -> None:
    refused = triplog(home, "office", *words)
    assert refused.returncode == REFUSED
    assert sentence in refused.stderr
    assert not (home / "office.json").exists()
