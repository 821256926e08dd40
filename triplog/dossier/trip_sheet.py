"""The trip sheet: the checks as a picture, each look in a table, and everything that happened."""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta, timezone
from typing import Any, cast

from exports.document import Block, Column, Document, Heading, Paragraph, Picture, Table
from exports.picture.thumbnail import Thumbnail
from triplog.dossier.head import head_blocks
from triplog.dossier.photos import photo_blocks
from triplog.dossier.roadside_checks import found_words
from triplog.dossier.slip import moving_told
from triplog.dossier.timeline import timelines_of
from triplog.journal.entries import Entry
from triplog.journal.folding import InForce
from triplog.journal.trip import Trip, text_in
from triplog.wording.due import made_late_text
from triplog.wording.entries import gist, span
from triplog.wording.slip import MOVING
from triplog.wording.time_doubts import HEADING

_FOOTER = (
    "Made from a tamper-evident log: where this differs, the log holds. Times are local where each"
    " entry was made; what was written down later says by how much."
)
_LOOKS = ("check_completed", "check_left_open")
_TOLD_ELSEWHERE = frozenset(
    {
        *_LOOKS,
        "photo_added",
        "plan_judged",
        "prompt_raised",
        "prompt_outcome",
        "prompt_heard",
        "exported",
        "checkpoint_signed",
        "time_stamp_asked",
    }
)
_LATER = timedelta(minutes=1)


def trip_sheet(
    trip: Trip,
    people: Mapping[str, str],
    thumbnails: Mapping[str, Thumbnail | str],
    now: datetime,
    offset_min: int,
    *,
    invented: bool,
) -> Document:
    """The sheet of a trip as the journal knows it.

    `people`: a person's label by id; `thumbnails`: of each photo by digest, or why there is none.
    """
    made = now.astimezone(timezone(timedelta(minutes=offset_min))).strftime("%Y-%m-%d %H:%M %Z")
    return Document(
        title=f"Trip sheet, trip {trip.label}",
        subtitle=f"made {made}; the trip is {trip.state}",
        language="en",
        blocks=(
            *hold_blocks(trip, people),
            *_picture(trip, now, invented=invented),
            *look_blocks(trip, people),
            *_happened(trip, people),
            *_doubtful(trip, people),
            *head_blocks(trip),
            *photo_blocks(trip, thumbnails),
        ),
        footer=_FOOTER,
        invented=invented,
    )


def hold_blocks(trip: Trip, people: Mapping[str, str]) -> Iterator[Block]:
    """What says that nothing of the trip may go; nothing where no hold stands. The reasons are
    private.
    """
    if trip.holds:
        since = "; ".join(
            f"since {_local(fact.entry.event_time, fact.entry)} by"
            f" {people.get(fact.entry.by, fact.entry.by)} [{fact.original.hash[:8]}]"
            for fact in trip.holds
        )
        yield Paragraph(
            text=f"Under an evidence hold {since}. Nothing of this trip goes until a named person"
            " lifts it.",
            style="caution",
        )


def _picture(trip: Trip, now: datetime, *, invented: bool) -> Iterator[Block]:
    drawings = timelines_of(trip, now, invented=invented)
    if not drawings:
        yield Paragraph(text="No check is counted on this trip.")
    for drawing in drawings:
        yield Picture(svg=drawing.svg, alt=drawing.title)


def look_blocks(trip: Trip, people: Mapping[str, str]) -> Iterator[Block]:
    """What each look found, and which tie-downs were found slack or moved."""
    looks = trip.of(*_LOOKS)
    if looks:
        yield Heading(text="What each look found")
        yield Table(
            columns=(
                Column(title="When", weight=3),
                Column(title="Odometer", weight=2),
                Column(title="By", weight=2),
                Column(title="Found", weight=6),
                Column(title="Late", weight=3),
            ),
            rows=tuple(_look(fact, people) for fact in looks),
        )
        yield Heading(text=MOVING)
        yield Table(
            columns=(Column(title="Tie-down", weight=3), Column(title="Found", weight=10)),
            rows=moving_told(trip),
        )


def _look(fact: InForce, people: Mapping[str, str]) -> tuple[str, ...]:
    entry = fact.entry
    body = cast(dict[str, Any], entry.body)
    late = body.get("late")
    return (
        when_text(entry),
        body.get("odometer", "not read"),
        people.get(entry.by, entry.by),
        "; ".join(found_words(entry.body)),
        made_late_text(late, body.get("odometer")) if late else "",
    )


def _happened(trip: Trip, people: Mapping[str, str]) -> Iterator[Block]:
    yield Heading(text="What else happened (the list of all entries has the rest)")
    yield Table(
        columns=(
            Column(title="When", weight=3),
            Column(title="What", weight=3),
            Column(title="By", weight=2),
            Column(title="Told", weight=6),
        ),
        rows=tuple(
            _told(fact.entry, people)
            for fact in trip.facts
            if fact.original.kind not in _TOLD_ELSEWHERE
        ),
    )


def _doubtful(trip: Trip, people: Mapping[str, str]) -> Iterator[Block]:
    """What was recorded as received, at a time that cannot be right."""
    if trip.doubtful:
        yield Heading(text=HEADING)
        yield Table(
            columns=(
                Column(title="Stated as", weight=3),
                Column(title="What", weight=3),
                Column(title="By", weight=2),
                Column(title="Told", weight=4),
                Column(title="Why not", weight=2),
                Column(title="Entered", weight=3),
            ),
            rows=tuple(
                (
                    *_told(fact.entry, people),
                    text_in(fact.entry.body, "time_doubt"),
                    _local(fact.entry.entry_time, fact.entry),
                )
                for fact in trip.doubtful
            ),
        )


def _told(entry: Entry, people: Mapping[str, str]) -> tuple[str, str, str, str]:
    """When, what, by whom, and its few words."""
    what = entry.kind.replace("_", " ")
    return when_text(entry), what, people.get(entry.by, entry.by), gist(entry)


def when_text(entry: Entry) -> str:
    """When it happened, local, and how much later it was written down."""
    when = _local(entry.event_time, entry)
    late = entry.entered_late_by
    return f"{when}{f', entered {span(late)} later' if late >= _LATER else ''}"


def _local(moment: datetime, entry: Entry) -> str:
    zone = timezone(timedelta(minutes=entry.event_offset_min))
    return moment.astimezone(zone).strftime("%Y-%m-%d %H:%M")
