"""Setting the blocks of a document on pages. Loads the PDF library: import it when needed."""

import hashlib
import io
import re
from collections.abc import Callable, Sequence
from contextlib import closing
from datetime import UTC, datetime
from typing import assert_never

from fpdf import FPDF
from fpdf.errors import FPDFException
from fpdf.svg import SVGObject

from exports.document import (
    Align,
    Attachment,
    Block,
    Document,
    Heading,
    KeyValues,
    Paragraph,
    Picture,
    Table,
)
from exports.pdf_type import BAND, BODY, BODY_BOLD, FIGURE, HEADINGS, SMALL, TITLE, Type, Typesetter

_MARGIN_MM = 15.0
_FOOT_MM = 14.0
_GAP_MM = 2.5
_CELL_PAD_MM = 1.5
_KEPT_WITH_HEADING_MM = 32.0
_INVENTED = "INVENTED DEMO DATA"
_ALIGN = {"left": "L", "right": "R", "centre": "C"}
# A family or a slant that is not embedded would stop the drawing; there is one font.
_SVG_FONT = re.compile(r"""\sfont-(?:family|style)\s*=\s*("[^"]*"|'[^']*')""")


def set_pages(document: Document, paper: str, made_at: datetime) -> tuple[bytes, int]:
    """The bytes of the PDF and its number of pages; `paper` is "letter" or "a4"."""
    # Set twice: the first time only counts the pages, for "page 1 of 3".
    with closing(_Setter(document, paper, made_at, pages=0)) as setter:
        pages = setter.set_all().page_no()
    with closing(_Setter(document, paper, made_at, pages=pages)) as setter:
        return bytes(setter.set_all().output()), pages


