"""Handing over: tables, trail, sheet, calendar and bundle of one trip or of the whole store.

The export's own entry, with the heads as known then, is part of what is exported. Entry and files
are one: the files are written under temporary names while the entry waits in its transaction, and
get their names when it is durable. Until then the journal takes no other entry.
"""

import json
import os
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, cast

from exports.bundle import Part, write_bundle
from exports.calendar_file import calendar_text
from exports.document import Document
from exports.json_lines import write_json, write_lines
from exports.pdf_sheet import Paper, write_pdf
from triplog.checks import due_checks_of
from triplog.desk.checkpoints import keep_head, sign_head
from triplog.desk.desk import Desk
from triplog.desk.handing_over import slip
from triplog.desk.proofs import proof_lines
from triplog.desk.refused import Refused
from triplog.desk.scope import Scope, scope_of
from triplog.desk.setting_up import carrier_name, paper_of, units_of
from triplog.desk.staging import give_names, staged, told_in_words
from triplog.desk.stamps import stamp_files
from triplog.dossier.calendar import check_events
from triplog.dossier.plan_sheet import plan_sheet
from triplog.dossier.roadside import SheetFacts, roadside_sheet
from triplog.dossier.slip import slip_document
from triplog.dossier.tables import TABLES, write_table
from triplog.dossier.trip_sheet import trip_sheet
from triplog.journal.checkpoint import Checkpoint, Signed
from triplog.journal.entries import ClockReading, Draft, Entry, canonical, time_text
from triplog.journal.store_file import sync_folder
from triplog.journal.trip import Trip
from triplog.version import __version__

