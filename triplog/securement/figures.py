"""Every published figure the rules use, looked up by what is printed on the gear.

The figures stand in `figures/`, one CSV per table; `figure_tables` reads and checks them once.
lb and kg columns are rounded apart in print, so neither is ever worked out from the other.
A row is never edited, only ended by `valid_to`; a look-up answers from the rows still open.
"""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from triplog.securement.figure_tables import (
    Row,
    Table,
    bytes_of,
    digest_of,
    load_sources,
    load_table,
    tables_of,
)
from triplog.securement.finding import Citation
from triplog.securement.quantity import UNITS, Amount, Dimension, Quantity

_UNIDENTIFIED_GRADE = "30"  # 393.108(d)
_UNIDENTIFIED_CORDAGE = "polypropylene"  # 393.108(c)
_CHAIN_IN_CANADA = Citation(
    source="NSC Standard 10",
    clause="s.11(3), Part 4 s.7, taken to print the chain table of 49 CFR 393.108",
    edition="June 2013",
    how_sure="memory",
)
_INCH_M = UNITS[Dimension.LENGTH]["in"]
_MILLIMETRE_M = UNITS[Dimension.LENGTH]["mm"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DefaultRating:
    """The rating an unmarked piece counts with; `row_id` names the table and its key."""

    wll_kg: Fraction
    wll_lb: Fraction
    citation: Citation
    row_id: str

    def amount(self, *, us: bool) -> Amount:
        """The rating from the printed lb column or the printed kg column, as a force."""
        value, unit = (self.wll_lb, "lb") if us else (self.wll_kg, "kg")
        return Amount(value=value, unit=unit, dimension=Dimension.FORCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class DamageLimit:
    """The size of damage above which an inspector puts webbing out of service."""

    damage: Amount
    citation: Citation
    row_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UseLimit:
    """What cuts, burns and wear of webbing a country lets be used; `share_of_width` None: none."""

    used_in: str
    share_of_width: Fraction | None
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceleration:
    """A performance criterion in g, or for "weight" and "down" a share of the weight."""

    g: Fraction
    citation: Citation
    row_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One published figure in both unit systems; they differ slightly where the law rounds."""

    value_us: Fraction
    unit_us: str
    value_si: Fraction
    unit_si: str
    citation: Citation
    row_id: str

    def amount(self, dimension: Dimension, *, us: bool) -> Amount:
        """The figure as printed in one unit system, for figures that are a mass or a length."""
        value, unit = (self.value_us, self.unit_us) if us else (self.value_si, self.unit_si)
        return Amount(value=value, unit=unit, dimension=dimension)


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A published share or multiple, without a unit."""

    value: Fraction
    citation: Citation
    row_id: str


def chain_default(size: Quantity | None, grade: str | None) -> DefaultRating | None:
    """Unmarked chain by size and grade; a grade not told, or no known mark, is grade 30.

    None where the table has no row of that size and grade. 49 CFR 393.108(d) and its table.
    """
    return _rating("chain", {"grade": chain_grade(grade)}, size=size)


def chain_grade(mark: str | None) -> str:
    """The grade a mark such as "7", "700", "G70" or "grade 70" stands for; else grade 30."""
    return _marked_grade(mark) or _UNIDENTIFIED_GRADE


def _marked_grade(mark: str | None) -> str | None:
    digits = re.sub(r"^(grade|g)\s*", "", (mark or "").strip().lower())
    for row in open_rows("chain_grade_marks"):
        if row.cells["mark"] == digits:
            return row.cells["grade"]
    return None


def graded_chain_canada(size: Quantity | None, grade: str | None) -> DefaultRating | None:
    """Chain marked with its grade, as NSC Standard 10 s.11(3) lets it count; else None.

    Its Part 4 s.7 was not read: its chain table is taken to be that of 49 CFR 393.108.
    """
    if _marked_grade(grade) is None:
        return None
    row = chain_default(size, grade)
    return None if row is None else replace(row, citation=_CHAIN_IN_CANADA)


def webbing_default(width: Quantity | None) -> DefaultRating | None:
    """Unmarked synthetic webbing by width; None between the rows, and for 1 in, which has none."""
    return _rating("webbing", {}, width=width)


def wire_rope_default(size: Quantity | None) -> DefaultRating | None:
    """Unmarked wire rope of a construction not told: 6 x 37 fibre core, 393.108(e)(2)."""
    return _rating("wire_rope", {}, size=size)


def cordage_default(material: str | None, size: Quantity | None) -> DefaultRating | None:
    """Unmarked cordage by material and diameter; a material not told counts as polypropylene.

    None for a material or size the tables do not hold. 49 CFR 393.108(c), (f).
    """
    named = (material or _UNIDENTIFIED_CORDAGE).strip().lower()
    return _rating("cordage", {"material": named}, size=size)


def steel_strapping_default(
    width: Quantity | None, thickness: Quantity | None
) -> DefaultRating | None:
    """Unmarked steel strapping by width and thickness."""
    return _rating("steel_strapping", {}, width=width, thickness=thickness)


def webbing_damage_limit(width: Quantity | None) -> DamageLimit | None:
    """The inspector's out-of-service line by webbing width: never a licence to use."""
    row = _sized_row("out_of_service_webbing", {}, width=width)
    return None if row is None else _damage_limit(row)


def _damage_limit(row: Row) -> DamageLimit:
    damage = Amount(value=row.numbers["damage_in"], unit="in", dimension=Dimension.LENGTH)
    return DamageLimit(damage=damage, citation=row.citation, row_id=_row_id(row, "webbing damage"))


def webbing_damage_limits() -> tuple[tuple[str, DamageLimit], ...]:
    """The inspector's lines, each with its webbing width in inches as printed."""
    rows = open_rows("out_of_service_webbing")
    return tuple((row.cells["width_in"], _damage_limit(row)) for row in rows)


def webbing_use_limits() -> tuple[UseLimit, ...]:
    """What damage across webbing keeps it in use, by where it is used: us, ca, eu, au."""
    return tuple(
        UseLimit(
            used_in=row.cells["used_in"],
            share_of_width=row.numbers.get("share_of_width"),
            citation=row.citation,
        )
        for row in open_rows("webbing_use")
    )


def acceleration(against: str, direction: str) -> Acceleration:
    """393.102: "breaking strength" or "working load limit" by forward, rearward, lateral.

    "weight", "down" is the downward force of paragraph (b), a share of the weight.
    """
    for row in open_rows("accelerations"):
        if (row.cells["against"], row.cells["direction"]) == (against, direction):
            row_id = f"accelerations {against} {direction}"
            return Acceleration(g=row.numbers["g"], citation=row.citation, row_id=row_id)
    raise AssertionError(f"no acceleration {direction} against {against}")


def figure(figure_id: str, table: str = "figures_us") -> Figure:
    """One of the figures a table prints in both unit systems, by its id."""
    row = figure_row(figure_id, table)
    return Figure(
        value_us=row.numbers["value_us"],
        unit_us=row.cells["unit_us"],
        value_si=row.numbers["value_si"],
        unit_si=row.cells["unit_si"],
        citation=row.citation,
        row_id=f"{table} {figure_id}",
    )


def share(figure_id: str, table: str) -> Share:
    """One of the shares or multiples of a table with a single column, by its id."""
    row = figure_row(figure_id, table)
    row_id = f"{table} {figure_id}"
    return Share(value=row.numbers["value"], citation=row.citation, row_id=row_id)


def figure_row(figure_id: str, table: str) -> Row:
    """The row, not ended, of a table whose rows have ids."""
    row = _table(table).figures.get(figure_id)
    assert row is not None, f"no figure {figure_id} in {table}"
    return row


def table_digest(name: str) -> str:
    """The SHA-256, in hex, of the bytes of one table's CSV file."""
    return digest_of(_folder(), name)


def table_bytes(name: str) -> bytes:
    """The bytes of one table's CSV file, and of `sources`."""
    return bytes_of(_folder(), name)


def tables_digest(rule_set: str) -> str:
    """One SHA-256, in hex, over the names and digests of a rule set's tables; "" without any."""
    names = tables_of(rule_set)
    lines = "".join(f"{table_digest(name)}  {name}.csv\n" for name in names)
    return hashlib.sha256(lines.encode()).hexdigest() if names else ""


def open_rows(name: str) -> tuple[Row, ...]:
    """The rows of a table that are not ended, as printed."""
    return _table(name).open_rows


@cache
def _table(name: str) -> Table:
    return load_table(_folder(), name, _sources())


@cache
def _sources() -> frozenset[str]:
    return load_sources(_folder())


@cache
def _folder() -> Traversable:
    return files("triplog.securement") / "figures"


def _rating(
    name: str, texts: Mapping[str, str], **measures: Quantity | None
) -> DefaultRating | None:
    row = _sized_row(name, texts, **measures)
    if row is None:
        return None
    return DefaultRating(
        wll_kg=row.numbers["wll_kg"],
        wll_lb=row.numbers["wll_lb"],
        citation=row.citation,
        row_id=_row_id(
            row,
            name.replace("_", " "),
            *(f"grade {text}" if key == "grade" else text for key, text in texts.items()),
        ),
    )


def _row_id(row: Row, name: str, *texts: str) -> str:
    sizes = [
        f"{row.cells[column]} in"
        for column in ("size_in", "width_in", "thickness_in")
        if column in row.cells
    ]
    return f"{name} {' x '.join(sizes)}{''.join(f', {text}' for text in texts)}"


def _sized_row(name: str, texts: Mapping[str, str], **measures: Quantity | None) -> Row | None:
    """The row whose printed nominal sizes are exactly those given, each in its own unit system."""
    for row in open_rows(name):
        if any(row.cells[column] != text for column, text in texts.items()):
            continue
        if all(_is_nominal(row, what, measure) for what, measure in measures.items()):
            return row
    return None


def _is_nominal(row: Row, what: str, measure: Quantity | None) -> bool:
    if measure is None:
        return False
    if measure.is_us:
        return row.numbers[f"{what}_in"] == measure.si / _INCH_M
    return row.numbers[f"{what}_mm"] == measure.si / _MILLIMETRE_M
