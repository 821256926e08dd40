"""A command line that cannot be read, in our own sentences instead of the parser library's."""

import re
from collections.abc import Callable
from typing import Any

_UNKNOWN_COMMAND = re.compile(r"No such command '(.*?)'\.(?: Did you mean (.*)\?)?", re.DOTALL)
_EXTRA = re.compile(r"Got unexpected extra arguments?(?:\(s\))? \((.*)\)", re.DOTALL)
_NO_VALUE = re.compile(r"Option '(.*)' requires an argument")


def usage_lines(problem: Exception) -> list[str]:
    """What is wrong with a command line, and which help says more; recorded is nothing.

    `problem`: the parser's usage error. What it says in a form we do not know is told as it
    is, and a group without its command is told by its help.
    """
    told = getattr(problem, "format_message", problem.__str__)()
    context = getattr(problem, "ctx", None)
    if type(problem).__name__ == "NoArgsIsHelpError":
        return told.splitlines()
    path = "triplog" if context is None else context.command_path
    wrong = next((said for one in _READINGS if (said := one(problem, told)) is not None), told)
    return [f"refused, nothing was recorded: {wrong}", f"see {path} --help"]


def _missing(problem: Any, _told: str) -> str | None:
    if type(problem).__name__ != "MissingParameter" or problem.param is None:
        return None
    return f"{_name(problem.param)} is missing{_meaning(problem.param)}"


def _not_a_number(problem: Any, _told: str) -> str | None:
    errors = getattr(problem.__cause__, "errors", None)
    if errors is None or problem.param is None:
        return None
    (first, *_) = errors()
    found = f"found {str(first['input'])!r}"
    name = _name(problem.param)
    if first["type"] in ("int_parsing", "int_from_float", "int_parsing_size"):
        return f"{name} takes a whole number, {found}"
    if first["type"] == "greater_than_equal":
        return f"{name} takes a whole number of {first['ctx']['ge']} or more, {found}"
    return None


def _bad_value(problem: Any, _told: str) -> str | None:
    if type(problem).__name__ != "BadParameter" or problem.param is None:
        return None
    return f"{_name(problem.param)}: {str(problem).rstrip('.')}{_meaning(problem.param)}"


def _unknown_option(problem: Any, _told: str) -> str | None:
    if type(problem).__name__ != "NoSuchOption":
        return None
    near = ", ".join(sorted(problem.possibilities or ()))
    return f"there is no option {problem.option_name}" + (f"; near it: {near}" if near else "")


def _unknown_command(_problem: Any, told: str) -> str | None:
    found = _UNKNOWN_COMMAND.fullmatch(told)
    if found is None:
        return None
    near = f"; near it: {found[2]}".replace("'", "") if found[2] else ""
    return f"there is no command {found[1]!r}{near}"


def _one_word_too_many(_problem: Any, told: str) -> str | None:
    found = _EXTRA.fullmatch(told)
    if found is None:
        return None
    return f"{found[1]!r} is more than this command takes; put words that belong together in quotes"


def _no_value(_problem: Any, told: str) -> str | None:
    found = _NO_VALUE.match(told)
    return None if found is None else f"{found[1]} stands there without its value"


_READINGS: tuple[Callable[[Any, str], str | None], ...] = (
    _missing,
    _not_a_number,
    _bad_value,
    _unknown_option,
    _unknown_command,
    _one_word_too_many,
    _no_value,
)


def _name(parameter: Any) -> str:
    """As it is written: --first, or LABEL for an argument."""
    if parameter.param_type_name == "option":
        return str(max(parameter.opts, key=len))
    return str(parameter.metavar or parameter.name.upper().replace("_", "-"))


def _meaning(parameter: Any) -> str:
    said = (getattr(parameter, "help", None) or "").rstrip(".")
    if not said.partition(" ")[0][1:].isupper():
        said = said[:1].lower() + said[1:]
    return f" ({said})" if said else ""
