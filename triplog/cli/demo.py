"""`triplog demo`: a whole invented day, through the real commands, in a folder of its own."""

import os
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from shlex import join
from typing import Annotated

import typer

from triplog.cli import asking
from triplog.cli.demo_day import DAY, OFFSET_MIN, START, Say
from triplog.cli.exit_codes import OUR_FAULT
from triplog.cli.face import leave, show
from triplog.desk.refused import Refused
from triplog.journal.entries import ClockReading
from triplog.journal.store_file import STORE_NAME

_STORE = "store"


@dataclass(slots=True)
class DemoClock:
    """A clock that stands where the story has put it; every entry made by it says *demo*."""

    wall: datetime = START

    def read(self) -> ClockReading:
        """The story's moment."""
        since_start = self.wall - START
        return ClockReading(
            wall=self.wall,
            offset_min=OFFSET_MIN,
            source="demo",
            boot_id="demo",
            boot_ms=int(since_start.total_seconds() * 1000),
        )


def demo(
    to: Annotated[Path, typer.Option("--to", help="The folder for it.")] = Path("triplog-demo"),
) -> None:
    """Run a whole invented working day and leave its store and exports to look at."""
    _make_room(to)
    to.mkdir(parents=True)
    show(
        [
            "Everything in this story is invented: carrier, people, load, ratings, places.",
            "It runs through the real commands, on a clock of its own.",
            f"The store and what is exported are left in {to}/ to look at.",
        ]
    )
    wrong = run_day(to, _run)
    if wrong is not None:
        show(["", f"the demo went wrong at: {wrong}"])
        leave(OUR_FAULT)
    show(
        [
            "",
            "To look at:",
            f"  {to}/{_STORE}/{STORE_NAME}   the journal and its tables, for any SQLite browser",
            f"  {to}/at-departure/ the roadside sheet (PDF) and the planned checks (calendar)",
            f"  {to}/orchard/      tables, trail, sheet (PDF), bundle of the first trip",
            f"  {to}/whole-store/  the same for the whole store",
            f"  triplog --home {to}/{_STORE} trip list",
            f"  triplog --home {to}/{_STORE} trip show orchard",
        ]
    )


def run_day(folder: Path, run: Callable[[list[str], DemoClock], int]) -> str | None:
    """Tell the day's story, step by step; the command line that did not end as it should."""
    clock = DemoClock()
    for beat in DAY:
        if isinstance(beat, Say):
            show(["", f"-- {beat.text}"])
            continue
        clock.wall = beat.moment or clock.wall
        words = [word.replace("DEMO", str(folder)) for word in beat.words]
        show(["", f"{beat.clock_text(clock.wall)} $ triplog {join(words)}"])
        if run(["--home", str(folder / _STORE), *words], clock) != beat.ends_with:
            return f"triplog {join(words)}"
    return None


def _run(words: list[str], clock: DemoClock) -> int:
    """Run a line of the story; as in a script, nobody is asked for what it leaves out."""
    from triplog.cli.main import invoke

    typed = sys.stdin
    with Path(os.devnull).open() as nothing:
        sys.stdin = nothing
        try:
            return invoke(words, clock)
        finally:
            sys.stdin = typed


def _make_room(folder: Path) -> None:
    """Ask before an earlier demo is replaced; anything else there is left alone."""
    if not folder.exists():
        return
    if not _is_demo(folder):
        raise Refused(f"{folder} is there already and is no demo; name another folder with --to")
    if not asking.at_terminal():
        raise Refused(f"{folder} holds an earlier demo; remove it, or name another with --to")
    if not asking.yes(None, f"{folder} holds an earlier demo. Replace it?", "--to"):
        raise Refused("the earlier demo was kept")
    shutil.rmtree(folder)


def _is_demo(folder: Path) -> bool:
    from triplog.journal.store import open_store
    from triplog.journal.store_file import StoreUnusable

    try:
        store = open_store(folder / _STORE / STORE_NAME, reading_only=True)
    except StoreUnusable:
        return False
    try:
        return store.fact("invented") == "yes"
    finally:
        store.close()


COMMANDS = {"demo": demo}
