"""Handing over: tables, trail, sheet, calendar and bundle of one trip or of the whole store."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, cast

from exports.bundle import Part, write_bundle
from exports.calendar_file import calendar_text
from exports.csv_sheet import write_csv
from exports.document import Document
from exports.json_lines import write_json, write_lines
from exports.pdf_sheet import Paper, write_pdf
from triplog.checks import due_checks_of
from triplog.desk.desk import Desk, Refused
from triplog.desk.judging import recorded_findings
from triplog.desk.scope import Scope, scope_of
from triplog.desk.setting_up import carrier_name, paper_of
from triplog.dossier.calendar import check_events
from triplog.dossier.roadside import SheetFacts, roadside_sheet
from triplog.dossier.tables import TABLES
from triplog.journal.entries import Entry, canonical, time_text
from triplog.journal.trip import Trip
from triplog.version import __version__

FORMS = ("csv", "json", "lines", "sheet", "calendar", "bundle")
_OF_ONE_TRIP = ("sheet", "calendar")
_WRITTEN_AS = {
    "csv": "csv",
    "json": "trail.json",
    "lines": "entries.jsonl",
    "sheet": "sheet.pdf",
    "calendar": "checks.ics",
    "bundle": "bundle.zip",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What was written; `seal` is the hash that stands for the bundle, None without one."""

    entry: Entry
    files: tuple[Path, ...]
    seal: str | None


def export(
    desk: Desk,
    folder: Path,
    forms: tuple[str, ...],
    trip: Trip | None,
    *,
    paper: Paper | None = None,
) -> Exported:
    """Write the forms asked for into a folder; the export's own entry is recorded first.

    Raises Refused for an unknown form and for a file that is there already.
    """
    unknown = [form for form in forms if form not in FORMS]
    if unknown or not forms:
        raise Refused(f"forms are {', '.join(FORMS)}; found {', '.join(unknown) or 'none'}")
    if trip is None:
        forms = tuple(form for form in forms if form not in _OF_ONE_TRIP)
        if not forms:
            raise Refused("a sheet and a calendar are those of one trip; say which with --trip")
    label = "store" if trip is None else f"trip-{re.sub(r'[^A-Za-z0-9.-]+', '-', trip.label)}"
    planned = {form: folder / f"{label}-{_WRITTEN_AS[form]}" for form in forms}
    taken = [path for path in planned.values() if path.exists()]
    if taken:
        raise Refused(f"{taken[0]} is there already; name another folder with --to")
    entry = _record(desk, label, planned, trip)
    scope = scope_of(desk, None if trip is None else desk.trip(trip.id))
    folder.mkdir(parents=True, exist_ok=True)
    seal = None
    for form, path in planned.items():
        if form == "bundle":
            seal = _write_bundle(scope, path, entry, paper or paper_of(desk))
        else:
            _write_form(scope, form, path, paper or paper_of(desk))
    written = tuple(path for path in planned.values() if path.exists())
    return Exported(entry=entry, files=written, seal=seal)


def sheet_document(desk: Desk, trip: Trip) -> Document:
    """The roadside sheet of a trip as it stands now."""
    reading = desk.now()
    private = {fact.entry.hash: desk.store.openings(fact.entry.hash) for fact in trip.facts}
    return roadside_sheet(
        trip,
        SheetFacts(
            private=private,
            people=_people(desk),
            carrier=carrier_name(desk),
            findings=recorded_findings(trip),
            due=due_checks_of(trip, reading.wall),
            now=reading.wall,
            offset_min=reading.offset_min,
            invented=desk.invented,
        ),
    )


def _record(desk: Desk, label: str, planned: dict[str, Path], trip: Trip | None) -> Entry:
    heads = (
        {device: head for device, (_, head) in desk.store.heads().items()}
        if trip is None
        else desk.store.trip_heads(trip.id)
    )
    return desk.record(
        desk.draft(
            "exported",
            {
                "what": label,
                "form": list(planned),
                "trip_of": None if trip is None else trip.id,
                "files": [path.name for path in planned.values()],
                "trip_heads": heads,
            },
            trip=None if trip is None else trip.id,
        )
    )


