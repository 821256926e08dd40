"""The tables of figures: what the loader refuses, and how a size finds its row."""

import csv
import hashlib
import re
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest

from triplog.securement import figures
from triplog.securement.figure_tables import (
    FiguresBroken,
    Table,
    digest_of,
    load_sources,
    load_table,
    tables_of,
)
from triplog.securement.figures import (
    acceleration,
    chain_default,
    cordage_default,
    figure,
    steel_strapping_default,
    table_digest,
    tables_digest,
    webbing_damage_limit,
    webbing_default,
    wire_rope_default,
)
from triplog.securement.plan_names import RULE_SETS
from triplog.securement.quantity import Dimension, Quantity, parse

INSTALLED = files("triplog.securement") / "figures"
NAMES = sorted(item.name for item in INSTALLED.iterdir())


def load_tables(folder: Path) -> dict[str, Table]:
    """Every table the program has, out of a folder. Raises FiguresBroken at the first fault."""
    sources = load_sources(folder)
    names = (name.removesuffix(".csv") for name in NAMES if name != "sources.csv")
    return {name: load_table(folder, name, sources) for name in names}


def length(text: str) -> Quantity:
    return parse(text, Dimension.LENGTH)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the installed tables, to be broken."""
    for name in NAMES:
        (tmp_path / name).write_bytes((INSTALLED / name).read_bytes())
    return tmp_path


def rewrite(path: Path, change: Callable[[list[list[str]]], None]) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    change(rows)
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)


def broken(folder: Path) -> FiguresBroken:
    with pytest.raises(FiguresBroken) as caught:
        load_tables(folder)
    return caught.value


def test_the_installed_tables_load_and_are_all_of_the_folder() -> None:
    tables = load_tables(Path(str(INSTALLED)))
    assert all(table.rows for table in tables.values())
    asked = {name for rule_set in RULE_SETS for name in tables_of(rule_set)}
    assert asked <= set(tables)


@pytest.mark.parametrize(
    ("file", "column", "cell"),
    [
        ("chain.csv", "source", "hearsay"),
        ("chain.csv", "clause", " "),
        ("chain.csv", "edition", ""),
        ("chain.csv", "how_sure", "quite"),
        ("chain.csv", "grade", ""),
        ("chain.csv", "size_in", "a quarter"),
        ("chain.csv", "size_in", "1/0"),
        ("chain.csv", "wll_lb", "0"),
        ("chain.csv", "wll_lb", "-1900"),
        ("chain.csv", "wll_lb", "990000"),
        ("chain.csv", "valid_to", "yesterday"),
        ("cordage.csv", "material", ""),
        ("accelerations.csv", "g", "80"),
        ("figures_us.csv", "unit_us", "furlong"),
        ("chain_grade_marks.csv", "mark", "heavy"),
        ("out_of_service_webbing.csv", "damage_in", "9"),
    ],
)
def test_a_bad_cell_is_named_by_file_line_and_column(
    folder: Path, file: str, column: str, cell: str
) -> None:
    def spoil(rows: list[list[str]]) -> None:
        rows[2][rows[0].index(column)] = cell

    rewrite(folder / file, spoil)
    fault = broken(folder)
    assert (fault.file, fault.line, fault.column) == (file, 3, column)
    assert str(fault).startswith(f"{file}, line 3, column {column}: ")


@pytest.mark.parametrize(
    ("file", "column", "cell"),
    [("chain.csv", "wll_kg", "1300"), ("webbing.csv", "width_mm", "60"),
     ("figures_us.csv", "value_si", "0.6")],
)  # fmt: skip
def test_a_metric_figure_that_does_not_fit_its_neighbour_is_refused(
    folder: Path, file: str, column: str, cell: str
) -> None:
    def spoil(rows: list[list[str]]) -> None:
        rows[2][rows[0].index(column)] = cell

    rewrite(folder / file, spoil)
    fault = broken(folder)
    assert (fault.line, fault.column) == (3, column)
    assert "does not fit" in str(fault)


def test_a_doubled_key_is_refused(folder: Path) -> None:
    rewrite(folder / "webbing.csv", lambda rows: rows.append(rows[1]))
    fault = broken(folder)
    assert (fault.file, fault.line) == ("webbing.csv", 6)
    assert "the same key as line 2" in str(fault)


def test_a_row_that_has_ended_may_be_followed_by_another(folder: Path) -> None:
    def end_the_first(rows: list[list[str]]) -> None:
        rows.append(list(rows[1]))
        rows[1][rows[0].index("valid_to")] = "2025-12-31"

    rewrite(folder / "webbing.csv", end_the_first)
    assert len(load_tables(folder)["webbing"].rows) == 5


def test_a_look_up_answers_from_the_row_that_has_not_ended(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def end_the_first(rows: list[list[str]]) -> None:
        follower = list(rows[2])
        follower[rows[0].index("wll_lb")] = "2010"
        rows[2][rows[0].index("valid_to")] = "2025-12-31"
        rows.append(follower)

    rewrite(folder / "webbing.csv", end_the_first)
    tables = load_tables(folder)
    monkeypatch.setattr(figures, "_table", lambda name: tables[name])
    rating = webbing_default(length("2 in"))
    assert rating is not None and rating.wll_lb == 2010


def test_an_end_before_the_beginning_is_refused(folder: Path) -> None:
    def turn(rows: list[list[str]]) -> None:
        rows[1][rows[0].index("valid_from")] = "2025-12-31"
        rows[1][rows[0].index("valid_to")] = "2025-01-01"

    rewrite(folder / "webbing.csv", turn)
    assert broken(folder).column == "valid_to"


@pytest.mark.parametrize("name", NAMES)
def test_a_missing_column_is_refused(folder: Path, name: str) -> None:
    def cut(rows: list[list[str]]) -> None:
        for row in rows:
            del row[0]

    with (folder / name).open(encoding="utf-8", newline="") as file:
        first = next(csv.reader(file))[0]
    rewrite(folder / name, cut)
    fault = broken(folder)
    assert (fault.file, fault.line, fault.column) == (name, 1, first)


@pytest.mark.parametrize("name", NAMES)
def test_a_missing_file_is_refused(folder: Path, name: str) -> None:
    (folder / name).unlink()
    assert broken(folder).file == name


@pytest.mark.parametrize("change", [b"\xff", b'"'])
def test_a_file_that_is_no_csv_text_is_refused(folder: Path, change: bytes) -> None:
    with (folder / "webbing.csv").open("ab") as file:
        file.write(change)
    assert broken(folder).file == "webbing.csv"


@pytest.mark.parametrize("row", [["45"], ["45"] * 30])
def test_a_row_too_short_or_too_long_is_refused(folder: Path, row: list[str]) -> None:
    rewrite(folder / "webbing.csv", lambda rows: rows.append(row))
    assert broken(folder).line == 6


def test_a_table_without_a_row_is_refused(folder: Path) -> None:
    rewrite(folder / "webbing.csv", lambda rows: rows.__delitem__(slice(1, None)))
    assert "no row" in str(broken(folder))


def test_a_digest_is_of_the_bytes_as_they_lie(folder: Path) -> None:
    data = (INSTALLED / "chain.csv").read_bytes()
    assert table_digest("chain") == hashlib.sha256(data).hexdigest()
    with (folder / "chain.csv").open("ab") as file:
        file.write(b"\n")
    assert digest_of(folder, "chain") != table_digest("chain")
    assert re.fullmatch("[0-9a-f]{64}", tables_digest("us-393"))


@pytest.mark.parametrize("size", ["3/8 in", "0.375 in", "0.03125 ft", "10 mm", "1 cm", "0.01 m"])
def test_a_size_finds_its_row_by_the_nominal_of_its_own_unit_system(size: str) -> None:
    rating = chain_default(length(size), "70")
    assert rating is not None and rating.wll_lb == 6600
    assert rating.row_id == "chain 3/8 in, grade 70"


@pytest.mark.parametrize("size", ["9.5 mm", "0.37 in", "9 mm", "12 mm", "1 in"])
def test_a_size_between_the_rows_finds_none(size: str) -> None:
    assert chain_default(length(size), "70") is None


def test_what_is_not_told_finds_no_row() -> None:
    assert chain_default(None, "70") is None
    assert webbing_default(None) is None
    assert wire_rope_default(None) is None
    assert cordage_default(None, None) is None
    assert cordage_default("aramid", length("1/2 in")) is None
    assert steel_strapping_default(length("2 in"), None) is None
    assert steel_strapping_default(None, length("0.044 in")) is None
    assert webbing_damage_limit(length("1 in")) is None
    assert webbing_damage_limit(None) is None


def test_a_default_is_taken_from_the_column_asked_for() -> None:
    rating = webbing_default(length("2 in"))
    assert rating is not None
    pounds, kilograms = rating.amount(us=True), rating.amount(us=False)
    assert f"{pounds.value} {pounds.unit}, {kilograms.value} {kilograms.unit}" == "2000 lb, 910 kg"


def test_a_figure_of_two_unit_systems_keeps_both_as_printed() -> None:
    short = figure("count-short-length-max")
    assert short.amount(Dimension.LENGTH, us=True).si > short.amount(Dimension.LENGTH, us=False).si


def test_a_figure_we_do_not_have_is_our_own_fault() -> None:
    with pytest.raises(AssertionError):
        figure("no-such-figure")
    with pytest.raises(AssertionError):
        acceleration("weight", "up")
