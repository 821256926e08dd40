"""A journal in which every private text that people type stands, each with words of its own."""

import atexit
import random
import shutil
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from tests.cli.terminal import SeededSecrets, Terminal
from tests.desk.seat import Seat
from triplog.desk.desk import open_desk

TEXTS = {
    name: f"zz {name} text"
    for name in (
        *("carrier", "owner", "helper", "vehicle", "gear", "origin", "destination", "trip"),
        *("loading", "departure", "next stop", "wind place", "wind", "odometer", "duty place"),
        *("check place", "check", "release", "delivery", "close"),
    )
}


def tell_story(folder: Path, *, heads: Path | None = None) -> tuple[Terminal, Seat]:
    """A whole trip T-1, closed, told with private texts; the caller closes the desk's store."""
    told, minutes = _played()
    shutil.copytree(told, folder, dirs_exist_ok=True)
    terminal = Terminal(folder=folder, secrets=SeededSecrets(random.Random(394)))
    terminal.clock.forward(minutes=minutes)
    desk = open_desk(terminal.home, terminal.clock, heads=heads)
    return terminal, Seat(desk=desk, clock=terminal.clock)


@cache
def _played() -> tuple[Path, int]:
    """The folder in which the story was told once, and how many minutes that took."""
    folder = Path(mkdtemp(prefix="private-story-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    terminal = Terminal(folder=folder)
    for words in _LINES:
        terminal.clock.forward(minutes=3)
        typed = [
            TEXTS[word] if before in _PRIVATE else word
            for before, word in zip(("", *words), words, strict=False)
        ]
        said = terminal.type(*typed)
        assert said.code in (0, 1), (words, said.err)
    return folder, 3 * len(_LINES) + 3


_PRIVATE = ("--carrier", "--name", "--note", "--from", "--to", "--reason", "--next-stop", "--place")
_LINES = (
    ("begin", "--carrier", "carrier", "--person", "owner", "--name", "owner"),
    ("person", "add", "helper", "--role", "drives", "--name", "helper"),
    ("vehicle", "add", "van", "--note", "vehicle", "--top-speed", "65 mph"),
    ("gear", "add", "S-1", "--note", "gear"),
    ("trip", "new", "--from", "origin", "--to", "destination", "--note", "trip", "--what", "crate"),
    ("loaded", "--note", "loading"),
    ("depart", "--reason", "departure", "--next-stop", "next stop"),
    ("duty", "on duty", "--place", "duty place"),
    ("event", "wind", "--place", "wind place", "--note", "wind"),
    ("odometer", "100", "--note", "odometer"),
    ("check", "--all-fine", "--place", "check place", "--note", "check"),
    ("release", "--note", "release"),
    ("deliver", "--all", "--note", "delivery"),
    ("close", "--note", "close", "--release-done"),
)
