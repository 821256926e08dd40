"""The program: its commands put together, its errors turned into sentences and exit codes.

Only the file of the command that is asked for is imported; the list of all is needed for help.
"""

import gc
import os
import sqlite3
import sys
import traceback
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from typing import Annotated

import typer

from triplog.cli.exit_codes import DONE, OUR_FAULT, REFUSED, STOPPED, STORE
from triplog.cli.face import Face, is_pipe_closed, local_time
from triplog.cli.lines import tell
from triplog.cli.machine_clock import MachineClock
from triplog.desk.refused import Refused, RefusedAndRecorded
from triplog.journal.entries import Clock, EntryBroken
from triplog.journal.repeats import AlreadyRecorded, AskedAgain
from triplog.journal.store_file import StoreUnusable
from triplog.version import __version__

COMMANDS: dict[str, str] = {
    "begin": "setting_up",
    "carrier": "setting_up",
    "person": "people",
    "vehicle": "vehicles",
    "gear": "gear",
    "trip": "trips",
    "article": "articles",
    "tie-down": "tie_downs",
    "plan": "plans",
    "judge": "judging",
    "schema": "judging",
    "rules": "rules",
    "loaded": "departing",
    "second-look": "second_look",
    "depart": "departing",
    "odometer": "road",
    "duty": "road",
    "stops": "stops",
    "event": "road",
    "photo": "photos",
    "replace": "replacing",
    "cause": "cause",
    "hear": "road",
    "exempt": "exempting",
    "readings": "feeding",
    "due": "due",
    "check": "checking",
    "late-reason": "late_reason",
    "watch": "watching",
    "office": "office",
    "page": "page",
    "handover": "handing_over",
    "slip": "handing_over",
    "deliver": "delivering",
    "release": "delivering",
    "close": "delivering",
    "incident": "incident",
    "piece": "incident",
    "hold": "holding",
    "lift-hold": "holding",
    "retention": "retention",
    "correct": "mending",
    "withdraw": "mending",
    "entries": "entries",
    "export": "exporting",
    "verify": "exporting",
    "witness": "witnessing",
    "private": "private",
    "backup": "keeping",
    "restore": "keeping",
    "take-in": "keeping",
    "rebuild": "keeping",
    "pair": "hub_contact",
    "push": "hub_contact",
    "hub": "hub",
    "advise": "advising",
    "vary": "varying",
    "demo": "demo",
}
"""Each command with the file that holds it, in the order of the job."""


def run() -> None:
    """What the command `triplog` starts."""
    # A command lives for a fraction of a second; `watch` switches it on again.
    gc.disable()
    _open_what_is_closed()
    sys.exit(invoke(sys.argv[1:], MachineClock()))


def _open_what_is_closed() -> None:
    """Where a standard stream was closed before the start, what is said there goes nowhere.

    Else the journal's file could get its number, and be written into by whoever prints.
    """
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        try:
            os.fstat(number)
        except OSError:
            # The lowest number that is free is this one.
            handle = os.open(os.devnull, os.O_RDWR)
            setattr(sys, name, os.fdopen(handle, "r" if number == 0 else "w", encoding="utf-8"))


def invoke(arguments: Sequence[str], clock: Clock) -> int:
    """Run one command line with a clock; returns the exit code, prints every error in words."""
    if list(arguments) == ["--version"]:
        typer.echo(f"triplog {__version__}")
        return DONE
    try:
        _refuse_bytes(arguments)
        ended = application(arguments, clock)(
            args=list(arguments), prog_name="triplog", standalone_mode=False
        )
    except (Refused, AskedAgain, AlreadyRecorded, StoreUnusable) as problem:
        return _told(problem)
    except (KeyboardInterrupt, typer.Abort):
        ended = STOPPED
    except SystemExit as left:
        # Typer leaves by itself where the reader of the output has gone.
        if not isinstance(left.__context__, BrokenPipeError):
            raise
        return _unexpected(left.__context__)
    except Exception as problem:
        return _unexpected(problem)
    if ended == STOPPED:
        tell("stopped; what was recorded before stays recorded")
    return ended if isinstance(ended, int) else DONE


def _refuse_bytes(arguments: Sequence[str]) -> None:
    """Refuse what the terminal sent in some other encoding: an entry holds texts only."""
    for word in arguments:
        try:
            word.encode()
        except UnicodeEncodeError:
            raise Refused(f"{word!r} is no text in UTF-8; type it anew") from None


