"""`triplog plan`: the plan as a whole."""

from pathlib import Path
from typing import Annotated, Any, cast

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import (
    AsJson,
    Note,
    OfTrip,
    as_record,
    face,
    leave,
    read_bytes,
    recorded,
    show,
    show_json,
)
from triplog.cli.plan_change import change_the_plan
from triplog.desk.refused import Refused

app = typer.Typer(help="The plan of a trip as a whole.", no_args_is_help=True)


@app.command("show")
def shown(context: typer.Context, trip: OfTrip = None, as_json: AsJson = False) -> None:
    """Show the plan in force; --json prints it as a plan file."""
    from triplog.desk.finding_things import the_trip
    from triplog.journal.trip import TripState
    from triplog.screen import plan_lines

    found = the_trip(face(context).desk(), trip, TripState)
    document = cast(dict[str, Any], found.document or {})
    if as_json:
        return show_json(document)
    number = "none" if found.plan is None else found.plan.entry.body["number"]
    return show([f"trip {found.label}, plan {number}", *plan_lines(document)])


@app.command("list")
def listed(context: typer.Context, trip: OfTrip = None, as_json: AsJson = False) -> None:
    """List the revisions of a trip's plan."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.looking import plans
    from triplog.journal.trip import TripState
    from triplog.screen import table_lines
    from triplog.wording.entries import moment_text

    desk = face(context).desk()
    rows = plans(desk, the_trip(desk, trip, TripState))
    if as_json:
        return show_json(rows)
    cells = [
        (
            row["number"],
            moment_text(row["event_time"], row["event_offset_min"]),
            *as_record(row, "articles", "tie_downs", "cause"),
        )
        for row in rows
    ]
    return show(table_lines(("plan", "recorded", "articles", "tie-downs", "cause"), cells))


@app.command("use")
def use(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="A plan file, TOML or JSON.", exists=True)],
    trip: OfTrip = None,
) -> None:
    """Take a plan file as the whole plan of a trip."""
    from triplog.desk.planning import use_file

    change_the_plan(context, trip, lambda _desk, _label: use_file(file.read_bytes(), file.name))


@app.command("vehicle")
def vehicle(
    context: typer.Context,
    label: Annotated[str, typer.Argument(help="The vehicle, by label.")],
    trip: OfTrip = None,
) -> None:
    """Plan on a vehicle; its card with its anchor points is copied into the plan."""
    from triplog.desk.planning import use_vehicle

    change_the_plan(context, trip, lambda desk, _label: use_vehicle(desk, label))


@app.command("picture")
def pictured(
    context: typer.Context,
    file: Annotated[
        Path | None, typer.Option("--file", help="A plan file; no trip and no store is needed.")
    ] = None,
    to: Annotated[Path, typer.Option("--to", help="The folder to write into.")] = Path("pictures"),
    trip: OfTrip = None,
) -> None:
    """Draw the plan as SVG: the deck from above and from the side, and what it withstands."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.judging import judge_file, judge_trip
    from triplog.desk.picturing import write_pictures
    from triplog.journal.trip import TripState

    if file is not None and trip is not None:
        raise Refused("give either a plan file or a trip, not both")
    if file is not None:
        judgement = judge_file(read_bytes(file), file.name)
    else:
        judgement = judge_trip(the_trip(face(context).desk(), trip, TripState))
    show(str(path) for path in write_pictures(judgement, to))


@app.command("unloading")
def unloading(
    context: typer.Context,
    stop: Annotated[
        list[str] | None,
        typer.Option(
            "--stop",
            help='What comes off there, and from which side: "A, B:right"; in order, repeated.',
        ),
    ] = None,
    to: Annotated[
        Path | None, typer.Option("--to", help="The folder to draw the picture into, as SVG.")
    ] = None,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Plan the order of unloading, or show it: for whoever loads, and at each stop."""
    from triplog.desk import unloading as desk_unloading
    from triplog.desk.finding_things import the_trip
    from triplog.journal.trip import OPEN_STATES
    from triplog.wording.unloading import left_line, not_on_any_stop, order_note, step_lines
    from triplog.wording.unloading import step_name as name_of

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, OPEN_STATES)
    if stop:
        stops = tuple(desk_unloading.stop_typed(one, number) for number, one in enumerate(stop, 1))
        entry = here.recording(
            desk, lambda: desk_unloading.plan_unloading(desk, found, stops, note=note)
        )
        show([recorded(entry, f"trip {found.label}, order of unloading")])
        found = desk.trip(found.id)
    worked_out = desk_unloading.unloading_of(found)
    for step, left in zip(worked_out.steps, worked_out.left_open, strict=True):
        show([name_of(step), *(f"  {line}" for line in step_lines(step))])
        show([] if left is None else [f"  {left_line(list(left))}"])
    show([not_on_any_stop(list(worked_out.on_no_stop))] if worked_out.on_no_stop else [])
    show([order_note()])
    if to is not None:
        show([str(desk_unloading.write_unloading_picture(worked_out, to))])
    leave(DONE if worked_out.is_settled else FOUND)


@app.command("rules")
def rules(
    context: typer.Context,
    rule_sets: Annotated[
        list[str], typer.Argument(help="The rule sets to judge by, such as us-393 ca-nsc10.")
    ],
    trip: OfTrip = None,
) -> None:
    """Judge a trip's plan by these rule sets, in this order."""
    from triplog.desk.trips import rules_change

    change_the_plan(context, trip, lambda _desk, _label: rules_change(rule_sets))


COMMANDS = {"plan": app}
