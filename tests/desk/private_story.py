"""A journal in which every private text that people type stands, each with words of its own."""

from pathlib import Path

from tests.cli.terminal import Terminal
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
NAMES = {TEXTS["owner"], TEXTS["helper"]}


def tell_story(folder: Path, *, heads: Path | None = None) -> tuple[Terminal, Seat]:
    """A whole trip T-1, closed, told with private texts; the caller closes the desk's store."""
    terminal = Terminal(folder=folder)
    lines = (
        ("begin", "--carrier", "carrier", "--person", "owner", "--name", "owner"),
        ("person", "add", "helper", "--role", "drives", "--name", "helper"),
        ("vehicle", "add", "van", "--note", "vehicle", "--top-speed", "65 mph"),
        ("gear", "add", "S-1", "--note", "gear"),
        ("trip", "new", "--from", "origin", "--to", "destination", "--note", "trip", "--what",
         "crate"),
        ("loaded", "--note", "loading"),
        ("depart", "--reason", "departure", "--next-stop", "next stop"),
        ("duty", "on duty", "--place", "duty place"),
        ("event", "wind", "--place", "wind place", "--note", "wind"),
        ("odometer", "100", "--note", "odometer"),
        ("check", "--all-fine", "--place", "check place", "--note", "check"),
        ("release", "--note", "release"),
        ("deliver", "--all", "--note", "delivery"),
        ("close", "--note", "close", "--release-done"),
    )  # fmt: skip
    private = ("--carrier", "--name", "--note", "--from", "--to", "--reason", "--next-stop")
    for words in lines:
        terminal.clock.forward(minutes=3)
        typed = [
            TEXTS[word] if before in (*private, "--place") else word
            for before, word in zip(("", *words), words, strict=False)
        ]
        said = terminal.type(*typed)
        assert said.code in (0, 1), (words, said.err)
    terminal.clock.forward(minutes=3)
    desk = open_desk(terminal.home, terminal.clock, heads=heads)
    return terminal, Seat(desk=desk, clock=terminal.clock)
