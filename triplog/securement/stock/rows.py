"""From one row of a list to the gear it tells of, or to what to write instead.

A row is understood whole or not at all. Numbers keep what was typed; a bare number takes the unit
of its heading. What may be read two ways is asked, never guessed.
"""

import re
from dataclasses import dataclass
from itertools import pairwise

from triplog.securement.model import PlanRefused
from triplog.securement.plan_names import PLAN_FORMAT
from triplog.securement.plan_read import plan_from_document
from triplog.securement.quantity import (
    EXAMPLES,
    Dimension,
    Quantity,
    QuantityRefused,
    parse,
)
from triplog.securement.stock.columns import QUANTITIES, Column
from triplog.securement.stock.lines import Cell, Record, is_foreign, shown
from triplog.securement.stock.words import (
    KIND_ASKED,
    READERS,
    UNKNOWN,
    Item,
    WordRefused,
    numbered,
)

_SEPARATOR_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_STRAPS = ("ratchet strap", "winch strap")
_SIZED = ("chain", "wire rope", "cordage")
_SMALL_UNITS = ("in", "mm", "cm")
_BARE = re.compile(r"[\d.,/ -]*\d")
_DECIMAL_COMMA = re.compile(r"\d,(?!\d{3}(?!\d))\d")
_COMMA = re.compile(r"\d,\d{3}(?!\d)")
_DOTTED_THOUSANDS = re.compile(r"(?<![\d.])\d{1,3}\.\d{3}(?![\d.])")
_HALF_A_NUMBER = re.compile(r"\d{1,3}")
_OTHER_HALF = re.compile(r"\d{3}(?!\d)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Why a row is not understood; `column` None: the row as a whole."""

    line: int
    column: str | None
    found: str
    why: str
    write: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A row understood: the gear of `labels`, all alike, with `item` as a plan's [[gear]] table.

    `standing` None: the list does not say; `inspect_by` a day as 2026-01-31; `note` what other
    columns said.
    """

    first_line: int
    last_line: int
    labels: tuple[str, ...]
    item: Item
    standing: str | None = None
    inspect_by: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotUnderstood:
    """A row not understood, with its own text and everything that stands in the way."""

    first_line: int
    last_line: int
    raw: str
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How rows are read; `kind`: of rows that name none, None: they must.

    `comma_decimals`: commas stand before decimals; `comma_doubtful`: nobody said so, and somewhere
    in the list one does.
    """

    columns: tuple[Column, ...]
    separator: str
    kind: str | None
    comma_decimals: bool
    comma_doubtful: bool


class _RowRefused(Exception):
    """A cell that is not understood."""

    def __init__(self, column: str | None, found: str, why: str, write: str) -> None:
        super().__init__(why)
        self.column, self.found, self.why, self.write = column, found, why, write


def has_decimal_comma(columns: tuple[Column, ...], record: Record) -> bool:
    """Whether a comma in a quantity of the row stands before other than three digits."""
    return any(
        column.field in QUANTITIES and _DECIMAL_COMMA.search(cell.text)
        for column, cell in zip(columns, record.cells or (), strict=False)
    )


def read_row(record: Record, reading: Reading) -> Listed | NotUnderstood:
    """The gear of a row, or everything that stands in the way."""
    problems: list[_RowRefused] = []
    found: Listed | None = None
    try:
        cells = _cells(record, reading)
        values: dict[str, object] = {}
        for column, cell in cells:
            if column.field is None:
                continue
            try:
                value = _value(column, cell, reading)
            except _RowRefused as problem:
                problems.append(problem)
            else:
                if value is not None:
                    values[column.field] = value
        if not problems:
            found = _listed(record, reading, values, _aside(cells))
    except _RowRefused as problem:
        problems.append(problem)
    if found is not None:
        return found
    return NotUnderstood(
        first_line=record.first_line,
        last_line=record.last_line,
        raw=record.raw,
        problems=tuple(
            Problem(
                line=record.first_line,
                column=one.column,
                found=one.found,
                why=one.why,
                write=one.write,
            )
            for one in problems
        ),
    )


def _cells(record: Record, reading: Reading) -> list[tuple[Column, Cell]]:
    """The cells with their columns; refused where it is not plain which cell is which."""
    text = shown(record.raw)
    if record.cells is None:
        raise _RowRefused(
            None,
            text,
            "a quotation mark opens a cell and does not rightly close it",
            'inch marks inside quotes twice ("2"" strap"), or in instead of the mark',
        )
    if is_foreign(record.raw):
        raise _RowRefused(
            None,
            text,
            "it holds bytes that are no text in the encoding the list was read in",
            "the list in UTF-8, or name its encoding, such as cp1252",
        )
    cells, columns = list(record.cells), reading.columns
    extra = [cell for cell in cells[len(columns) :] if cell.text.strip()]
    # Where commas part cells, a comma inside a number would pass for one more cell.
    if extra or (reading.separator == "," and len(cells) != len(columns)):
        separator = _SEPARATOR_NAMES[reading.separator]
        raise _RowRefused(
            None,
            text,
            f"it has {len(cells)} cells and the headings are {len(columns)}",
            f"one cell for each heading, and quotes around a value with a {separator} in it",
        )
    paired = list(zip(columns, cells, strict=False))
    if reading.separator == ",":
        _refuse_halved(paired)
    return paired


def _refuse_halved(cells: list[tuple[Column, Cell]]) -> None:
    """Refuse 2,800 without quotes in a list with commas: it stands as 2 and as 800."""
    for (column, cell), (beside, other) in pairwise(cells):
        halves = (
            column.field in QUANTITIES
            and beside.field not in QUANTITIES
            and not (cell.quoted or other.quoted)
            and _HALF_A_NUMBER.fullmatch(cell.text.strip())
            and _OTHER_HALF.match(other.text.strip())
        )
        if halves:
            found = f"{cell.text},{other.text}"
            raise _RowRefused(
                column.heading,
                found,
                "it may be one number with a comma in it, or two cells",
                f'"{found}" in quotes, or the number without its comma',
            )


def _aside(cells: list[tuple[Column, Cell]]) -> str | None:
    """What stands in columns that mean nothing here, as a note."""
    said = [
        f"{column.heading or 'no heading'}: {' '.join(cell.text.split())}"
        for column, cell in cells
        if column.field is None and cell.text.strip()
    ]
    return "; ".join(said) or None


def _value(column: Column, cell: Cell, reading: Reading) -> object | None:
    """What one cell says; None: nothing."""
    field, text = column.field, cell.text.strip()
    assert field is not None, "a column that is read"
    unknown = field not in ("label", "damage", "note") and text.casefold() in UNKNOWN
    if not text or unknown:
        return None
    if field in QUANTITIES:
        return _quantity(column, text, reading)
    try:
        return READERS[field](text) if field in READERS else text
    except WordRefused as problem:
        raise _RowRefused(column.heading, text, problem.why, problem.write) from problem


def _quantity(column: Column, text: str, reading: Reading) -> str:
    assert column.field is not None, "a column that is read"
    dimension = QUANTITIES[column.field]
    read = _with_points(text) if reading.comma_decimals else text
    if column.unit is not None and _BARE.fullmatch(read):
        read = f"{read} {column.unit}"
    try:
        quantity = parse(read, dimension)
    except QuantityRefused as problem:
        raise _RowRefused(
            column.heading, text, problem.why, f"for example {EXAMPLES[dimension]}"
        ) from problem
    mark = None if reading.comma_decimals else _doubtful_mark(quantity, reading)
    if mark is not None:
        raise _RowRefused(
            column.heading,
            text,
            f"its {mark} may stand before decimals or between thousands",
            "the number without any mark between thousands, its decimals behind a point",
        )
    return read


def _doubtful_mark(quantity: Quantity, reading: Reading) -> str | None:
    """The mark in a number that may stand before decimals or between thousands; None: none may.

    Whoever measures in pounds and feet writes decimals behind a point.
    """
    if reading.comma_doubtful and not quantity.is_us and _COMMA.search(quantity.typed):
        return "comma"
    is_length = quantity.dimension is Dimension.LENGTH
    return "point" if not is_length and _DOTTED_THOUSANDS.search(quantity.typed) else None


def _with_points(text: str) -> str:
    """A number with a decimal comma, written with a point."""
    if "," in text:
        return text.replace(".", "").replace(",", ".")
    return _DOTTED_THOUSANDS.sub(lambda found: found[0].replace(".", ""), text)


def _listed(
    record: Record, reading: Reading, values: dict[str, object], aside: str | None
) -> Listed:
    """The row's gear, checked as a plan's gear is. Raises _RowRefused."""
    label = values.pop("label", None)
    if not isinstance(label, str):
        raise _RowRefused(
            None, shown(record.raw), "it has no label", "what is written on the piece"
        )
    count = values.pop("count", 1)
    assert isinstance(count, int), "a count is read as a whole number"
    standing, day = values.pop("standing", None), values.pop("inspect_by", None)
    notes = [text for text in (values.pop("note", None), aside) if isinstance(text, str)]
    item = _item(values, reading)
    try:
        plan_from_document({"format": PLAN_FORMAT, "gear": [{"id": label, **item}]})
    except PlanRefused as problem:
        raise _of_plan(problem, item, label, reading) from problem
    return Listed(
        first_line=record.first_line,
        last_line=record.last_line,
        labels=numbered(label, count),
        item=item,
        standing=standing if isinstance(standing, str) else None,
        inspect_by=day if isinstance(day, str) else None,
        note="; ".join(notes) or None,
    )


def _item(values: dict[str, object], reading: Reading) -> Item:
    """The fields of a plan's [[gear]] table but its id."""
    kind = values.pop("kind", reading.kind)
    if kind is None:
        raise _RowRefused(None, "no kind", "it does not say what kind of gear it is", KIND_ASKED)
    _settle_width_and_size(kind, values)
    item: Item = {"kind": kind}
    hooks = {"kind": values.pop("hooks", None), "wll": values.pop("hooks_wll", None)}
    fitting = {name: value for name, value in hooks.items() if value is not None}
    tightener = {"kind": values.pop("tensioner", None), "wll": values.pop("tensioner_wll", None)}
    tensioner = {name: value for name, value in tightener.items() if value is not None}
    item |= values
    if fitting:
        item["fittings"] = [fitting, dict(fitting)]
    if tensioner:
        item["tensioner"] = tensioner
    return item


def _settle_width_and_size(kind: object, values: dict[str, object]) -> None:
    """Webbing has a width, chain and rope a size; a list may call either by the other's name."""
    for kinds, wanted, other in ((_STRAPS, "width", "size"), (_SIZED, "size", "width")):
        text = values.get(other)
        if kind not in kinds or not isinstance(text, str):
            continue
        if wanted in values or parse(text, Dimension.LENGTH).unit not in _SMALL_UNITS:
            raise _RowRefused(
                None, text, f"a {kind} has a {wanted}, no {other}", f"its {wanted}, such as 2 in"
            )
        values[wanted] = values.pop(other)


def _of_plan(problem: PlanRefused, item: Item, label: str, reading: Reading) -> _RowRefused:
    """What the plan's reader refused, told of the column it came from."""
    field = problem.where.removeprefix("gear[0].").split(".")[0].split("[")[0]
    field = {"id": "label", "fittings": "hooks"}.get(field, field)
    heading = next((one.heading for one in reading.columns if one.field == field), None)
    found = label if field == "label" else str(item.get(field, ""))
    return _RowRefused(heading, found, str(problem).partition(": ")[2], "what the piece is")
