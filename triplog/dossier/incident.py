"""The draft of an incident report: what the journal holds, in the order it is asked for.

Facts only, each as it was recorded and with when it was written down; what nobody told is a blank.
"""

from collections.abc import Iterator, Mapping
from datetime import timedelta, timezone
from typing import Any, cast

from exports.document import Block, Column, Document, Heading, Paragraph, Table
from exports.picture.thumbnail import Thumbnail
from triplog.dossier.head import head_blocks
from triplog.dossier.incident_lists import (
    OF_INCIDENT,
    IncidentFacts,
    entered,
    person,
    picture_rows,
    piece_rows,
    register_rows,
    told_rows,
)
from triplog.dossier.photos import photo_blocks
from triplog.dossier.trip_sheet import hold_blocks, look_blocks, when_text
from triplog.journal.folding import InForce
from triplog.journal.trip import Trip, text_in
from triplog.wording.entries import gist, span
from triplog.wording.incident import DRAFT, FACTS, SIGN, UNKNOWN, facts_text

_FOOTER = (
    "Draft, unsigned, made from a tamper-evident log: where this differs, the log holds. Local law"
    " and the authorities say what has to be reported, to whom, and how soon."
)
_LATE = timedelta(minutes=1)
_SAID_BY_PROGRAM = frozenset(
    {"prompt_raised", "prompt_outcome", "checkpoint_signed", "checkpoint_withheld", "exported"}
)


def incident_report(
    trip: Trip, facts: IncidentFacts, thumbnails: Mapping[str, Thumbnail | str]
) -> Document:
    """The draft of a report about the incidents of a trip, which has at least one.

    `thumbnails`: of each photo by digest, or why there is none.
    """
    zone = timezone(timedelta(minutes=facts.offset_min))
    made = facts.now.astimezone(zone).strftime("%Y-%m-%d %H:%M %Z")
    return Document(
        title=f"Incident report, draft, trip {trip.label}",
        subtitle=f"made {made} for {facts.carrier or 'a carrier not recorded'}; draft, unsigned",
        language="en",
        blocks=(
            Paragraph(text=DRAFT, style="caution"),
            *hold_blocks(trip, facts.people),
            *_register(trip, facts),
            *_told(trip, facts),
            *_departure(trip, facts),
            *look_blocks(trip, facts.people),
            *_happened(trip, facts),
            *_late(trip, facts),
            *_pictures(trip),
            *photo_blocks(trip, thumbnails),
            *_pieces(trip, facts),
            *_who_was_told(trip, facts),
            *head_blocks(trip),
            Heading(text="Statement"),
            Paragraph(text=SIGN),
        ),
        footer=_FOOTER,
        invented=facts.invented,
    )


def _register(trip: Trip, facts: IncidentFacts) -> Iterator[Block]:
    yield Heading(text="The fields of an accident register, 49 CFR 390.15(b)(1)")
    yield Table(
        columns=(Column(title="Field", weight=4), Column(title="As told last", weight=5)),
        rows=tuple(register_rows(trip, facts)),
    )
    yield Paragraph(
        text="Whether this is an accident in the sense of 49 CFR 390.5, and what else has to be"
        " reported, is for a competent person to say.",
        style="small",
    )


def _told(trip: Trip, facts: IncidentFacts) -> Iterator[Block]:
    """Every entry about an incident: what it tells, and what nobody told."""
    yield Heading(text="What was told, and when it was written down")
    yield Table(
        columns=(
            Column(title="When", weight=3),
            Column(title="By", weight=2),
            Column(title="Told", weight=6),
            Column(title="In their words", weight=5),
        ),
        rows=tuple(_told_row(fact, facts) for fact in trip.of(*OF_INCIDENT)),
    )
    known = {name for fact in trip.of(*OF_INCIDENT) for name in fact.entry.body}
    lacking = [words for name, words in FACTS.items() if name not in known]
    if lacking:
        yield Paragraph(text=f"Unknown, told by nobody: {', '.join(lacking)}.")


