"""From the bytes of a list to its records: encodings, line ends, quotes, the separator.

A list written by a spreadsheet is CSV (RFC 4180); one written by hand has an inch mark where a
quote should be, or a quote that nobody closed. A record keeps the lines it came from, so that every
line of the list can be answered for.
"""

import codecs
import re
from dataclasses import dataclass

SEPARATORS = (",", ";", "\t", "|")
_QUOTE = '"'
# A quote open for longer than this was never closed: the rest of the list is no single cell.
_QUOTED_LINES_MAX = 20
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)


class ListRefused(ValueError):
    """A list that cannot be read at all; the message says what to write instead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell; `quoted`: it stood in quotes."""

    text: str
    quoted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """One row of the list with the lines it takes; `raw` is their text, line ends included.

    `cells` None: a quote was opened and never rightly closed, so where cells end is not known.
    """

    first_line: int
    last_line: int
    raw: str
    cells: tuple[Cell, ...] | None

    @property
    def is_blank(self) -> bool:
        """Whether nothing stands in it."""
        return self.cells is not None and not any(cell.text.strip() for cell in self.cells)


def text_of_list(data: bytes, encoding: str | None = None) -> str:
    """The text of a list; bytes that are none in its encoding stay in it as half characters.

    `encoding` None: by the list's own mark, else UTF-8. Raises ListRefused for an encoding that
    there is none of, and for bytes that are no text.
    """
    for mark, named in _MARKS:
        if data.startswith(mark):
            encoding, data = named, data.removeprefix(mark)
            break
    if encoding is None and b"\0" in data:
        raise ListRefused(
            "the list holds zero bytes: it is no text, or text in UTF-16. Save it as CSV in UTF-8,"
            " or name its encoding, such as utf-16-le"
        )
    try:
        return data.decode(encoding or "utf-8", "surrogateescape")
    except LookupError:
        raise ListRefused(
            f"there is no encoding {encoding!r}; write for example utf-8 or cp1252"
        ) from None
    except UnicodeError as problem:
        raise ListRefused(
            f"the list is no text in {encoding} (at byte {getattr(problem, 'start', 0)}); save it"
            " as CSV in UTF-8"
        ) from problem


def is_foreign(text: str) -> bool:
    """Whether bytes in it are no text in the encoding the list was read in."""
    return any("\ud800" <= character <= "\udfff" for character in text)


def shown(text: str, characters_max: int = 60) -> str:
    """The beginning of a text on one line, fit to be printed."""
    line = " ".join(text.split())[:characters_max]
    return "".join("\N{REPLACEMENT CHARACTER}" if is_foreign(one) else one for one in line)


def lines_of(text: str) -> list[str]:
    """The lines with their ends: CRLF, LF or CR, and nothing else that looks like one."""
    return _LINE.findall(text)


def records_of(lines: list[str], separator: str) -> list[Record]:
    """All records, in order; together they take every line exactly once."""
    records = []
    place = 0
    while place < len(lines):
        record = _record(lines, place, separator)
        records.append(record)
        place = record.last_line
    return records


def _record(lines: list[str], place: int, separator: str) -> Record:
    """The record that begins at a line; one line without cells where its quotes do not close."""
    cells: list[Cell] = []
    at, last = 0, place
    line = lines[place]
    while True:
        if line.startswith(_QUOTE, at):
            found = _quoted(lines, last, at)
            if found is None:
                return _of(lines, place, place, None)
            text, last, at = found
            line = lines[last]
            cells.append(Cell(text=text, quoted=True))
            if line[at:].strip("\r\n") and not line.startswith(separator, at):
                return _of(lines, place, place, None)
        else:
            end = line.find(separator, at)
            end = len(line.rstrip("\r\n")) if end < 0 else end
            cells.append(Cell(text=line[at:end]))
            at = end
        if not line.startswith(separator, at):
            return _of(lines, place, last, tuple(cells))
        at += len(separator)


def _of(lines: list[str], first: int, last: int, cells: tuple[Cell, ...] | None) -> Record:
    return Record(
        first_line=first + 1,
        last_line=last + 1,
        raw="".join(lines[first : last + 1]),
        cells=cells,
    )


def _quoted(lines: list[str], place: int, at: int) -> tuple[str, int, int] | None:
    """A quoted cell's text, the line it ends in and the place after it; None: it does not end."""
    text = ""
    start = at + 1
    for number in range(place, min(place + _QUOTED_LINES_MAX, len(lines))):
        line = lines[number]
        while (end := line.find(_QUOTE, start)) >= 0:
            text += line[start:end]
            if not line.startswith(_QUOTE, end + 1):
                return text, number, end + 1
            text += _QUOTE
            start = end + 2
        text += line[start:]
        start = 0
    return None
