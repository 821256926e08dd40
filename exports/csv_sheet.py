"""Tables as CSV (RFC 4180), written row by row, that a spreadsheet shows and never runs.

A spreadsheet takes a cell that begins with = + - @, a tab or a line break for a formula. Such a
text gets a leading apostrophe; a number stays a number, a negative one too. A column that holds
figures carries its unit in its name, so that no figure leaves without one.
"""

import csv
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import islice
from operator import itemgetter
from typing import Any, Literal, TextIO

Cell = str | int | Decimal | None
Kind = Literal["text", "figure", "count"]

# The full-width forms are folded to the plain ones by some spreadsheets.
_FORMULA_STARTS = frozenset("=+-@\t\r\n＝＋－＠")
_FIRST: Callable[[Any], Any] = itemgetter(0)
_BATCH_ROWS = 500
_PLAIN_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")


class CsvError(ValueError):
    """A column or a cell that cannot be written; the message names it and the mend."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CsvColumn:
    """A column of a CSV table.

    `kind` is "text" (words, ids, times), "figure" (a number with a unit) or "count" (a number
    that has none: how many, which line, which entry). `unit` is None for text and counts. A
    figure or a count is an int, a Decimal or a plain decimal text like "-12.50"; None leaves any
    cell empty.
    """

    name: str
    kind: Kind = "text"
    unit: str | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise CsvError("A column has no name: give it one.")
        if self.kind not in ("text", "figure", "count"):
            raise CsvError(
                f"The column {self.name!r} is text, a figure or a count, not {self.kind!r}."
            )
        if self.kind == "figure" and not (self.unit and self.unit.strip()):
            raise CsvError(
                f"The column {self.name!r} holds figures without a unit: name the unit, "
                "or declare the column a count."
            )
        if self.kind != "figure" and self.unit is not None:
            raise CsvError(
                f"The column {self.name!r} is a {self.kind} and has the unit {self.unit!r}: "
                "declare it a figure, or leave the unit out."
            )

    @property
    def title(self) -> str:
        """The name as it stands in the first row, the unit behind it: `mass_kg`."""
        return f"{self.name}_{self.unit}" if self.unit else self.name


def write_csv(columns: Sequence[CsvColumn], rows: Iterable[Sequence[Cell]], out: TextIO) -> None:
    """Write the names and every row to `out`, a few hundred rows at a time.

    `out` must be opened with `newline=""`, so that the line ends stay CRLF. Raises `CsvError` for
    a row of another length, a number among text, or a figure that is no plain number; rows
    before it may then already be written.
    """
    if not columns:
        raise CsvError("A table needs at least one column.")
    titles = [column.title for column in columns]
    if len(set(titles)) != len(titles):
        raise CsvError(f"Two columns have the same name: {', '.join(titles)}.")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_guarded(title) for title in titles])
    source = iter(rows)
    before = 0
    while batch := list(islice(source, _BATCH_ROWS)):
        writer.writerows(_checked(columns, batch, before))
        before += len(batch)


def _checked(
    columns: Sequence[CsvColumn], batch: list[Sequence[Cell]], before: int
) -> Iterable[Sequence[Cell]]:
    """The batch with its formula starts guarded; `before` rows came earlier.

    A big log is checked column by column, in calls that loop in C; only a column with something
    to mend is walked cell by cell.
    """
    width = len(columns)
    if set(map(len, batch)) != {width}:
        number, row = next(pair for pair in enumerate(batch, start=1) if len(pair[1]) != width)
        raise CsvError(
            f"Row {before + number} has {len(row)} cells for {width} columns: give one for each."
        )
    mended: dict[int, list[Cell]] = {}
    cells_by_column = list(zip(*batch, strict=True))
    for index, (column, cells) in enumerate(zip(columns, cells_by_column, strict=True)):
        if column.kind == "text":
            if not _is_harmless(cells):
                mended[index] = [
                    _guarded_cell(cell, column, before + number)
                    for number, cell in enumerate(cells, start=1)
                ]
        elif not set(map(type, cells)) <= {int, type(None)}:
            for number, cell in enumerate(cells, start=1):
                _need_number(cell, column, before + number)
    if not mended:
        return batch
    return zip(
        *(mended.get(index, cells) for index, cells in enumerate(cells_by_column)), strict=True
    )


def _is_harmless(cells: Sequence[Cell]) -> bool:
    """Whether no cell begins like a formula; False as well if one of them is no text."""
    try:
        return _FORMULA_STARTS.isdisjoint(map(_FIRST, filter(None, cells)))
    except TypeError:
        return False


def _guarded_cell(cell: Cell, column: CsvColumn, number: int) -> Cell:
    if cell is None:
        return None
    if not isinstance(cell, str):
        raise CsvError(
            f"Row {number} has the number {cell!r} in the text column {column.title!r}: "
            "declare the column a figure or a count, or hand in text."
        )
    return _guarded(cell)


def _guarded(text: str) -> str:
    return f"'{text}" if text[:1] in _FORMULA_STARTS else text


def _need_number(cell: Cell, column: CsvColumn, number: int) -> None:
    if cell is None or (isinstance(cell, int) and not isinstance(cell, bool)):
        return
    if isinstance(cell, Decimal) and cell.is_finite():
        return
    if isinstance(cell, str) and _PLAIN_NUMBER.fullmatch(cell):
        return
    raise CsvError(
        f"Row {number} has {cell!r} in the {column.kind} column {column.title!r}: "
        "hand in a whole number, a Decimal or a plain decimal text."
    )
