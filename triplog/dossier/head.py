"""The last signed head of a trip's log on paper: its code in letters, and the note as a QR code."""

import io
from collections.abc import Iterator

from exports.document import Block, Heading, Paragraph, Picture
from triplog.journal.checkpoint import Checkpoint, signed_of
from triplog.journal.trip import Trip, text_in
from triplog.wording import head as wording
from triplog.wording.entries import moment_text

_HEIGHT_MM = 38.0


def last_head(trip: Trip) -> Checkpoint | None:
    """The head that was signed last on a trip; None: none was."""
    fact = trip.last("checkpoint_signed")
    return None if fact is None else signed_of(text_in(fact.entry.body, "signed_note")).checkpoint


def head_blocks(trip: Trip) -> Iterator[Block]:
    """Heading, code and QR code of the last signed head; nothing where there is none."""
    fact = trip.last("checkpoint_signed")
    if fact is None:
        return
    import segno

    note = text_in(fact.entry.body, "signed_note")
    head = signed_of(note).checkpoint
    made = moment_text(fact.entry.entry_time.isoformat(), fact.entry.event_offset_min)
    drawing = io.BytesIO()
    segno.make(note, error="m", micro=False).save(
        drawing, kind="svg", xmldecl=False, svgns=True, omitsize=True
    )
    yield Heading(text=wording.HEADING)
    yield Paragraph(text=wording.head_text(head.code, head.size, str(made)))
    yield Picture(svg=drawing.getvalue().decode(), alt=wording.PICTURE, height_mm=_HEIGHT_MM)
