"""`triplog export` and `triplog verify`."""

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import AsJson, Face, OfTrip, face, leave, recorded, show
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from exports.pdf_sheet import Paper
    from triplog.desk.desk import Desk
    from triplog.desk.exporting import Exported
    from triplog.desk.withholding import Wish


def export(
    context: typer.Context,
    to: Annotated[Path, typer.Option("--to", help="The folder to write into.")] = Path("export"),
    form: Annotated[
        list[str] | None,
        typer.Option(
            "--form",
            help="csv, json, lines, sheet, plan, checks, slip, calendar, incident, bundle;"
            " default: all.",
        ),
    ] = None,
    whole_store: Annotated[
        bool, typer.Option("--all-trips", help="The whole store instead of one trip.")
    ] = False,
    paper: Annotated[str | None, typer.Option("--paper", help="letter or a4.")] = None,
    withhold: Annotated[
        list[str] | None,
        typer.Option(
            "--withhold",
            help="Leave out names, notes, places, reasons, or one field; several with commas.",
        ),
    ] = None,
    withhold_reason: Annotated[
        str | None, typer.Option("--withhold-reason", help="Why; the export says it.")
    ] = None,
    with_positions: Annotated[
        bool, typer.Option("--with-positions", help="Show positions, where they are kept.")
    ] = False,
    mine: Annotated[
        bool, typer.Option("--mine", help="Every trip whoever types drove or helped with.")
    ] = False,
    driver: Annotated[
        str | None, typer.Option("--driver", help="The same for another person, by label.")
    ] = None,
    as_folder: Annotated[
        bool, typer.Option("--folder", help="The bundle as a folder instead of a zip.")
    ] = False,
    trip: OfTrip = None,
) -> None:
    """Write the trail: tables, JSON, raw entries, sheets, calendar, bundle."""
    from triplog.desk.exporting import FORMS
    from triplog.desk.setting_up import paper_word
    from triplog.desk.withholding import Wish, words_in

    here = face(context)
    desk = here.desk()
    if [whole_store, trip is not None, mine, driver is not None].count(True) > 1:
        raise Refused("say one of --trip, --all-trips, --mine and --driver")
    wish = Wish(
        words=words_in(withhold or []),
        reason=withhold_reason,
        with_positions=with_positions,
        mine=_whose(desk, mine=mine, driver=driver),
    )
    sheet = None if paper is None else paper_word(paper)
    if wish.mine is not None:
        return _own(here, desk, to, tuple(form or ("bundle",)), wish, sheet, as_folder=as_folder)
    return _one(
        here,
        desk,
        to,
        tuple(form or FORMS),
        wish,
        sheet,
        trip,
        whole_store=whole_store,
        as_folder=as_folder,
    )


def _one(
    here: Face,
    desk: "Desk",
    to: Path,
    forms: tuple[str, ...],
    wish: "Wish",
    paper: "Paper | None",
    trip: str | None,
    *,
    whole_store: bool,
    as_folder: bool,
) -> None:
    """Export one trip, or the whole store."""
    from triplog.desk.exporting import export as write
    from triplog.desk.finding_things import the_trip_or_last
    from triplog.journal.trip import TripState
    from triplog.wording.head import code_line

    found = None if whole_store else the_trip_or_last(desk, trip)
    result = here.recording(
        desk,
        lambda: write(desk, to, forms, found, paper=paper, wish=wish, as_folder=as_folder),
    )
    show([recorded(result.entry, "export")])
    if trip is None and found is not None and found.state is TripState.CLOSED:
        show([f"  of trip {found.label}, closed last: none is open"])
    _show_withheld(result)
    show(f"  {path}" for path in result.files)
    if result.head is not None:
        show([f"  {code_line(result.head.code, result.head.size)}"])
    if result.seal is not None:
        show([f"  the bundle's fingerprint: {result.seal}", "  keep it somewhere else than here"])


def _own(
    here: Face,
    desk: "Desk",
    to: Path,
    forms: tuple[str, ...],
    wish: "Wish",
    paper: "Paper | None",
    *,
    as_folder: bool,
) -> None:
    """Export every trip a person took part in."""
    from triplog.desk.own_trips import export_own

    made = here.recording(
        desk, lambda: export_own(desk, to, forms, wish, paper=paper, as_folder=as_folder)
    )
    for result in made:
        show([recorded(result.entry, "export")])
        _show_withheld(result)
        show(f"  {path}" for path in result.files)
        if result.seal is not None:
            show([f"  the bundle's fingerprint: {result.seal}"])
    show([f"{len(made)} trips; keep the fingerprints somewhere else than here"])


def _whose(desk: "Desk", *, mine: bool, driver: str | None) -> str | None:
    """The id of the person whose own copy it is to be; None: it is nobody's in particular."""
    from triplog.desk.desk import NOBODY
    from triplog.desk.finding_things import person_named

    if driver is not None:
        return person_named(desk, driver).id
    if mine and desk.by == NOBODY:
        raise Refused("nobody is named: say who types with --as LABEL, or --driver LABEL")
    return desk.by if mine else None


def _show_withheld(result: "Exported") -> None:
    """What the export leaves out, and why."""
    from triplog.wording.private import counted_text

    if result.withheld:
        show([f"  withheld: {counted_text(result.withheld)}; {result.withheld_why}"])


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
