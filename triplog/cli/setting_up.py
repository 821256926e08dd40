"""`triplog begin` and `triplog carrier`."""

from typing import Annotated

import typer

from triplog.cli import asking
from triplog.cli.face import face, recorded, show
from triplog.cli.lines import tell

Units = Annotated[str | None, typer.Option("--units", help="us or si: which is read first.")]
Paper = Annotated[str | None, typer.Option("--paper", help="letter or a4.")]


def begin(
    context: typer.Context,
    carrier: Annotated[str | None, typer.Option("--carrier", help="The carrier's name.")] = None,
    person: Annotated[
        str | None, typer.Option("--person", help="Your label, such as driver-1.")
    ] = None,
    name: Annotated[str | None, typer.Option("--name", help="Your name; kept private.")] = None,
    role: Annotated[
        list[str] | None, typer.Option("--role", help="types, drives, loads, office.")
    ] = None,
    units: Units = None,
    paper: Paper = None,
) -> None:
    """Make the journal: the carrier, and the person who types here."""
    from triplog.desk import setting_up

    here = face(context)
    desk = here.closing(
        setting_up.begin(
            here.home,
            here.clock,
            carrier=asking.text(carrier, "Name of the carrier", "--carrier"),
            person=asking.text(person, "Your label", "--person", example="driver-1"),
            person_name=asking.maybe(name, "Your name, kept private"),
            roles=role or ["types", "drives"],
            units=setting_up.units_word(units or "us"),
            paper=setting_up.paper_word(paper or "letter"),
        )
    )
    show(
        [
            f"the journal is at {desk.store.path}",
            f"this installation is device {desk.store.device}",
            "next: triplog vehicle add, triplog gear add, triplog trip new",
        ]
    )
    if asking.at_terminal():
        show(["triplog alone says the next step at any time"])
    if not desk.invented:
        tell("times come from this machine's clock; set it right before you rely on it")


def carrier(
    context: typer.Context,
    name: Annotated[str | None, typer.Option("--name", help="The carrier's name.")] = None,
    units: Units = None,
    paper: Paper = None,
    office_margin: Annotated[
        str | None,
        typer.Option(
            "--office-margin",
            help='How far late a check may be driven before the office is told: "5 mi"; or none.',
        ),
    ] = None,
    positions: Annotated[
        str | None,
        typer.Option(
            "--positions",
            help="keep those of imported tracks, private, or leave-out, as it is at first.",
        ),
    ] = None,
) -> None:
    """Change the carrier's name, units, paper, when the office is told, or what is kept."""
    from triplog.desk import setting_up

    here = face(context)
    desk = here.desk()
    entry = here.recording(
        desk,
        lambda: setting_up.record_carrier(
            desk,
            name=name,
            units=None if units is None else setting_up.units_word(units),
            paper=None if paper is None else setting_up.paper_word(paper),
            office_margin=office_margin,
            positions=positions,
        ),
    )
    show([recorded(entry, "carrier")])
    if office_margin is not None and setting_up.office_margin(desk) is not None:
        tell("`triplog watch` tells the office; `triplog office` says by what way")


COMMANDS = {"begin": begin, "carrier": carrier}