def application(arguments: Sequence[str], clock: Clock) -> typer.Typer:
    """The program with the command that is asked for; with all of them where help is."""
    app = typer.Typer(
        help="A trip securement log: plan, departure, re-checks, release, and the trail of it all.",
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        add_completion=False,
        context_settings={"help_option_names": ["--help", "-h"]},
    )
    # A label may be called like a command, so every word that could be one is looked at.
    asked = [name for name in COMMANDS if name in arguments]
    names = asked or list(COMMANDS) if arguments else []
    for name in names:
        module = import_module(f"triplog.cli.{COMMANDS[name]}")
        command = module.COMMANDS[name]
        if isinstance(command, typer.Typer):
            app.add_typer(command, name=name)
        else:
            app.command(name)(command)

    @app.callback(invoke_without_command=True)
    def start(
        context: typer.Context,
        home: Annotated[
            Path | None,
            typer.Option("--home", help="The folder of the store.", envvar="TRIPLOG_HOME"),
        ] = None,
        heads: Annotated[
            Path | None,
            typer.Option(
                "--heads",
                help="The folder, outside --home, where the last signed head is kept.",
                envvar="TRIPLOG_HEADS",
            ),
        ] = None,
        who: Annotated[
            str | None, typer.Option("--as", help="Who is typing, by label.", envvar="TRIPLOG_AS")
        ] = None,
        key: Annotated[
            str | None,
            typer.Option("--key", help="A key of your own: given twice, it records once."),
        ] = None,
        again: Annotated[
            bool,
            typer.Option("--again", help="Record although the same was recorded just now."),
        ] = False,
        version: Annotated[bool, typer.Option("--version", help="Say which triplog.")] = False,
    ) -> None:
        if version:
            typer.echo(f"triplog {__version__}")
            raise typer.Exit(DONE)
        found = Face(home=home or default_home(), clock=clock, who=who, key=key, again=again)
        found.heads = heads or default_heads()
        context.obj = found
        context.call_on_close(found.close)
        if context.invoked_subcommand is None:
            from triplog.cli.next_step import say_next_step

            say_next_step(found)

    return app


def default_home() -> Path:
    """Where the store lies unless told otherwise: the system's folder for a person's data."""
    from platformdirs import user_data_path

    return user_data_path("triplog", appauthor=False)


def default_heads() -> Path:
    """Where signed heads are kept unless told otherwise: the system's folder for states."""
    from platformdirs import user_state_path

    return user_state_path("triplog", appauthor=False)


def _told(problem: Exception) -> int:
    """An answer or a refusal in words; its exit code."""
    match problem:
        case AlreadyRecorded():
            entry = problem.entry
            tell(f"already recorded at {local_time(entry)} under this key  [{entry.hash[:8]}]")
            return DONE
        case AskedAgain():
            entry = problem.entry
            tell(
                f"the same was recorded at {local_time(entry)} [{entry.hash[:8]}]; nothing was"
                " recorded now. To record it once more: triplog --again ..."
            )
            return REFUSED
        case RefusedAndRecorded():
            tell(f"refused, and recorded that it was asked for: {problem}")
            return REFUSED
        case Refused():
            tell(f"refused, nothing was recorded: {problem}")
            return REFUSED
        case _:
            tell(str(problem))
            return STORE


def _unexpected(problem: Exception) -> int:
    """Usage errors, broken figures, a reader that has gone, and what is our own fault."""
    if is_pipe_closed(problem):
        # Python would complain once more when it closes the pipe at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    if hasattr(problem, "format_message"):
        from triplog.cli.usage import usage_lines

        for line in usage_lines(problem):
            tell(line)
        return REFUSED
    if type(problem).__name__ in ("FiguresBroken", "RuleFileBroken", "RetentionTableBroken"):
        tell(f"the figures cannot be used: {problem}")
        return STORE
    # SQLAlchemy wraps the database's own error.
    if isinstance(getattr(problem, "orig", problem), sqlite3.DatabaseError | EntryBroken):
        tell(
            f"the journal cannot be read: {problem}. Keep the file as it is, look at"
            " `triplog entries --check`, and restore a backup"
        )
        return STORE
    if isinstance(problem, OSError):
        tell(f"not done: {problem.strerror or problem}{_file_of(problem)}")
        return REFUSED
    frame = traceback.extract_tb(problem.__traceback__)[-1]
    tell(
        f"this is our fault, not yours: {type(problem).__name__}: {problem}"
        f" ({Path(frame.filename).name}, line {frame.lineno}). What was recorded before stays in"
        " the journal; `triplog entries` shows it"
    )
    return OUR_FAULT


def _file_of(problem: OSError) -> str:
    return f" ({problem.filename})" if problem.filename else ""
