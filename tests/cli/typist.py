"""Somebody at a real terminal: a pseudo-terminal on which questions are read and answered."""

import contextlib
import os
import pty
import select
import signal
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass, field

from tests.cli.terminal import Terminal
from triplog.cli.exit_codes import OUR_FAULT
from triplog.cli.main import invoke

CTRL_C = "\x03"
_PATIENCE_S = 20.0
_PRESSED_AGAIN_S = 0.3
"""A person presses Ctrl-C again where it did not help: it can come a moment before the read."""


_ASKING = (": ", "] ")
"""What every question ends with."""
_QUIET_S = 0.02


@dataclass(slots=True, kw_only=True)
class Conversation:
    """What was said at a terminal; `presses` counts the keys, Enter among them."""

    code: int
    screen: str
    presses: int


@dataclass(slots=True)
class Typist:
    """Types a command line and answers its questions, each when it is on the screen."""

    terminal: Terminal
    _screen: str = field(default="", init=False)

    def follow(self, *words: str, knows: Mapping[str, str]) -> Conversation:
        """Run one command line and answer whatever it asks, as it is asked.

        `knows`: words of a question -> what is typed then; Enter alone where it holds none of them.
        AssertionError where the same question is asked over and over.
        """
        self._screen = ""
        child, handle = pty.fork()
        if child == 0:
            self._run(words)
        self.terminal.secrets = self.terminal.secrets.onward()
        presses, place, asked = 0, 0, ""
        try:
            while (question := self._next_question(handle, place)) is not None:
                assert question != asked, f"asked again: {question}"
                reply = next((one for key, one in knows.items() if key in question), "") + "\n"
                asked, place = question, len(self._screen)
                os.write(handle, reply.encode())
                presses += len(reply)
        finally:
            os.close(handle)
        _, status = os.waitpid(child, 0)
        return Conversation(
            code=os.waitstatus_to_exitcode(status),
            screen=self.terminal.settled(self._screen.replace("\r\n", "\n")),
            presses=presses,
        )

    def _next_question(self, handle: int, place: int) -> str | None:
        """Read until a question waits for its answer; its words on one line. None: the end."""
        until = time.monotonic() + _PATIENCE_S
        while True:
            assert time.monotonic() < until, f"it stands still; on the screen: {self._screen}"
            waiting = self._screen[place:].endswith(_ASKING)
            ready, _, _ = select.select([handle], [], [], _QUIET_S if waiting else _PRESSED_AGAIN_S)
            if waiting and not ready:
                return " ".join(self._screen[place:].split())
            read = b""
            if ready:
                with contextlib.suppress(OSError):
                    read = os.read(handle, 4096)
                if not read:
                    return None
            self._screen += read.decode()

    def type(self, *words: str, answers: list[tuple[str, str]]) -> Conversation:
        """Run one command line; `answers` are (words of a question, what is typed then).

        AssertionError where a question does not come.
        """
        self._screen = ""
        child, handle = pty.fork()
        if child == 0:
            self._run(words)
        # What the child draws from the seeded source, this process must not draw again.
        self.terminal.secrets = self.terminal.secrets.onward()
        presses, reply = 0, ""
        try:
            place = 0
            for question, reply in answers:
                place = self._wait_for(handle, question, place)
                os.write(handle, reply.encode())
                presses += len(reply)
            self._wait_for(handle, None, place, pressed=reply if reply == CTRL_C else "")
        finally:
            os.close(handle)
        _, status = os.waitpid(child, 0)
        return Conversation(
            code=os.waitstatus_to_exitcode(status),
            screen=self.terminal.settled(self._screen.replace("\r\n", "\n")),
            presses=presses,
        )

    def _run(self, words: tuple[str, ...]) -> None:
        """The child: its three streams are the terminal."""
        sys.stdin, sys.stdout, sys.stderr = (
            os.fdopen(number, mode, encoding="utf-8", closefd=False)
            for number, mode in ((0, "r"), (1, "w"), (2, "w"))
        )
        signal.signal(signal.SIGINT, signal.default_int_handler)
        code = OUR_FAULT
        with self.terminal.surroundings():
            code = invoke(words, self.terminal.clock)
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)

    def _wait_for(self, handle: int, question: str | None, place: int, *, pressed: str = "") -> int:
        """Read until the question is on the screen, or, without one, to the end.

        `pressed` is pressed again while nothing comes.
        """
        until = time.monotonic() + _PATIENCE_S
        while True:
            if question is not None:
                found = self._screen.find(question, place)
                if found >= 0:
                    return found + len(question)
            left = until - time.monotonic()
            assert left > 0, f"no {question!r} came; on the screen: {self._screen}"
            ready, _, _ = select.select([handle], [], [], min(left, _PRESSED_AGAIN_S))
            if not ready:
                os.write(handle, pressed.encode())
                continue
            read = b""
            with contextlib.suppress(OSError):  # Linux says so when the other end has gone.
                read = os.read(handle, 4096)
            if not read:
                assert question is None, (
                    f"{question!r} was not asked; on the screen: {self._screen}"
                )
                return place
            self._screen += read.decode()
