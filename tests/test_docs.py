"""What is written about the program is true of it: commands, options, exit codes, sources."""

import ast
import re
from itertools import pairwise
from pathlib import Path

import pytest

from tests.cli.commands import Command, every_command, program_options
from triplog.cli import exit_codes

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()
COMMANDS = {command.name: command for command in every_command()}
GROUPS = {command.words[0] for command in COMMANDS.values() if len(command.words) > 1}
NAMED = {" ".join(command.words[:2]) for command in COMMANDS.values()}
"""Commands by their first two words; a third is a group's inside a group."""
WRITTEN = sorted(
    path
    for place in ("triplog", "exports", "scheduler")
    for path in (ROOT / place).rglob("*")
    if path.suffix in (".py", ".md", ".txt")
)
PUBLISHED = sorted((ROOT / "tests" / "published").glob("test_*.py"))
_SOURCE = re.compile(
    r"\d+ CFR \d+|RFC \d{4}|FIPS \d+|Source: \S|common practice, no source|from memory"
    r"|worked out by us",
    re.IGNORECASE,
)
_NAMED = re.compile(r"[`$] ?triplog(?: --[a-z]+ \S+)* ([a-z][a-z-]*)(?: ([a-z][a-z-]*))?")


def section(heading: str) -> str:
    """A section of the README, from its heading to the next."""
    found = re.search(rf"^## {heading}\n(.*?)(?=^## |\Z)", README, re.MULTILINE | re.DOTALL)
    assert found is not None, f"README.md has no section {heading!r}"
    return found[1]


def described() -> dict[str, str]:
    """Each command that "Every command" lists, with what it says there."""
    text = section("Every command")
    starts = [*re.finditer(r"^- `triplog ([a-z][a-z -]*?)(?= [A-Z\[]|`)", text, re.MULTILINE)]
    ends = [one.start() for one in starts[1:]] + [len(text)]
    return {one[1]: text[one.start() : end] for one, end in zip(starts, ends, strict=True)}


def test_every_command_is_described_and_no_other() -> None:
    assert described().keys() == COMMANDS.keys()


@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
def test_every_option_of_a_command_is_named_and_no_other(command: Command) -> None:
    names = {name for option in command.options if not option.argument for name in option.names}
    long_names = {name for name in names if name.startswith("--")}
    text = described()[command.name]
    listed = set(re.findall(r"--[a-z-]+", text.split("` ")[-1]))
    assert listed == long_names


def test_the_programs_own_options_are_named() -> None:
    text = section("Every command")
    for option in program_options():
        assert option.names[0] in text


def test_commands_are_listed_in_the_order_of_the_job() -> None:
    order = list(described())
    for earlier, later in pairwise(("begin", "trip new", "judge", "depart", "check", "release")):
        assert order.index(earlier) < order.index(later)
    assert order.index("release") < order.index("close") < order.index("export")


@pytest.mark.parametrize("path", [ROOT / "README.md", *WRITTEN], ids=str)
def test_no_text_sends_anybody_to_a_command_that_there_is_none_of(path: Path) -> None:
    for found in _NAMED.finditer(path.read_text()):
        first, second = found[1], found[2]
        if first in GROUPS:
            assert second is None or f"{first} {second}" in NAMED, found[0]
        else:
            assert first in COMMANDS, found[0]


def test_every_exit_code_is_explained_and_no_other() -> None:
    codes = {value for value in vars(exit_codes).values() if isinstance(value, int)}
    explained = re.findall(r"^\| (\d+) \| \S", section("Exit codes"), re.MULTILINE)
    assert {int(code) for code in explained} == codes


@pytest.mark.parametrize("page", ["triplog/securement/PLAN.md", "exports/FORMAT.md"])
def test_each_format_has_its_page_and_the_readme_leads_there(page: str) -> None:
    assert (ROOT / page).stat().st_size > 1_000
    assert f"({page})" in README


def test_every_link_of_the_readme_leads_to_a_file() -> None:
    links = re.findall(r"\]\(([^)#]+)\)", README)
    assert links
    for link in links:
        assert link.startswith("https://") or (ROOT / link).exists(), link


@pytest.mark.parametrize(
    "caution",
    ["while driving", "Local law", "Never lift", "No knots", "every edge", "no bar", "climb"],
)
def test_the_usual_cautions_are_given(caution: str) -> None:
    assert caution in section("Cautions")


@pytest.mark.parametrize("path", PUBLISHED, ids=lambda path: path.stem)
def test_every_published_value_names_where_it_was_published(path: Path) -> None:
    """The head of the file names the source for all its tests, or each test names its own."""
    tree = ast.parse(path.read_text())
    if _SOURCE.search(ast.get_docstring(tree) or ""):
        return
    for test in tree.body:
        if isinstance(test, ast.FunctionDef) and test.name.startswith("test_"):
            assert _SOURCE.search(ast.get_docstring(test) or ""), test.name


def test_what_checks_a_published_value_is_there() -> None:
    assert len(PUBLISHED) >= 6
