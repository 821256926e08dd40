"""Whole trips as transcripts: what is typed, and everything the program says.

`python -m tests.errors --write` writes them anew; read the difference before you keep it.
"""

import re
from pathlib import Path

import pytest

from tests.cli.script import scripts_in
from tests.errors.gallery import TRANSCRIPTS, play_script

TEXTS = {path.stem: path.read_text() for path in scripts_in(TRANSCRIPTS)}
_PROMISES = re.compile(
    r"\b(secure|safe|safely|ok|compliant|certified|approved|pass|fail|violation|score|badge"
    r"|tamper-proof|tons?|boomer|cinch|coach)\b",
    re.IGNORECASE,
)
_CAUTIONS = ("next safe place", "nearest safe place", "where you can stop safely")


@pytest.mark.parametrize("name", TEXTS)
def test_a_trip_reads_as_its_transcript(name: str, tmp_path: Path) -> None:
    assert play_script(TEXTS[name], tmp_path).text == TEXTS[name]


@pytest.mark.parametrize("name", TEXTS)
def test_no_trip_meets_our_own_fault(name: str) -> None:
    assert "our fault" not in TEXTS[name]
    assert not re.search(r"^\[exit (3|70|130),", TEXTS[name], re.MULTILINE)


@pytest.mark.parametrize("name", TEXTS)
def test_the_screen_promises_nothing(name: str) -> None:
    said = "\n".join(line for line in TEXTS[name].splitlines() if "$ triplog" not in line)
    for caution in _CAUTIONS:
        said = said.replace(caution, "")
    assert _PROMISES.findall(said) == []
