"""The files of an export, one function each: tables, sheets, slip."""

from dataclasses import dataclass
from pathlib import Path

from exports.document import Document
from exports.pdf_sheet import Paper, write_pdf
from triplog.checks import due_checks_of
from triplog.desk.desk import Desk
from triplog.desk.handing_over import slip
from triplog.desk.photos import thumbnails
from triplog.desk.scope import Scope
from triplog.desk.setting_up import carrier_name, units_of
from triplog.desk.withholding import Left
from triplog.dossier.plan_sheet import plan_sheet
from triplog.dossier.roadside import SheetFacts, roadside_sheet
from triplog.dossier.slip import slip_document
from triplog.dossier.tables import TABLES, write_table
from triplog.dossier.trip_sheet import trip_sheet
from triplog.dossier.withheld import told_first
from triplog.journal.checkpoint import Signed
from triplog.journal.entries import ClockReading, Entry
from triplog.journal.trip import Trip


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """What all forms of one export are made of.

    `calendar` None: no time can be told. `signed` None: the checkpoint was withheld. `left`: the
    private values that are left out.
    """

    scope: Scope
    entry: Entry
    paper: Paper
    reading: ClockReading
    calendar: str | None
    signed: Signed | None
    left: Left


def sheet_document(desk: Desk, trip: Trip, reading: ClockReading) -> Document:
    """The roadside sheet of a trip as it stands at a moment."""
    opened = trip.first("trip_opened")
    return roadside_sheet(
        trip,
        SheetFacts(
            opened={} if opened is None else desk.store.openings(opened.entry.hash),
            people=_people(desk),
            carrier=carrier_name(desk),
            due=due_checks_of(trip, reading.wall),
            units=units_of(desk),
            now=reading.wall,
            offset_min=reading.offset_min,
            invented=desk.invented,
        ),
    )


def write_tables(scope: Scope, folder: Path) -> None:
    """Write the CSV tables into a folder, row by row."""
    for table in TABLES:
        with (folder / f"{table.name}.csv").open("w", encoding="utf-8", newline="") as out:
            query = table.query(one_trip=scope.trip is not None)
            rows = scope.desk.store.raw.execute(query, scope.parameters)
            write_table(table.columns, rows, out, invented=scope.desk.invented)


def write_sheet(making: Making, path: Path) -> None:
    """Write the roadside sheet."""
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a sheet is that of one trip"
    _write_pdf(making, sheet_document(scope.desk, scope.trip, reading), path)


def write_plan_sheet(making: Making, path: Path) -> None:
    """Write the plan sheet."""
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a plan sheet is that of one trip"
    document = plan_sheet(
        scope.trip, reading.wall, reading.offset_min, invented=scope.desk.invented
    )
    _write_pdf(making, document, path)


def write_trip_sheet(making: Making, path: Path) -> None:
    """Write the trip sheet."""
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a trip sheet is that of one trip"
    document = trip_sheet(
        scope.trip,
        _people(scope.desk),
        thumbnails(scope.desk, scope.trip),
        reading.wall,
        reading.offset_min,
        invented=scope.desk.invented,
    )
    _write_pdf(making, document, path)


def write_slip(making: Making, path: Path) -> None:
    """Write the hand-over slip."""
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a slip is that of one trip"
    document = slip_document(slip(scope.desk, scope.trip, reading))
    _write_pdf(making, document, path)


def _write_pdf(making: Making, document: Document, path: Path) -> None:
    told = told_first(document, making.scope.desk.store.withheld.said)
    write_pdf(told, making.paper, path, making.reading.wall)


def _people(desk: Desk) -> dict[str, str]:
    return dict(desk.store.raw.execute("SELECT id, label FROM person").fetchall())
