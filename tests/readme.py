"""What README.md shows is what the program prints: a trip, a plan file, the list of commands.

`python -m tests.readme --write` writes these parts anew; `test_readme.py` fails when they differ.
"""

import contextlib
import io
import re
import shlex
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import typer

from triplog.cli.main import COMMANDS, invoke
from triplog.journal.entries import ClockReading

README = Path(__file__).parent.parent / "README.md"
ZONE = timezone(timedelta(minutes=-300))
_TRIP = re.compile(r"(?<=<!-- trip -->\n```console\n).*?(?=```\n<!-- end of trip -->)", re.S)
_PLAN_FILE = re.compile(
    r"(?<=<!-- plan file -->\n```toml\n).*?(?=```\n<!-- end of plan file -->)", re.S
)
_PLAN_RUN = re.compile(
    r"(?<=<!-- plan run -->\n```console\n).*?(?=```\n<!-- end of plan run -->)", re.S
)
_LIST = re.compile(r"(?<=<!-- commands -->\n).*?(?=<!-- end of commands -->)", re.S)
_COMMAND = re.compile(r"(?:(\d\d):(\d\d) )?\$ triplog ?(.*)")
_CHANGING = (
    (re.compile(r"\b[0-9a-f]{64}\b"), "FINGERPRINT"),
    (re.compile(r"\[[0-9a-f]{8}\]"), "[........]"),
    (re.compile(r"\b[A-Z2-7]{5}(?:-[A-Z2-7]{5}){3}\b"), ".....-.....-.....-....."),
    (re.compile(r"\b[a-z2-7]{16}\b"), "DEVICE"),
)


class StillClock:
    """A machine's clock that stands where the reader's line says."""

    def __init__(self) -> None:
        self.wall = datetime(2026, 6, 2, 5, 0, tzinfo=ZONE).astimezone(UTC)

    def set(self, hour: int, minute: int) -> None:
        """Put the clock to a local time of that day."""
        self.wall = datetime(2026, 6, 2, hour, minute, tzinfo=ZONE).astimezone(UTC)

    def read(self) -> ClockReading:
        """The clocks now."""
        return ClockReading(
            wall=self.wall,
            offset_min=-300,
            source="machine",
            boot_id="readme",
            boot_ms=int(self.wall.timestamp() * 1000) % 10**9,
        )


def trip_shown(text: str) -> str:
    """The trip's console block as it stands in the README."""
    found = _TRIP.search(text)
    assert found is not None, "README.md has no trip block"
    return found[0]


def plan_file_shown(text: str) -> str:
    """The plan file as it stands in the README."""
    found = _PLAN_FILE.search(text)
    assert found is not None, "README.md has no plan file"
    return found[0]


def plan_run_shown(text: str) -> str:
    """The console block about the plan file as it stands in the README."""
    found = _PLAN_RUN.search(text)
    assert found is not None, "README.md has no console block about the plan file"
    return found[0]


def list_shown(text: str) -> str:
    """The list of commands as it stands in the README."""
    found = _LIST.search(text)
    assert found is not None, "README.md has no list of commands"
    return found[0]


def run(shown: str, **files: str) -> str:
    """The block with what its commands print now, hashes and device ids masked.

    `files` are TOML files by name, which lie where the commands are typed.
    """
    clock = StillClock()
    lines = []
    with TemporaryDirectory() as folder, contextlib.chdir(folder):
        for name, content in files.items():
            Path(f"{name}.toml").write_text(content)
        for line in shown.splitlines():
            command = _COMMAND.fullmatch(line)
            if command is None:
                continue
            if command[1] is not None:
                clock.set(int(command[1]), int(command[2]))
            out = io.StringIO()
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
                invoke(["--home", folder, "--heads", folder, *shlex.split(command[3])], clock)
            printed = out.getvalue().replace(folder, "~/triplog")
            lines += [line, *printed.rstrip().splitlines(), ""]
    text = "\n".join(lines).rstrip() + "\n"
    for pattern, mask in _CHANGING:
        text = pattern.sub(mask, text)
    return text


def list_now() -> str:
    """The list of commands, from the program itself."""
    return "".join(f"- {line}\n" for line in _command_lines())


def _command_lines() -> Iterator[str]:
    for name, module in COMMANDS.items():
        command = import_module(f"triplog.cli.{module}").COMMANDS[name]
        if isinstance(command, typer.Typer):
            yield from _lines_below(name, typer.main.get_command(command))
        else:
            app = typer.Typer(add_completion=False)
            app.command(name)(command)
            yield _line(name, typer.main.get_command(app))


def _lines_below(name: str, group: Any) -> Iterator[str]:
    """A line for each command of a group, and of the groups in it."""
    for word, inner in group.commands.items():
        if hasattr(inner, "commands"):
            yield from _lines_below(f"{name} {word}", inner)
        else:
            yield _line(f"{name} {word}", inner)


def _line(name: str, command: Any) -> str:
    arguments = [p for p in command.params if p.param_type_name == "argument"]
    options = [p for p in command.params if p.param_type_name == "option"]
    words = " ".join(p.name.upper() if p.required else f"[{p.name.upper()}]" for p in arguments)
    named = " ".join("/".join([p.opts[0], *p.secondary_opts]) for p in options)
    help_line = command.help.strip().splitlines()[0]
    head = f"`triplog {name}{' ' + words if words else ''}`"
    return f"{head} {help_line}" + (f" `{named}`" if named else "")


def main() -> None:
    """Write these parts of the README anew."""
    text = README.read_text()
    trip = run(trip_shown(text))
    text = _TRIP.sub(lambda _: trip, text)
    plan_run = run(plan_run_shown(text), pump=plan_file_shown(text))
    text = _PLAN_RUN.sub(lambda _: plan_run, text)
    text = _LIST.sub(lambda _: list_now(), text)
    README.write_text(text)


if __name__ == "__main__":
    if sys.argv[1:] != ["--write"]:
        sys.exit("python -m tests.readme --write")
    main()
