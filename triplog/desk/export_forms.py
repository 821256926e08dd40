"""How each form of an export is written; the bundle holds them all."""

import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from exports.bundle import Part, write_bundle
from exports.calendar_file import calendar_text
from exports.document import Document
from exports.json_lines import write_json, write_lines
from exports.pdf_sheet import Paper, write_pdf
from exports.text_sheet import text_of
from triplog.checks import due_checks_of
from triplog.desk.bundle_reference import (
    figure_parts,
    picture_parts,
    plan_parts,
    schema_parts,
)
from triplog.desk.desk import Desk
from triplog.desk.handing_over import slip
from triplog.desk.incident import incidents
from triplog.desk.incident_report import write_incident_report
from triplog.desk.photos import photo_parts, thumbnails
from triplog.desk.proofs import proof_lines
from triplog.desk.scope import Scope
from triplog.desk.setting_up import carrier_name, units_of
from triplog.desk.stamps import stamp_files
from triplog.desk.withholding import POSITIONS, Left
from triplog.desk.worksheet import worksheet_facts
from triplog.dossier.calendar import check_events
from triplog.dossier.plan_sheet import plan_sheet
from triplog.dossier.roadside import SheetFacts, roadside_sheet
from triplog.dossier.slip import slip_document
from triplog.dossier.tables import TABLES, write_table
from triplog.dossier.trip_sheet import trip_sheet
from triplog.dossier.withheld import told_first
from triplog.dossier.worksheet import worksheet
from triplog.journal.checkpoint import Signed
from triplog.journal.entries import ClockReading, Entry, time_text
from triplog.journal.forks import evidence, has_evidence
from triplog.journal.trip import Trip
from triplog.version import __version__


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


def write_form(making: Making, form: str, path: Path) -> str | None:
    """Write one form; the answer is the seal of a bundle."""
    scope = making.scope
    match form:
        case "csv":
            path.mkdir()
            write_tables(scope, path)
        case "json":
            with path.open("wb") as out:
                write_json(scope.records(), out)
        case "lines":
            with path.open("wb") as out:
                write_lines(scope.raw_entries(), out)
        case "sheet":
            _write_sheet(making, path)
        case "plan":
            _write_plan_sheet(making, path)
        case "checks":
            _write_trip_sheet(making, path)
        case "slip":
            _write_slip(making, path)
        case "calendar":
            assert making.calendar is not None, "a calendar has an event"
            path.write_bytes(making.calendar.encode())
        case "incident":
            assert scope.trip is not None, "a report is that of one trip"
            path.mkdir()
            write_incident_report(scope.desk, scope.trip, making.paper, path)
        case "bundle":
            return _write_bundle(making, path)
    return None


def write_tables(scope: Scope, folder: Path) -> None:
    """Write the CSV tables into a folder, row by row."""
    for table in TABLES:
        with (folder / f"{table.name}.csv").open("w", encoding="utf-8", newline="") as out:
            query = table.query(one_trip=scope.trip is not None)
            rows = scope.desk.store.raw.execute(query, scope.parameters)
            write_table(table.columns, rows, out, invented=scope.desk.invented)


def _write_sheet(making: Making, path: Path) -> None:
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a sheet is that of one trip"
    _write_pdf(making, sheet_document(scope.desk, scope.trip, reading), path)


def _write_plan_sheet(making: Making, path: Path) -> None:
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a plan sheet is that of one trip"
    document = plan_sheet(
        scope.trip, reading.wall, reading.offset_min, invented=scope.desk.invented
    )
    _write_pdf(making, document, path)


def _write_trip_sheet(making: Making, path: Path) -> None:
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


def _write_slip(making: Making, path: Path) -> None:
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a slip is that of one trip"
    document = slip_document(slip(scope.desk, scope.trip, reading))
    _write_pdf(making, document, path)


def _write_pdf(making: Making, document: Document, path: Path) -> None:
    told = told_first(document, making.scope.desk.store.withheld.said)
    write_pdf(told, making.paper, path, making.reading.wall)


def _people(desk: Desk) -> dict[str, str]:
    return dict(desk.store.raw.execute("SELECT id, label FROM person").fetchall())


def calendar_of(desk: Desk, trip: Trip, reading: ClockReading) -> str | None:
    """The planned checks as a calendar; None: no time can be told.

    Its alarms ring by the wall clock, which the trip's time is ahead of where it was set back.
    """
    now = desk.now_on(trip, reading).wall
    due = due_checks_of(trip, now)
    events = [
        replace(one, start_utc=one.start_utc - (now - reading.wall))
        for one in check_events(trip, due, reading.offset_min, now, invented=desk.invented)
    ]
    return calendar_text(events, reading.wall) if events else None


