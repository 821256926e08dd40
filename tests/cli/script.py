"""A script: command lines with what each prints and its exit code, in one readable text.

    # What it shows, in a sentence or two.
    given: a scene, or what is wrong with the world
    07:40 $ triplog odometer 24150
    what it prints
    ! what it says beside that, on standard error
    [exit 2, nothing recorded]

A time puts the clock there first. `@KIND` stands for the hash of the newest entry of that kind,
`@KIND~1` for that of the one before it.
The lines up to the first command, and the commands, are written by hand; the rest is printed by
the program and written by `python -m tests.errors --write`.
"""

import re
import shlex
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.cli.terminal import Answer, Terminal

_COMMAND = re.compile(r"(?:(\d\d):(\d\d) )?\$ triplog ?(.*)")
_HASH = re.compile(r"@(\w+)(~1)?")
Given = Callable[[Terminal], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """A script as it was played: its text, its answers, and how the journal grew at each."""

    text: str
    answers: tuple[Answer, ...]
    grown: tuple[int | None, ...]


def title_of(text: str) -> str:
    """The sentence a script begins with."""
    return " ".join(line.removeprefix("#").strip() for line in text.splitlines() if line[:1] == "#")


def play(text: str, terminal: Terminal, given: Mapping[str, Given]) -> Played:
    """Play a script in a terminal; its text comes back with what was printed this time."""
    lines: list[str] = []
    answers: list[Answer] = []
    grown: list[int | None] = []
    for line in text.splitlines():
        command = _COMMAND.fullmatch(line)
        if command is None:
            if line.startswith("given: "):
                given[line.removeprefix("given: ")](terminal)
            if line.startswith(("#", "given: ")):
                lines.append(line)
            continue
        if command[1] is not None:
            terminal.local(int(command[1]), int(command[2]))
        words = shlex.split(
            _HASH.sub(lambda found: terminal.entry_of(found[1], bool(found[2])), command[3])
        )
        before, bytes_before = terminal.entry_count(), terminal.fingerprint()
        answer = terminal.type(*words)
        after = terminal.entry_count()
        untouched = terminal.fingerprint() == bytes_before
        growth = after - (before or 0) if after is not None else 0 if untouched else None
        lines += ["", line, *_shown(terminal, answer), f"[exit {answer.code}, {_growth(growth)}]"]
        answers.append(answer)
        grown.append(growth)
    played = "\n".join(lines) + "\n"
    return Played(text=played, answers=tuple(answers), grown=tuple(grown))


def scripts_in(folder: Path) -> list[Path]:
    """The scripts of a folder, in order."""
    return sorted(folder.glob("*.txt"))


def _shown(terminal: Terminal, answer: Answer) -> list[str]:
    beside = [f"! {line}".rstrip() for line in terminal.settled(answer.err).splitlines()]
    return [*beside, *terminal.settled(answer.out).splitlines()]


def _growth(growth: int | None) -> str:
    match growth:
        case None:
            return "the file was changed"
        case 0:
            return "nothing recorded"
        case 1:
            return "1 entry recorded"
        case _:
            return f"{growth} entries recorded"
