"""The bundle of an export: everything, with what shows whether it was altered."""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any, cast

from exports.bundle import Part, write_bundle
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
from triplog.desk.withholding import POSITIONS
from triplog.dossier.tables import TABLES
from triplog.journal.entries import canonical, time_text
from triplog.journal.trip import Trip
from triplog.version import __version__


def write_the_bundle(making: Making, path: Path) -> str:
    """Write the bundle; the hash that stands for it."""
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
    yield from photo_parts(scope, with_places=POSITIONS not in making.left.withheld.fields)
    if trip is None:
        return
    yield from _plans(trip)
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
