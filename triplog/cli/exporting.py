"""`triplog export` and `triplog verify`."""

import json
from pathlib import Path
from typing import Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import AsJson, OfTrip, face, leave, recorded, show
from triplog.desk.refused import Refused


def export(
    context: typer.Context,
    to: Annotated[Path, typer.Option("--to", help="The folder to write into.")] = Path("export"),
    form: Annotated[
        list[str] | None,
        typer.Option(
            "--form",
            help="csv, json, lines, sheet, plan, checks, slip, calendar, bundle; default: all.",
        ),
    ] = None,
    whole_store: Annotated[
        bool, typer.Option("--all-trips", help="The whole store instead of one trip.")
    ] = False,
    paper: Annotated[str | None, typer.Option("--paper", help="letter or a4.")] = None,
    trip: OfTrip = None,
) -> None:
    """Write the trail: tables, JSON, raw entries, sheets, calendar, bundle."""
    from triplog.desk import exporting
    from triplog.desk.finding_things import the_trip_or_last
    from triplog.desk.setting_up import paper_word
    from triplog.journal.trip import TripState
    from triplog.wording.head import code_line

    here = face(context)
    desk = here.desk()
    if whole_store and trip is not None:
        raise Refused("say either --trip or --all-trips")
    found = None if whole_store else the_trip_or_last(desk, trip)
    result = here.recording(
        desk,
        lambda: exporting.export(
            desk,
            to,
            tuple(form or exporting.FORMS),
            found,
            paper=None if paper is None else paper_word(paper),
        ),
    )
    show([recorded(result.entry, "export")])
    if trip is None and found is not None and found.state is TripState.CLOSED:
        show([f"  of trip {found.label}, closed last: none is open"])
    show(f"  {path}" for path in result.files)
    if result.head is not None:
        show([f"  {code_line(result.head.code, result.head.size)}"])
    if result.seal is not None:
        show([f"  the bundle's fingerprint: {result.seal}", "  keep it somewhere else than here"])


def verify(
    context: typer.Context,
    bundle: Annotated[Path, typer.Argument(help="A bundle: a folder or a .zip.")],
    head: Annotated[
        list[str] | None,
        typer.Option("--head", help="A head held elsewhere: DEVICE:NUMBER:FINGERPRINT."),
    ] = None,
    trip_head: Annotated[
        list[str] | None, typer.Option("--trip-head", help="A fingerprint held elsewhere.")
    ] = None,
    checkpoint: Annotated[
        list[Path] | None,
        typer.Option("--checkpoint", help="A signed checkpoint held elsewhere, as a file."),
    ] = None,
    code: Annotated[
        list[str] | None,
        typer.Option("--code", help="The twenty letters of a checkpoint on paper."),
    ] = None,
    public_key: Annotated[
        list[str] | None, typer.Option("--public-key", help="A device's key held elsewhere.")
    ] = None,
    beside: Annotated[
        bool,
        typer.Option("--beside", help="Lay it beside the journal here: who has what, and a fork."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Check a bundle: what matches, what does not, and what cannot be known."""
    from exports.verify import Outside, UnreadableBundle, as_text, note_in, outside_head
    from exports.verify import verify as check
    from triplog.desk.two_journals import beside_record, lay_beside
    from triplog.wording.two_journals import beside_lines

    try:
        report = check(
            bundle,
            Outside(
                heads=tuple(outside_head(one) for one in head or []),
                trip_heads=tuple(trip_head or []),
                checkpoints=tuple(note_in(path) for path in checkpoint or []),
                codes=tuple(code or []),
                keys=tuple(public_key or []),
            ),
        )
    except (UnreadableBundle, ValueError) as problem:
        raise Refused(str(problem)) from problem
    told = report.as_dict()
    lines = [as_text(report)]
    parted = False
    if beside:
        desk = face(context).desk(reading_only=True)
        found, labels = lay_beside(desk, bundle)
        parted = found.have_parted
        lines += beside_lines(found, labels, desk.store.device)
        told["beside"] = beside_record(found, labels)
    show([json.dumps(told, indent=1, ensure_ascii=False, default=str)] if as_json else lines)
    leave(FOUND if report.problems or parted else DONE)


COMMANDS = {"export": export, "verify": verify}
