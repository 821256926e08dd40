"""Messy lists of gear: what is understood, what is asked, and that nothing is lost."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triplog.securement.stock.lines import ListRefused, Record
from triplog.securement.stock.lists import StockList, read_stock_list
from triplog.securement.stock.rows import Listed, NotUnderstood

HEADING = "Label,Kind,Width,Length,WLL,Note\n"


def _row(text: str, heading: str = HEADING) -> StockList:
    return read_stock_list(f"{heading}{text}\n")


def _asked(listed: StockList) -> list[tuple[str | None, str]]:
    assert listed.understood == ()
    (row,) = listed.not_understood
    return [(problem.column, problem.found) for problem in row.problems]


def test_marks_for_feet_inches_and_pounds_are_read_and_kept_as_typed() -> None:
    listed = read_stock_list(
        "\ufeffLabel;Kind;Width;Length;WLL\nS-1;ratchet strap;2\";27';2,800#\n".removeprefix(
            "\ufeff"
        )
    )
    (row,) = listed.understood
    assert row.labels == ("S-1",)
    assert row.item == {
        "kind": "ratchet strap",
        "width": '2"',
        "length": "27'",
        "wll": "2,800#",
    }


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_the_separator_is_found_by_the_headings(separator: str) -> None:
    text = separator.join(["Tag", "Type", "Web width"]) + "\n"
    text += separator.join(["S-1", "ratchet", "2 in"]) + "\n"
    assert read_stock_list(text).understood[0].item == {"kind": "ratchet strap", "width": "2 in"}


@pytest.mark.parametrize(
    ("heading", "cell", "read"),
    [
        ("Length (ft)", "27", "27 ft"),
        ("length_ft", "27", "27 ft"),
        ("Length in feet", "27", "27 ft"),
        ("LENGTH [m]", "8.2", "8.2 m"),
        ("Length (ft)", "8.2 m", "8.2 m"),
        ("Overall  length", "27 feet", "27 feet"),
        ("Length\n(ft)", "27", "27 ft"),
    ],
)
def test_a_bare_number_takes_the_unit_of_its_heading(heading: str, cell: str, read: str) -> None:
    listed = read_stock_list(f'Label;Kind;"{heading}"\nC-1;chain;{cell}\n')
    assert listed.understood[0].item["length"] == read


@pytest.mark.parametrize(
    ("row", "column", "found"),
    [
        ('S-1,ratchet,2 in,27,"3,335 lb",', "Length", "27"),
        ('S-1,ratchet,2 in,"1,50 m",,', "Length", "1,50 m"),
        ("S-1,ratchet,2 in,27 ft,1.5 tons,", "WLL", "1.5 tons"),
        ("S-1,ratchet,2 in,27 ft,1.500 kg,", "WLL", "1.500 kg"),
        ("S-1,ratchet,2 in,27 kg,,", "Length", "27 kg"),
        ("S-1,ratchet,2 in,0 ft,,", "Length", "0 ft"),
        ("S-1,ratchet,2 in,-27 ft,,", "Length", "-27 ft"),
        ("S-1,strap,2 in,27 ft,,", "Kind", "strap"),
        ("S-1,,2 in,27 ft,,", None, "no kind"),
        (",ratchet,2 in,27 ft,,", None, ",ratchet,2 in,27 ft,,"),
        ("S-1,ratchet,2 in,27 ft,2,800#,", None, "S-1,ratchet,2 in,27 ft,2,800#,"),
        ("S-1,ratchet,2 in", None, "S-1,ratchet,2 in"),
        ('S-1,ratchet,"2",27 ft,,', "Width", "2"),
    ],
)
def test_what_cannot_be_read_or_can_be_read_two_ways_is_asked(
    row: str, column: str | None, found: str
) -> None:
    assert _asked(_row(row)) == [(column, found)]


def test_everything_that_stands_in_the_way_of_a_row_is_told_at_once() -> None:
    listed = _row("S-1,rope,2 pieces,27,,")
    assert _asked(listed) == [("Kind", "rope"), ("Width", "2 pieces"), ("Length", "27")]
    assert all(problem.write for problem in listed.not_understood[0].problems)


def test_a_thousands_comma_without_quotes_is_not_read_as_two_cells() -> None:
    heading = "Label,Kind,WLL (lb),Note\n"
    assert _asked(_row("S-1,ratchet,2,800", heading)) == [("WLL (lb)", "2,800")]
    assert _row('S-1,ratchet,"2,800",', heading).understood[0].item["wll"] == "2,800 lb"


def test_a_decimal_comma_anywhere_makes_every_metric_comma_doubtful() -> None:
    text = (
        "Label;Kind;Length;WLL\nA;chain;9,5 m;1,500 kg\nB;chain;9 m;1,500 kg\nC;chain;9 m;1,500#\n"
    )
    listed = read_stock_list(text)
    assert listed.commas_asked
    assert [row.labels for row in listed.understood] == [("C",)]
    assert [one.first_line for one in listed.not_understood] == [2, 3]
    alone = read_stock_list("Label;Kind;WLL\nB;chain;1,500 kg\n")
    assert alone.understood[0].item["wll"] == "1,500 kg"


def test_told_that_commas_stand_before_decimals_it_writes_points() -> None:
    rows = ["A;chain;9,5 m;1,500", "B;chain;9 m;1.500", "C;chain;1.234,5 mm;2000"]
    text = "\n".join(["Label;Kind;Length;WLL (kg)", *rows])
    listed = read_stock_list(text, comma_decimals=True)
    read = [(row.item["length"], row.item["wll"]) for row in listed.understood]
    assert read == [("9.5 m", "1.500 kg"), ("9 m", "1500 kg"), ("1234.5 mm", "2000 kg")]


def test_the_same_label_twice_is_asked_in_both_rows() -> None:
    listed = read_stock_list(HEADING + "S-1,ratchet,,,,\nS-2,ratchet,,,,\nS-1,chain,,,,\n")
    assert [row.labels for row in listed.understood] == [("S-2",)]
    assert [one.first_line for one in listed.not_understood] == [2, 4]
    assert "lines 2, 4" in listed.not_understood[0].problems[0].why


def test_a_label_that_other_gear_has_is_asked() -> None:
    listed = read_stock_list(HEADING + "S-1,ratchet,,,,\n", taken=frozenset({"S-1"}))
    assert listed.not_understood[0].problems[0].found == "S-1"


def test_many_alike_are_numbered_on() -> None:
    listed = read_stock_list("Label,Kind,Qty\nS-8,ratchet,3\nS-9,chain,1\n")
    assert listed.understood == ()
    (row,) = read_stock_list("Label,Kind,Qty\nS-8,ratchet,3\n").understood
    assert row.labels == ("S-8", "S-9", "S-10")


def test_columns_that_mean_nothing_here_are_kept_as_a_note() -> None:
    listed = read_stock_list("Label,Kind,Bay,Remarks,Price\nS-1,bar,3,bent once,12.50\n")
    assert listed.unread == ("Bay", "Price")
    assert listed.understood[0].note == "bent once; Bay: 3; Price: 12.50"


@pytest.mark.parametrize(
    ("word", "standing"),
    [("In stock", "in stock"), ("Retired", "unfit"), ("quarantine", "set aside"), ("", None)],
)
def test_where_a_piece_stands_is_kept(word: str, standing: str | None) -> None:
    listed = read_stock_list(f"Label,Kind,Status\nS-1,bar,{word}\n")
    assert listed.understood[0].standing == standing


def test_damage_is_read_with_its_size_and_none_is_an_answer() -> None:
    text = 'Label;Kind;Damage\nA;bar;none\nB;bar;\nC;bar;"cut 3/16 in; no label"\nD;bar;3/16 in\n'
    listed = read_stock_list(text)
    found = [row.item.get("damage") for row in listed.understood]
    assert found == [[], None, [{"kind": "cut", "size": "3/16 in"}, {"kind": "no label"}]]
    assert listed.not_understood[0].problems[0].found == "3/16 in"


def test_a_size_of_webbing_is_its_width_and_a_width_of_chain_its_size() -> None:
    rows = ["A;ratchet;2 in;", "B;chain;;3/8 in", "C;ratchet;27 ft;", "D;ratchet;2 in;4 in"]
    text = "\n".join(["Label;Kind;Size;Width", *rows])
    listed = read_stock_list(text)
    assert listed.understood[0].item == {"kind": "ratchet strap", "width": "2 in"}
    assert listed.understood[1].item == {"kind": "chain", "size": "3/8 in"}
    assert [one.problems[0].found for one in listed.not_understood] == ["27 ft", "2 in"]


@pytest.mark.parametrize(("day", "read"), [("2026-11-30", "2026-11-30"), ("03/04/2026", None)])
def test_a_day_that_can_be_read_two_ways_is_asked(day: str, read: str | None) -> None:
    listed = read_stock_list(f"Label,Kind,Next inspection\nS-1,bar,{day}\n")
    assert [row.inspect_by for row in listed.understood] == ([read] if read else [])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no heading row"),
        ("S-1,ratchet strap,2 in\n", "no heading row"),
        ("Label,Kind,Capacity\nS-1,chain,4000 lb\n", "more than one thing"),
        ("Label,Kind,Length,Len\nS-1,chain,9 m,8 m\n", "give the same fact"),
    ],
)
def test_headings_that_are_missing_or_unclear_refuse_the_list(text: str, told: str) -> None:
    with pytest.raises(ListRefused, match=told):
        read_stock_list(text)


def test_bytes_that_are_no_text_cost_their_own_row_only() -> None:
    listed = read_stock_list(HEADING + "S-1,ratchet,,,,pad \udcbd\nS-2,ratchet,,,,\n")
    assert [row.labels for row in listed.understood] == [("S-2",)]
    assert "encoding" in listed.not_understood[0].problems[0].why
    assert not any(
        "\ud800" <= one <= "\udfff" for one in listed.not_understood[0].problems[0].found
    )


def test_titles_above_and_headings_again_are_no_rows() -> None:
    listed = read_stock_list(f"sep=,\nour gear\n\n{HEADING}S-1,bar,,,,\n{HEADING}S-2,bar,,,,\n")
    assert [one.raw for one in listed.above] == ["sep=,\n", "our gear\n"]
    assert [one.first_line for one in listed.headings] == [4, 6]
    assert len(listed.understood) == 2


CELLS = st.text(alphabet="Sab12\"',;.\t\r\n #-\udcff", max_size=8)


@given(
    rows=st.lists(st.lists(CELLS, max_size=7), max_size=12),
    separator=st.sampled_from([",", ";", "\t"]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    comma_decimals=st.booleans(),
)
def test_every_line_of_a_list_is_answered_for_exactly_once(
    rows: list[list[str]], separator: str, end: str, comma_decimals: bool
) -> None:
    heading = separator.join(["Label", "Kind", "Length (ft)", "WLL", "Count", "Note"])
    text = end.join([heading, *(separator.join(row) for row in rows)])
    listed = read_stock_list(text, kind="chain", comma_decimals=comma_decimals)
    parts: tuple[Record | Listed | NotUnderstood, ...] = (
        *listed.above,
        *listed.headings,
        *listed.blanks,
        *listed.understood,
        *listed.not_understood,
    )
    answered = sorted(n for one in parts for n in range(one.first_line, one.last_line + 1))
    lines = text.replace("\r\n", "\n").replace("\r", "\n").removesuffix("\n").count("\n") + 1
    assert answered == list(range(1, lines + 1))
    for row in listed.not_understood:
        assert row.raw in text
        assert row.raw in listed.mending_text()
        assert row.problems


LENGTHS = st.sampled_from(["27'", "8'6\"", "20 ft", "9.5 m", "120 mm", "1 3/4 in", "27 feet"])
RATINGS = st.sampled_from(["2,800#", "3,335 lb", "3335 LBS", "1500 kg", "12 kN", "2500 daN", ""])
WIDTHS = st.sampled_from(['2"', "50 mm", "1 3/4 in", "2 inch", ""])


@given(
    st.lists(st.tuples(LENGTHS, RATINGS, WIDTHS), min_size=1, max_size=20),
    st.sampled_from([",", ";", "\t"]),
    st.booleans(),
)
def test_what_is_understood_keeps_every_value_as_typed(
    rows: list[tuple[str, str, str]], separator: str, in_quotes: bool
) -> None:
    out = io.StringIO(newline="")
    writer = csv.writer(
        out, delimiter=separator, quoting=csv.QUOTE_ALL if in_quotes else csv.QUOTE_MINIMAL
    )
    writer.writerow(["Label", "Kind", "Length", "WLL", "Width"])
    for number, (length, wll, width) in enumerate(rows):
        writer.writerow([f"S-{number}", "ratchet strap", length, wll, width])
    listed = read_stock_list(out.getvalue())
    assert listed.not_understood == ()
    read = [
        tuple(row.item.get(name, "") for name in ("length", "wll", "width"))
        for row in listed.understood
    ]
    assert read == rows
