"""The bundle of an export: everything, with what shows whether it was altered."""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import cast

from exports.bundle import Part, write_bundle
from exports.json_lines import write_json
from triplog.desk.bundle_reference import (
    figure_parts,
    picture_parts,
    plan_parts,
    schema_parts,
)
from triplog.desk.export_files import (
    Making,
    write_plan_sheet,
    write_sheet,
    write_tables,
    write_trip_sheet,
)
from triplog.desk.incident import incidents
from triplog.desk.incident_report import write_incident_report
from triplog.desk.photos import photo_parts
from triplog.desk.proofs import proof_lines
from triplog.desk.setting_up import carrier_name
from triplog.dossier.tables import TABLES
from triplog.journal.entries import time_text
from triplog.version import __version__


def write_the_bundle(making: Making, path: Path) -> str:
    """Write the bundle, zipped where its name says so; the hash that stands for it."""
    rooms = path.with_name(f"{path.name}.parts")
    rooms.mkdir()
    info = {
        "Source-Organization": _one_line(carrier_name(making.scope.desk)) or "not recorded",
        "External-Description": cast(str, making.entry.body["what"]),
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
    if making.signed is not None:
        yield Part(path="checkpoint.txt", data=making.signed.text.encode())
        yield Part(
            path="proofs.jsonl",
            data=_lines(proof_lines(desk, scope, making.signed.checkpoint)),
        )
    write_tables(scope, folder)
    for table in TABLES:
        yield Part(path=f"csv/{table.name}.csv", data=folder / f"{table.name}.csv")
    trail = folder / "trail.json"
    with trail.open("wb") as out:
        write_json(scope.records(), out)
    yield Part(path="trail.json", data=trail)
    yield from schema_parts()
    yield from photo_parts(scope, with_places=False)
    if trip is None:
        return
    yield from plan_parts(trip)
    yield from figure_parts(trip)
    yield from picture_parts(trip, making.reading.wall, invented=desk.invented)
    sheet = folder / "sheet.pdf"
    write_sheet(making, sheet)
    yield Part(path="sheet.pdf", data=sheet)
    plan = folder / "plan.pdf"
    write_plan_sheet(making, plan)
    yield Part(path="plan.pdf", data=plan)
    checks = folder / "checks.pdf"
    write_trip_sheet(making, checks)
    yield Part(path="checks.pdf", data=checks)
    if making.calendar is not None:
        yield Part(path="checks.ics", data=making.calendar.encode())
    if incidents(trip):
        write_incident_report(desk, trip, making.paper, folder)
        for name in ("incident.pdf", "incident.txt"):
            yield Part(path=name, data=folder / name)


def _lines(raw: Iterator[bytes]) -> Iterator[bytes]:
    for line in raw:
        yield line + b"\n"