FORMS = ("csv", "json", "lines", "sheet", "plan", "checks", "slip", "calendar", "bundle")
_OF_ONE_TRIP = ("sheet", "plan", "checks", "slip", "calendar")
_WRITTEN_AS = {
    "csv": "csv",
    "json": "trail.json",
    "lines": "entries.jsonl",
    "sheet": "sheet.pdf",
    "plan": "plan.pdf",
    "checks": "checks.pdf",
    "slip": "slip.pdf",
    "calendar": "checks.ics",
    "bundle": "bundle.zip",
}
_LABEL_CHARACTERS_MAX = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What was written.

    `seal` is the hash that stands for the bundle, None without one; `head` the head of the log that
    was signed with it, None where it was withheld.
    """

    entry: Entry
    files: tuple[Path, ...]
    seal: str | None
    head: Checkpoint | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Making:
    """What all forms of one export are made of.

    `calendar` None: no time can be told. `signed` None: the checkpoint was withheld.
    """

    scope: Scope
    entry: Entry
    paper: Paper
    reading: ClockReading
    calendar: str | None
    signed: Signed | None


def export(
    desk: Desk,
    folder: Path,
    forms: tuple[str, ...],
    trip: Trip | None,
    *,
    paper: Paper | None = None,
) -> Exported:
    """Write the forms asked for into a folder, all of them or none, and record it.

    A calendar is left out while no check has a time that can be told. Raises Refused for an
    unknown form, a file that is there already, and a folder that cannot be written; then nothing
    is recorded or left behind.
    """
    _refuse_forms(forms, trip)
    with staged(folder) as stage:
        with desk.writing() as writing:
            reading = writing.reading if trip is None else desk.now_on(trip, writing.reading)
            calendar = None if trip is None else _calendar(desk, trip, writing.reading)
            planned = _planned(folder, forms, trip, has_calendar=calendar is not None)
            entry = desk.append(writing, _draft(desk, planned, trip))
            made = sign_head(desk, writing, "exported", None if trip is None else trip.id)
            making = _Making(
                scope=scope_of(desk, None if trip is None else desk.trip(trip.id)),
                entry=entry,
                paper=paper or paper_of(desk),
                reading=reading,
                calendar=calendar,
                signed=made.signed,
            )
            with told_in_words(folder):
                seal = None
                for form, name in planned.items():
                    seal = _write(making, form, stage / name) or seal
                _sync(stage)
        keep_head(desk, made)
        give_names(stage, folder, planned.values())
    files = tuple(folder / name for name in planned.values())
    head = None if made.signed is None else made.signed.checkpoint
    return Exported(entry=entry, files=files, seal=seal, head=head)


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


def _refuse_forms(forms: tuple[str, ...], trip: Trip | None) -> None:
    unknown = [form for form in forms if form not in FORMS]
    if unknown or not forms:
        raise Refused(f"forms are {', '.join(FORMS)}; found {', '.join(unknown) or 'none'}")
    if trip is None and not set(forms) - set(_OF_ONE_TRIP):
        raise Refused("sheets and a calendar are those of one trip; say which with --trip")


def _planned(
    folder: Path, forms: tuple[str, ...], trip: Trip | None, *, has_calendar: bool
) -> dict[str, str]:
    """The name of the file of each form that can be written; refused where one is there already."""
    left_out = _OF_ONE_TRIP if trip is None else () if has_calendar else ("calendar",)
    label = _label(trip)
    planned = {form: f"{label}-{_WRITTEN_AS[form]}" for form in forms if form not in left_out}
    if not planned:
        raise Refused(
            "no check has a time that can be told, so there is nothing to put into a calendar;"
            " `triplog due` shows what is due"
        )
    taken = [folder / name for name in planned.values() if os.path.lexists(folder / name)]
    if taken:
        raise Refused(f"{taken[0]} is there already; name another folder with --to")
    return planned


def _label(trip: Trip | None) -> str:
    """What the names of the files begin with."""
    if trip is None:
        return "store"
    return f"trip-{re.sub(r'[^A-Za-z0-9.-]+', '-', trip.label)[:_LABEL_CHARACTERS_MAX]}"


def _sync(stage: Path) -> None:
    """Make what was written durable before the journal says that it was."""
    for path in stage.rglob("*"):
        if path.is_dir():
            sync_folder(path)
        else:
            with path.open("r+b") as written:
                os.fsync(written.fileno())


def _draft(desk: Desk, planned: dict[str, str], trip: Trip | None) -> Draft:
    heads = (
        {device: head for device, (_, head) in desk.store.heads().items()}
        if trip is None
        else desk.store.trip_heads(trip.id)
    )
    return desk.draft(
        "exported",
        {
            "what": _label(trip),
            "form": list(planned),
            "trip_of": None if trip is None else trip.id,
            "files": list(planned.values()),
            "trip_heads": heads,
        },
        trip=None if trip is None else trip.id,
    )


def _write(making: _Making, form: str, path: Path) -> str | None:
    """Write one form; the answer is the seal of a bundle."""
    scope = making.scope
    match form:
        case "csv":
            path.mkdir()
            _write_tables(scope, path)
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
        case "bundle":
            return _write_bundle(making, path)
    return None


def _write_tables(scope: Scope, folder: Path) -> None:
    """Write the CSV tables into a folder, row by row."""
    for table in TABLES:
        with (folder / f"{table.name}.csv").open("w", encoding="utf-8", newline="") as out:
            query = table.query(one_trip=scope.trip is not None)
            rows = scope.desk.store.raw.execute(query, scope.parameters)
            write_table(table.columns, rows, out, invented=scope.desk.invented)


def _write_sheet(making: _Making, path: Path) -> None:
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a sheet is that of one trip"
    write_pdf(sheet_document(scope.desk, scope.trip, reading), making.paper, path, reading.wall)


def _write_plan_sheet(making: _Making, path: Path) -> None:
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a plan sheet is that of one trip"
    document = plan_sheet(
        scope.trip, reading.wall, reading.offset_min, invented=scope.desk.invented
    )
    write_pdf(document, making.paper, path, reading.wall)


def _write_trip_sheet(making: _Making, path: Path) -> None:
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a trip sheet is that of one trip"
    document = trip_sheet(
        scope.trip,
        _people(scope.desk),
        reading.wall,
        reading.offset_min,
        invented=scope.desk.invented,
    )
    write_pdf(document, making.paper, path, reading.wall)


def _write_slip(making: _Making, path: Path) -> None:
    scope, reading = making.scope, making.reading
    assert scope.trip is not None, "a slip is that of one trip"
    document = slip_document(slip(scope.desk, scope.trip, reading))
    write_pdf(document, making.paper, path, reading.wall)


def _people(desk: Desk) -> dict[str, str]:
    return dict(desk.store.raw.execute("SELECT id, label FROM person").fetchall())


def _calendar(desk: Desk, trip: Trip, reading: ClockReading) -> str | None:
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


def _write_bundle(making: _Making, path: Path) -> str:
    rooms = path.with_suffix(".parts")
    rooms.mkdir()
    info = {
        "Source-Organization": _one_line(carrier_name(making.scope.desk)) or "not recorded",
        "External-Description": cast(str, making.entry.body["what"]),
        "Bag-Software-Agent": f"triplog {__version__}",
    }
    made_at = time_text(making.entry.entry_time)
    seal = write_bundle(path, _bundle_parts(making, rooms, made_at), info, made_at, as_zip=True)
    shutil.rmtree(rooms)
    return seal


def _one_line(text: str | None) -> str:
    """The text with whatever would break its line as spaces; "" for None."""
    return "".join(char if char.isprintable() else " " for char in text or "").strip()


def _bundle_parts(making: _Making, folder: Path, made_at: str) -> Iterator[Part]:
    """Everything a bundle holds; tables and sheet are written into `folder` on their way."""
    scope = making.scope
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
    if making.signed is not None:
        yield Part(path="checkpoint.txt", data=making.signed.text.encode())
        yield Part(
            path="proofs.jsonl",
            data=_lines(proof_lines(desk, scope, making.signed.checkpoint)),
        )
    for name, token in stamp_files(scope):
        yield Part(path=name, data=token)
    _write_tables(scope, folder)
    for table in TABLES:
        yield Part(path=f"csv/{table.name}.csv", data=folder / f"{table.name}.csv")
    if trip is None:
        return
    yield from _plans(trip)
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