def _write_bundle(making: Making, path: Path) -> str:
    rooms = path.with_name(f"{path.name}.parts")
    rooms.mkdir()
    info = {
        "Source-Organization": _one_line(carrier_name(making.scope.desk)) or "not recorded",
        "External-Description": f"{making.entry.body['what']}; how to check it: data/HOWTO.txt",
        "Bag-Software-Agent": f"triplog {__version__}",
    }
    made_at = time_text(making.entry.entry_time)
    seal = write_bundle(
        path, _bundle_parts(making, rooms, made_at), info, made_at, as_zip=path.suffix == ".zip"
    )
    shutil.rmtree(rooms)
    return seal


def _one_line(text: str | None) -> str:
    """The text with whatever would break its line as spaces; "" for None."""
    return "".join(char if char.isprintable() else " " for char in text or "").strip()


def _bundle_parts(making: Making, folder: Path, made_at: str) -> Iterator[Part]:
    """Everything a bundle holds; tables and sheet are written into `folder` on their way."""
    scope = making.scope
    desk, trip = scope.desk, scope.trip
    card: dict[str, object] = {
        "format": "triplog-bundle/1",
        "scope": "store" if trip is None else "trip",
        "trip": None if trip is None else trip.id,
        "heads": scope.heads(),
        "beside": list(scope.beside),
        "made_at": made_at,
        "program": __version__,
        "invented": desk.invented,
    }
    if making.left.counts:
        card |= {"withheld": making.left.counts, "withheld_why": making.left.why}
    yield Part(path="bundle.json", data=json.dumps(card, indent=1, sort_keys=True).encode())
    yield Part(path="entries.jsonl", data=_lines(scope.raw_entries()))
    yield Part(path="openings.jsonl", data=_lines(scope.openings()))
    if has_evidence(desk.store):
        kept = evidence(desk.store, None if trip is None else trip.id)
        yield Part(path="forks.jsonl", data=_lines(one.line for one in kept))
    if making.signed is not None:
        yield Part(path="checkpoint.txt", data=making.signed.text.encode())
        yield Part(
            path="proofs.jsonl",
            data=_lines(proof_lines(desk, scope, making.signed.checkpoint)),
        )
    for name, token in stamp_files(scope):
        yield Part(path=name, data=token)
    write_tables(scope, folder)
    for table in TABLES:
        yield Part(path=f"csv/{table.name}.csv", data=folder / f"{table.name}.csv")
    trail = folder / "trail.json"
    with trail.open("wb") as out:
        write_json(scope.records(), out)
    yield Part(path="trail.json", data=trail)
    yield from schema_parts()
    yield from _worksheet(making, folder)
    yield from photo_parts(scope, with_places=POSITIONS not in making.left.withheld.fields)
    if trip is None:
        return
    yield from plan_parts(trip)
    yield from figure_parts(trip)
    yield from picture_parts(trip, making.reading.wall, invented=desk.invented)
    yield from _at_departure(making, folder)
    sheet = folder / "sheet.pdf"
    _write_sheet(making, sheet)
    yield Part(path="sheet.pdf", data=sheet)
    plan = folder / "plan.pdf"
    _write_plan_sheet(making, plan)
    yield Part(path="plan.pdf", data=plan)
    checks = folder / "checks.pdf"
    _write_trip_sheet(making, checks)
    yield Part(path="checks.pdf", data=checks)
    if making.calendar is not None:
        yield Part(path="checks.ics", data=making.calendar.encode())
    if incidents(trip):
        write_incident_report(desk, trip, making.paper, folder)
        for name in ("incident.pdf", "incident.txt"):
            yield Part(path=name, data=folder / name)


def _at_departure(making: Making, folder: Path) -> Iterator[Part]:
    """Roadside sheet and plan sheet of a trip with what had been entered when it departed."""
    desk, trip = making.scope.desk, making.scope.trip
    departed = None if trip is None else trip.first("departed")
    if trip is None or departed is None:
        return
    written = departed.original.entry_time
    then = desk.trip(trip.id, known_at=written)
    reading = replace(making.reading, wall=written, offset_min=departed.original.event_offset_min)
    documents = {
        "departure-sheet.pdf": sheet_document(desk, then, reading),
        "departure-plan.pdf": plan_sheet(
            then, reading.wall, reading.offset_min, invented=desk.invented
        ),
    }
    for name, document in documents.items():
        told = f"as entered at departure, set again from the log; {document.subtitle}"
        _write_pdf(making, replace(document, subtitle=told), folder / name)
        yield Part(path=name, data=folder / name)


def _worksheet(making: Making, folder: Path) -> Iterator[Part]:
    """What a person who certifies the copy is asked, for paper and as text."""
    facts = worksheet_facts(
        making.scope, making.entry, making.signed, making.left.counts, making.reading.wall
    )
    document = worksheet(facts)
    _write_pdf(making, document, folder / "worksheet.pdf")
    yield Part(path="worksheet.pdf", data=folder / "worksheet.pdf")
    yield Part(path="worksheet.txt", data=text_of(document).encode())


def _lines(raw: Iterator[bytes]) -> Iterator[bytes]:
    for line in raw:
        yield line + b"\n"


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
