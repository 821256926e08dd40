"""The plan sheet: the plan in force as pictures, and every finding in full, as it was judged."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta, timezone
from typing import Any, cast

from exports.document import Block, Column, Document, Heading, Paragraph, Picture, Table
from triplog.dossier.plan_pictures import plan_pictures
from triplog.dossier.unloading import unloading_blocks
from triplog.journal.trip import Trip
from triplog.securement.finding import Verdict
from triplog.securement.plan_read import plan_from_document
from triplog.wording.explained import explained_rows
from triplog.wording.findings import row_text

_FOOTER = (
    "Findings about the plan as written. Local law, the gear's own label and a competent person who"
    " looks at what is on the deck come first."
)
_DECK_HEIGHT_MM = 95.0


def plan_sheet(trip: Trip, now: datetime, offset_min: int, *, invented: bool) -> Document:
    """The sheet of a trip's plan in force, with the findings recorded about it."""
    judged = trip.judgement
    findings = {} if judged is None else cast(dict[str, Any], judged.entry.body["findings"])
    made = now.astimezone(timezone(timedelta(minutes=offset_min))).strftime("%Y-%m-%d %H:%M %Z")
    number = "none" if trip.plan is None else trip.plan.entry.body["number"]
    return Document(
        title=f"Plan sheet, trip {trip.label}",
        subtitle=f"made {made}; plan revision {number}; the trip is {trip.state}",
        language="en",
        blocks=(*_pictures(trip, findings), *unloading_blocks(trip), *_findings(findings)),
        footer=_FOOTER,
        invented=invented,
    )


def _pictures(trip: Trip, findings: Mapping[str, Any]) -> Iterator[Block]:
    if not trip.article_ids or trip.document is None:
        yield Paragraph(text="No article is on the plan.")
        return
    for one in plan_pictures(plan_from_document(trip.document), findings):
        yield Picture(svg=one.drawing.svg, alt=one.drawing.title, height_mm=_DECK_HEIGHT_MM)


def _findings(findings: Mapping[str, Any]) -> Iterator[Block]:
    if not findings:
        yield Paragraph(text="This plan has not been judged.")
        return
    for used in findings["rule_sets"]:
        edition = f", edition: {used['edition']}" if used.get("edition") else ""
        yield Heading(text=f"{used['id']}{edition}")
        of_set = [one for one in findings["findings"] if one["rule_set"] == used["id"]]
        for one in of_set:
            if one["verdict"] != Verdict.DOES_NOT_APPLY:
                head = f"{one['verdict']}: {', '.join(one['about'])}, {one['rule']}"
                yield Heading(text=head, level=2)
                yield Paragraph(
                    text="\n".join(row_text(row) for row in explained_rows(one)), style="small"
                )
        idle = [one for one in of_set if one["verdict"] == Verdict.DOES_NOT_APPLY]
        if idle:
            yield Heading(text=str(Verdict.DOES_NOT_APPLY), level=2)
            yield _idle(idle)


def _idle(findings: Sequence[Mapping[str, Any]]) -> Table:
    """What does not apply, a line each, with why."""
    return Table(
        columns=(
            Column(title="Rule", weight=2),
            Column(title="About"),
            Column(title="Clause", weight=2),
            Column(title="Why", weight=4),
        ),
        rows=tuple(
            (
                one["rule"],
                ", ".join(one["about"]),
                f"{one['citation']['source']} {one['citation']['clause']}".strip(),
                "; ".join(one.get("sum", ())),
            )
            for one in findings
        ),
    )
