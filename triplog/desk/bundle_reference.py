"""What others need to repeat what is in a bundle: schemas, plans, figures, pictures.

All of it is made from the entries or comes with the program; where they differ, the entries hold.
"""

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any, cast

from exports.bundle import Part
from exports.bundle_schemas import bundle_schemas
from scheduler.recheck_rules import rules_text
from triplog.dossier.plan_pictures import plan_pictures
from triplog.dossier.tables import TABLES
from triplog.dossier.timeline import timeline_of
from triplog.journal.entries import Entry, canonical, time_text
from triplog.journal.trip import Trip
from triplog.securement.figure_tables import tables_of
from triplog.securement.figures import table_bytes, table_digest, tables_digest
from triplog.securement.plan_read import plan_from_document
from triplog.securement.schemas import schema_findings, schema_plan


def schema_parts() -> Iterator[Part]:
    """The JSON Schema files, and the columns of each CSV table with their units."""
    schemas = bundle_schemas() | {"plan": schema_plan(), "findings": schema_findings()}
    for name, schema in schemas.items():
        yield _json(f"schemas/{name}.schema.json", schema)
    columns = {
        table.name: [
            {"name": one.name, "kind": one.kind, "unit": one.unit} for one in table.columns
        ]
        for table in TABLES
    }
    yield _json("schemas/csv-columns.json", columns)


def plan_parts(trip: Trip) -> Iterator[Part]:
    """Each plan revision as a plan file, each judgement of it as a findings file, and their list.

    In `plans/revisions.json` a revision is named by the hash of its entry, with the time it was
    written down.
    """
    judged: dict[str, list[tuple[str, Entry]]] = {}
    plans = [fact.entry for fact in trip.of("plan_recorded")]
    numbers = {entry.hash: cast(int, entry.body["number"]) for entry in plans}
    for fact in trip.of("plan_judged"):
        revision = cast(str, fact.entry.body["revision"])
        path = f"plans/findings-{numbers.get(revision, 0):03d}-{fact.entry.hash[:8]}.json"
        judged.setdefault(revision, []).append((path, fact.entry))
        yield _json(path, fact.entry.body["findings"])
    departed = {cast(str, fact.entry.body["revision"]) for fact in trip.of("departed")}
    listed = []
    for entry in plans:
        path = f"plans/plan-{numbers[entry.hash]:03d}-{entry.hash[:8]}.json"
        yield Part(path=path, data=canonical(entry.body["document"]))
        listed.append(
            {
                "number": numbers[entry.hash],
                "revision": entry.hash,
                "entry_time": time_text(entry.entry_time),
                "departed_with": entry.hash in departed,
                "plan": path,
                "findings": [
                    {
                        "file": file,
                        "entry": one.hash,
                        "entry_time": time_text(one.entry_time),
                        "rules": _rule_sets(one),
                    }
                    for file, one in judged.get(entry.hash, ())
                ],
            }
        )
    yield _json("plans/revisions.json", listed)


def _rule_sets(judged: Entry) -> list[str]:
    findings = cast(dict[str, Any], judged.body["findings"])
    return [used["id"] for used in findings["rule_sets"]]


def figure_parts(trip: Trip) -> Iterator[Part]:
    """The tables of figures that the findings rest on, the sources, and the re-check rules.

    `figures/digests.json` lays the digest of each rule set's tables as they are here beside those
    that the findings recorded: where they differ, the tables were another edition then.
    """
    recorded: dict[str, set[str]] = {}
    for fact in trip.of("plan_judged"):
        findings = cast(dict[str, Any], fact.entry.body["findings"])
        for used in findings["rule_sets"]:
            digests = recorded.setdefault(used["id"], set())
            if used.get("tables_sha256"):
                digests.add(used["tables_sha256"])
    names = sorted({name for rule_set in recorded for name in tables_of(rule_set)})
    for name in ("sources", *names):
        yield Part(path=f"figures/{name}.csv", data=table_bytes(name))
    yield Part(path="figures/recheck_rules.csv", data=rules_text().encode())
    yield _json(
        "figures/digests.json",
        {
            rule_set: {
                "tables": {f"{name}.csv": table_digest(name) for name in tables_of(rule_set)},
                "sha256": tables_digest(rule_set),
                "recorded": sorted(digests),
            }
            for rule_set, digests in sorted(recorded.items())
        },
    )
    rows = [
        {"entry": fact.entry.hash, "rules": fact.entry.body["rules"]}
        for kind in ("departed", "rules_added")
        for fact in trip.of(kind)
    ]
    yield _json("figures/rules-pinned.json", rows)


def picture_parts(trip: Trip, now: datetime, *, invented: bool) -> Iterator[Part]:
    """Pictures of the plan departed with and of the plan in force, and of the checks."""
    plans = {fact.entry.hash: fact.entry for fact in trip.of("plan_recorded")}
    wanted = [cast(str, fact.entry.body["revision"]) for fact in trip.of("departed")]
    wanted += [] if trip.plan is None else [trip.plan.entry.hash]
    for revision in dict.fromkeys(wanted):
        entry = plans.get(revision)
        document = {} if entry is None else cast(dict[str, Any], entry.body["document"])
        if entry is None or not document.get("article"):
            continue
        findings = _last_findings(trip, revision)
        for one in plan_pictures(plan_from_document(document), findings):
            path = f"pictures/plan-{entry.body['number']:03d}-{one.name}.svg"
            yield Part(path=path, data=one.drawing.svg.encode())
    drawing = timeline_of(trip, now, invented=invented)
    if drawing is not None:
        yield Part(path="pictures/checks.svg", data=drawing.svg.encode())


def _last_findings(trip: Trip, revision: str) -> Mapping[str, Any]:
    of_it = [f.entry for f in trip.of("plan_judged") if f.entry.body["revision"] == revision]
    return cast(Mapping[str, Any], of_it[-1].body["findings"]) if of_it else {}


def _json(path: str, what: object) -> Part:
    text = json.dumps(what, indent=1, ensure_ascii=False, sort_keys=True)
    return Part(path=path, data=f"{text}\n".encode())
