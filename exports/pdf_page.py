"""Setting the blocks of a document on pages. Loads the PDF library: import it when needed."""

import hashlib
import io
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import assert_never

from fpdf import FPDF
from fpdf.errors import FPDFException
from fpdf.fonts import TTFFont
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
from exports.pdf_sheet import Paper, SheetError

_FONTS = Path(__file__).parent / "fonts"
_FAMILY = "sans-serif"
_MARGIN_MM = 15.0
_FOOT_MM = 14.0
_BAND_MM = 8.0
_GAP_MM = 2.5
_INVENTED = "INVENTED DEMO DATA"
_ALIGN = {"left": "L", "right": "R", "centre": "C"}
# A family or a slant that is not embedded would stop the drawing; there is one font.
_SVG_FONT = re.compile(r"""\sfont-(?:family|style)\s*=\s*("[^"]*"|'[^']*')""")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Type:
    """A size of type in points, its line height in millimetres, and whether it is bold."""

    points: float
    line_mm: float
    bold: bool = False


_TITLE = _Type(points=18, line_mm=8.5, bold=True)
_HEADINGS = {1: _Type(points=14, line_mm=7, bold=True), 2: _Type(points=12, line_mm=6, bold=True)}
_BODY = _Type(points=11, line_mm=5.2)
_BODY_BOLD = _Type(points=11, line_mm=5.2, bold=True)
_FIGURE = _Type(points=15, line_mm=7, bold=True)
_SMALL = _Type(points=9, line_mm=4.3)
_BAND = _Type(points=12, line_mm=_BAND_MM, bold=True)


def set_pages(document: Document, paper: Paper, made_at: datetime) -> tuple[bytes, int]:
    """The bytes of the PDF and its number of pages."""
    # Set twice: the first time only counts the pages, for "page 1 of 3".
    pages = _Setter(document, paper, made_at, pages=0).set_all().page_no()
    pdf = _Setter(document, paper, made_at, pages=pages).set_all()
    return bytes(pdf.output()), pages


