"""What every command has at hand: where the store is, which clock, who types, how to print."""

import json
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn, TypeVar

import typer

from triplog.cli.exit_codes import DONE
from triplog.cli.lines import fitted, tell, terminal_width
from triplog.desk.refused import Refused
from triplog.journal.entries import Clock, Entry
from triplog.journal.repeats import AlreadyRecorded, AskedAgain

if TYPE_CHECKING:
    from triplog.desk.desk import Desk

_LINE_MAX = 100
Result = TypeVar("Result")
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON.")]
OfTrip = Annotated[
    str | None, typer.Option("--trip", "-t", help="Which trip; needed where several are open.")
]
When = Annotated[
    str | None,
    typer.Option("--at", help='When it happened: 10:31, "20 min ago", or a date with its time.'),
]
Note = Annotated[str | None, typer.Option("--note", help="A note; kept private.")]
Reason = Annotated[str | None, typer.Option("--reason", help="The reason; kept private.")]
Stopped = Annotated[
    bool | None, typer.Option("--stopped", help="The vehicle stands, stopped off the road.")
]
SoftLoad = Annotated[
    bool, typer.Option("--soft-load", help="Bales, bags or sacks: a first check early on.")
]
Odometer = Annotated[str | None, typer.Option("--odometer", help="What the odometer reads.")]
Sure = Annotated[bool, typer.Option("--sure", help="The reading is odd, and right all the same.")]
NewInstrument = Annotated[
    bool, typer.Option("--new-instrument", help="The odometer was replaced; it counts anew.")
]
NextStop = Annotated[
    str | None, typer.Option("--next-stop", help="Where you will stop next; kept private.")
]
NextStopOdometer = Annotated[
    str | None,
    typer.Option("--next-stop-odometer", help="What it will read there, or +42 mi from here."),
]
Place = Annotated[str | None, typer.Option("--place", help="Nearest town; kept private.")]


@dataclass(slots=True, kw_only=True)
class Face:
    """One run of the program. `who`: the label of the person typing, None: the one set here."""

    home: Path
    clock: Clock
    who: str | None = None
    key: str | None = None
    again: bool = False
    heads: Path | None = None
    _desks: "list[Desk]" = field(default_factory=list)

    def desk(self, *, reading_only: bool = False) -> "Desk":
        """The open desk; raises AlreadyRecorded where the key from outside is known."""
        from triplog.desk.desk import open_desk

        desk = self.closing(
            open_desk(self.home, self.clock, reading_only=reading_only, heads=self.heads)
        )
        desk.again = self.again
        if self.key is not None:
            desk.key = self.key
            known = desk.store.with_idem(self.key)
            if known is not None:
                raise AlreadyRecorded(known)
        if self.who is not None:
            from triplog.desk.finding_things import person_named

            desk.by = person_named(desk, self.who).id
        return desk

    def closing(self, desk: "Desk") -> "Desk":
        """A desk whose store is closed when the command ends."""
        self._desks.append(desk)
        return desk

    def close(self) -> None:
        """Close what this run has opened."""
        for desk in self._desks:
            desk.store.close()
            if desk.head_trouble is not None:
                tell(desk.head_trouble)

    def recording(self, desk: "Desk", record: Callable[[], Result]) -> Result:
        """Record; where the same was recorded just now, ask first."""
        try:
            return record()
        except AskedAgain as same:
            from triplog.cli import asking

            if not asking.at_terminal():
                raise
            when = local_time(same.entry)
            if not asking.yes(None, f"Already recorded at {when}. Record it again?", "--again"):
                self.end("not recorded again")
            desk.again = True
            return record()

    def end(self, line: str, code: int = DONE) -> NoReturn:
        """Say a last line and leave."""
        typer.echo(line)
        raise typer.Exit(code)


def face(context: typer.Context) -> Face:
    """The face of this run."""
    found = context.find_object(Face)
    assert found is not None, "the program has set up its face"
    return found


def line_width() -> int:
    """How long a line may be: what the terminal holds, and no more than reads well."""
    return min(terminal_width() or _LINE_MAX, _LINE_MAX)


def show(lines: Iterable[str]) -> None:
    """Print lines to standard output; at a terminal, one that does not fit breaks at a space."""
    columns = terminal_width()
    for line in lines:
        for part in fitted(line, columns):
            typer.echo(part)


def show_json(value: object) -> None:
    """Print a value as JSON, the same words as on the screen."""
    typer.echo(json.dumps(value, indent=1, ensure_ascii=False, default=str))


def leave(code: int) -> None:
    """End the command with an exit code, if it is not that of a command that is done."""
    if code != DONE:
        raise typer.Exit(code)


def recorded(entry: Entry, what: str) -> str:
    """The line that says an entry is in the journal: durable, with its hash's start."""
    return f"recorded {local_time(entry)}  {what}  [{entry.hash[:8]}]"


def local_time(entry: Entry) -> str:
    """An entry's event time as its person reads it, hours and minutes."""
    from datetime import timedelta, timezone

    zone = timezone(timedelta(minutes=entry.event_offset_min))
    return entry.event_time.astimezone(zone).strftime("%H:%M")


def given(**fields: object) -> dict[str, Any]:
    """The fields that were given, for a part of a plan."""
    return {name: value for name, value in fields.items() if value is not None}


def parts_of_place(text: str) -> list[str]:
    """A place as typed, "10 ft, centre", in the parts a plan keeps."""
    return [part.strip() for part in text.split(",")]


def as_record(row: Mapping[str, object], *names: str) -> list[object]:
    """The named columns of a record, in order."""
    return [row.get(name) for name in names]


def is_pipe_closed(problem: BaseException) -> bool:
    """Whether the reader of our output has gone, as `| head` does."""
    return isinstance(problem, BrokenPipeError) and not sys.stdout.isatty()


def read_bytes(file: Path) -> bytes:
    """The bytes of a file somebody named. Raises Refused where it cannot be read."""
    try:
        return file.read_bytes()
    except OSError as problem:
        raise Refused(f"{file} cannot be read: {problem.strerror}") from problem
