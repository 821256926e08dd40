"""Every command the program has, with its parameters, read from the program itself."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import typer

from tests.builders import StandingClock
from triplog.cli.main import application


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """An option or argument. `flag`: it takes no value; `many`: it may be given again."""

    names: tuple[str, ...]
    help: str
    required: bool
    flag: bool
    argument: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command by its words, such as ("trip", "new")."""

    words: tuple[str, ...]
    help: str
    options: tuple[Option, ...]

    @property
    def name(self) -> str:
        """The words as they are typed."""
        return " ".join(self.words)


def every_command() -> tuple[Command, ...]:
    """The commands without those that only group others."""
    return tuple(_below((), _program()))


def program_options() -> tuple[Option, ...]:
    """The options that stand before the command."""
    return _options(_program())


def _program() -> Any:
    return typer.main.get_command(application(["--help"], StandingClock()))


def _below(words: tuple[str, ...], command: Any) -> Iterator[Command]:
    inner = getattr(command, "commands", None)
    if inner is None:
        yield Command(words=words, help=command.help or "", options=_options(command))
        return
    for name, one in inner.items():
        yield from _below((*words, name), one)


def _options(command: Any) -> tuple[Option, ...]:
    return tuple(
        Option(
            names=(*one.opts, *one.secondary_opts),
            help=getattr(one, "help", None) or "",
            required=one.required,
            flag=bool(getattr(one, "is_flag", False)),
            argument=one.param_type_name == "argument",
        )
        for one in command.params
    )
