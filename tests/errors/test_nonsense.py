"""Whatever is typed, the program answers in words: never a traceback, never a half-made entry."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.cli.commands import Command, Option, every_command
from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, FOUND, REFUSED, STORE

_LEFT_OUT = ("watch", "demo")
"""One runs until it is stopped, the other takes seconds; neither takes an option that is read."""
_COMMANDS = [command for command in every_command() if command.name not in _LEFT_OUT]
_ODD = (
    *("", " ", "\t", "\n", "0", "-1", "1e9", "nan", "inf", "NaN lb", "١٢ lb", "½ lb", "²"),
    *("9" * 400 + " lb", "8,200 lb", "-5 lb", "0 lb", "1/0 in", "5 ft", "3'", "65 mph", "24156"),
    *("0." + "3" * 300 + " mi", "99999999999999999999 mi", "1e400 mi", "- mi", "24156 km"),
    *("T1", "T-1", "S-1", "S-2", "A", "L1", "R1", "owner", "flatbed", "last", "none", "both"),
    *("T1:3", "T2:15 mm", "forward=A", "forward=nothing", "A=B", "=", ":", "::", "S-3:L1:R1"),
    *("on duty", "driving", "yes", "level=yes", "2/2", "/", "1 ft, centre", ",", "deck"),
    *("'", '"', "'; DROP TABLE entry; --", "%s{0}{x}", "\\", "\udcff", "\u202e", "é" * 300),
    *("25:61", "07:59", "20 min ago", "9" * 30 + " h ago", "0001-01-01 00:00"),
    *("9999-12-31 23:59", "2026-02-30 10:00", "0001-01-01T00:00:00+23:59", "2026-03-02T13:52:00Z"),
    *("csv", "sheet", "a4", "si", "types", "general", "machine", "weighed", "ratchet strap"),
    *("0" * 8, "a", "plan", "x:1:" + "0" * 64, "out", "home", "."),
)
_VALUES = st.sampled_from(_ODD) | st.text(
    st.characters(exclude_categories=["Cs"], exclude_characters="/\x00"), max_size=12
)


def _option(option: Option) -> st.SearchStrategy[list[str]]:
    if option.argument:
        return _VALUES.map(lambda value: [value])
    name = st.sampled_from(option.names)
    if option.flag:
        return name.map(lambda one: [one])
    return st.tuples(name, _VALUES).map(list)


@st.composite
def command_lines(draw: st.DrawFn) -> tuple[str, ...]:
    """A command with some of its options and arguments, their values drawn from what is odd."""
    command: Command = draw(st.sampled_from(_COMMANDS))
    words = list(command.words)
    wanted = [one for one in command.options if one.required]
    others = [one for one in command.options if not one.required]
    if others:
        wanted += draw(st.lists(st.sampled_from(others), max_size=4))
    for option in wanted:
        words += draw(_option(option))
    front = draw(st.sampled_from([[], [], [], ["--again"], ["--key", "k"], ["--as", "owner"]]))
    return (*front, *words)


def _answers_in_words(terminal: Terminal, line: tuple[str, ...]) -> None:
    before = terminal.entry_count()
    said = terminal.type(*line)
    assert said.code in (DONE, FOUND, REFUSED, STORE), (line, said.code, said.err)
    assert "Traceback" not in said.err + said.out
    if said.code in (REFUSED, STORE):
        assert said.err.strip()
        assert terminal.entry_count() == before, (line, said.err)
    terminal.clock.forward(minutes=1)


@pytest.mark.parametrize("scene", ["a trip planned", "a first check made"])
def test_odd_words_are_answered_in_words(
    scene: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    terminal = Terminal(folder=tmp_path_factory.mktemp("odd"))
    set_scene(scene, terminal)

    @settings(max_examples=150)
    @given(command_lines())
    def answered(line: tuple[str, ...]) -> None:
        _answers_in_words(terminal, line)

    answered()


@pytest.mark.long
def test_many_odd_words_are_answered_in_words(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a first check made", terminal)

    @settings(max_examples=3_000)
    @given(command_lines())
    def answered(line: tuple[str, ...]) -> None:
        _answers_in_words(terminal, line)

    answered()


@pytest.mark.parametrize("command", _COMMANDS, ids=lambda command: command.name)
def test_each_option_takes_odd_words_in_turn(
    command: Command, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Each option of each command once with a text that nothing can read."""
    terminal = Terminal(folder=tmp_path_factory.mktemp("turn"))
    set_scene("a trip stopped", terminal)
    required = [word for option in command.options if option.required for word in _odd(option)]
    for option in command.options:
        if not option.required:
            _answers_in_words(terminal, (*command.words, *required, *_odd(option)))


def _odd(option: Option) -> tuple[str, ...]:
    if option.argument:
        return ("½ ::",)
    return option.names[:1] if option.flag else (option.names[0], "½ ::")
