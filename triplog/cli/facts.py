"""`--fact NAME=VALUE` and `--answer QUESTION=yes`: what the section of a commodity asks for."""

from typing import Annotated, Any

import typer

from triplog.desk.refused import Refused
from triplog.securement.cargo_facts import FACTS_BY_NAME, FactKind

Facts = Annotated[
    list[str] | None,
    typer.Option(
        "--fact", help="What its section asks: eye=vertical, diameter=48 in ... May be repeated."
    ),
]
Answers = Annotated[
    list[str] | None,
    typer.Option("--answer", help='120-support=yes, =no or "=not looked at". May be repeated.'),
]
_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


def facts_table(given: list[str] | None) -> dict[str, Any] | None:
    """The `facts` table of a plan; what cannot be read the plan's reader refuses by name."""
    if given is None:
        return None
    table: dict[str, Any] = {}
    for one in given:
        name, value = _pair(one, "--fact", "eye=vertical")
        fact = FACTS_BY_NAME.get(name)
        table[name] = value
        if fact is not None and fact.kind is FactKind.YES_NO:
            table[name] = _YES_NO.get(value.lower(), value)
        elif fact is not None and fact.kind is FactKind.COUNT and value.isdecimal():
            table[name] = int(value)
    return table


def answers_table(given: list[str] | None) -> dict[str, str] | None:
    """The `answers` table of a plan."""
    if given is None:
        return None
    return dict(_pair(one, "--answer", "120-support=yes") for one in given)


def _pair(text: str, option: str, example: str) -> tuple[str, str]:
    name, _, value = text.partition("=")
    if not value.strip():
        raise Refused(f"write {option} as {example}; found {text!r}")
    return name.strip(), value.strip()
