"""The pages of a PDF while they are set: room, what each page carries, text at its place."""

from collections.abc import Sequence
from datetime import UTC, datetime

from fpdf import FPDF

from exports.document import Align, Document
from exports.pdf_type import BAND, SMALL, Type, Typesetter

MARGIN_MM = 11.0
GAP_MM = 1.6
_FOOT_MM = 11.0
_NUMBER_MM = 32.0
_RULE_MM = 1.0
_INVENTED = "INVENTED DEMO DATA"
_ALIGN = {"left": "L", "right": "R", "centre": "C"}


class Canvas:
    """Pages that fill from the top; `width` is what lies between the margins, in millimetres."""

    def __init__(self, document: Document, paper: str, made_at: datetime, pages: int) -> None:
        self._document = document
        self._pages = pages
        self.pdf = pdf = FPDF(unit="mm", format=paper)
        pdf.set_auto_page_break(False)
        pdf.set_margin(MARGIN_MM)
        pdf.c_margin = 0
        pdf.str_alias_nb_pages = ""
        self.text = Typesetter(pdf)
        pdf.set_creation_date(made_at.astimezone(UTC))
        pdf.set_producer("triplog")
        pdf.set_title(document.title)
        pdf.set_lang(document.language)
        self.width = pdf.w - 2 * MARGIN_MM
        self._footer = self.text.wrapped(document.footer, SMALL, self.width - _NUMBER_MM)
        self._foot = pdf.h - _FOOT_MM - SMALL.line_mm * (len(self._footer) - 1)
        self._floor = self._foot - _RULE_MM - GAP_MM

    def close(self) -> None:
        """Let go of the fonts."""
        self.text.close()

    @property
    def y(self) -> float:
        """Where the next thing goes, from the top of the page."""
        return self.pdf.get_y()

    @property
    def room(self) -> float:
        """The height that is left on this page."""
        return self._floor - self.y

    @property
    def page_room(self) -> float:
        """The height that is left on a fresh page, at most."""
        band = BAND.line_mm + GAP_MM if self._document.invented else 0
        title = self.text.wrapped(self._document.title, SMALL, self.width)
        head = len(title) * SMALL.line_mm + GAP_MM
        return self._floor - MARGIN_MM - band - head

    def need(self, height_mm: float) -> None:
        """Go to a new page unless this much fits here."""
        if height_mm > self.room:
            self.new_page()

    def go_to(self, y: float) -> None:
        """The next thing goes here."""
        self.pdf.set_xy(MARGIN_MM, y)

    def space(self, height_mm: float) -> None:
        """Leave this much free."""
        self.go_to(self.y + height_mm)

    def new_page(self) -> None:
        """Go to the top of a new page, which carries band, title, footer and its number."""
        pdf = self.pdf
        pdf.add_page()
        if self._document.invented:
            pdf.set_fill_color(0)
            pdf.set_text_color(255)
            self.text.use(BAND)
            pdf.cell(self.width, BAND.line_mm, _INVENTED, align="C", fill=True)
            pdf.set_text_color(0)
            self.space(BAND.line_mm + GAP_MM)
        top = self.y
        number = f"page {pdf.page_no()} of {self._pages}"
        self.put(self._footer, SMALL, MARGIN_MM, self._foot, width=self.width - _NUMBER_MM)
        number_x = MARGIN_MM + self.width - _NUMBER_MM
        self.put([number], SMALL, number_x, self._foot, width=_NUMBER_MM, align="right")
        self.rule(self._foot - _RULE_MM, thickness_mm=0.2)
        self.go_to(top)
        if pdf.page_no() > 1:
            self.lines(self._document.title, SMALL)
            self.space(GAP_MM)

    def rule(self, y: float, *, thickness_mm: float) -> None:
        """Draw a line from margin to margin."""
        self.pdf.set_line_width(thickness_mm)
        self.pdf.line(MARGIN_MM, y, MARGIN_MM + self.width, y)

    def lines(self, text: str, kind: Type) -> None:
        """Set running text from margin to margin, over as many pages as it takes."""
        for line in self.text.wrapped(text, kind, self.width):
            self.need(kind.line_mm)
            self.put([line], kind, MARGIN_MM, self.y, width=self.width)
            self.space(kind.line_mm)

    def put(
        self,
        lines: Sequence[str],
        kind: Type,
        x: float,
        y: float,
        *,
        width: float,
        align: Align = "left",
    ) -> None:
        """Put lines that fit, as `Typesetter` gives them, at a place; the next place stays."""
        before = self.y
        self.text.use(kind)
        for number, line in enumerate(lines):
            self.pdf.set_xy(x, y + number * kind.line_mm)
            self.pdf.cell(width, kind.line_mm, line, align=_ALIGN[align])
        self.go_to(before)
