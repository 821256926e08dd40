"""`triplog gear import` and `inspection-list`: lists of gear, read and written."""

from pathlib import Path
from typing import Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import AsJson, face, leave, recorded, show, show_json


def import_list(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="The list: CSV, with headings.")],
    look: Annotated[
        bool, typer.Option("--look", help="Only say how it reads; record nothing.")
    ] = False,
    understood_only: Annotated[
        bool,
        typer.Option(
            "--understood-only", help="Record the rows understood although others are not."
        ),
    ] = False,
    rest: Annotated[
        Path | None,
        typer.Option("--rest", help="A new file for the rows not understood, to be mended."),
    ] = None,
    kind: Annotated[
        str | None, typer.Option("--kind", help="The kind of gear of rows that name none.")
    ] = None,
    decimal_comma: Annotated[
        bool,
        typer.Option("--decimal-comma", help="In this list commas stand before decimals."),
    ] = False,
    encoding: Annotated[
        str | None, typer.Option("--encoding", help="Of the list, where it is not UTF-8.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Take a list of gear into stock: all of its rows, or none; every row is answered for."""
    from triplog.desk.stock_lists import read_list, take_into_stock
    from triplog.wording.stock import list_lines, list_record

    here = face(context)
    desk = here.desk()
    listed = read_list(
        desk,
        file.read_bytes(),
        file.name,
        kind=kind,
        encoding=encoding,
        comma_decimals=decimal_comma,
    )
    if as_json:
        show_json(list_record(listed.rows))
    else:
        show(list_lines(file.name, listed.rows))
    if not look:
        entry = here.recording(
            desk,
            lambda: take_into_stock(desk, listed, understood_only=understood_only, rest=rest),
        )
        if not as_json:
            show([recorded(entry, f"{listed.pieces} pieces of gear from {file.name}")])
            if rest is not None and listed.rows.not_understood:
                show([f"the rows not understood are in {rest}; mend them there and import that"])
    leave(FOUND if listed.rows.not_understood else DONE)


def inspection_list(
    context: typer.Context,
    to: Annotated[Path, typer.Option("--to", help="The folder to write into.")] = Path(),
    form: Annotated[
        list[str] | None, typer.Option("--form", help="pdf, csv; default: both.")
    ] = None,
    standing: Annotated[
        str | None, typer.Option("--standing", help="in stock, on a trip, set aside, unfit.")
    ] = None,
    to_inspect: Annotated[
        bool, typer.Option("--to-inspect", help="Only gear whose day to be looked at has come.")
    ] = False,
    paper: Annotated[str | None, typer.Option("--paper", help="letter or a4.")] = None,
) -> None:
    """Write the list to take along when gear is looked at: a row a piece, boxes to fill."""
    from triplog.desk.gear_paper import FORMS, write_inspection_list
    from triplog.desk.looking import known_standing
    from triplog.desk.setting_up import paper_word

    written = write_inspection_list(
        face(context).desk(),
        to,
        tuple(form or FORMS),
        paper=None if paper is None else paper_word(paper),
        standing=known_standing(standing),
        to_inspect=to_inspect,
    )
    show(f"written: {path}" for path in written)


def inspection_read(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="The filled-in list, as CSV.")],
    look: Annotated[
        bool, typer.Option("--look", help="Only say how it reads; record nothing.")
    ] = False,
    rest: Annotated[
        Path | None,
        typer.Option("--rest", help="A new file for the rows not understood; the others count."),
    ] = None,
    encoding: Annotated[
        str | None, typer.Option("--encoding", help="Of the list, where it is not UTF-8.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Read a filled-in inspection list: every piece ticked is recorded, every row answered for."""
    from triplog.desk.inspection_lists import read_inspections, record_inspections
    from triplog.desk.planning import gear_in_use
    from triplog.wording.inspected import filled_lines, filled_record

    here = face(context)
    desk = here.desk()
    read = read_inspections(desk, file.read_bytes(), file.name, encoding=encoding)
    answered = [(one.row, str(one.look.answer), one.is_out) for one in read.answered]
    if as_json:
        show_json(filled_record(read.rows, answered, read.before))
    else:
        show(filled_lines(file.name, read.rows, answered, read.before))
    if not look:
        entry = here.recording(desk, lambda: record_inspections(desk, read, rest=rest))
        if not as_json:
            show([recorded(entry, f"{len(answered)} pieces looked at, from {file.name}")])
            if rest is not None and read.not_understood:
                show([f"the rows not understood are in {rest}; mend them there and read that"])
    out = [row.label for row, _, is_out in answered if is_out]
    if not as_json:
        used = gear_in_use(desk)
        show(
            f"{label} is on trip {used[label]}: add other gear first, then take this off"
            for label in out
            if label in used
        )
    leave(FOUND if read.not_understood or out else DONE)
