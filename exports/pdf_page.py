"""Setting the blocks of a document on pages. Loads the PDF library: import it when needed."""

import hashlib
import io
import re
from contextlib import closing
from datetime import datetime
from typing import assert_never

from fpdf.errors import FPDFException
from fpdf.svg import SVGObject

from exports.document import (
    Attachment,
    Block,
    Document,
    Heading,
    KeyValues,
    Paragraph,
    Photos,
    Picture,
    Table,
)
from exports.pdf_canvas import GAP_MM, MARGIN_MM, Canvas
from exports.pdf_figures import set_figures
from exports.pdf_photos import set_photos
from exports.pdf_table import set_table
from exports.pdf_type import BODY, BODY_BOLD, HEADINGS, SMALL, TITLE

_KEPT_WITH_HEADING_MM = 32.0
_CAUTION_PAD_MM = 2.0
# A family or a slant that is not embedded would stop the drawing; there is one font.
_SVG_FONT = re.compile(r"""\sfont-(?:family|style)\s*=\s*("[^"]*"|'[^']*')""")


def set_pages(document: Document, paper: str, made_at: datetime) -> tuple[bytes, int]:
    """The bytes of the PDF and its number of pages; `paper` is "letter" or "a4"."""
    # Set twice: the first time only counts the pages, for "page 1 of 3".
    with closing(Canvas(document, paper, made_at, pages=0)) as canvas:
        _set_all(canvas, document)
        pages = canvas.pdf.page_no()
    with closing(Canvas(document, paper, made_at, pages=pages)) as canvas:
        _set_all(canvas, document)
        return bytes(canvas.pdf.output()), pages


def _set_all(canvas: Canvas, document: Document) -> None:
    canvas.new_page()
    canvas.lines(document.title, TITLE)
    if document.subtitle.strip():
        canvas.lines(document.subtitle, BODY)
    for block in document.blocks:
        canvas.space(GAP_MM)
        _set(canvas, block)


def _set(canvas: Canvas, block: Block) -> None:
    match block:
        case Heading():
            _heading(canvas, block)
        case Paragraph(style="caution"):
            _caution(canvas, block.text)
        case Paragraph():
            canvas.lines(block.text, SMALL if block.style == "small" else BODY)
        case KeyValues():
            set_figures(canvas, block)
        case Table():
            set_table(canvas, block)
        case Picture():
            _picture(canvas, block)
        case Photos():
            set_photos(canvas, block)
        case Attachment():
            _attachment(canvas, block)
        case _:
            assert_never(block)


def _heading(canvas: Canvas, heading: Heading) -> None:
    kind = HEADINGS[heading.level]
    # A heading at the foot of a page would stand alone: the beginning of what it heads must go
    # with it, be that a table with its titles and a row.
    canvas.need(kind.line_mm + _KEPT_WITH_HEADING_MM)
    canvas.lines(heading.text, kind)


def _caution(canvas: Canvas, text: str) -> None:
    """Text in a frame, on each page it takes."""
    pad = _CAUTION_PAD_MM
    inner = canvas.width - 2 * pad
    lines = canvas.text.wrapped(text, BODY_BOLD, inner)
    per_page = max(1, int((canvas.page_room - 2 * pad) / BODY_BOLD.line_mm))
    for start in range(0, len(lines), per_page):
        piece = lines[start : start + per_page]
        height = len(piece) * BODY_BOLD.line_mm + 2 * pad
        canvas.need(height)
        y = canvas.y
        canvas.pdf.set_line_width(0.7)
        canvas.pdf.rect(MARGIN_MM, y, canvas.width, height)
        canvas.put(piece, BODY_BOLD, MARGIN_MM + pad, y + pad, width=inner)
        canvas.go_to(y + height)


def _picture(canvas: Canvas, picture: Picture) -> None:
    """A drawing with its words below; the words alone where it cannot be set."""
    svg = _SVG_FONT.sub("", picture.svg)
    svg = "".join(char if char.isascii() else canvas.text.shown(char, BODY) for char in svg)
    caption = len(canvas.text.wrapped(picture.alt, SMALL, canvas.width)) * SMALL.line_mm
    try:
        width, height = _picture_size(canvas, SVGObject(svg), picture, caption)
        canvas.need(height + caption + 1)
        y = canvas.y
        canvas.pdf.image(io.BytesIO(svg.encode()), x=MARGIN_MM, y=y, w=width, h=height)
    except (ValueError, KeyError, SyntaxError, FPDFException) as error:
        _caution(canvas, f"[{picture.alt}: this drawing cannot be set here ({error}).]")
        return
    canvas.go_to(y + height + 1)
    canvas.lines(picture.alt, SMALL)


def _picture_size(
    canvas: Canvas, drawing: SVGObject, picture: Picture, caption: float
) -> tuple[float, float]:
    """Width and height in millimetres: as wide as the page, unless that is too high."""
    if drawing.viewbox:
        _, _, across, up = drawing.viewbox
    elif isinstance(drawing.width, float) and isinstance(drawing.height, float):
        across, up = drawing.width, drawing.height
    else:
        raise ValueError("it has neither a viewBox nor a size")
    if across <= 0 or up <= 0:
        raise ValueError("it has no extent")
    height = min(
        canvas.width * up / across,
        picture.height_mm or canvas.page_room,
        canvas.page_room - caption - 1,
    )
    return height * across / up, height


def _attachment(canvas: Canvas, attachment: Attachment) -> None:
    digest = hashlib.sha256(attachment.data).hexdigest()
    canvas.lines(
        f"Goes with this sheet: {attachment.name} ({attachment.media_type}, "
        f"{len(attachment.data)} bytes), SHA-256 {digest}",
        SMALL,
    )
