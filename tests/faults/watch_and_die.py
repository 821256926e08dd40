"""Real watchers that are killed at a chosen place; run by `test_watch_killed` as one process.

One line of standard input for each watcher: when it dies, and a number. It is a process of its
own, forked here so that the libraries are read only once; what it runs is `triplog watch`, with
a notifier that writes down what it was told to say and may kill its own process. A watcher that
does not die is told to end (SIGTERM) after its first look. The answer is one line: how it ended.
"""

import os
import signal
import sys
import threading
from importlib import import_module
from pathlib import Path
from unittest.mock import patch

import scheduler.desktop
from scheduler.due import State
from scheduler.notify import Outcome
from triplog.cli.machine_clock import MachineClock
from triplog.cli.main import invoke

BEFORE, AFTER, AT_MS, NEVER = "before", "after", "at", "never"
"""Killed before the attempt that has the number, after it, after so many milliseconds; or not."""
STATE = b"trip T-1"
BACKGROUND = "apscheduler.schedulers.background"


class Dying:
    """A notifier that says things into a file, and kills its process at one of them."""

    name = "desktop"

    def __init__(self, said: Path, dies: str, number: int) -> None:
        self._said = said
        self._dies = dies
        self._left = number

    def tone(self, _stage: State, /) -> Outcome:
        return self._say("tone")

    def text(self, title: str, _message: str) -> Outcome:
        return self._say(title)

    def _say(self, what: str) -> Outcome:
        self._left -= 1
        if self._dies == BEFORE and self._left == 0:
            kill()
        with self._said.open("a", encoding="utf-8") as said:
            said.write(f"{what}\n")
        if self._dies == AFTER and self._left == 0:
            kill()
        return Outcome.ACCEPTED


def kill() -> None:
    """What a power cut or an impatient system does: no word, no clean-up."""
    os.kill(os.getpid(), signal.SIGKILL)


def watch(home: Path, dies: str, number: int) -> int:
    """`triplog watch` in this process, dying as told."""
    notifier = Dying(home / "said.txt", dies, number)
    patch.object(scheduler.desktop, "desktop_notifiers", lambda _name: [notifier]).start()
    if dies == AT_MS:
        threading.Timer(number / 1000, kill).start()
    return invoke(["--home", str(home), "watch"], MachineClock())


def one_watcher(home: Path, dies: str, number: int) -> str:
    """Fork a watcher and see how it ends: "killed", or its exit code."""
    ours, theirs = os.pipe()
    child = os.fork()
    if child == 0:
        os.dup2(theirs, sys.stdout.fileno())
        os._exit(watch(home, dies, number))
    os.close(theirs)
    with os.fdopen(ours, "rb") as told:
        for line in told:
            if line.startswith(STATE):
                os.kill(child, signal.SIGTERM)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return "killed" if status == -signal.SIGKILL else str(status)


if __name__ == "__main__":
    for library in ("triplog.cli.watching", "triplog.desk.watching", "sqlmodel", BACKGROUND):
        import_module(library)
    for asked in sys.stdin:
        how, count = asked.split()
        print(one_watcher(Path(sys.argv[1]), how, int(count)), flush=True)
