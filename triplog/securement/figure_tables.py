"""Reading and checking the tables of published figures: one CSV each, in `figures/`.

A row carries its source, clause, edition and how sure we are of it (read, second-hand, memory).
A table with an unknown source, a blank clause, a doubled key, a value out of range or a missing
column is not used at all.
"""

import csv
import hashlib
import io
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from importlib.resources.abc import Traversable

from triplog.securement.finding import Citation
from triplog.securement.quantity import UNITS, Dimension

_PROVENANCE = ("source", "clause", "edition", "how_sure", "valid_from", "valid_to", "note")


class FiguresBroken(ValueError):
    """A table of figures that cannot be used; names the file, the line and the column."""

    def __init__(self, file: str, line: int, column: str, why: str) -> None:
        super().__init__(
            f"{file}, line {line}, column {column}: {why}. Put back the file as it was installed."
        )
        self.file, self.line, self.column = file, line, column


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One checked row: cells as printed, with the citation that belongs to them."""

    cells: Mapping[str, str]
    numbers: Mapping[str, Fraction]
    citation: Citation
    valid_to: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The checked rows of one CSV file, and those not ended; `figures` are these by their id.

    `figures` is empty for a table whose rows have no id of their own.
    """

    name: str
    rows: tuple[Row, ...]
    open_rows: tuple[Row, ...]
    figures: Mapping[str, Row]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Layout:
    """The key columns, the number columns with the most each may say, and whose table it is.

    All numbers are above zero; in an `optional` column a cell may be blank. `rule_sets` are those
    whose digest covers the table.
    """

    key: tuple[str, ...]
    numbers: Mapping[str, int]
    optional: frozenset[str] = frozenset()
    rule_sets: tuple[str, ...] = ("us-393",)


_EN = ("en-12195-1",)
_RATING = {"wll_kg": 50_000, "wll_lb": 110_000}
_SIZE = {"size_mm": 100, "size_in": 4}
_WIDTH = {"width_mm": 150, "width_in": 6}
_LAYOUTS: dict[str, _Layout] = {
    "accelerations": _Layout(
        key=("against", "direction"), numbers={"g": 2}, rule_sets=("us-393", "static")
    ),
    "au_angle_effect": _Layout(key=("effect",), numbers={"effect": 1}, rule_sets=("au-lrg",)),
    "au_pretension": _Layout(
        key=("gear", "tensioner", "size"),
        numbers={"from_mm": 100, "to_mm": 100, "kgf": 5_000},
        optional=frozenset({"from_mm", "to_mm"}),
        rule_sets=("au-lrg",),
    ),
    "ca_scope": _Layout(
        key=("place", "compared"), numbers={"mass_kg": 10_000}, rule_sets=("ca-nsc10",)
    ),
    "chain": _Layout(
        key=("size_mm", "size_in", "grade"),
        numbers=_SIZE | _RATING,
        rule_sets=("us-393", "ca-nsc10"),
    ),
    "chain_grade_marks": _Layout(
        key=("mark",), numbers={"mark": 1000, "grade": 100}, rule_sets=("us-393", "ca-nsc10")
    ),
    "cordage": _Layout(key=("material", "size_mm", "size_in"), numbers=_SIZE | _RATING),
    "figures_au": _Layout(key=("figure",), numbers={"value": 1}, rule_sets=("au-lrg",)),
    "figures_en": _Layout(key=("figure",), numbers={"value": 50}, rule_sets=_EN),
    "figures_static": _Layout(key=("figure",), numbers={"value": 10}, rule_sets=("static",)),
    "friction_ctu": _Layout(
        key=("surface_a", "surface_b"),
        numbers={"dry": 1, "wet": 1},
        optional=frozenset({"wet"}),
        rule_sets=(*_EN, "static"),
    ),
    "figures_fit": _Layout(
        key=("figure",), numbers={"value_us": 50_000, "value_si": 20_000}, rule_sets=("fit",)
    ),
    "figures_ca": _Layout(
        key=("figure",),
        numbers={"value_us": 100_000, "value_si": 50_000},
        rule_sets=("ca-nsc10",),
    ),
    "figures_nz": _Layout(key=("figure",), numbers={"value": 2}, rule_sets=("nz-code",)),
    "figures_us": _Layout(key=("figure",), numbers={"value_us": 100_000, "value_si": 50_000}),
    "lashing_points_en12640": _Layout(
        key=("place", "force_dan"),
        numbers={"above_t": 100, "to_t": 100, "force_dan": 10_000},
        optional=frozenset({"above_t", "to_t"}),
        rule_sets=_EN,
    ),
    "out_of_service_webbing": _Layout(
        key=("width_mm", "width_in"), numbers=_WIDTH | {"damage_in": 6}
    ),
    "steel_strapping": _Layout(
        key=("width_mm", "width_in", "thickness_mm", "thickness_in"),
        numbers=_WIDTH | {"thickness_mm": 5, "thickness_in": 1} | _RATING,
    ),
    "walls_en12642": _Layout(
        key=("code", "wall"),
        numbers={"share": 1, "at_most_dan": 10_000},
        optional=frozenset({"at_most_dan"}),
        rule_sets=_EN,
    ),
    "webbing": _Layout(key=("width_mm", "width_in"), numbers=_WIDTH | _RATING),
    "webbing_use": _Layout(
        key=("used_in",),
        numbers={"share_of_width": 1},
        optional=frozenset({"share_of_width"}),
        rule_sets=(),
    ),
    "wire_rope": _Layout(key=("size_mm", "size_in"), numbers=_SIZE | _RATING),
}
# The two columns of a pair are printed apart: ratings by up to 5 % (manila 1/2 in), sizes by up
# to 11 % (7 mm and 1/4 in), single figures by up to 2 % (1 in and 2.5 cm). More than that is a
# slip of the pen.
_RATING_APART_MAX = Fraction(6, 100)
_SIZE_APART_MAX = Fraction(12, 100)
_FIGURE_APART_MAX = Fraction(2, 100)
_POUND_KG = UNITS[Dimension.MASS]["lb"]
_INCH_MM = UNITS[Dimension.LENGTH]["in"] / UNITS[Dimension.LENGTH]["mm"]
_PAIRS = (
    ("wll_kg", "wll_lb", _POUND_KG, _RATING_APART_MAX),
    ("size_mm", "size_in", _INCH_MM, _SIZE_APART_MAX),
    ("width_mm", "width_in", _INCH_MM, _SIZE_APART_MAX),
    ("thickness_mm", "thickness_in", _INCH_MM, _SIZE_APART_MAX),
)


