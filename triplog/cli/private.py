"""`triplog private`: what private values there are, and destroying them for good."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli import asking
from triplog.cli.exit_codes import FOUND
from triplog.cli.face import AsJson, Note, OfTrip, Reason, face, leave, recorded, show, show_json
from triplog.cli.lines import tell

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.desk.destroying import Destroyed

OfPerson = Annotated[
    str | None, typer.Option("--person", help="What was recorded about a person, by label.")
]
app = typer.Typer(
    help="Private values: names, notes, reasons, places, positions.", no_args_is_help=True
)


@app.command("list")
def listed(
    context: typer.Context, trip: OfTrip = None, person: OfPerson = None, as_json: AsJson = False
) -> None:
    """List the private values there are, by entry and field, and which were destroyed."""
    from triplog.desk.private_fields import fields_of
    from triplog.desk.when import local_text
    from triplog.screen import table_lines

    desk = face(context).desk()
    rows = [
        {
            "entry": one.entry.hash,
            "kind": one.entry.kind,
            "when": local_text(one.entry.event_time, one.entry),
            "field": one.field,
            "state": "readable" if one.is_readable else "destroyed",
        }
        for one in fields_of(desk, trip=trip, person=person)
    ]
    if as_json:
        return show_json(rows)
    cells = [
        (
            f"{row['entry'][:8]}:{row['field']}",
            row["when"],
            row["kind"].replace("_", " "),
            row["state"],
        )
        for row in rows
    ]
    show(table_lines(("value", "when", "of", "state"), cells))
    return show(
        ["triplog entries ENTRY shows them, triplog private destroy ENTRY:FIELD destroys one"]
    )


@app.command("destroy")
def destroy(
    context: typer.Context,
    value: Annotated[
        list[str] | None,
        typer.Argument(help="Which, as `private list` names them: ENTRY:FIELD, or ENTRY for all."),
    ] = None,
    trip: OfTrip = None,
    person: OfPerson = None,
    field: Annotated[
        list[str] | None,
        typer.Option("--field", help="Of a trip or a person only this field: name, note, place."),
    ] = None,
    why: Annotated[
        str | None,
        typer.Option(
            "--why",
            help='"asked for by the person", "recorded by mistake", "no longer needed" or'
            ' "retention".',
        ),
    ] = None,
    reason: Reason = None,
    note: Note = None,
    for_good: Annotated[
        bool | None, typer.Option("--for-good", help="Do not ask: they go, and nothing undoes it.")
    ] = None,
) -> None:
    """Destroy private values for good; every entry stays, and everything still verifies."""
    from triplog.desk import destroying
    from triplog.desk.private_fields import fields_meant

    here = face(context)
    desk = here.desk()
    pairs = fields_meant(desk, value or [], trip=trip, person=person, fields=field or [])
    if why is None and asking.at_terminal():
        why = asking.one_of("Why", destroying.WHY[:-1])
    words = asking.text(why, "Why", "--why")
    told = asking.text(reason, "The reason, kept private", "--reason")
    question = f"{_counted(len(pairs))} will be gone for good. Go on?"
    if not asking.yes(for_good, question, "--for-good"):
        here.end("nothing was destroyed")
    done = here.recording(
        desk, lambda: destroying.destroy(desk, pairs, why=words, reason=told, note=note)
    )
    for entry in done.entries:
        show([recorded(entry, f"{_counted(len(_openings(entry.body)))} destroyed")])
    show(_told(desk, done))
    if done.is_left:
        tell("the journal's file was searched afterwards, and something of it is left there")
        leave(FOUND)


def _told(desk: "Desk", done: "Destroyed") -> Iterator[str]:
    """What was looked for afterwards, where the same text stands, and what is out of reach."""
    from triplog.desk.when import local_text
    from triplog.wording.private import LIMITS, NOWHERE_ELSE, copy_text, elsewhere_text

    if not done.is_left:
        yield "the journal's file was searched afterwards: nothing of it is left there"
    yield from [elsewhere_text(entry, field) for entry, field in done.elsewhere] or [NOWHERE_ELSE]
    yield "out of reach:"
    for copy in done.copies:
        label = None if copy.trip is None else desk.trip(copy.trip).label
        yield f"  {copy_text(copy.entry, local_text(copy.entry.entry_time, copy.entry), label)}"
    yield from (f"  {one}" for one in LIMITS)


def _openings(body: dict[str, object]) -> list[object]:
    openings = body["openings"]
    assert isinstance(openings, list), "the act names what went"
    return openings


def _counted(count: int) -> str:
    return "1 private value" if count == 1 else f"{count} private values"


COMMANDS = {"private": app}
