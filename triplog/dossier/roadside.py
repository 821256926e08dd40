"""The roadside sheet: on one page what an officer asks, in the order it is asked.

What it is and what it weighs; how many tie-downs and what each is rated; the anchor points; the
last look and the next; driver, vehicle, from and to. It shortens a talk, it proves nothing about
a slack strap, and says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

from exports.document import (
    Block,
    Column,
    Document,
    Heading,
    KeyValues,
    Paragraph,
    Table,
)
from scheduler.due import DueCheck
from triplog.journal.folding import InForce
from triplog.journal.trip import Trip
from triplog.wording.due import by_when, clock, rule_text, state_text, title

_CAUTION = (
    "A plan that meets a rule here meets that rule's figures as they were entered; it is no"
    " promise. Local law, the gear's own label and a competent person come first."
)
_FOOTER = (
    "triplog keeps a tamper-evident log: entries are added, never changed. This sheet is made from"
    " it; the log is what counts."
)
_SINGLED_OUT = ("us-393.110-count", "us-393.106-aggregate", "house-combined")


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFacts:
    """What the sheet needs beside the trip.

    `private` maps an entry's hash to its openings; `people` a person's id to the label.
    `findings` is the findings file as judged, None: not judged.
    """

    private: Mapping[str, Mapping[str, str]]
    people: Mapping[str, str]
    carrier: str | None
    findings: Mapping[str, Any] | None
    due: tuple[DueCheck, ...]
    now: datetime
    offset_min: int
    invented: bool


def roadside_sheet(trip: Trip, facts: SheetFacts) -> Document:
    """The sheet of a trip as it stands."""
    plan = cast(dict[str, Any], trip.document or {})
    blocks: list[Block] = [
        KeyValues(pairs=_key_figures(trip, plan, facts)),
        Heading(text="Cargo", level=2),
        _cargo(plan),
        Heading(text="Tie-downs and anchor points", level=2),
        _tie_downs(plan, facts.findings),
        Heading(text="Findings, as judged", level=2),
        *_findings(facts.findings),
        Heading(text="Checks", level=2),
        *_checks(trip, facts),
        Paragraph(text=_CAUTION, style="small"),
    ]
    made = clock(facts.now, facts.offset_min, facts.now)
    return Document(
        title=f"Roadside sheet, trip {trip.label}",
        subtitle=f"{facts.now.date().isoformat()} {made}, plan revision {_number(trip)}",
        language="en",
        blocks=tuple(blocks),
        footer=_FOOTER,
        invented=facts.invented,
    )


def _number(trip: Trip) -> str:
    return "none" if trip.plan is None else str(trip.plan.entry.body["number"])


def _key_figures(
    trip: Trip, plan: dict[str, Any], facts: SheetFacts
) -> tuple[tuple[str, str], ...]:
    opened = trip.first("trip_opened")
    private = {} if opened is None else facts.private.get(opened.entry.hash, {})
    departure = trip.departure
    driver = None if departure is None else cast(str, departure.entry.body["driver"])
    articles = plan.get("article", [])
    masses = ", ".join(f"{one['id']} {one.get('mass', 'unknown')}" for one in articles)
    pairs = (
        ("Carrier", facts.carrier),
        ("Vehicle", plan.get("vehicle", {}).get("name")),
        ("Driver", None if driver is None else facts.people.get(driver, driver)),
        ("From", private.get("origin")),
        ("To", private.get("destination")),
        ("Articles", f"{len(articles)}: {masses}" if articles else "none"),
        ("Tie-downs", str(len(plan.get("tie_down", [])))),
        ("State", str(trip.state)),
    )
    return tuple((name, value or "not recorded") for name, value in pairs)


def _cargo(plan: dict[str, Any]) -> Table:
    return Table(
        columns=(
            Column(title="Article", weight=1.2),
            Column(title="What", weight=3),
            Column(title="Mass", weight=1.4),
            Column(title="Basis", weight=1.3),
            Column(title="Length", weight=1.1),
            Column(title="Blocked forward", weight=1.8),
        ),
        rows=tuple(
            (
                one["id"],
                one.get("what", "not recorded"),
                one.get("mass", "unknown"),
                one.get("mass_basis", "unknown"),
                one.get("length", "unknown"),
                one.get("blocked", {}).get("forward", "unknown"),
            )
            for one in plan.get("article", [])
        ),
    )


def _tie_downs(plan: dict[str, Any], findings: Mapping[str, Any] | None) -> Table:
    gear = {one["id"]: one for one in plan.get("gear", [])}
    anchors = {one["id"]: one for one in plan.get("anchor", [])}
    counted = {
        about: _measure(finding.get("provided"))
        for finding in _listed(findings)
        if finding["rule"] == "us-393.108-rating"
        for about in finding["about"]
    }
    rows = []
    for one in plan.get("tie_down", []):
        item = gear.get(one.get("gear"), {})
        ends = [end for end in (one.get("from"), one.get("to")) if end is not None]
        rated = [f"{end} {anchors.get(end, {}).get('wll', '')}".strip() for end in ends]
        rows.append(
            (
                one["id"],
                f"{one.get('gear', 'unknown')} {item.get('kind', '')} "
                f"{item.get('width', item.get('size', ''))}".strip(),
                item.get("wll", "unmarked"),
                counted.get(one["id"], "not judged"),
                f"{one.get('path', 'unknown')}: {', '.join(one['holds'])}",
                ", ".join(rated) or "unknown",
            )
        )
    return Table(
        columns=(
            Column(title="No.", weight=0.7),
            Column(title="Gear", weight=2.4),
            Column(title="Marked", weight=1.1),
            Column(title="Counts as", weight=1.3),
            Column(title="Runs, holds", weight=1.8),
            Column(title="Anchor points", weight=2),
        ),
        rows=tuple(rows),
    )


def _findings(findings: Mapping[str, Any] | None) -> list[Block]:
    listed = _listed(findings)
    if not listed:
        return [Paragraph(text="The plan has not been judged.")]
    shown = [
        one
        for one in listed
        if one["rule"] in _SINGLED_OUT or one["verdict"] in ("does not meet", "cannot tell")
    ]
    rest = len(listed) - len(shown)
    table = Table(
        columns=(
            Column(title="Verdict", weight=1.3),
            Column(title="Rule", weight=2.1),
            Column(title="About", weight=1.2),
            Column(title="Required", weight=1.2),
            Column(title="Provided", weight=1.2),
            Column(title="Scope", weight=1.2),
        ),
        rows=tuple(
            (
                one["verdict"],
                f"{one['citation']['source']} {one['citation']['clause']}".strip(),
                ", ".join(one["about"]),
                _measure(one.get("required")),
                _measure(one.get("provided")),
                one["scope"],
            )
            for one in shown
        ),
    )
    told = f"{rest} further findings meet or do not apply; the findings file has all of them."
    return [table, Paragraph(text=told, style="small")] if rest else [table]


def _checks(trip: Trip, facts: SheetFacts) -> list[Block]:
    done = trip.of("check_completed")
    blocks: list[Block] = []
    if done:
        blocks.append(Paragraph(text=f"Last: {_check_line(done[-1], facts)}"))
    elif trip.departure is not None:
        blocks.append(Paragraph(text="No check has been completed since departure."))
    lines = []
    for check in facts.due:
        when = by_when(check, facts.offset_min, facts.now)
        parts = [f"{state_text(check)}: {title(check)}", when, rule_text(check)]
        lines.append("; ".join(part for part in parts if part))
    text = "\n".join(lines) or "No check runs: the trip is not under way."
    return [*blocks, Paragraph(text=text)]


def _check_line(fact: InForce, facts: SheetFacts) -> str:
    body = fact.entry.body
    lines = cast(list[dict[str, str]], body["lines"])
    odd = [f"{one['tie_down']} {one['found']}" for one in lines if one["found"] != "fine"]
    when = clock(fact.entry.event_time, facts.offset_min, facts.now)
    where = body.get("odometer", "odometer not read")
    found = "; ".join(odd) if odd else f"{len(lines)} tie-downs looked at, none slack"
    return f"{when}, {where}: {found}"


def _listed(findings: Mapping[str, Any] | None) -> list[dict[str, Any]]:
    return [] if findings is None else cast(list[dict[str, Any]], findings["findings"])


def _measure(measure: dict[str, str] | None) -> str:
    if measure is None:
        return "not known"
    whole, _, part = measure["value"].partition(".")
    return f"{int(whole):,}{'.' + part[:1] if part else ''} {measure['unit']}"
