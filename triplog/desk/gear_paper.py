"""The gear inspection list written out: a sheet to fill by hand, and the same rows as CSV.

A blank list proves nothing and holds nothing private, so no entry is made of it.
"""

from pathlib import Path

from exports.pdf_sheet import Paper, write_pdf
from triplog.desk.desk import Desk
from triplog.desk.looking import gear
from triplog.desk.refused import Refused
from triplog.desk.setting_up import carrier_name, paper_of
from triplog.desk.staging import refuse_taken, staged, told_in_words
from triplog.desk.when import local_day
from triplog.dossier.gear_list import CSV_COLUMNS, ListFacts, csv_rows, inspection_list
from triplog.dossier.tables import write_table

FORMS = ("pdf", "csv")
_STEM = "gear-inspection"


def write_inspection_list(
    desk: Desk,
    folder: Path,
    forms: tuple[str, ...],
    *,
    paper: Paper | None = None,
    standing: str | None = None,
    to_inspect: bool = False,
) -> list[Path]:
    """Write the list of the gear that can still be used, unless a standing is asked for.

    `to_inspect`: only what is to be looked at by now. Refused for an unknown form, no gear, and a
    file that is there already; then nothing is written.
    """
    unknown = [form for form in forms if form not in FORMS]
    if unknown:
        raise Refused(f"forms are {', '.join(FORMS)}; found {unknown[0]}")
    reading = desk.now()
    day = local_day(reading) if to_inspect else None
    rows = gear(desk, standing=standing, inspect_on=day)
    if standing is None:
        rows = [row for row in rows if row["standing"] != "unfit"]
    if not rows:
        raise Refused("there is no such gear to look at")
    planned = [folder / f"{_STEM}.{form}" for form in FORMS if form in forms]
    refuse_taken(planned)
    chosen = standing or ("to be looked at by now" if to_inspect else "all gear but the unfit")
    document = inspection_list(
        rows,
        ListFacts(
            carrier=carrier_name(desk),
            chosen=chosen,
            now=reading.wall,
            offset_min=reading.offset_min,
            invented=desk.invented,
        ),
    )
    with staged(folder) as stage, told_in_words(folder):
        for path in planned:
            made = stage / path.name
            if path.suffix == ".pdf":
                write_pdf(document, paper or paper_of(desk), made, reading.wall)
            else:
                with made.open("w", encoding="utf-8", newline="") as out:
                    cells = csv_rows(rows, reading.offset_min)
                    write_table(CSV_COLUMNS, cells, out, invented=desk.invented)
        for path in planned:
            (stage / path.name).rename(path)
    return planned
