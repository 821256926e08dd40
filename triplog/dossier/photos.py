"""The photos of a trip as a part of a document: small, each with what is recorded of it."""

from collections.abc import Iterator, Mapping
from typing import Any

from exports.document import Block, Heading, Paragraph, Photo, Photos
from exports.picture.thumbnail import Thumbnail
from triplog.journal.folding import InForce
from triplog.journal.trip import Trip, text_in
from triplog.wording.entries import moment_text
from triplog.wording.photos import SHEET_NOTE, about_text, count_line, time_lines

_FRAME_PX = 4, 3


def photo_blocks(trip: Trip, thumbnails: Mapping[str, Thumbnail | str]) -> Iterator[Block]:
    """Heading, how many there are, and each photo with its number, times and digest.

    `thumbnails`: by digest, or why there is none.
    """
    facts = trip.of("photo_added")
    yield Heading(text="Photos")
    yield Paragraph(text=count_line(fact.entry.body for fact in facts))
    if facts:
        yield Paragraph(text=SHEET_NOTE, style="small")
        yield Photos(
            photos=tuple(
                _photo(number, fact, thumbnails[text_in(fact.entry.body, "digest")])
                for number, fact in enumerate(facts, start=1)
            )
        )


def _photo(number: int, fact: InForce, small: Thumbnail | str) -> Photo:
    body: Mapping[str, Any] = fact.entry.body
    entered = moment_text(_recorded(fact), fact.original.event_offset_min)
    lines = (
        f"{number}  {about_text(body)}",
        f"entered {entered}",
        *time_lines(body),
        f"SHA-256 {body['digest'][:16]}...",
    )
    if isinstance(small, str):
        width_px, height_px = _FRAME_PX
        return Photo(jpeg=None, width_px=width_px, height_px=height_px, lines=lines, missing=small)
    return Photo(jpeg=small.data, width_px=small.width_px, height_px=small.height_px, lines=lines)


def _recorded(fact: InForce) -> str:
    return fact.original.entry_time.isoformat()
