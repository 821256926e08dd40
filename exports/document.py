"""What a document is made of, before any writer sets it.

A `Document` is a title and a row of blocks. The blocks hold text that is already worded, rounded
and in the reader's units: a writer only places it. Every record is checked at birth and raises
`DocumentError` when it could not be set as it stands.
"""

from dataclasses import dataclass
from typing import Literal

Align = Literal["left", "right", "centre"]
ParagraphStyle = Literal["plain", "caution", "small"]


class DocumentError(ValueError):
    """A block or a document that cannot be set; the message names the block and the mend."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A heading; level 1 opens a part of the document, level 2 a part of that."""

    text: str
    level: Literal[1, 2] = 1

    def __post_init__(self) -> None:
        _need_text(self.text, "the text of a heading")
        if self.level not in (1, 2):
            raise DocumentError(f"A heading has level 1 or 2, not {self.level!r}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Running text; a line feed starts a new line. A caution is set in a frame."""

    text: str
    style: ParagraphStyle = "plain"

    def __post_init__(self) -> None:
        _need_text(self.text, "the text of a paragraph")
        if self.style not in ("plain", "caution", "small"):
            raise DocumentError(
                f"A paragraph is plain, a caution or small, not {self.style!r}: choose one."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table. `unit` is None where the column holds words, counts or times.

    `weight` is the column's share of the width, against the other columns' weights.
    """

    title: str
    unit: str | None = None
    align: Align = "left"
    weight: float = 1.0

    def __post_init__(self) -> None:
        _need_text(self.title, "the title of a column")
        if self.unit is not None:
            _need_text(self.unit, f"the unit of the column {self.title!r}")
        if self.align not in ("left", "right", "centre"):
            raise DocumentError(
                f"The column {self.title!r} stands left, right or centre, not {self.align!r}."
            )
        if not self.weight > 0:
            raise DocumentError(
                f"The column {self.title!r} has the weight {self.weight!r}: give one above 0."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table; every row holds one text for each column. A table may have no rows."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        if not self.columns:
            raise DocumentError("A table needs at least one column.")
        for number, row in enumerate(self.rows, start=1):
            if len(row) != len(self.columns):
                raise DocumentError(
                    f"Row {number} of a table has {len(row)} cells for "
                    f"{len(self.columns)} columns: give one text for each column."
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyValues:
    """Key figures, each a name and a value with its unit, set large.

    One or two are set larger still where they fit; with `even` all are set in one size.
    """

    pairs: tuple[tuple[str, str], ...]
    even: bool = False

    def __post_init__(self) -> None:
        if not self.pairs:
            raise DocumentError("A block of key figures needs at least one figure.")
        for name, value in self.pairs:
            _need_text(name, "the name of a key figure")
            _need_text(value, f"the value of the key figure {name!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing as SVG text, and the words that stand for it where it cannot be set.

    `height_mm` limits the height; None lets the width of the page decide.
    """

    svg: str
    alt: str
    height_mm: float | None = None

    def __post_init__(self) -> None:
        _need_text(self.alt, "the words that stand for a picture")
        if "<svg" not in self.svg:
            raise DocumentError(f"The picture {self.alt!r} is no SVG: hand in the SVG text.")
        if self.height_mm is not None and not self.height_mm > 0:
            raise DocumentError(
                f"The picture {self.alt!r} has the height {self.height_mm!r} mm: give one above 0."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A small picture with its words: the first line is its title.

    `jpeg` None: there is no picture to show, and `missing` says why, in the frame.
    """

    jpeg: bytes | None
    width_px: int
    height_px: int
    lines: tuple[str, ...]
    missing: str = ""

    def __post_init__(self) -> None:
        if not self.lines:
            raise DocumentError("A photo needs a line that says what it is.")
        for line in self.lines:
            _need_text(line, "a line below a photo")
        if not (self.width_px > 0 and self.height_px > 0):
            raise DocumentError(f"The photo {self.lines[0]!r} has no size: give its pixels.")
        if self.jpeg is None:
            _need_text(self.missing, f"why the photo {self.lines[0]!r} is not there")


@dataclass(frozen=True, slots=True, kw_only=True)
class Photos:
    """Small pictures side by side, each with its words below."""

    photos: tuple[Photo, ...]

    def __post_init__(self) -> None:
        if not self.photos:
            raise DocumentError("A block of photos needs at least one.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """A file that goes with the document; a sheet of paper names it with its SHA-256."""

    name: str
    media_type: str
    data: bytes

    def __post_init__(self) -> None:
        _need_text(self.name, "the name of an attachment")
        if self.media_type.count("/") != 1:
            raise DocumentError(
                f"The attachment {self.name!r} has the media type {self.media_type!r}: "
                "give one like text/csv."
            )


Block = Heading | Paragraph | Table | KeyValues | Picture | Photos | Attachment


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A whole document.

    `language` is a tag like "en" or "en-US". `footer` stands at the foot of every page, and may
    be empty. `invented` is true for demonstration data: every page then says so.
    """

    title: str
    subtitle: str
    language: str
    blocks: tuple[Block, ...]
    footer: str
    invented: bool

    def __post_init__(self) -> None:
        _need_text(self.title, "the title of a document")
        _need_text(self.language, f"the language of the document {self.title!r}")
        if not self.blocks:
            raise DocumentError(f"The document {self.title!r} has no blocks: there is no page.")


def _need_text(text: str, what: str) -> None:
    if not text.strip():
        raise DocumentError(f"Text is missing: {what} is empty.")
