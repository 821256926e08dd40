"""CSV: RFC 4180 (October 2005), section 2, and the guard against formulas in spreadsheets.

The characters that begin a formula are those of the OWASP page "CSV Injection" (from memory).
"""

import csv
import io
import tracemalloc
from collections.abc import Iterator, Sequence
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exports.csv_sheet import Cell, CsvColumn, CsvError, write_csv

NOTE = CsvColumn(name="note")
RATING = CsvColumn(name="rating", kind="figure", unit="lb")
LINE = CsvColumn(name="line", kind="count")


def written(columns: Sequence[CsvColumn], *rows: Sequence[Cell]) -> str:
    out = io.StringIO(newline="")
    write_csv(columns, rows, out)
    return out.getvalue()


def read(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


def test_lines_end_and_quotes_double_as_rfc_4180_section_2_asks() -> None:
    # Rules 1 (CRLF), 3 (a header line), 6 (quoting) and 7 (doubled quotes); b""bb is its example.
    text = written([NOTE, CsvColumn(name="second")], ["aaa", 'b"bb'], ["b\r\nbb", "x,y"])
    assert text == 'note,second\r\naaa,"b""bb"\r\n"b\r\nbb","x,y"\r\n'


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_text_that_begins_like_a_formula_gets_an_apostrophe(start: str) -> None:
    assert read(written([NOTE], [f"{start}1+1"]))[1] == [f"'{start}1+1"]


def test_a_negative_number_stays_a_number_and_a_negative_text_does_not() -> None:
    rows: list[Sequence[Cell]] = [
        ["-5", -5, 3],
        ["-5", "-12.50", 4],
        ["-5", Decimal("-0.5"), 0],
        [None, None, None],
    ]
    assert read(written([NOTE, RATING, LINE], *rows))[1:] == [
        ["'-5", "-5", "3"],
        ["'-5", "-12.50", "4"],
        ["'-5", "-0.5", "0"],
        ["", "", ""],
    ]


def test_a_title_that_begins_like_a_formula_is_guarded_too() -> None:
    assert written([CsvColumn(name="=note")]) == "'=note\r\n"


def test_a_figure_carries_its_unit_in_the_name_of_its_column() -> None:
    assert written([RATING, LINE, NOTE]) == "rating_lb,line,note\r\n"


def test_figures_without_a_unit_are_refused() -> None:
    with pytest.raises(CsvError, match="holds figures without a unit"):
        CsvColumn(name="rating", kind="figure")


def test_a_unit_on_text_is_refused() -> None:
    with pytest.raises(CsvError, match="declare it a figure"):
        CsvColumn(name="note", unit="lb")


@pytest.mark.parametrize("cell", ["=1+1", "5 lb", "1e5", "", "٣", "5\n", Decimal("Infinity"), True])
def test_a_figure_that_is_no_plain_number_is_refused(cell: Cell) -> None:
    with pytest.raises(CsvError, match=r"Row 2 has .* in the figure column 'rating_lb'"):
        written([RATING], [1], [cell])


def test_a_number_among_text_is_refused() -> None:
    with pytest.raises(CsvError, match="Row 1 has the number 5 in the text column"):
        written([NOTE], [5])


def test_a_row_of_another_length_is_refused_by_its_number() -> None:
    with pytest.raises(CsvError, match="Row 502 has 2 cells for 1 columns"):
        written([NOTE], *([["a"]] * 501), ["a", "b"])


def test_two_columns_of_one_name_are_refused() -> None:
    with pytest.raises(CsvError, match="same name"):
        written([NOTE, NOTE])


@given(
    st.lists(
        st.tuples(
            st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")),
            st.integers(),
        ),
        max_size=30,
    )
)
def test_everything_reads_back_and_no_text_begins_a_formula(rows: list[tuple[str, int]]) -> None:
    back = read(written([NOTE, LINE], *rows))[1:]
    assert [(text.removeprefix("'"), int(number)) for text, number in back] == [
        (text.removeprefix("'"), number) for text, number in rows
    ]
    assert not any(text.startswith(("=", "+", "-", "@", "\t", "\r")) for text, _ in back)


def many(count: int) -> Iterator[Sequence[Cell]]:
    for number in range(count):
        yield f"note {number}", number, number


def peak_bytes(count: int) -> int:
    class Nowhere(io.StringIO):
        def write(self, text: str) -> int:
            return len(text)

    tracemalloc.start()
    write_csv([NOTE, RATING, LINE], many(count), Nowhere())
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def test_memory_does_not_grow_with_the_rows() -> None:
    assert peak_bytes(40_000) < 1.2 * peak_bytes(4_000)
