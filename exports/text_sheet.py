"""A document as plain text, for a screen, a message, or a printer that knows nothing else.

UTF-8, lines of at most 100 characters where words allow it, each ended by one line feed. A picture
is told by the words that stand for it. Control characters stand as their codes.
"""

import hashlib
from collections.abc import Iterator
from textwrap import wrap

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

WIDTH = 100
_GAP = 2
_COLUMN_MIN = 4


def text_of(document: Document) -> str:
    """The whole document as text."""
    lines = [document.title, "=" * len(document.title), *_fitted(document.subtitle)]
    if document.invented:
        lines.append("INVENTED DATA: nothing here happened.")
    for block in document.blocks:
        lines += ["", *_lines(block)]
    if document.footer:
        lines += ["", "-" * WIDTH, *_fitted(document.footer)]
    return "".join(f"{line.rstrip()}\n" for line in lines)


def _lines(block: Block) -> Iterator[str]:
    match block:
        case Heading(text=text, level=level):
            shown = _printable(text)
            yield shown
            yield ("-" if level == 1 else ".") * len(shown)
        case Paragraph(text=text, style=style):
            bar = "| " if style == "caution" else ""
            for line in text.split("\n"):
                yield from (f"{bar}{part}" for part in _fitted(line, WIDTH - len(bar)))
        case KeyValues(pairs=pairs):
            for name, value in pairs:
                yield from _fitted(f"{name}: {value}")
        case Table():
            yield from _table(block)
        case Picture(alt=alt):
            yield from _fitted(f"[picture: {alt}]")
        case Photos(photos=photos):
            for photo in photos:
                why = "" if photo.jpeg is not None else f"; {photo.missing}"
                yield from _fitted(f"[photo: {'; '.join(photo.lines)}{why}]")
        case Attachment(name=name, data=data):
            yield from _fitted(f"attached: {name}, SHA-256 {hashlib.sha256(data).hexdigest()}")


def _table(table: Table) -> Iterator[str]:
    """The rows in columns by their weights; a cell that does not fit goes on below itself."""
    titles = [
        column.title if column.unit is None else f"{column.title}, {column.unit}"
        for column in table.columns
    ]
    room = WIDTH - _GAP * (len(titles) - 1)
    weight = sum(column.weight for column in table.columns)
    widths = [max(_COLUMN_MIN, int(room * one.weight / weight)) for one in table.columns]
    longest = [max(map(len, cells)) for cells in zip(titles, *map(_plain, table.rows), strict=True)]
    widths = [min(pair) for pair in zip(widths, longest, strict=True)]
    for number, row in enumerate((tuple(titles), *table.rows)):
        cells = [_fitted(cell, width) or [""] for cell, width in zip(row, widths, strict=True)]
        for line in range(max(map(len, cells))):
            parts = [cell[line] if line < len(cell) else "" for cell in cells]
            padded = (part.ljust(width) for part, width in zip(parts, widths, strict=True))
            yield (" " * _GAP).join(padded)
        if number == 0:
            yield (" " * _GAP).join("-" * width for width in widths)


def _plain(row: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(map(_printable, row))


def _fitted(text: str, width: int = WIDTH) -> list[str]:
    return wrap(_printable(text), max(width, 1), break_on_hyphens=False)


def _printable(text: str) -> str:
    return "".join(
        char if char.isprintable() else " " if char in "\n\t" else f"\\u{ord(char):04x}"
        for char in text
    )
