"""A real `triplog watch` in a process of its own, and other real commands beside it."""

import contextlib
import os
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scheduler.desktop import desktop_notifiers
from tests.desk.watched import prompt_name
from triplog.journal.entries import Entry
from triplog.journal.store import open_store
from triplog.journal.store_file import STORE_NAME

ROOT = Path(__file__).parents[2]
TRIPLOG = [sys.executable, "-c", "from triplog.cli.main import run; run()"]
PATIENCE_S = 15.0
"""The longest wait for what has to come; a busy machine is no failure."""
NO_DESKTOP = {
    name: value
    for name, value in os.environ.items()
    if name not in ("DBUS_SESSION_BUS_ADDRESS", "XDG_RUNTIME_DIR")
} | {"PATH": ""}
"""Neither a session nor, as nothing is found on the path, a player of sounds."""
NOTHING_TOOK_IT = [
    {"by": name, "came": "no_backend"}
    for name in (*(one.name for one in desktop_notifiers("triplog")), "terminal", "sound")
]


@dataclass(slots=True)
class Watching:
    """A watcher that runs; `shown` is what it has printed so far, `handle` where that is read."""

    home: Path
    process: "subprocess.Popen[bytes]"
    handle: int
    shown: str = ""

    def wait_for(self, words: str) -> str:
        """Read until these words are printed; everything printed so far."""
        wait_until(lambda: words in self.read(), words)
        return self.shown

    def read(self) -> str:
        """Everything printed so far."""
        while select.select([self.handle], [], [], 0)[0]:
            try:
                part = os.read(self.handle, 4096)
            except OSError:  # a pseudo-terminal whose other end was closed
                break
            if not part:
                break
            self.shown += part.decode().replace("\r\n", "\n")
        return self.shown

    def wait_for_outcome_of(self, name: str) -> Entry:
        """Wait until there is an outcome of the prompt with that name; the outcome."""
        found: list[Entry] = []

        def is_there() -> bool:
            found.extend(outcomes_of(self.home, name))
            return bool(found)

        wait_until(is_there, name)
        return found[0]

    def end(self) -> int:
        """Tell it to end, as a system does, and wait for it; its exit code."""
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(PATIENCE_S)


@contextlib.contextmanager
def watching(
    home: Path, *, at_terminal: bool = False, environ: Mapping[str, str] = NO_DESKTOP
) -> Iterator[Watching]:
    """A real `triplog watch`, printing into a pipe, or at a terminal."""
    ours, theirs = os.openpty() if at_terminal else os.pipe()
    with (home / "told.txt").open("wb") as told:
        process = subprocess.Popen(
            [*TRIPLOG, "--home", str(home), "watch"],
            stdout=theirs,
            stderr=told,
            cwd=ROOT,
            env=environ,
        )
    os.close(theirs)
    try:
        yield Watching(home, process, ours)
    finally:
        process.kill()
        process.wait()
        os.close(ours)


def triplog(home: Path, *words: str, timeout_s: float = 30) -> "subprocess.CompletedProcess[str]":
    """Run one command in a process of its own."""
    return subprocess.run(
        [*TRIPLOG, "--home", str(home), *words],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=NO_DESKTOP,
        timeout=timeout_s,
        check=False,
    )


def told(home: Path) -> str:
    """What the watcher said beside its output."""
    return (home / "told.txt").read_text("utf-8")


def entries(home: Path) -> list[Entry]:
    """The whole journal, read anew."""
    store = open_store(home / STORE_NAME, reading_only=True)
    try:
        return list(store.entries())
    finally:
        store.close()


def outcomes_of(home: Path, name: str) -> list[Entry]:
    """The outcomes of the prompt with a name, such as "first/due/tone/1"."""
    found = entries(home)
    raised = {
        one.hash for one in found if one.kind == "prompt_raised" and prompt_name(one.idem) == name
    }
    return [one for one in found if one.kind == "prompt_outcome" and one.body["raised"] in raised]


def wait_until(is_so: Callable[[], Any], what: str) -> None:
    """Look every 50 ms until it is so; AssertionError where it never is."""
    until = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < until, f"never came: {what}"
        time.sleep(0.05)