def load_sources(folder: Traversable) -> frozenset[str]:
    """The short names of the sources that a row may cite. Raises FiguresBroken."""
    source_cells = _read(folder, "sources", ("source", "name", "edition", "note"))
    return frozenset(cells["source"] for _, cells in source_cells)


def load_table(folder: Traversable, name: str, sources: frozenset[str]) -> Table:
    """Read and check one table. Raises FiguresBroken at the first fault."""
    return _load(folder, name, _LAYOUTS[name], sources)


def digest_of(folder: Traversable, name: str) -> str:
    """The SHA-256, in hex, of the bytes of one table's file. Raises FiguresBroken: not read."""
    return hashlib.sha256(bytes_of(folder, name)).hexdigest()


def tables_of(rule_set: str) -> tuple[str, ...]:
    """The names of the tables a rule set uses, sorted; none for a set without figures."""
    return tuple(sorted(name for name, one in _LAYOUTS.items() if rule_set in one.rule_sets))


def _load(folder: Traversable, name: str, layout: _Layout, sources: frozenset[str]) -> Table:
    columns = (*layout.key, *layout.numbers, *_PROVENANCE)
    lines = _read(folder, name, columns)
    rows: list[Row] = []
    seen: dict[tuple[str, ...], int] = {}
    for line, cells in lines:
        row = _checked_row(f"{name}.csv", line, cells, layout, sources)
        key = tuple(cells[column] for column in (*layout.key, "valid_to"))
        if key in seen:
            raise FiguresBroken(
                f"{name}.csv", line, layout.key[0], f"the same key as line {seen[key]}"
            )
        seen[key] = line
        rows.append(row)
    open_rows = tuple(row for row in rows if row.valid_to is None)
    return Table(
        name=name,
        rows=tuple(rows),
        open_rows=open_rows,
        figures={row.cells["figure"]: row for row in open_rows if "figure" in row.cells},
    )