def _told_row(fact: InForce, facts: IncidentFacts) -> tuple[str, ...]:
    entry = fact.entry
    opened = facts.opened.get(entry.hash, {})
    first = fact.original.kind == "incident_reported"
    when = when_text(entry)
    if first and not entry.body.get("time_told"):
        when = f"time unknown; written down {entered(entry)}"
    mark = f" (corrects {len(fact.replaced)} earlier)" if fact.replaced else ""
    words = "; ".join(f"{name}: {opened[name]}" for name in sorted(opened))
    told = facts_text(entry.body) or "nothing but that it happened"
    return when, person(facts, entry.by), f"{told}{mark}", words


def _departure(trip: Trip, facts: IncidentFacts) -> Iterator[Block]:
    """What was planned and known when it departed; revisions on the road come after."""
    yield Heading(text="The plan at departure, as known then")
    departure = trip.departure
    if departure is None:
        yield Paragraph(text="No departure is recorded.")
        return
    body = cast(dict[str, Any], departure.entry.body)
    plan = next(fact for fact in trip.of("plan_recorded") if body["revision"] in fact.hashes)
    document = cast(dict[str, Any], plan.entry.body["document"])
    yield Paragraph(
        text=f"Departed {when_text(departure.entry)}, odometer {body['odometer']}, driver"
        f" {person(facts, str(body['driver']))}. Plan {plan.entry.body['number']}, written down"
        f" {entered(plan.entry)}, fingerprint {plan.entry.hash[:16]}; vehicle"
        f" {document.get('vehicle', {}).get('name', 'not given')}."
    )
    yield Table(
        columns=(
            Column(title="Article"),
            Column(title="What", weight=3),
            Column(title="Mass", weight=2),
            Column(title="Known by", weight=2),
        ),
        rows=tuple(
            (one["id"], one.get("what", "not told"), one.get("mass", UNKNOWN),
             one.get("mass_basis", "not told"))
            for one in document.get("article", [])
        ),
    )  # fmt: skip
    ratings = {one["id"]: one for one in document.get("gear", [])}
    yield Table(
        columns=(
            Column(title="Tie-down"),
            Column(title="Gear", weight=3),
            Column(title="Rating marked", weight=2),
            Column(title="Holds", weight=2),
            Column(title="From and to", weight=2),
        ),
        rows=tuple(_tie_down(one, ratings) for one in document.get("tie_down", [])),
    )
    yield from _findings(trip, body)


def _tie_down(one: Mapping[str, Any], gear: Mapping[str, Mapping[str, Any]]) -> tuple[str, ...]:
    label = str(one.get("gear", "not given"))
    card = gear.get(label, {})
    return (
        one["id"],
        f"{label}, {card.get('kind', 'kind not told')}",
        str(card.get("wll", "unmarked or not told")),
        ", ".join(one["holds"]),
        f"{one.get('from', '?')} to {one.get('to', '?')}",
    )


def _findings(trip: Trip, departed: Mapping[str, Any]) -> Iterator[Block]:
    """The findings the departure was made with, those that meet only as a number."""
    judged = [fact for fact in trip.of("plan_judged") if departed["judgement"] in fact.hashes]
    if not judged:
        yield Paragraph(text="The plan had not been judged when it departed.")
        return
    document = cast(dict[str, Any], judged[-1].entry.body["findings"])
    findings = document["findings"]
    count = dict.fromkeys(("meets", "does not meet", "cannot tell", "does not apply"), 0)
    for one in findings:
        count[one["verdict"]] += 1
    told = ", ".join(f"{number} {word}" for word, number in count.items())
    sets = ", ".join(used["id"] for used in document["rule_sets"])
    yield Paragraph(
        text=f"Findings as recorded before departure, {entered(judged[-1].entry)}, by {sets}:"
        f" {told}. All of them stand in the findings file."
    )
    odd = [one for one in findings if one["verdict"] in ("does not meet", "cannot tell")]
    if odd:
        yield Table(
            columns=(
                Column(title="Finding", weight=2),
                Column(title="About", weight=2),
                Column(title="Rule", weight=3),
                Column(title="Clause", weight=4),
            ),
            rows=tuple(
                (
                    one["verdict"],
                    ", ".join(one["about"]),
                    one["rule"],
                    f"{one['citation']['source']} {one['citation']['clause']}".strip(),
                )
                for one in odd
            ),
        )


