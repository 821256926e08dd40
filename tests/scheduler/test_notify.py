"""The notifiers, and every trap of the desktop library that was met when it was measured.

Where a case names no source, what it holds is our reading.
"""

import io
import threading
import warnings
from pathlib import Path

import pytest

from scheduler.due import State
from scheduler.notify import (
    MESSAGE_UNITS_MAX,
    TITLE_UNITS_MAX,
    Attempt,
    DesktopNotifier,
    FirstThatWorks,
    Outcome,
    TerminalNotifier,
    fitted,
    plain,
)

BUS = {"DBUS_SESSION_BUS_ADDRESS": "unix:path=/nowhere"}


class Desk:
    """Stands for plyer's call: keeps what it was given, raises what it is told to."""

    def __init__(self, error: BaseException | None = None) -> None:
        self.error = error
        self.given: list[dict[str, object]] = []

    def __call__(self, **given: object) -> None:
        if self.error is not None:
            raise self.error
        self.given.append(given)


def desktop(
    desk: Desk, *, platform: str = "linux", environ: dict[str, str] | None = None
) -> DesktopNotifier:
    return DesktopNotifier(
        "triplog",
        notify=desk,
        answers=lambda: True,
        environ=BUS if environ is None else environ,
        platform=platform,
        sandbox=Path("no-such-folder"),
    )


def test_a_call_that_raises_nothing_is_accepted_and_no_more() -> None:
    desk = Desk()
    assert desktop(desk).text("Check due", "At the next safe place") == Outcome.ACCEPTED
    (given,) = desk.given
    assert given["title"] == "Check due"
    assert given["message"] == "At the next safe place"
    assert type(given["timeout"]) is int
    assert "seen" not in set(Outcome)


def test_on_linux_without_a_session_bus_nothing_is_tried(tmp_path: Path) -> None:
    desk = Desk()
    assert desktop(desk, environ={}).text("a", "b") == Outcome.NO_BACKEND
    empty = {"XDG_RUNTIME_DIR": str(tmp_path)}
    assert desktop(desk, environ=empty).text("a", "b") == Outcome.NO_BACKEND
    assert desk.given == []


def test_on_linux_a_bus_in_the_runtime_folder_will_do(tmp_path: Path) -> None:
    (tmp_path / "bus").touch()
    here = {"XDG_RUNTIME_DIR": str(tmp_path)}
    assert desktop(Desk(), environ=here).text("a", "b") == Outcome.ACCEPTED


def test_elsewhere_no_bus_is_needed() -> None:
    assert desktop(Desk(), platform="win32", environ={}).text("a", "b") == Outcome.ACCEPTED


def test_where_a_command_would_be_built_out_of_the_text_nothing_is_tried(tmp_path: Path) -> None:
    desk = Desk()
    notifier = DesktopNotifier(
        "triplog",
        notify=desk,
        answers=lambda: True,
        environ=BUS,
        platform="linux",
        sandbox=tmp_path,
    )
    assert notifier.text("it's", "b") == Outcome.NO_BACKEND
    assert desk.given == []


def test_a_bus_on_which_no_notification_service_answers_is_no_backend() -> None:
    desk = Desk()
    notifier = DesktopNotifier(
        "triplog",
        notify=desk,
        answers=lambda: False,
        environ=BUS,
        platform="linux",
        sandbox=Path("no-such-folder"),
    )
    assert notifier.text("a", "b") == Outcome.NO_BACKEND
    assert desk.given == []


@pytest.mark.parametrize(
    ("error", "outcome"),
    [
        (NotImplementedError(), Outcome.NO_BACKEND),
        (ImportError(), Outcome.NO_BACKEND),
        (ValueError("string too long"), Outcome.FAILED),
        (TypeError(), Outcome.FAILED),
        (OSError(), Outcome.FAILED),
    ],
)
def test_what_the_desktop_raises_becomes_an_outcome(error: BaseException, outcome: Outcome) -> None:
    assert desktop(Desk(error)).text("a", "b") == outcome


def test_a_call_that_does_not_come_back_is_timed_out() -> None:
    hold = threading.Event()

    def hang(**_given: object) -> None:
        hold.wait(5)

    notifier = DesktopNotifier(
        "triplog",
        notify=hang,
        answers=lambda: True,
        environ=BUS,
        platform="linux",
        sandbox=Path("no-such-folder"),
        limit_s=0.02,
    )
    assert notifier.text("a", "b") == Outcome.TIMED_OUT
    hold.set()


