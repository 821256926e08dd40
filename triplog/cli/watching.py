"""`triplog watch`: the process that prompts."""

import sys
from typing import TYPE_CHECKING

import typer

from triplog.cli.face import face, show, tell
from triplog.cli.machine_clock import MachineClock
from triplog.desk.desk import Refused

if TYPE_CHECKING:
    from scheduler.watch import Look


def watch(context: typer.Context) -> None:
    """Prompt for checks: a tone while driving, a text only at a stop; Ctrl-C ends it."""
    from scheduler.notify import DesktopNotifier, FirstThatWorks, TerminalNotifier
    from scheduler.watch import Watch
    from scheduler.watch_lock import AlreadyWatching
    from triplog.desk.watching import JournalHouse

    here = face(context)
    desk = here.desk()
    notifier = FirstThatWorks([DesktopNotifier("triplog"), TerminalNotifier(sys.stdout)])
    watcher = Watch(JournalHouse(desk), MachineClock(), notifier, on_look=StateLine().say)
    tell(f"watching {desk.store.path}; Ctrl-C ends it")
    try:
        watcher.run(here.home / "watch.lock")
    except AlreadyWatching as problem:
        raise Refused(str(problem)) from problem
    show(["stopped watching; what comes due meanwhile is raised when it starts again"])


class StateLine:
    """One calm line of state, printed when it changes; it stands still while anybody drives."""

    def __init__(self) -> None:
        self._said = ""

    def say(self, look: "Look") -> None:
        """Print the line for a look, if it says something new and nobody is driving."""
        line = _state_line(look)
        if line is not None and line != self._said:
            self._said = line
            show([line])


def _state_line(look: "Look") -> str | None:
    """The line; None while any trip is driven or its duty is not known."""
    from triplog.screen import next_due_line

    if not look.trips:
        return "no trip is under way"
    if any(check.counter.goes_on is not False for trip in look.trips for check in trip.due_checks):
        return None
    offset_min = MachineClock().read().offset_min
    lines = [
        next_due_line(trip.label, trip.due_checks[0], offset_min, look.at)
        for trip in look.trips
        if trip.due_checks
    ]
    return "; ".join(lines) or "nothing due"


COMMANDS = {"watch": watch}
