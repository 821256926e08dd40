"""From bytes to records: encodings, line ends, quotes."""

import codecs

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triplog.securement.stock.lines import (
    SEPARATORS,
    ListRefused,
    is_foreign,
    lines_of,
    records_of,
    text_of_list,
)


def _cells(text: str, separator: str = ",") -> list[list[str] | None]:
    records = records_of(lines_of(text), separator)
    return [None if one.cells is None else [cell.text for cell in one.cells] for one in records]


@given(st.text(alphabet="ab\"',;\t|\r\n 2\x0b\u2028"), st.sampled_from(SEPARATORS))
def test_every_line_is_in_exactly_one_record_with_its_own_text(text: str, separator: str) -> None:
    lines = lines_of(text)
    assert "".join(lines) == text
    records = records_of(lines, separator)
    taken = [n for one in records for n in range(one.first_line, one.last_line + 1)]
    assert taken == list(range(1, len(lines) + 1))
    assert "".join(one.raw for one in records) == text


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_end_as_any_system_ends_them(end: str) -> None:
    assert _cells(f"a,b{end}c,d{end}") == [["a", "b"], ["c", "d"]]


def test_quotes_are_read_as_the_common_format_writes_them() -> None:
    """RFC 4180 section 2, rules 5 to 7."""
    text = '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx\r\n"aaa","b""bb","ccc"\r\n'
    assert _cells(text) == [
        ["aaa", "b\r\nbb", "ccc"],
        ["zzz", "yyy", "xxx"],
        ["aaa", 'b"bb', "ccc"],
    ]


def test_an_inch_mark_inside_a_cell_is_no_quote() -> None:
    assert _cells("S-1,2\",27'\n") == [["S-1", '2"', "27'"]]


def test_a_quote_that_is_never_closed_costs_its_own_line_only() -> None:
    assert _cells('a,"b\nc,d\n') == [None, ["c", "d"]]
    assert _cells('a,"b\nc,"d\ne,f\n') == [None, None, ["e", "f"]]
    many = 'a,"b\n' + "c,d\n" * 30 + 'e,"f\n'
    assert _cells(many) == [None, *[["c", "d"]] * 30, None]


@pytest.mark.parametrize(
    "data",
    [
        "2\u2033,a".encode(),
        codecs.BOM_UTF8 + "2\u2033,a".encode(),
        codecs.BOM_UTF16_LE + "2\u2033,a".encode("utf-16-le"),
        codecs.BOM_UTF16_BE + "2\u2033,a".encode("utf-16-be"),
    ],
)
def test_a_mark_at_the_beginning_says_the_encoding_and_is_no_text(data: bytes) -> None:
    assert text_of_list(data) == "2\u2033,a"


def test_bytes_of_another_encoding_are_kept_and_known() -> None:
    data = "pad \xbd".encode("cp1252")
    text = text_of_list(data)
    assert is_foreign(text)
    assert text.encode("utf-8", "surrogateescape") == data
    assert text_of_list(data, "cp1252") == "pad \xbd"


@pytest.mark.parametrize(
    ("data", "encoding", "told"),
    [
        ("Label,Kind".encode("utf-16-le"), None, "UTF-16"),
        (b"Label", "no-such", "there is no encoding"),
        (b"abc", "utf-16-le", "no text in utf-16-le"),
    ],
)
def test_what_is_no_text_is_refused(data: bytes, encoding: str | None, told: str) -> None:
    with pytest.raises(ListRefused, match=told):
        text_of_list(data, encoding)
