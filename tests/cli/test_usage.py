"""A command line that cannot be read is told in our own sentences, and records nothing."""

from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from triplog.cli.exit_codes import REFUSED


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("due --first 0", "--first takes a whole number of 1 or more, found '0'"),
        ("due --first many", "--first takes a whole number, found 'many'"),
        ("rules add", "COUNTRY is missing (the country the trip goes into as well)"),
        ("verify", "BUNDLE is missing (a bundle: a folder or a .zip)"),
        ("plan use nothing.toml", "path 'nothing.toml' does not exist"),
        ("drive", "there is no command 'drive'; near it: private, deliver"),
        ("due --fast", "there is no option --fast; near it: --first"),
        ("hear me", "'me' is more than this command takes; put words that belong together"),
        ("due --trip", "--trip stands there without its value"),
    ],
)
def test_what_is_wrong_is_told_without_the_words_of_a_library(
    typed: str, said: str, tmp_path: Path
) -> None:
    answer = Terminal(folder=tmp_path).type(*typed.split())
    assert answer.code == REFUSED
    assert answer.out == ""
    assert answer.err.startswith("refused, nothing was recorded: ")
    assert said in answer.err
    assert "--help" in answer.err
    assert not {"Error:", "Usage:", "Invalid", "Input should"} & set(answer.err.split())


def test_a_group_without_its_command_shows_its_help(tmp_path: Path) -> None:
    answer = Terminal(folder=tmp_path).type("rules")
    assert answer.code == REFUSED
    assert "Usage: triplog rules" in answer.err + answer.out
