"""What is asked of the re-checks, a sentence each in our own words, beside the tests that hold it.

A list of `Duty` values says for every sentence where it comes from and which tests fail when
it is not so. `wrong_with` reads the test files (it runs nothing) and names what does not hold:
a test that is not there, a sentence without a basis or without a test. `unmarked` names the tests
that do not say themselves what they rest on.
"""

import ast
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
OUR_READING = "our reading"
COMMON_PRACTICE = "common practice, no source"
_MARK = re.compile(
    r"our reading|our choice|worked out by us|common practice|guidance on|CFR|NSC|SOR/|GOV\.UK"
    r"|Load Restraint Guide",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """One thing that is asked.

    `basis` is a published source with its section, OUR_READING, or COMMON_PRACTICE; several are
    joined with "; ". `tests` are "path from the root::name of the function".
    """

    asked: str
    basis: str
    tests: tuple[str, ...]


def wrong_with(duties: Iterable[Duty]) -> list[str]:
    """What does not hold of the list itself, one line each; empty where all of it does."""
    wrong: list[str] = []
    seen: set[str] = set()
    for duty in duties:
        if not duty.asked.strip() or duty.asked in seen:
            wrong.append(f"asked twice, or nothing asked: {duty.asked!r}")
        seen.add(duty.asked)
        if not duty.basis.strip():
            wrong.append(f"no basis: {duty.asked}")
        if not duty.tests:
            wrong.append(f"no test: {duty.asked}")
        wrong += [f"no such test: {test}" for test in duty.tests if not _is_there(test)]
    return wrong


def unmarked(duties: Iterable[Duty]) -> list[str]:
    """The tests beside which no source and no mark stands, in their docstring or their file's."""
    return sorted(
        {test for duty in duties for test in duty.tests if not _MARK.search(_said_beside(test))}
    )


def _is_there(test: str) -> bool:
    path, _, name = test.partition("::")
    return name.startswith("test_") and name in _docstrings_in(path)


def _said_beside(test: str) -> str:
    path, _, name = test.partition("::")
    said = _docstrings_in(path)
    return f"{said.get('', '')} {said.get(name, '')}"


@cache
def _docstrings_in(path: str) -> dict[str, str]:
    """The docstring of each function of a file by its name, and of the file itself under ""."""
    file = ROOT / path
    if not file.is_file():
        return {}
    module = ast.parse(file.read_text("utf-8"))
    functions = [node for node in module.body if isinstance(node, ast.FunctionDef)]
    said = {node.name: ast.get_docstring(node) or "" for node in functions}
    return said | {"": ast.get_docstring(module) or ""}
