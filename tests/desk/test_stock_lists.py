"""A list of gear taken into stock: all of it or none, or what is understood, and the rest kept."""

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.desk.seat import Seat
from triplog.desk.looking import gear
from triplog.desk.refused import Refused
from triplog.desk.stock_lists import read_list, take_into_stock
from triplog.journal.repeats import AskedAgain

Sit = Callable[[str], Seat]
GOOD = 'Label,Kind,Width,Length,WLL,Price\nW-1,ratchet,"2""",27\',"2,800#",9\n'
MIXED = GOOD + "W-2,strap,2 in,27 ft,,\nS-1,ratchet,2 in,27 ft,,\nW-3,chain,,20 ft,,\n"


def test_a_list_is_taken_in_with_where_it_came_from(sit: Sit) -> None:
    seat = sit("a truck and gear")
    entry = take_into_stock(
        seat.desk, read_list(seat.desk, GOOD.encode(), "gear.csv"), understood_only=False
    )
    assert (entry.kind, entry.via) == ("stock_list_read", "imported")
    assert (entry.body["rows"], entry.body["not_understood"]) == (1, 0)
    assert seat.opened(entry) == {"name": "gear.csv"}
    card = seat.last("gear_recorded")
    assert card.via == "imported"
    assert card.body["item"] == {
        "kind": "ratchet strap",
        "width": '2"',
        "length": "27'",
        "wll": "2,800#",
    }
    assert seat.opened(card) == {"note": "Price: 9"}


def test_nothing_is_recorded_while_a_row_is_not_understood(sit: Sit) -> None:
    seat = sit("a truck and gear")
    before = seat.count()
    listed = read_list(seat.desk, MIXED.encode(), "gear.csv")
    with pytest.raises(Refused, match="2 of 4 rows"):
        take_into_stock(seat.desk, listed, understood_only=False)
    assert seat.count() == before


def test_the_rows_not_understood_are_kept_in_a_file_and_read_again(
    sit: Sit, tmp_path: Path
) -> None:
    seat = sit("a truck and gear")
    rest = tmp_path / "rest.csv"
    listed = read_list(seat.desk, MIXED.encode(), "gear.csv")
    take_into_stock(seat.desk, listed, understood_only=True, rest=rest)
    mended = rest.read_text().replace("strap", "ratchet strap").replace("S-1", "W-9")
    seat.later(5)
    again = read_list(seat.desk, mended.encode(), "rest.csv")
    take_into_stock(seat.desk, again, understood_only=False)
    labels = {row["label"] for row in gear(seat.desk)}
    assert {"W-1", "W-2", "W-3", "W-9"} <= labels


def test_the_rest_is_written_only_where_the_others_are_recorded(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a truck and gear")
    listed = read_list(seat.desk, MIXED.encode(), "gear.csv")
    there = tmp_path / "there.csv"
    there.write_text("of somebody else")
    for understood_only, rest, told in (
        (False, tmp_path / "rest.csv", "not understood"),
        (True, there, "is there already"),
    ):
        with pytest.raises(Refused, match=told):
            take_into_stock(seat.desk, listed, understood_only=understood_only, rest=rest)
    whole = read_list(seat.desk, GOOD.encode(), "gear.csv")
    with pytest.raises(Refused, match="--understood-only"):
        take_into_stock(seat.desk, whole, understood_only=False, rest=tmp_path / "rest.csv")
    assert there.read_text() == "of somebody else"
    assert not (tmp_path / "rest.csv").exists()


def test_gear_said_to_be_out_of_use_or_damaged_does_not_come_in_as_in_stock(sit: Sit) -> None:
    seat = sit("a truck and gear")
    text = "Label;Kind;Status;Damage\nW-1;bar;retired;\nW-2;bar;good;bent\nW-3;bar;good;none\n"
    take_into_stock(seat.desk, read_list(seat.desk, text.encode(), "x.csv"), understood_only=False)
    standing = {row["label"]: row["standing"] for row in gear(seat.desk)}
    assert [standing[label] for label in ("W-1", "W-2", "W-3")] == [
        "unfit",
        "set aside",
        "in stock",
    ]


def test_the_same_list_within_two_minutes_is_asked_about(sit: Sit) -> None:
    seat = sit("a truck and gear")
    listed = read_list(seat.desk, GOOD.encode(), "gear.csv")
    take_into_stock(seat.desk, listed, understood_only=False)
    with pytest.raises(AskedAgain):
        take_into_stock(seat.desk, listed, understood_only=False)


@pytest.mark.parametrize(
    ("data", "kind", "encoding", "told"),
    [
        (b"one,two\n", None, None, "no heading row"),
        (b"", None, None, "found: nothing"),
        (b"\xff\xfe", None, None, "no heading row"),
        (b"Label,Kind\n", None, None, "no row of"),
        (b"Label,Kind\nW-1,bar\n", "rope", None, "more than one"),
        (b"Label,Kind\nW-1,bar\n", None, "none such", "no encoding"),
    ],
)
def test_what_is_no_list_of_gear_is_refused_in_words(
    data: bytes, kind: str | None, encoding: str | None, told: str, sit: Sit
) -> None:
    seat = sit("a truck and gear")
    before = seat.count()
    with pytest.raises(Refused, match=told):
        listed = read_list(seat.desk, data, "gear.csv", kind=kind, encoding=encoding)
        take_into_stock(seat.desk, listed, understood_only=True)
    assert seat.count() == before


def test_what_was_taken_in_leaves_in_the_export_as_typed(sit: Sit, tmp_path: Path) -> None:
    from triplog.desk.exporting import export

    seat = sit("a journal just begun")
    rows = [("W-1", '2"', "27'", "2,800#"), ("W-2", "50 mm", "8.2 m", "1500 kg")]
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(["Label", "Kind", "Width", "Length", "WLL"])
    writer.writerows((label, "ratchet strap", *rest) for label, *rest in rows)
    listed = read_list(seat.desk, out.getvalue().encode(), "gear.csv")
    take_into_stock(seat.desk, listed, understood_only=False)
    export(seat.desk, tmp_path / "out", ("csv",), None)
    (table,) = (tmp_path / "out").rglob("gear.csv")
    with table.open(encoding="utf-8", newline="") as file:
        read = [
            (row["label"], row["width_as_marked"], row["length_as_given"], row["wll_as_marked"])
            for row in csv.DictReader(file)
        ]
    assert read == rows