@pytest.mark.parametrize("text", ["--version", "-5 mi"])
def test_on_linux_a_dash_in_front_is_not_taken_for_an_option(text: str) -> None:
    desk = Desk()
    desktop(desk).text(text, text)
    assert desk.given[0]["title"] == f" {text}"
    assert desk.given[0]["message"] == f" {text}"


def test_a_title_of_nothing_but_control_characters_becomes_the_programs_name() -> None:
    desk = Desk()
    desktop(desk).text("\x07\n", "b")
    assert desk.given[0]["title"] == "triplog"


@pytest.mark.parametrize("text", ["x" * 400, "\U0001f69a" * 200, "-" * 400])
def test_title_and_message_fit_the_narrowest_desktop_in_utf_16(text: str) -> None:
    desk = Desk()
    desktop(desk).text(text, text)
    given = desk.given[0]
    assert len(str(given["title"]).encode("utf-16-le")) // 2 <= TITLE_UNITS_MAX
    assert len(str(given["message"]).encode("utf-16-le")) // 2 <= MESSAGE_UNITS_MAX
    assert str(given["title"]).endswith("…")


def test_what_fits_is_left_whole_and_what_does_not_is_cut_between_characters() -> None:
    assert fitted("abcde", 5) == "abcde"
    assert fitted("abcdef", 5) == "abcd…"
    assert fitted("\U0001f69a\U0001f69a\U0001f69a", 5) == "\U0001f69a\U0001f69a…"


def test_control_characters_and_halves_of_characters_become_a_space() -> None:
    assert plain("a\x1b[7mb\nc\u2028d\udc80e\x00") == "a [7mb c d e"


def test_the_desktop_leaves_the_tone_to_others() -> None:
    assert desktop(Desk()).tone(State.DUE) == Outcome.NO_BACKEND


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_on_a_terminal_the_bell_rings_and_the_line_is_in_reverse_video() -> None:
    stream = Terminal()
    notifier = TerminalNotifier(stream)
    assert notifier.tone(State.DUE) == Outcome.ACCEPTED
    assert notifier.text("Check due", "at the next\nsafe place") == Outcome.ACCEPTED
    assert stream.getvalue() == "\a\x1b[7m Check due: at the next safe place \x1b[0m\n"


def test_on_a_narrow_terminal_the_line_is_broken_at_spaces(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    stream = Terminal()
    TerminalNotifier(stream).text("Check due", "at the next safe place, off the road")
    lines = stream.getvalue().splitlines()
    assert lines == [
        "\x1b[7m Check due: at the next safe \x1b[0m",
        "\x1b[7m place, off the road \x1b[0m",
    ]


def test_into_a_pipe_nothing_is_written() -> None:
    stream = io.StringIO()
    notifier = TerminalNotifier(stream)
    assert notifier.tone(State.DUE) == Outcome.NO_BACKEND
    assert notifier.text("a", "b") == Outcome.NO_BACKEND
    assert stream.getvalue() == ""


def test_a_terminal_that_is_gone_has_failed() -> None:
    stream = Terminal()
    stream.close()
    assert TerminalNotifier(stream).tone(State.DUE) == Outcome.FAILED


def test_the_first_that_accepts_is_the_last_that_is_tried_and_every_attempt_is_told() -> None:
    stream, never = Terminal(), Desk()
    chain = FirstThatWorks([desktop(Desk(OSError())), TerminalNotifier(stream), desktop(never)])
    assert chain.text("a", "b") == (
        Attempt(notifier="desktop", outcome=Outcome.FAILED),
        Attempt(notifier="terminal", outcome=Outcome.ACCEPTED),
    )
    assert never.given == []
    assert chain.tone(State.DUE)[-1] == Attempt(notifier="terminal", outcome=Outcome.ACCEPTED)


def test_when_none_accepts_every_refusal_is_told() -> None:
    chain = FirstThatWorks([desktop(Desk(), environ={}), TerminalNotifier(io.StringIO())])
    assert [attempt.outcome for attempt in chain.text("a", "b")] == ["no_backend", "no_backend"]


def test_without_the_macintosh_part_the_library_is_not_even_asked() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        notifier = DesktopNotifier("triplog", environ={}, platform="darwin")
        assert notifier.text("a", "b") == Outcome.NO_BACKEND
