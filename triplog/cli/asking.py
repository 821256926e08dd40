"""Asking a person at a terminal for what is missing; without a terminal nothing is asked."""

import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NoReturn

import typer

from triplog.cli.lines import fitted, tell, terminal_width
from triplog.desk.refused import Refused
from triplog.securement.quantity import Dimension, parse

if TYPE_CHECKING:
    from datetime import datetime

    from triplog.desk.desk import Desk
    from triplog.desk.odometer import Answered, ReadingTold
    from triplog.journal.trip import Trip

_UNBROKEN = "\N{NO-BREAK SPACE}"
_ROOM_TO_ANSWER = 10
_LABELS_SHOWN = 16


class InputEnded(Refused):
    """The terminal was closed before a question was answered."""


def at_terminal() -> bool:
    """Whether a person can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def next_line(step: str) -> list[str]:
    """The line that says what comes next; none where nobody sits at a terminal."""
    return [f"next: {step}"] if at_terminal() else []


def text(
    given: str | None,
    question: str,
    option: str,
    *,
    example: str = "",
    reads: Callable[[str], object] | None = None,
) -> str:
    """The text given, or asked for; Refused, naming the option, where nobody can be asked.

    `reads` raises ValueError for what was typed and cannot be used; it is told, and asked again.
    """
    if given is not None:
        return given
    if not at_terminal():
        _missing(option, question)
    shown = f" (for example {example})" if example else ""
    while True:
        answer = _ask(f"{question}{shown}: ").strip()
        try:
            if answer and reads is not None:
                reads(answer)
        except ValueError as problem:
            tell(f"  {problem}")
            continue
        if answer:
            return answer


def maybe(
    given: str | None,
    question: str,
    reads: Callable[[str], object] | None = None,
    *,
    empty: str = "not known",
) -> str | None:
    """The text given, or asked for at a terminal; None where it is left empty or not asked.

    `reads` raises ValueError for what cannot be read; it is told, and asked again. `empty`: what
    an empty answer means.
    """
    if given is not None or not at_terminal():
        return given
    while True:
        answer = _ask(f"{question} (empty: {empty}): ").strip()
        try:
            if answer and reads is not None:
                reads(answer)
        except ValueError as problem:
            tell(f"  {problem}")
            continue
        return answer or None


def among(there: Sequence[str], what: str) -> Callable[[str], None]:
    """A reader for `maybe` and `text` that takes one or several of these labels; all where none."""

    def read(answer: str) -> None:
        unknown = [one for one in answer.replace(",", " ").split() if one not in there]
        if there and unknown:
            raise Refused(f"no {what} is called {unknown[0]!r}; there is: {listed(there)}")

    return read


def whole_number(answer: str) -> int:
    """A count as typed; ValueError for what is none."""
    if not answer.isdecimal() or not int(answer[:9]):
        raise ValueError(f"{answer!r} is no count; write a whole number, such as 6")
    return int(answer[:9])


def listed(labels: Sequence[str]) -> str:
    """Labels as a question names them; of many only the first."""
    more = ", ..." if len(labels) > _LABELS_SHOWN else ""
    return ", ".join(labels[:_LABELS_SHOWN]) + more


def words(
    given: Sequence[str] | None,
    question: str,
    *,
    usual: Sequence[str],
    reads: Callable[[Sequence[str]], object],
) -> list[str]:
    """The words given, or asked for at a terminal; the usual ones where none are.

    `reads` raises Refused for what cannot be used; it is told, and asked again.
    """
    if given or not at_terminal():
        return list(given or usual)
    while True:
        answer = _ask(f"{question} (empty: {' '.join(usual)}): ").replace(",", " ").split()
        try:
            reads(answer or usual)
        except Refused as problem:
            tell(f"  {problem}")
            continue
        return answer or list(usual)


def quantity(
    given: str | None, question: str, dimension: Dimension, *, empty: str = "not known"
) -> str | None:
    """A quantity given, or asked for until it can be read; None where it is left empty."""
    return maybe(given, question, lambda answer: parse(answer, dimension), empty=empty)


def known(given: bool | None, question: str) -> bool | None:
    """A yes or no given, or asked for at a terminal; None where it is left empty: not known."""
    if given is not None or not at_terminal():
        return given
    while True:
        answer = _ask(f"{question} [y/n, empty: not known] ").strip().lower()
        if answer in ("", "y", "yes", "n", "no"):
            return answer.startswith("y") if answer else None


def yes(given: bool | None, question: str, option: str) -> bool:
    """The answer given, or asked for; Refused, naming the option, where nobody can be asked."""
    if given is not None:
        return given
    if not at_terminal():
        _missing(option, question)
    while True:
        answer = _ask(f"{question} [y/n] ").strip().lower()
        if answer in ("y", "yes"):
            return True
        if answer in ("n", "no"):
            return False


def standing(trip: "Trip", stopped: bool | None) -> bool:
    """Whether the vehicle stands: asked while somebody drives, and Refused where it does not."""
    if not trip.is_driven:
        return True
    from triplog.desk.road import refuse_while_driving

    stands = yes(stopped, "Stopped off the road?", "--stopped")
    refuse_while_driving(trip, stopped=stands)
    return stands


def reading(
    desk: "Desk",
    trip: "Trip",
    typed: str,
    *,
    sure: bool,
    new_instrument: bool,
    at: "datetime | None",
) -> "tuple[str, Answered]":
    """An odometer reading as it is to be recorded, and what was answered about it.

    At a terminal an odd one is asked about until it is right, or nothing is odd, or another
    instrument is said to count from there.
    """
    from triplog.desk.odometer import doubts, odometer_text, read_at

    first = None
    while at_terminal() and not (sure or new_instrument):
        odd = doubts(trip, odometer_text(desk, typed), read_at(desk, trip, at))
        if not odd:
            break
        for one in odd:
            tell(f"  {one}")
        answer = one_of(f"{typed} is", ["right", "typed wrongly", "of another odometer"])
        sure, new_instrument = answer == "right", answer == "of another odometer"
        if answer == "typed wrongly":
            first = first or typed
            typed = text(None, "What does the odometer read", "READING")
    return typed, {"sure": sure, "typed_first": first, "new_instrument": new_instrument}


def reading_with(
    desk: "Desk",
    trip: "Trip",
    typed: str | None,
    *,
    sure: bool,
    new_instrument: bool,
    at: "datetime | None",
) -> "ReadingTold":
    """The same for a reading that goes with something else; empty where none was typed."""
    if typed is None:
        return {}
    typed, answered = reading(desk, trip, typed, sure=sure, new_instrument=new_instrument, at=at)
    return {"odometer": typed, **answered}


def reads_odometer(desk: "Desk", given: str | None) -> str | None:
    """The odometer reading given, or asked for at a terminal; None: not known."""
    from triplog.desk.odometer import odometer_text

    return maybe(given, "What the odometer reads", lambda answer: odometer_text(desk, answer))


def one_of(question: str, words: Sequence[str]) -> str:
    """One of the words, by its number or by how it alone begins; only at a terminal."""
    choices = (f"{number} {word}" for number, word in enumerate(words, start=1))
    numbered = "  ".join(choice.replace(" ", _UNBROKEN) for choice in choices)
    while True:
        answer = _ask(f"{question}  {numbered}: ").strip().lower()
        if answer.isdecimal() and 0 < int(answer) <= len(words):
            return words[int(answer) - 1]
        begun = [word for word in words if answer and word.startswith(answer)]
        if answer in words or len(begun) == 1:
            return answer if answer in words else begun[0]
        tell(f"  type a number from 1 to {len(words)}")


def numbered(given: str | None, question: str, words: Sequence[str], option: str) -> str:
    """The text given, or asked for: one of the words by its number, or other words as typed."""
    if given is None and at_terminal():
        for number, word in enumerate(words, start=1):
            typer.echo(f"  {number}  {word}")
    while True:
        answer = text(given, f"{question}, its number or your own words", option)
        if given is not None or not (answer.isdecimal() or len(answer) == 1):
            return answer
        if answer.isdecimal() and 0 < int(answer) <= len(words):
            return words[int(answer) - 1]
        tell(f"  type a number from 1 to {len(words)}, or what happened in words")


def chosen(question: str, words: Sequence[str], *, are_shown: bool = False) -> tuple[str, ...]:
    """Those of fewer than ten words chosen by their numbers, all or none; only at a terminal.

    `are_shown`: the words stand on the screen with their numbers already.
    """
    for number, word in enumerate(() if are_shown else words, start=1):
        typer.echo(f"  {number}  {word}")
    while True:
        answer = _ask(f"{question}: their numbers, or all (empty: none): ").strip().lower()
        if answer in ("a", "all"):
            return tuple(words)
        keys = [key for key in answer if key not in " ,"]
        if all(key.isdecimal() and 0 < int(key) <= len(words) for key in keys):
            numbers = {int(key) for key in keys}
            return tuple(word for place, word in enumerate(words, start=1) if place in numbers)
        tell(f"  type numbers from 1 to {len(words)}, such as 134; or all; or nothing")


def several(question: str) -> list[str]:
    """Texts, one after another, until one is left empty; only at a terminal."""
    found: list[str] = []
    while answer := _ask(f"{question} (empty: {'nothing more' if found else 'nothing'}): ").strip():
        found.append(answer)
    return found


def _ask(question: str) -> str:
    columns = terminal_width()
    *before, last = fitted(question.rstrip(), columns and columns - _ROOM_TO_ANSWER)
    for line in before:
        typer.echo(line.replace(_UNBROKEN, " "))
    try:
        return input(f"{last.replace(_UNBROKEN, ' ')} ")
    except EOFError:
        raise InputEnded("the input ended before the question was answered") from None
    except UnicodeDecodeError:
        raise Refused("what was typed is no text in UTF-8") from None


def _missing(option: str, question: str) -> NoReturn:
    raise Refused(f"{option} is missing ({question.lower()}); there is no terminal to ask at")
