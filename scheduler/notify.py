"""Saying it: the tone and the text, through whatever this machine has.

An attempt that raised nothing is *accepted*, never "seen": only the driver's own word counts.
"""

import importlib.util
import os
import shutil
import subprocess
import sys
import threading
import unicodedata
import warnings
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from textwrap import wrap
from typing import Protocol, TextIO

from scheduler.due import State

TITLE_UNITS_MAX = 60
MESSAGE_UNITS_MAX = 250
"""UTF-16 units: below the fixed fields of the narrowest desktop (64 and 256 with closing null)."""

SHOWN_FOR_S = 10
"""How long a notification is to stay. A whole number: one of plyer's ways refuses a fraction."""

SERVER_QUESTION = "org.freedesktop.Notifications.GetServerInformation"


class Outcome(StrEnum):
    """What came of an attempt. There is no "seen"."""

    ACCEPTED = "accepted"
    NO_BACKEND = "no_backend"
    FAILED = "failed"
    TIMED_OUT = "timed_out"
    UNKNOWN = "unknown"


class Notifier(Protocol):
    """One way of saying something. Neither call raises; both come back within seconds."""

    @property
    def name(self) -> str:
        """The word this way is recorded under."""

    def tone(self, stage: State, /) -> Outcome:
        """Sound once. `stage`: what for, where a way has more than one sound."""

    def text(self, title: str, message: str) -> Outcome:
        """Put something up to be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """What came of trying one notifier."""

    notifier: str
    outcome: Outcome


class FirstThatWorks:
    """Notifiers in order of preference: tried until one accepts; every attempt is told."""

    def __init__(self, notifiers: Sequence[Notifier]) -> None:
        self._notifiers = tuple(notifiers)

    def tone(self, stage: State) -> tuple[Attempt, ...]:
        """Sound once, by the first notifier that accepts."""
        return self._try(lambda notifier: notifier.tone(stage))

    def text(self, title: str, message: str) -> tuple[Attempt, ...]:
        """Put it up once, by the first notifier that accepts."""
        return self._try(lambda notifier: notifier.text(title, message))

    def _try(self, say: Callable[[Notifier], Outcome]) -> tuple[Attempt, ...]:
        attempts: list[Attempt] = []
        for notifier in self._notifiers:
            try:
                outcome = say(notifier)
            except Exception:  # against its contract, and no reason to stop watching
                outcome = Outcome.FAILED
            attempts.append(Attempt(notifier=notifier.name, outcome=outcome))
            if outcome is Outcome.ACCEPTED:
                break
        return tuple(attempts)


class TerminalNotifier:
    """A bell and a highlighted line on a stream, only where that is a terminal."""

    name = "terminal"

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def tone(self, _stage: State, /) -> Outcome:
        """Ring the bell."""
        return self._write("\a")

    def text(self, title: str, message: str) -> Outcome:
        """Write it in reverse video, broken at spaces; the words are told apart without colour."""
        columns = shutil.get_terminal_size().columns
        lines = wrap(f"{plain(title)}: {plain(message)}", columns - 2, break_on_hyphens=False)
        return self._write("".join(f"\x1b[7m {line} \x1b[0m\n" for line in lines))

    def _write(self, text: str) -> Outcome:
        try:
            if not self._stream.isatty():
                return Outcome.NO_BACKEND
            self._stream.write(text)
            self._stream.flush()
        except (OSError, ValueError):  # gone, closed, or it has no such character
            return Outcome.FAILED
        return Outcome.ACCEPTED


class DesktopNotifier:
    """The desktop's own notifications, through plyer unless told otherwise; no dependable tone.

    `notify` None: plyer's. `name`: what it is recorded under. `answers`: whether a notification
    service is there to take it (Linux).
    `limit_s`: the longest wait. On Linux nothing is tried without a session bus, where plyer
    returns as if it had worked, nor where it would build a command out of the text (`sandbox`).
    """

    def __init__(
        self,
        app_name: str,
        *,
        name: str = "desktop",
        notify: Callable[..., None] | None = None,
        answers: Callable[[], bool] | None = None,
        environ: Mapping[str, str] = os.environ,
        platform: str = sys.platform,
        sandbox: Path = Path("/app"),
        limit_s: float = 5.0,
    ) -> None:
        self.name = name
        self._app_name = app_name
        self._notify = notify
        self._answers = answers or service_answers
        self._environ = environ
        self._linux = platform.startswith("linux")
        self._mac = platform == "darwin"
        self._sandbox = sandbox
        self._limit_s = limit_s

    def tone(self, _stage: State, /) -> Outcome:
        """Left to another notifier."""
        return Outcome.NO_BACKEND

    def text(self, title: str, message: str) -> Outcome:
        """Hand it to the desktop, cut to fit; TIMED_OUT when that does not come back in time."""
        if self._linux and (self._sandbox.is_dir() or not self._has_bus()):
            return Outcome.NO_BACKEND
        outcomes: list[Outcome] = []

        def work() -> None:
            outcomes.append(self._hand_over(title, message))

        worker = threading.Thread(target=work, name="desktop notification", daemon=True)
        worker.start()
        worker.join(self._limit_s)
        return outcomes[0] if outcomes else Outcome.TIMED_OUT

    def _has_bus(self) -> bool:
        runtime_dir = self._environ.get("XDG_RUNTIME_DIR")
        return bool(self._environ.get("DBUS_SESSION_BUS_ADDRESS")) or (
            runtime_dir is not None and (Path(runtime_dir) / "bus").exists()
        )

    def _hand_over(self, title: str, message: str) -> Outcome:
        title = fitted(title, TITLE_UNITS_MAX - 1) or self._app_name
        message = fitted(message, MESSAGE_UNITS_MAX - 1)
        if self._linux:
            title, message = _no_option(title), _no_option(message)
        try:
            if self._linux and not self._answers():
                return Outcome.NO_BACKEND
            notify = self._notify or _plyer_notify(mac=self._mac)
            notify(title=title, message=message, app_name=self._app_name, timeout=SHOWN_FOR_S)
        except (ImportError, NotImplementedError):
            return Outcome.NO_BACKEND
        except Exception:  # whatever a desktop's library raises is an outcome, not our end
            return Outcome.FAILED
        return Outcome.ACCEPTED


def plain(text: str) -> str:
    """The text on one line, without control characters or halves of characters."""
    kept = (
        " " if unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp") else character
        for character in text
    )
    return " ".join("".join(kept).split())


def fitted(text: str, units_max: int) -> str:
    """The plain text in at most so many UTF-16 units; what is cut off shows as an ellipsis."""
    text = plain(text)
    if _units(text) <= units_max:
        return text
    while _units(text) > units_max - 1:
        text = text[:-1]
    return text.rstrip() + "…"


def service_answers() -> bool:
    """Whether a notification service answers on the session bus, starting it if need be.

    True also when there is no program here to ask with: then only trying will tell.
    """
    asking = shutil.which("dbus-send")
    if asking is None:
        return True
    question = [
        *(asking, "--session", "--print-reply", "--reply-timeout=2000"),
        *("--dest=org.freedesktop.Notifications", "/org/freedesktop/Notifications"),
        SERVER_QUESTION,
    ]
    answer = subprocess.run(question, capture_output=True, timeout=3, check=False)
    return answer.returncode == 0


def _units(text: str) -> int:
    return len(text.encode("utf-16-le")) // 2


def _no_option(text: str) -> str:
    """A space before a dash: the desktop's own command would take it for an option."""
    return f" {text}" if text.startswith("-") else text


def _plyer_notify(*, mac: bool) -> Callable[..., None]:
    """plyer's call. Its warnings are about missing parts; the outcome says as much."""
    if mac and importlib.util.find_spec("pyobjus") is None:
        raise NotImplementedError("on this system plyer needs a part that is not installed")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from plyer import notification

        found: Callable[..., None] = notification.notify
    return found
