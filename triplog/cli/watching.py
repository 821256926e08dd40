"""`triplog watch`: the process that prompts."""

import contextlib
import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.face import Face, face, show
from triplog.cli.lines import tell
from triplog.cli.machine_clock import MachineClock
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from scheduler.watch import HouseBusy, Look
    from triplog.journal.entries import Clock


def watch(
    context: typer.Context,
    unit: Annotated[
        bool, typer.Option("--unit", help="Only print a systemd user unit that starts this.")
    ] = False,
    launchd: Annotated[
        bool, typer.Option("--launchd", help="Only print a launchd agent; not tried by us.")
    ] = False,
    task: Annotated[
        bool, typer.Option("--task", help="Only print a Windows task; not tried by us.")
    ] = False,
) -> None:
    """Prompt for checks: a tone while driving, a text only at a stop; Ctrl-C ends it."""
    here = face(context)
    if unit or launchd or task:
        _print_service(here.home, unit=unit, launchd=launchd, task=task)
        return
    _watch(here)


def _print_service(home: Path, *, unit: bool, launchd: bool, task: bool) -> None:
    """Print what starts the watcher of this home as a service of the user."""
    from triplog.wording import service

    if unit + launchd + task > 1:
        raise Refused("name one: --unit, --launchd or --task")
    command = service.watch_command(sys.executable, str(home.absolute()))
    if unit:
        typer.echo(service.systemd_unit(command), nl=False)
        for line in service.SYSTEMD_STEPS:
            tell(line)
    else:
        made = service.launchd_agent(command) if launchd else service.windows_task(command)
        typer.echo(made, nl=False)
        tell(service.NOT_TRIED)


def _watch(here: Face) -> None:
    from scheduler.desktop import desktop_notifiers
    from scheduler.notify import FirstThatWorks, TerminalNotifier
    from scheduler.sound import SoundNotifier
    from scheduler.watch import Watch
    from scheduler.watch_lock import AlreadyWatching
    from triplog.desk.hub_contact import WithHub
    from triplog.desk.hub_pairing import SETTING
    from triplog.desk.office import JournalOffice, hook_of
    from triplog.desk.setting_up import office_margin
    from triplog.desk.watching import JournalHouse

    gc.enable()
    desk = here.desk()
    sound = SoundNotifier()
    opening = [f"watching {desk.store.path}; Ctrl-C ends it"]
    if desk.invented:
        opening.append("invented: this is the demo's store")
    if not sys.stdout.isatty() and not sound.is_possible():
        opening.append("no tone can be heard: no terminal bell here, and no player of sounds")
    if office_margin(desk) is not None and hook_of(here.home) is None:
        opening.append("the office is told of nothing yet, messages wait: see `triplog office`")
    if (here.home / SETTING).exists():
        opening.append("what is recorded is pushed to the hub meanwhile")
    house = JournalHouse(desk)
    office = WithHub(JournalOffice(house), house)
    screen = Screen(desk.clock, opening, lambda: office.trouble)
    watcher = Watch(
        house,
        MachineClock(),
        FirstThatWorks([*desktop_notifiers("triplog"), TerminalNotifier(sys.stdout), sound]),
        office=office,
        on_look=screen.looked,
        on_busy=screen.put_off,
    )
    try:
        watcher.run(here.home / "watch.lock")
    except AlreadyWatching as problem:
        raise Refused(str(problem)) from problem
    show(["stopped watching; what comes due meanwhile is raised when it starts again"])


class Screen:
    """What the watcher shows where it was started; if nobody reads it any more, it goes on.

    `opening`: told when the first look is made, which only the one watcher of a store gets to.
    `trouble`: what there is to tell of the hub; like the state, only while nobody drives.
    """

    def __init__(
        self,
        clock: "Clock",
        opening: list[str],
        trouble: "Callable[[], Sequence[str]]" = lambda: (),
    ) -> None:
        self._clock = clock
        self._opening = opening
        self._trouble = trouble
        self._told: Sequence[str] = ()
        self._state = ""
        self._is_put_off = False

    def looked(self, look: "Look") -> None:
        """Print the line of state if it is a new one; while anybody drives it stands still."""
        self._is_put_off = False
        self._open()
        line = _state_line(look, self._clock.read().offset_min)
        if line is None:
            return
        if self._trouble() != self._told:
            self._told = self._trouble()
            with contextlib.suppress(OSError):
                for one in self._told:
                    tell(one)
        if line != self._state:
            self._state = line
            with contextlib.suppress(OSError):
                show([line])

    def put_off(self, problem: "HouseBusy") -> None:
        """Tell once that the journal is busy."""
        self._open()
        if not self._is_put_off:
            self._is_put_off = True
            with contextlib.suppress(OSError):
                tell(str(problem))

    def _open(self) -> None:
        while self._opening:
            line = self._opening.pop(0)
            with contextlib.suppress(OSError):
                tell(line)


def _state_line(look: "Look", offset_min: int) -> str | None:
    """The line; None while any trip is driven or its duty is not known."""
    from scheduler.progress import DutyStatus
    from triplog.screen import next_due_line

    if any(trip.duty in (None, DutyStatus.DRIVING) for trip in look.trips):
        return None
    lines = [
        next_due_line(trip.label, trip.due_checks[0], offset_min, trip.at)
        for trip in look.trips
        if trip.due_checks
    ]
    return "; ".join(lines) or "no trip is under way"


COMMANDS = {"watch": watch}