class _Setter:
    """Places one block after the other from the top of the page to its foot."""

    def __init__(self, document: Document, paper: Paper, made_at: datetime, pages: int) -> None:
        self._document = document
        self._pages = pages
        self._pdf = pdf = FPDF(unit="mm", format=paper)
        pdf.set_auto_page_break(False)
        pdf.set_margin(_MARGIN_MM)
        pdf.c_margin = 0
        pdf.str_alias_nb_pages = ""
        pdf.add_font(_FAMILY, "", _FONTS / "DejaVuSans.ttf")
        pdf.add_font(_FAMILY, "B", _FONTS / "DejaVuSans-Bold.ttf")
        pdf.set_creation_date(made_at.astimezone(UTC))
        pdf.set_producer("triplog")
        pdf.set_title(document.title)
        pdf.set_lang(document.language)
        self._width = pdf.w - 2 * _MARGIN_MM
        self._footer_lines = self._wrapped(document.footer, _SMALL, self._width - 35)
        self._foot = pdf.h - _FOOT_MM - _SMALL.line_mm * max(1, len(self._footer_lines))

    def set_all(self) -> FPDF:
        """Set every block; the answer is the finished PDF."""
        self._new_page()
        self._lines(self._document.title, _TITLE)
        if self._document.subtitle.strip():
            self._lines(self._document.subtitle, _BODY)
        self._space(_GAP_MM)
        for block in self._document.blocks:
            self._set(block)
            self._space(_GAP_MM)
        return self._pdf

    def _set(self, block: Block) -> None:
        match block:
            case Heading():
                self._heading(block)
            case Paragraph(style="caution"):
                self._caution(block.text)
            case Paragraph():
                self._lines(block.text, _SMALL if block.style == "small" else _BODY)
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
            self._type(_BAND)
            pdf.cell(self._width, _BAND_MM, _INVENTED, align="C", fill=True)
            pdf.set_text_color(0)
            pdf.set_xy(_MARGIN_MM, pdf.get_y() + _BAND_MM + _GAP_MM)
        top = pdf.get_y()
        self._type(_SMALL)
        foot = pdf.h - _FOOT_MM - _SMALL.line_mm * (max(1, len(self._footer_lines)) - 1)
        for number, line in enumerate(self._footer_lines):
            pdf.set_xy(_MARGIN_MM, foot + number * _SMALL.line_mm)
            pdf.cell(self._width - 35, _SMALL.line_mm, line)
        pdf.set_xy(_MARGIN_MM + self._width - 35, foot)
        pdf.cell(35, _SMALL.line_mm, f"page {pdf.page_no()} of {self._pages}", align="R")
        pdf.set_line_width(0.2)
        pdf.line(_MARGIN_MM, foot - 1, _MARGIN_MM + self._width, foot - 1)
        pdf.set_xy(_MARGIN_MM, top)
        if pdf.page_no() > 1:
            self._lines(self._document.title, _SMALL)
            self._space(_GAP_MM)

    def _room(self) -> float:
        return self._foot - self._pdf.get_y()

    def _page_room(self) -> float:
        """The height that is left on a fresh page, at most."""
        band = _BAND_MM + _GAP_MM if self._document.invented else 0
        title = self._wrapped(self._document.title, _SMALL, self._width)
        head = len(title) * _SMALL.line_mm + _GAP_MM
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

    def _type(self, kind: _Type) -> None:
        self._pdf.set_font(_FAMILY, "B" if kind.bold else "", kind.points)

    def _shown(self, text: str, kind: _Type) -> str:
        """The text with each character that the font lacks as its code."""
        font = self._pdf.fonts[f"{_FAMILY}B" if kind.bold else _FAMILY]
        assert isinstance(font, TTFFont)
        return "".join(
            char if char.isprintable() and ord(char) in font.cmap else f"U+{ord(char):04X}"
            for char in text
        )

    def _wrapped(self, text: str, kind: _Type, width_mm: float) -> list[str]:
        """The text in lines of this width; a word longer than a line is broken."""
        self._type(kind)
        lines: list[str] = []
        for part in text.splitlines():
            line = ""
            for word in self._shown(part, kind).split(" "):
                longer = f"{line} {word}" if line else word
                if self._pdf.get_string_width(longer) <= width_mm:
                    line = longer
                    continue
                if line:
                    lines.append(line)
                *whole, line = self._broken(word, width_mm)
                lines += whole
            lines.append(line)
        return lines

    def _broken(self, word: str, width_mm: float) -> list[str]:
        pieces = [""]
        for char in word:
            if self._pdf.get_string_width(pieces[-1] + char) <= width_mm:
                pieces[-1] += char
            elif pieces[-1]:
                pieces.append(char)
            else:
                raise SheetError(
                    f"A column of {width_mm:.1f} mm is too narrow for {word[:20]!r}: use fewer "
                    "columns, or give this one more weight."
                )
        return pieces

    def _lines(self, text: str, kind: _Type) -> None:
        for line in self._wrapped(text, kind, self._width):
            self._need(kind.line_mm)
            self._type(kind)
            self._pdf.cell(self._width, kind.line_mm, line)
            self._space(kind.line_mm)

    def _put(
        self, lines: Sequence[str], kind: _Type, x: float, y: float, width: float, align: Align
    ) -> None:
        self._type(kind)
        for number, line in enumerate(lines):
            self._pdf.set_xy(x, y + number * kind.line_mm)
            self._pdf.cell(width, kind.line_mm, line, align=_ALIGN[align])

    def _heading(self, heading: Heading) -> None:
        kind = _HEADINGS[heading.level]
        # A heading at the foot of a page would stand alone: two lines must go with it.
        self._need(kind.line_mm + 3 * _BODY.line_mm)
        self._lines(heading.text, kind)

    def _caution(self, text: str) -> None:
        pad = 2.0
        lines = self._wrapped(text, _BODY_BOLD, self._width - 2 * pad)
        per_page = max(1, int((self._page_room() - 2 * pad) / _BODY_BOLD.line_mm))
        for start in range(0, len(lines), per_page):
            piece = lines[start : start + per_page]
            height = len(piece) * _BODY_BOLD.line_mm + 2 * pad
            self._need(height)
            y = self._pdf.get_y()
            self._pdf.set_line_width(0.7)
            self._pdf.rect(_MARGIN_MM, y, self._width, height)
            self._put(piece, _BODY_BOLD, _MARGIN_MM + pad, y + pad, self._width - 2 * pad, "left")
            self._pdf.set_xy(_MARGIN_MM, y + height)

    # Figures and tables

    def _key_values(self, block: KeyValues) -> None:
        columns = self._figure_columns(block)
        width = self._width / columns
        for start in range(0, len(block.pairs), columns):
            row = [
                (self._wrapped(name, _BODY, width - 3), self._wrapped(value, _FIGURE, width - 3))
                for name, value in block.pairs[start : start + columns]
            ]
            names = max(len(name) for name, _ in row) * _BODY.line_mm
            height = names + max(len(value) for _, value in row) * _FIGURE.line_mm + 1.5
            self._need(height)
            y = self._pdf.get_y()
            for index, (name, value) in enumerate(row):
                x = _MARGIN_MM + index * width
                self._put(name, _BODY, x, y, width, "left")
                self._put(value, _FIGURE, x, y + names, width, "left")
            self._pdf.set_xy(_MARGIN_MM, y + height)

    def _figure_columns(self, block: KeyValues) -> int:
        """As many columns, up to three, as leave every value on one line."""
        self._type(_FIGURE)
        widest = max(
            self._pdf.get_string_width(self._shown(value, _FIGURE)) for _, value in block.pairs
        )
        return next((count for count in (3, 2) if widest <= self._width / count - 3), 1)

    def _table(self, table: Table) -> None:
        total = sum(column.weight for column in table.columns)
        widths = [self._width * column.weight / total for column in table.columns]
        titles = [
            column.title if column.unit is None else f"{column.title}\n{column.unit}"
            for column in table.columns
        ]
        head = self._cells(titles, widths, _BODY_BOLD)
        aligns = [column.align for column in table.columns]
        rows = [self._cells(row, widths, _BODY) for row in table.rows]
        first = self._row_height(rows[0], _BODY) if rows else 0
        self._need(min(self._row_height(head, _BODY_BOLD) + first, self._page_room()))

        def set_head() -> None:
            self._row(head, widths, aligns, _BODY_BOLD, line_width=0.5)

        set_head()
        for row in rows:
            self._whole_row(row, widths, aligns, set_head)

    def _cells(self, texts: Sequence[str], widths: Sequence[float], kind: _Type) -> list[list[str]]:
        return [
            self._wrapped(text, kind, width - 2) for text, width in zip(texts, widths, strict=True)
        ]

    def _row_height(self, cells: Sequence[Sequence[str]], kind: _Type) -> float:
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
            height = self._row_height(rest, _BODY)
            if height <= self._room():
                self._row(rest, widths, aligns, _BODY, line_width=0.15)
                return
            if height > self._page_room() - 3 * _BODY_BOLD.line_mm:
                fitting = int((self._room() - 1.2) / _BODY.line_mm)
                if fitting >= 3:
                    piece = [cell[:fitting] for cell in rest]
                    self._row(piece, widths, aligns, _BODY, line_width=0.15)
                    rest = [cell[fitting:] for cell in rest]
            self._new_page()
            set_head()

    def _row(
        self,
        cells: Sequence[Sequence[str]],
        widths: Sequence[float],
        aligns: Sequence[Align],
        kind: _Type,
        line_width: float,
    ) -> None:
        pdf = self._pdf
        x, y = _MARGIN_MM, pdf.get_y()
        for cell, width, align in zip(cells, widths, aligns, strict=True):
            self._put(cell, kind, x + 1, y + 0.6, width - 2, align)
            x += width
        bottom = y + self._row_height(cells, kind)
        pdf.set_line_width(line_width)
        pdf.line(_MARGIN_MM, bottom, _MARGIN_MM + self._width, bottom)
        pdf.set_xy(_MARGIN_MM, bottom)

    # Pictures and attachments

    def _picture(self, picture: Picture) -> None:
        svg = _SVG_FONT.sub("", picture.svg)
        svg = "".join(char if char.isascii() else self._shown(char, _BODY) for char in svg)
        caption = len(self._wrapped(picture.alt, _SMALL, self._width)) * _SMALL.line_mm
        try:
            width, height = self._picture_size(SVGObject(svg), picture, caption)
            self._need(height + caption + 1)
            y = self._pdf.get_y()
            self._pdf.image(io.BytesIO(svg.encode()), x=_MARGIN_MM, y=y, w=width, h=height)
        except (ValueError, KeyError, SyntaxError, FPDFException) as error:
            self._caution(f"[{picture.alt}: this drawing cannot be set here ({error}).]")
            return
        self._pdf.set_xy(_MARGIN_MM, y + height + 1)
        self._lines(picture.alt, _SMALL)

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
            _SMALL,
        )
