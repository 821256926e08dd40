"""The roadside sheet: on one page what an officer asks, in the order it is asked.

What it is and what it weighs; how many tie-downs and what each is rated; the anchor points; the
last look and the next; driver, vehicle, from and to. It shortens a talk, it proves nothing about
a slack strap, and says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from typing import Any, cast

from exports.document import Block, Document, KeyValues
from scheduler.due import DueCheck
from triplog.dossier.head import last_head
from triplog.dossier.recorded_findings import body_ratings, findings_in
from triplog.dossier.roadside_checks import check_blocks, check_figures
from triplog.dossier.roadside_findings import finding_blocks
from triplog.dossier.roadside_plan import (
    article_figure,
    cargo_block,
    ratings,
    tie_down_block,
    tie_down_figure,
)
from triplog.journal.trip import Trip
from triplog.wording.amounts import Units
from triplog.wording.head import code_in_short

_FOOTER = (
    "No promise: figures as entered; only a look tells if a strap is slack. Local law, the gear's"
    " label and a competent person come first. Log"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFacts:
    """What the sheet needs beside the trip.

    `opened` holds the private values of the trip's opening; `people` maps a person's id to the
    label; `carrier` None: not known. `units`: which system figures that were worked out are shown
    in; what was typed stays as typed.
    """

    opened: Mapping[str, str]
    people: Mapping[str, str]
    carrier: str | None
    due: tuple[DueCheck, ...]
    units: Units
    now: datetime
    offset_min: int
    invented: bool


def roadside_sheet(trip: Trip, facts: SheetFacts) -> Document:
    """The sheet of a trip as it stands."""
    plan = cast(dict[str, Any], trip.document or {})
    judged = trip.judgement
    document = {} if judged is None else cast(dict[str, Any], judged.entry.body["findings"])
    findings = findings_in(document, facts.units)
    rated = ratings(plan, body_ratings(document))
    delivered = trip.delivered_ids
    blocks: list[Block] = [
        KeyValues(pairs=(article_figure(plan, delivered, facts.units), tie_down_figure(rated))),
        KeyValues(
            pairs=(
                *_who_and_where(trip, plan, facts),
                *check_figures(trip, facts.due, facts.offset_min, facts.now),
            )
        ),
        cargo_block(plan, delivered),
        tie_down_block(plan, rated, findings),
        *finding_blocks(judged, findings, facts.offset_min, facts.now),
        *check_blocks(facts.due, facts.offset_min, facts.now),
    ]
    number = "none" if trip.plan is None else trip.plan.entry.body["number"]
    zone = timezone(timedelta(minutes=facts.offset_min))
    made = facts.now.astimezone(zone).strftime("%Y-%m-%d %H:%M %Z")
    return Document(
        title=f"Roadside sheet, trip {trip.label}",
        subtitle=f"made {made}; plan revision {number}; the trip is {trip.state}",
        language="en",
        blocks=tuple(blocks),
        footer=_footer(trip),
        invented=facts.invented,
    )


def _footer(trip: Trip) -> str:
    """The foot of the page: on paper in an officer's hands the log's code is held outside."""
    head = last_head(trip)
    return f"{_FOOTER}." if head is None else f"{_FOOTER}, {code_in_short(head.code, head.size)}."


def _who_and_where(
    trip: Trip, plan: Mapping[str, Any], facts: SheetFacts
) -> tuple[tuple[str, str], ...]:
    pairs = (
        ("Driver", _drivers(trip, facts.people)),
        ("Vehicle", plan.get("vehicle", {}).get("name")),
        ("Carrier", facts.carrier),
        ("From", facts.opened.get("origin")),
        ("To", facts.opened.get("destination")),
    )
    return tuple((name, (value or "").strip() or "not recorded") for name, value in pairs)


def _drivers(trip: Trip, people: Mapping[str, str]) -> str:
    """Everybody who has driven or is on board to drive, in the order they came."""
    if trip.departure is None:
        return "none yet, not departed"
    return ", ".join(people.get(one, one) for one in trip.duty_by_driver)