def _write_form(scope: Scope, form: str, path: Path, paper: Paper) -> None:
    desk, trip = scope.desk, scope.trip
    match form:
        case "csv":
            path.mkdir()
            write_tables(desk, trip, path)
        case "json":
            with path.open("wb") as out:
                write_json(scope.records(), out)
        case "lines":
            with path.open("wb") as out:
                write_lines(scope.raw_entries(), out)
        case "sheet":
            assert trip is not None, "a sheet is that of one trip"
            write_pdf(sheet_document(desk, trip), paper, path, desk.now().wall)
        case "calendar":
            assert trip is not None, "a calendar is that of one trip"
            text = _calendar(desk, trip)
            if text is not None:
                path.write_bytes(text.encode())


def write_tables(desk: Desk, trip: Trip | None, folder: Path) -> None:
    """Write the CSV tables of a trip or of the store into a folder, row by row."""
    for table in TABLES:
        with (folder / f"{table.name}.csv").open("w", encoding="utf-8", newline="") as out:
            query = table.query(one_trip=trip is not None)
            values = (trip.id,) if trip is not None and table.of_trip else ()
            write_csv(table.columns, desk.store.raw.execute(query, values), out)


def _calendar(desk: Desk, trip: Trip) -> str | None:
    """The planned checks as a calendar; None: no time can be told."""
    reading = desk.now()
    due = due_checks_of(trip, reading.wall)
    events = check_events(trip, due, reading.offset_min, reading.wall)
    return calendar_text(events, reading.wall) if events else None


def _write_bundle(scope: Scope, path: Path, entry: Entry, paper: Paper) -> str:
    made_at = time_text(entry.entry_time)
    with TemporaryDirectory(dir=path.parent, prefix=".triplog-") as folder:
        parts = _bundle_parts(scope, Path(folder), made_at, paper)
        info = {
            "Source-Organization": carrier_name(scope.desk) or "not recorded",
            "External-Description": entry.body["what"],
            "Bag-Software-Agent": f"triplog {__version__}",
        }
        return write_bundle(path, parts, cast(dict[str, str], info), made_at, as_zip=True)


def _bundle_parts(scope: Scope, folder: Path, made_at: str, paper: Paper) -> Iterator[Part]:
    desk, trip = scope.desk, scope.trip
    card = {
        "format": "triplog-bundle/1",
        "scope": "store" if trip is None else "trip",
        "trip": None if trip is None else trip.id,
        "heads": scope.heads(),
        "beside": list(scope.beside),
        "made_at": made_at,
        "program": __version__,
        "invented": desk.invented,
    }
    yield Part(path="bundle.json", data=json.dumps(card, indent=1, sort_keys=True).encode())
    yield Part(path="entries.jsonl", data=_lines(scope.raw_entries()))
    yield Part(path="openings.jsonl", data=_lines(scope.openings()))
    write_tables(desk, trip, folder)
    for table in TABLES:
        yield Part(path=f"csv/{table.name}.csv", data=folder / f"{table.name}.csv")
    if trip is None:
        return
    yield from _plans(trip)
    sheet = folder / "sheet.pdf"
    write_pdf(sheet_document(desk, trip), paper, sheet, desk.now().wall)
    yield Part(path="sheet.pdf", data=sheet)
    calendar = _calendar(desk, trip)
    if calendar is not None:
        yield Part(path="checks.ics", data=calendar.encode())


def _plans(trip: Trip) -> Iterator[Part]:
    """Each plan revision as a plan file, and each judgement of it as a findings file."""
    numbers = {}
    for fact in trip.of("plan_recorded"):
        number = cast(int, fact.entry.body["number"])
        numbers[fact.entry.hash] = number
        yield Part(
            path=f"plans/plan-{number:03d}-{fact.entry.hash[:8]}.json",
            data=canonical(fact.entry.body["document"]),
        )
    for fact in trip.of("plan_judged"):
        body = cast(dict[str, Any], fact.entry.body)
        number = numbers.get(body["revision"], 0)
        yield Part(
            path=f"plans/findings-{number:03d}-{fact.entry.hash[:8]}.json",
            data=json.dumps(body["findings"], indent=1, ensure_ascii=False).encode(),
        )


def _lines(raw: Iterator[bytes]) -> Iterator[bytes]:
    for line in raw:
        yield line + b"\n"


def _people(desk: Desk) -> dict[str, str]:
    return dict(desk.store.raw.execute("SELECT id, label FROM person").fetchall())
