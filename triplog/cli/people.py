"""`triplog person`."""

from typing import Annotated

import typer

from triplog.cli import asking
from triplog.cli.face import AsJson, as_record, face, recorded, show, show_json

app = typer.Typer(help="The people: who types, who drives, who loads.", no_args_is_help=True)


@app.command("add")
def add(
    context: typer.Context,
    label: Annotated[
        str | None, typer.Argument(help="What people call them, such as driver-2.")
    ] = None,
    role: Annotated[
        list[str] | None, typer.Option("--role", help="types, drives, loads, office.")
    ] = None,
    name: Annotated[str | None, typer.Option("--name", help="The name; kept private.")] = None,
    reach: Annotated[
        str | None, typer.Option("--reach", help="How to reach them; kept private.")
    ] = None,
) -> None:
    """Add a person, by label and role."""
    from triplog.desk.people import add_person, refuse_unknown_roles

    here = face(context)
    desk = here.desk()
    named = asking.text(label, "What people call them", "LABEL", example="driver-2")
    roles = asking.words(role, "What they do", usual=["drives"], reads=refuse_unknown_roles)
    name = asking.maybe(name, "The name, kept private")
    entry = here.recording(
        desk, lambda: add_person(desk, label=named, roles=roles, name=name, reach=reach)
    )
    show([recorded(entry, f"person {named}")])


@app.command("here")
def here_types(
    context: typer.Context, label: Annotated[str, typer.Argument(help="Their label.")]
) -> None:
    """Say who types on this machine from now on."""
    from triplog.desk.finding_things import person_named
    from triplog.desk.setting_up import set_typist

    desk = face(context).desk()
    set_typist(desk, person_named(desk, label).id)
    show([f"{label} types here from now on"])


@app.command("list")
def listed(context: typer.Context, as_json: AsJson = False) -> None:
    """List the people."""
    from triplog.desk.looking import people
    from triplog.screen import table_lines

    rows = people(face(context).desk())
    if as_json:
        return show_json(rows)
    columns = ("label", "roles", "name", "types here")
    cells = [
        (*as_record(row, "label", "roles", "name"), "yes" if row["types_here"] else None)
        for row in rows
    ]
    return show(table_lines(columns, cells))


COMMANDS = {"person": app}
