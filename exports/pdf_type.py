"""Type for the pages of a PDF: its sizes, what the font can show, and lines that fit."""

import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from fpdf import FPDF
from fpdf.fonts import TTFFont

from exports.document import DocumentError

FAMILY = "sans-serif"
_FONTS = Path(__file__).parent / "fonts"
_LINE_END = re.compile(r"\r\n|\r|\n")
# Controls, marks of direction, private and unassigned characters: nothing a reader would see.
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Type:
    """A size of type in points, its line height in millimetres, and whether it is bold."""

    points: float
    line_mm: float
    bold: bool = False


TITLE = Type(points=18, line_mm=8, bold=True)
HEADINGS = {1: Type(points=14, line_mm=7, bold=True), 2: Type(points=12, line_mm=6, bold=True)}
BODY = Type(points=11, line_mm=5)
BODY_BOLD = Type(points=11, line_mm=5, bold=True)
CELL = Type(points=10.5, line_mm=4.2)
CELL_BOLD = Type(points=10.5, line_mm=4.2, bold=True)
MAIN_FIGURES = (
    Type(points=24, line_mm=10, bold=True),
    Type(points=19, line_mm=8.2, bold=True),
)
FIGURE = Type(points=14, line_mm=6.2, bold=True)
SMALL = Type(points=9, line_mm=3.9)
BAND = Type(points=12, line_mm=6, bold=True)


class Typesetter:
    """Measures and breaks text in the one font of a PDF."""

    def __init__(self, pdf: FPDF) -> None:
        self._pdf = pdf
        pdf.add_font(FAMILY, "", _FONTS / "DejaVuSans.ttf")
        pdf.add_font(FAMILY, "B", _FONTS / "DejaVuSans-Bold.ttf")

    def close(self) -> None:
        """Close the font files, which the library leaves open."""
        for font in self._pdf.fonts.values():
            if isinstance(font, TTFFont):
                font.ttfont.close()

    def use(self, kind: Type) -> None:
        """Set what comes next in this type."""
        self._pdf.set_font(FAMILY, "B" if kind.bold else "", kind.points)

    def shown(self, text: str, kind: Type) -> str:
        """The text with each character that the font lacks as its code."""
        font = self._pdf.fonts[f"{FAMILY}B" if kind.bold else FAMILY]
        assert isinstance(font, TTFFont)
        return "".join(
            char
            if ord(char) in font.cmap and unicodedata.category(char) not in _UNSEEN
            else f"U+{ord(char):04X}"
            for char in text
        )

    def width_of(self, text: str, kind: Type) -> float:
        """The width in millimetres of the text on one line."""
        self.use(kind)
        return self._pdf.get_string_width(self.shown(text, kind))

    def wrapped(self, text: str, kind: Type, width_mm: float) -> list[str]:
        """The text in lines of this width; a word longer than a line is broken."""
        self.use(kind)
        lines: list[str] = []
        for part in _LINE_END.split(text):
            line = ""
            for word in self.shown(part.rstrip(" "), kind).split(" "):
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
                raise DocumentError(
                    f"A column of {width_mm:.1f} mm is too narrow for {word[:20]!r}: use fewer "
                    "columns, or give this one more weight."
                )
        return pieces

    def longest_word(self, text: str, kind: Type) -> float:
        """The width in millimetres of the widest word."""
        return max(self.width_of(word, kind) for word in _LINE_END.sub(" ", text).split(" "))

    def longest_line(self, text: str, kind: Type) -> float:
        """The width in millimetres of the widest line, broken only where the text breaks."""
        return max(self.width_of(line.rstrip(" "), kind) for line in _LINE_END.split(text))
