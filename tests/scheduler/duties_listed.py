"""What is asked of the re-checks, a sentence each in our own words, beside the tests that hold it.

A list of `Duty` values says for every sentence where it comes from and which tests fail when
it is not so. `wrong_with` reads the test files (it runs nothing) and names what does not hold:
a test that is not there, a sentence without a basis or without a test.
"""

import ast
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
OUR_READING = "our reading"
COMMON_PRACTICE = "common practice, no source"


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


def _is_there(test: str) -> bool:
    path, _, name = test.partition("::")
    return name.startswith("test_") and name in _tests_in(path)


@cache
def _tests_in(path: str) -> frozenset[str]:
    file = ROOT / path
    if not file.is_file():
        return frozenset()
    body = ast.parse(file.read_text("utf-8")).body
    return frozenset(node.name for node in body if isinstance(node, ast.FunctionDef))