def _happened(trip: Trip, facts: IncidentFacts) -> Iterator[Block]:
    """What was recorded on the road and after, beside the looks and the incident itself."""
    elsewhere = {
        *OF_INCIDENT,
        "check_completed",
        "check_left_open",
        "plan_judged",
        "piece_kept",
        "photo_added",
    }
    rows = tuple(
        (
            when_text(fact.entry),
            fact.entry.kind.replace("_", " "),
            person(facts, fact.entry.by),
            gist(fact.entry),
        )
        for fact in trip.facts
        if fact.original.kind not in elsewhere | _SAID_BY_PROGRAM
    )
    yield Heading(text="Everything else on the trip, in the order it happened")
    yield Table(
        columns=(
            Column(title="When", weight=3),
            Column(title="What", weight=3),
            Column(title="By", weight=2),
            Column(title="Told", weight=6),
        ),
        rows=rows,
    )


def _late(trip: Trip, facts: IncidentFacts) -> Iterator[Block]:
    """What was written down later than it happened, and what was corrected."""
    rows = []
    for fact in (*trip.facts, *trip.doubtful):
        entry = fact.entry
        marks = []
        if entry.entered_late_by >= _LATE and not fact.replaced:
            marks.append(f"written down {span(entry.entered_late_by)} later")
        if fact.replaced:
            marks.append(f"corrected, {entered(entry)}; {len(fact.replaced)} earlier stay")
        if "time_doubt" in entry.body:
            marks.append(f"time in doubt: {text_in(entry.body, 'time_doubt')}")
        if marks:
            what = entry.kind.replace("_", " ")
            rows.append((when_text(entry), what, person(facts, entry.by), "; ".join(marks)))
    yield Heading(text="Written down later, or corrected")
    if not rows:
        yield Paragraph(text="Nothing was, of what stands on this trip.")
        return
    yield Table(
        columns=(
            Column(title="Happened", weight=3),
            Column(title="What", weight=3),
            Column(title="By", weight=2),
            Column(title="How", weight=4),
        ),
        rows=tuple(rows),
    )


def _pictures(trip: Trip) -> Iterator[Block]:
    yield Heading(text="Pictures since the incident")
    yield Table(
        columns=(
            Column(title="Of", weight=2),
            Column(title="Taken"),
            Column(title="What to take", weight=7),
        ),
        rows=tuple(picture_rows(trip)),
    )


def _pieces(trip: Trip, facts: IncidentFacts) -> Iterator[Block]:
    yield Heading(text="Pieces")
    yield Table(
        columns=(
            Column(title="Piece", weight=3),
            Column(title="State", weight=2),
            Column(title="Of", weight=2),
            Column(title="Where", weight=3),
            Column(title="By, when", weight=3),
        ),
        rows=tuple(piece_rows(trip, facts)),
    )


def _who_was_told(trip: Trip, facts: IncidentFacts) -> Iterator[Block]:
    rows = told_rows(trip, facts)
    yield Heading(text="Who was told, and when")
    if not rows:
        yield Paragraph(text="Nobody has recorded whom they told.")
        return
    yield Table(
        columns=(
            Column(title="Who", weight=3),
            Column(title="When", weight=3),
            Column(title="Recorded by", weight=2),
        ),
        rows=tuple(rows),
    )
