"""The first words, the help of every command, and --json wherever something is read."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.commands import Command, every_command, program_options
from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from tests.pictures import jpeg
from triplog.cli.exit_codes import DONE, FOUND
from triplog.securement.stock.inspected import FILLED_IN, LABEL
from triplog.version import __version__

COMMANDS = every_command()
_VERDICT = r"^(meets|does not meet|cannot tell|does not apply) "
_KIND = r"^[0-9a-f]{8}  \S+ \S+ +(\w+)"
READING = {
    "due": r"^  (nothing due|coming up|due|late|exempt|cannot tell)  ",
    "trip list": r"\b(T-1|rolling|stopped)\b",
    "trip show T-1": _KIND,
    "slip": r"^   (When|Found|So far|Next|You)  ",
    "plan show": r"\b(flatbed|crated pump|5200 lb|general|S-1|over|L2)\b",
    "plan list": r"\b(vehicle flatbed, article added|tie-down added)\b",
    "article asked A": r"\b(A)$",
    "stops list": r"\b(the fuel stop)\b",
    "rules list": r"\b(us-392\.9|NSC Standard 10|code of practice|guidance|2013-06-10)\b",
    "rules trip": r"\b(49 CFR|392\.9\(b\)\(\d\))\b",
    "judge": _VERDICT,
    "advise --afresh": r"\b(S-\d|[LR]\d)\b",
    "vary": r"\b(us-393[\w.-]+|house-combined|wet|angle)\b",
    "vehicle list": r"\b(flatbed|26000 lb|interstate business|20 ft|65 mph)\b",
    "vehicle show": r"\b(flatbed|26000 lb|interstate business|L1|R5|left 4 ft|5000 lb)\b",
    "gear import out/gear.csv --look": r"\b(Web width|2 pieces|Bay)\b",
    "gear inspection-read out/looked.csv --look": r"\b(yard hand|nothing found)\b",
    "gear list": r"\b(S-1|S-6|ratchet strap|2 in|3335 lb|in stock|T-1)\b",
    "gear show S-1": r"\b(S-1|ratchet strap|2 in|3335 lb|in stock|T-1)\b",
    "person list": r"\b(owner|types|drives)\b",
    "entries": _KIND,
    "entries --trip T-1 --last 4": _KIND,
    "photo list": r"\b(front)\b",
    "private list": r"^[0-9a-f]{8}:(\w+) ",
    "retention list": r"\b(T-1|S-1|open|in use)\b",
    "retention table": r"\b(law|own judgement|memory|second-hand)\b",
    "witness stamp list": r"\b([A-Z2-7]{5}(?:-[A-Z2-7]{5}){3})\b",
    "verify out/store-bundle.zip": r"\b([a-z2-7]{16}:\d+:[0-9a-f]{64})\b",
}
"""Each command that reads, with what on its screen is no sentence: states, names, quantities."""


@pytest.fixture(scope="module")
def read_at(tmp_path_factory: pytest.TempPathFactory) -> Terminal:
    """A journal with a trip under way and a bundle beside it."""
    terminal = Terminal(folder=tmp_path_factory.mktemp("reading"))
    set_scene("a bundle", terminal)
    listed = "Label,Kind,Web width,Bay\nS-7,ratchet,2 in,4\nS-8,ratchet,2 pieces,4\n"
    (terminal.folder / "out" / "gear.csv").write_text(listed)
    ticked = "S-1,x,x,x,x,,,,yard hand,2026-03-01\n"
    headings = ",".join((LABEL, *FILLED_IN))
    (terminal.folder / "out" / "looked.csv").write_text(f"{headings}\n{ticked}")
    terminal.type("stops", "add", "the fuel stop", "--odometer", "24200")
    (terminal.folder / "out" / "front.jpg").write_bytes(jpeg())
    terminal.type("photo", "add", "out/front.jpg", "--shows", "front", "--stopped")
    return terminal


def test_version_is_one_line(tmp_path: Path) -> None:
    said = Terminal(folder=tmp_path).type("--version")
    assert (said.code, said.out) == (DONE, f"triplog {__version__}\n")


def test_alone_without_a_journal_it_says_how_to_begin(tmp_path: Path) -> None:
    said = Terminal(folder=tmp_path).type()
    assert said.code == DONE
    assert "triplog begin" in said.out
    assert not (tmp_path / "home").exists()


@pytest.mark.parametrize(
    ("scene", "step"),
    [
        ("a journal just begun", "triplog vehicle add"),
        ("a trip planned", "triplog judge"),
        ("a trip rolling", 'triplog duty "on duty"'),
        ("a trip stopped", "triplog check"),
        ("a trip closed", "triplog trip new"),
    ],
)
def test_alone_with_a_journal_it_says_the_one_next_step(
    scene: str, step: str, tmp_path: Path
) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene(scene, terminal)
    said = terminal.type()
    assert said.code == DONE
    assert step in said.out
    assert said.out.count("next:") == 1


def test_the_list_of_commands_names_each_with_a_sentence(tmp_path: Path) -> None:
    said = Terminal(folder=tmp_path).type("--help").out
    for command in COMMANDS:
        assert re.search(rf"^  {command.words[0]} +\S", said, re.MULTILINE)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.name)
def test_help_explains_the_command_and_all_its_options(command: Command, tmp_path: Path) -> None:
    said = Terminal(folder=tmp_path).type(*command.words, "--help")
    assert said.code == DONE
    assert command.help
    for option in command.options:
        assert option.help, f"{option.names} says nothing"
        if not option.argument:
            assert option.names[0] in said.out


def test_a_thing_may_be_called_like_a_command(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a truck and gear", terminal)
    terminal.type("person", "add", "watch")
    said = terminal.type("--as", "watch", "trip", "new", "--label", "due", "--vehicle", "flatbed")
    assert said.code == DONE
    assert terminal.type("--as", "watch", "trip", "show", "due").code == DONE


@pytest.mark.parametrize("line", READING)
def test_json_holds_the_words_of_the_screen(line: str, read_at: Terminal) -> None:
    shown, as_json = read_at.type(*line.split()), read_at.type(*line.split(), "--json")
    assert shown.code == as_json.code
    assert as_json.code in (DONE, FOUND)
    held = set(_texts(json.loads(as_json.out)))
    told = set(re.findall(READING[line], shown.out, re.MULTILINE))
    assert told
    assert told - held == set()


def test_a_plan_file_is_judged_with_the_same_words_in_json(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip planned", terminal)
    plan = terminal.type("plan", "show", "--json").out
    (tmp_path / "plan.json").write_text(plan)
    shown = terminal.type("judge", "--file", "plan.json", "--full")
    as_json = terminal.type("judge", "--file", "plan.json", "--json")
    findings = json.loads(as_json.out)["findings"]
    verdicts = re.findall(_VERDICT, shown.out, re.MULTILINE)
    assert sorted(verdicts) == sorted(one["verdict"] for one in findings)


@pytest.mark.parametrize("what", ["plan", "findings"])
def test_a_schema_is_json(what: str, tmp_path: Path) -> None:
    said = Terminal(folder=tmp_path).type("schema", what)
    assert json.loads(said.out)["$schema"].startswith("https://json-schema.org/")


def test_each_command_that_has_json_is_read_here() -> None:
    with_json = {
        command.name
        for command in COMMANDS
        if any("--json" in option.names for option in command.options)
    }
    # A browser, or a hub, has to be paired first: `test_page` and `tests/hub` read those.
    elsewhere = {"page browsers", "push", "hub devices", "hub work", "hub office", "hub retention"}
    read = {re.sub(r" (T-1|S-1|A$|--.*|out/.*)", "", line) for line in READING}
    assert read == with_json - elsewhere


def test_the_programs_own_options_are_explained() -> None:
    assert all(option.help for option in program_options())


def _texts(value: Any) -> Iterator[str]:
    """Every text in a JSON value; of a list in one text its parts too."""
    if isinstance(value, dict):
        for one in value.values():
            yield from _texts(one)
    elif isinstance(value, list):
        for one in value:
            yield from _texts(one)
    else:
        yield str(value)
        yield from str(value).split(", ")