def _read(
    folder: Traversable, name: str, columns: tuple[str, ...]
) -> list[tuple[int, dict[str, str]]]:
    file, data = f"{name}.csv", bytes_of(folder, name)
    try:
        reader = csv.DictReader(io.StringIO(data.decode("utf-8"), newline=""), strict=True)
        header = reader.fieldnames or []
        for column in columns:
            if column not in header:
                raise FiguresBroken(file, 1, column, "the column is missing")
        lines = []
        for cells in reader:
            for column, cell in cells.items():
                if column is None or cell is None:
                    raise FiguresBroken(
                        file, reader.line_num, column or "after the last", "not a cell per column"
                    )
            lines.append((reader.line_num, {column: cells[column].strip() for column in header}))
    except (UnicodeDecodeError, csv.Error) as error:
        raise FiguresBroken(file, 0, "all", "the file is not CSV text in UTF-8") from error
    if not lines:
        raise FiguresBroken(file, 1, columns[0], "the table holds no row")
    return lines


def bytes_of(folder: Traversable, name: str) -> bytes:
    file = f"{name}.csv"
    try:
        return (folder / file).read_bytes()
    except OSError as error:
        raise FiguresBroken(file, 0, "all", "the file cannot be read") from error


def _checked_row(
    file: str, line: int, cells: Mapping[str, str], layout: _Layout, sources: frozenset[str]
) -> Row:
    for column in (*layout.key, "clause", "edition"):
        if not cells[column]:
            raise FiguresBroken(file, line, column, "the cell is blank")
    if cells["source"] not in sources:
        raise FiguresBroken(file, line, "source", f"{cells['source']!r} is not in sources.csv")
    if cells["how_sure"] not in ("read", "second-hand", "memory", "no source"):
        raise FiguresBroken(
            file, line, "how_sure", "it is not read, second-hand, memory or no source"
        )
    numbers = {}
    for column, most in layout.numbers.items():
        if column in layout.optional and not cells[column]:
            continue
        number = _number(cells[column])
        if number is None or not 0 < number <= most:
            raise FiguresBroken(
                file, line, column, f"{cells[column]!r} is not a number above 0 and at most {most}"
            )
        numbers[column] = number
    _check_pairs(file, line, cells, numbers)
    return Row(
        cells=cells,
        numbers=numbers,
        citation=Citation(
            source=cells["source"],
            clause=cells["clause"],
            edition=cells["edition"],
            how_sure=cells["how_sure"],
        ),
        valid_to=_days(file, line, cells)[1],
    )


def _number(cell: str) -> Fraction | None:
    """A whole, decimal, fraction or mixed number such as "1 3/4"; None where it is none."""
    try:
        return sum((Fraction(part) for part in cell.split(" ")), Fraction(0))
    except (ValueError, ZeroDivisionError):
        return None


def _check_pairs(
    file: str, line: int, cells: Mapping[str, str], numbers: Mapping[str, Fraction]
) -> None:
    """Refuse a metric column that does not fit its neighbour by more than print ever does."""
    masses, lengths = UNITS[Dimension.MASS], UNITS[Dimension.LENGTH]
    pairs = list(_PAIRS)
    if "unit_us" in cells:
        units = {**masses, **lengths}
        us, si = cells["unit_us"], cells["unit_si"]
        if us != si and not (us in units and si in units):
            raise FiguresBroken(file, line, "unit_us", f"{us!r} cannot be compared with {si!r}")
        factor = units[us] / units[si] if us != si else Fraction(1)
        pairs.append(("value_si", "value_us", factor, _FIGURE_APART_MAX))
    for metric, us_column, factor, apart_max in pairs:
        if metric in numbers:
            expected = numbers[us_column] * factor
            if abs(numbers[metric] - expected) > expected * apart_max:
                raise FiguresBroken(
                    file,
                    line,
                    metric,
                    f"{cells[metric]} does not fit {us_column}, {cells[us_column]}",
                )


def _days(file: str, line: int, cells: Mapping[str, str]) -> tuple[date | None, date | None]:
    """`valid_from` and `valid_to`; blank is not known and not ended."""
    days: list[date | None] = []
    for column in ("valid_from", "valid_to"):
        try:
            days.append(date.fromisoformat(cells[column]) if cells[column] else None)
        except ValueError as error:
            raise FiguresBroken(
                file, line, column, f"{cells[column]!r} is no day like 2026-01-31"
            ) from error
    first, last = days
    if first and last and last < first:
        raise FiguresBroken(file, line, "valid_to", "it is before valid_from")
    return first, last