class _Setter:
    """Places one block after the other from the top of the page to its foot."""

    def __init__(self, document: Document, paper: str, made_at: datetime, pages: int) -> None:
        self._document = document
        self._pages = pages
        self._pdf = pdf = FPDF(unit="mm", format=paper)
        pdf.set_auto_page_break(False)
        pdf.set_margin(_MARGIN_MM)
        pdf.c_margin = 0
        pdf.str_alias_nb_pages = ""
        self._text = Typesetter(pdf)
        pdf.set_creation_date(made_at.astimezone(UTC))
        pdf.set_producer("triplog")
        pdf.set_title(document.title)
        pdf.set_lang(document.language)
        self._width = pdf.w - 2 * _MARGIN_MM
        self._footer_lines = self._text.wrapped(document.footer, SMALL, self._width - 35)
        self._foot = pdf.h - _FOOT_MM - SMALL.line_mm * max(1, len(self._footer_lines))

    def set_all(self) -> FPDF:
        """Set every block; the answer is the finished PDF."""
        self._new_page()
        self._lines(self._document.title, TITLE)
        if self._document.subtitle.strip():
            self._lines(self._document.subtitle, BODY)
        self._space(_GAP_MM)
        for block in self._document.blocks:
            self._set(block)
            self._space(_GAP_MM)
        return self._pdf

    def close(self) -> None:
        """Let go of the fonts."""
        self._text.close()

    def _set(self, block: Block) -> None:
        match block:
            case Heading():
                self._heading(block)
            case Paragraph(style="caution"):
                self._caution(block.text)
            case Paragraph():
                self._lines(block.text, SMALL if block.style == "small" else BODY)
            case KeyValues():
                self._key_values(block)
            case Table():
                self._table(block)
            case Picture():
                self._picture(block)
            case Attachment():
                self._attachment(block)
            case _:
                assert_never(block)

    # Pages

    def _new_page(self) -> None:
        pdf = self._pdf
        pdf.add_page()
        if self._document.invented:
            pdf.set_fill_color(0)
            pdf.set_text_color(255)
            self._text.use(BAND)
            pdf.cell(self._width, BAND.line_mm, _INVENTED, align="C", fill=True)
            pdf.set_text_color(0)
            pdf.set_xy(_MARGIN_MM, pdf.get_y() + BAND.line_mm + _GAP_MM)
        top = pdf.get_y()
        self._text.use(SMALL)
        foot = pdf.h - _FOOT_MM - SMALL.line_mm * (max(1, len(self._footer_lines)) - 1)
        for number, line in enumerate(self._footer_lines):
            pdf.set_xy(_MARGIN_MM, foot + number * SMALL.line_mm)
            pdf.cell(self._width - 35, SMALL.line_mm, line)
        pdf.set_xy(_MARGIN_MM + self._width - 35, foot)
        pdf.cell(35, SMALL.line_mm, f"page {pdf.page_no()} of {self._pages}", align="R")
        pdf.set_line_width(0.2)
        pdf.line(_MARGIN_MM, foot - 1, _MARGIN_MM + self._width, foot - 1)
        pdf.set_xy(_MARGIN_MM, top)
        if pdf.page_no() > 1:
            self._lines(self._document.title, SMALL)
            self._space(_GAP_MM)

    def _room(self) -> float:
        return self._foot - self._pdf.get_y()

    def _page_room(self) -> float:
        """The height that is left on a fresh page, at most."""
        band = BAND.line_mm + _GAP_MM if self._document.invented else 0
        title = self._text.wrapped(self._document.title, SMALL, self._width)
        head = len(title) * SMALL.line_mm + _GAP_MM
        return self._foot - _MARGIN_MM - band - head

    def _need(self, height_mm: float) -> bool:
        """Go to a new page unless this much fits here; whether it did."""
        if height_mm <= self._room():
            return False
        self._new_page()
        return True

    def _space(self, height_mm: float) -> None:
        self._pdf.set_xy(_MARGIN_MM, self._pdf.get_y() + height_mm)

    # Text

    def _lines(self, text: str, kind: Type) -> None:
        for line in self._text.wrapped(text, kind, self._width):
            self._need(kind.line_mm)
            self._text.use(kind)
            self._pdf.cell(self._width, kind.line_mm, line)
            self._space(kind.line_mm)

    def _put(
        self,
        lines: Sequence[str],
        kind: Type,
        x: float,
        y: float,
        *,
        width: float,
        align: Align = "left",
    ) -> None:
        self._text.use(kind)
        for number, line in enumerate(lines):
            self._pdf.set_xy(x, y + number * kind.line_mm)
            self._pdf.cell(width, kind.line_mm, line, align=_ALIGN[align])

    def _heading(self, heading: Heading) -> None:
        kind = HEADINGS[heading.level]
        # A heading at the foot of a page would stand alone: the beginning of what it heads must
        # go with it, be that a table with its titles and a row.
        self._need(kind.line_mm + _KEPT_WITH_HEADING_MM)
        self._lines(heading.text, kind)

    def _caution(self, text: str) -> None:
        pad = 2.0
        lines = self._text.wrapped(text, BODY_BOLD, self._width - 2 * pad)
        per_page = max(1, int((self._page_room() - 2 * pad) / BODY_BOLD.line_mm))
        for start in range(0, len(lines), per_page):
            piece = lines[start : start + per_page]
            height = len(piece) * BODY_BOLD.line_mm + 2 * pad
            self._need(height)
            y = self._pdf.get_y()
            self._pdf.set_line_width(0.7)
            self._pdf.rect(_MARGIN_MM, y, self._width, height)
            self._put(piece, BODY_BOLD, _MARGIN_MM + pad, y + pad, width=self._width - 2 * pad)
            self._pdf.set_xy(_MARGIN_MM, y + height)

    # Figures and tables

    def _key_values(self, block: KeyValues) -> None:
        columns = self._figure_columns(block)
        width = self._width / columns
        for start in range(0, len(block.pairs), columns):
            row = [
                (
                    self._text.wrapped(name, BODY, width - 3),
                    self._text.wrapped(value, FIGURE, width - 3),
                )
                for name, value in block.pairs[start : start + columns]
            ]
            names = max(len(name) for name, _ in row) * BODY.line_mm
            height = names + max(len(value) for _, value in row) * FIGURE.line_mm + 1.5
            self._need(height)
            y = self._pdf.get_y()
            for index, (name, value) in enumerate(row):
                x = _MARGIN_MM + index * width
                self._put(name, BODY, x, y, width=width)
                self._put(value, FIGURE, x, y + names, width=width)
            self._pdf.set_xy(_MARGIN_MM, y + height)

    def _figure_columns(self, block: KeyValues) -> int:
        """As many columns, up to three, as leave every value on one line."""
        self._text.use(FIGURE)
        widest = max(
            self._pdf.get_string_width(self._text.shown(value, FIGURE)) for _, value in block.pairs
        )
        return next((count for count in (3, 2) if widest <= self._width / count - 3), 1)

    def _table(self, table: Table) -> None:
        titles = [
            column.title if column.unit is None else f"{column.title}\n{column.unit}"
            for column in table.columns
        ]
        widths = self._column_widths(table, titles)
        head = self._cells(titles, widths, BODY_BOLD)
        aligns = [column.align for column in table.columns]
        rows = [self._cells(row, widths, BODY) for row in table.rows]
        first = self._row_height(rows[0], BODY) if rows else 0
        self._need(min(self._row_height(head, BODY_BOLD) + first, self._page_room()))

        def set_head() -> None:
            self._row(head, widths, aligns, BODY_BOLD, line_width=0.5)

        set_head()
        for row in rows:
            self._whole_row(row, widths, aligns, set_head)

    def _column_widths(self, table: Table, titles: Sequence[str]) -> list[float]:
        """Widths by weight, but none so narrow that a word must break, where there is room."""
        least = [
            2 * _CELL_PAD_MM
            + max(
                self._text.longest_word(titles[index], BODY_BOLD),
                *(self._text.longest_word(row[index], BODY) for row in table.rows),
                0.0,
            )
            for index in range(len(titles))
        ]
        weights = [column.weight for column in table.columns]
        if sum(least) > self._width:
            least = [0.0] * len(least)
        held: set[int] = set()
        while True:
            room = self._width - sum(least[index] for index in held)
            shared = sum(weight for index, weight in enumerate(weights) if index not in held)
            widths = [
                least[index] if index in held else room * weight / shared
                for index, weight in enumerate(weights)
            ]
            narrow = {index for index, width in enumerate(widths) if width < least[index]} - held
            if not narrow or len(held | narrow) == len(weights):
                return widths
            held |= narrow

    def _cells(self, texts: Sequence[str], widths: Sequence[float], kind: Type) -> list[list[str]]:
        return [
            self._text.wrapped(text, kind, width - 2 * _CELL_PAD_MM)
            for text, width in zip(texts, widths, strict=True)
        ]

    def _row_height(self, cells: Sequence[Sequence[str]], kind: Type) -> float:
        return max(1, *(len(cell) for cell in cells)) * kind.line_mm + 1.2

    def _whole_row(
        self,
        cells: Sequence[Sequence[str]],
        widths: Sequence[float],
        aligns: Sequence[Align],
        set_head: Callable[[], None],
    ) -> None:
        """Set a row on one page; only a row higher than a page goes on to the next."""
        rest = [list(cell) for cell in cells]
        while True:
            height = self._row_height(rest, BODY)
            if height <= self._room():
                self._row(rest, widths, aligns, BODY, line_width=0.15)
                return
            if height > self._page_room() - 3 * BODY_BOLD.line_mm:
                fitting = int((self._room() - 1.2) / BODY.line_mm)
                if fitting >= 3:
                    piece = [cell[:fitting] for cell in rest]
                    self._row(piece, widths, aligns, BODY, line_width=0.15)
                    rest = [cell[fitting:] for cell in rest]
            self._new_page()
            set_head()

    def _row(
        self,
        cells: Sequence[Sequence[str]],
        widths: Sequence[float],
        aligns: Sequence[Align],
        kind: Type,
        line_width: float,
    ) -> None:
        pdf = self._pdf
        x, y = _MARGIN_MM, pdf.get_y()
        for cell, width, align in zip(cells, widths, aligns, strict=True):
            self._put(
                cell, kind, x + _CELL_PAD_MM, y + 0.6, width=width - 2 * _CELL_PAD_MM, align=align
            )
            x += width
        bottom = y + self._row_height(cells, kind)
        pdf.set_line_width(line_width)
        pdf.line(_MARGIN_MM, bottom, _MARGIN_MM + self._width, bottom)
        pdf.set_xy(_MARGIN_MM, bottom)

    # Pictures and attachments

    def _picture(self, picture: Picture) -> None:
        svg = _SVG_FONT.sub("", picture.svg)
        svg = "".join(char if char.isascii() else self._text.shown(char, BODY) for char in svg)
        caption = len(self._text.wrapped(picture.alt, SMALL, self._width)) * SMALL.line_mm
        try:
            width, height = self._picture_size(SVGObject(svg), picture, caption)
            self._need(height + caption + 1)
            y = self._pdf.get_y()
            self._pdf.image(io.BytesIO(svg.encode()), x=_MARGIN_MM, y=y, w=width, h=height)
        except (ValueError, KeyError, SyntaxError, FPDFException) as error:
            self._caution(f"[{picture.alt}: this drawing cannot be set here ({error}).]")
            return
        self._pdf.set_xy(_MARGIN_MM, y + height + 1)
        self._lines(picture.alt, SMALL)

    def _picture_size(
        self, drawing: SVGObject, picture: Picture, caption: float
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
            self._width * up / across,
            picture.height_mm or self._page_room(),
            self._page_room() - caption - 1,
        )
        return height * across / up, height

    def _attachment(self, attachment: Attachment) -> None:
        digest = hashlib.sha256(attachment.data).hexdigest()
        self._lines(
            f"Goes with this sheet: {attachment.name} ({attachment.media_type}, "
            f"{len(attachment.data)} bytes), SHA-256 {digest}",
            SMALL,
        )
