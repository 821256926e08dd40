"""A filled-in inspection list read back; every line is answered for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triplog.securement.stock.inspected import FILLED_IN, read_filled_list
from triplog.securement.stock.lines import ListRefused

HEADING = "label,kind," + ",".join(FILLED_IN)
KINDS = {"S-1": "ratchet strap", "S-2": "ratchet strap", "B-1": "bar"}
WHOLE = "S-1,ratchet strap,x,x,x,x,,,stays,yard hand,2026-03-01"


def problems(row: str) -> list[tuple[str | None, str]]:
    (refused,) = read_filled_list(f"{HEADING}\n{row}\n", KINDS).not_understood
    return [(one.column, one.why) for one in refused.problems]


def test_a_piece_ticked_everywhere_was_looked_at_and_nothing_found() -> None:
    (row,) = read_filled_list(f"{HEADING}\n{WHOLE}\n", KINDS).looked
    assert (row.label, row.damage, row.stays) == ("S-1", [], True)
    assert (row.by, row.on) == ("yard hand", "2026-03-01")


def test_a_row_nobody_filled_in_is_a_piece_nobody_looked_at() -> None:
    read = read_filled_list(f"{HEADING}\nS-1,ratchet strap,,,,,,,,,\n", KINDS)
    assert (read.untouched, read.looked, read.not_understood) == (("S-1",), (), ())


@pytest.mark.parametrize("box", range(4))
def test_a_box_left_out_is_asked_about_where_nothing_was_found(box: int) -> None:
    cells = WHOLE.split(",")
    cells[2 + box] = ""
    assert [column for column, _ in problems(",".join(cells))] == [FILLED_IN[box]]


def test_gear_without_a_tightener_has_no_box_for_one() -> None:
    row = "B-1,bar,x,x,x,,,,,yard hand,2026-03-01"
    assert len(read_filled_list(f"{HEADING}\n{row}\n", KINDS).looked) == 1


@pytest.mark.parametrize(
    ("found", "size", "damage"),
    [
        ("cut 3/16 in", "", [{"kind": "cut", "size": "3/16 in"}]),
        ("cut", "3/16 in", [{"kind": "cut", "size": "3/16 in"}]),
        ("no label", "", [{"kind": "no label"}]),
        ("cut 2 mm; no label", "", [{"kind": "cut", "size": "2 mm"}, {"kind": "no label"}]),
    ],
)
def test_what_was_found_needs_no_tick(found: str, size: str, damage: list[object]) -> None:
    row = f"S-1,ratchet strap,,x,,,{found},{size},aside,yard hand,2026-03-01"
    (looked,) = read_filled_list(f"{HEADING}\n{row}\n", KINDS).looked
    assert (looked.damage, looked.stays) == (damage, False)


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("S-9,ratchet strap,x,x,x,x,,,stays,yard hand,2026-03-01", "label"),
        ("S-1,ratchet strap,x,maybe,x,x,,,stays,yard hand,2026-03-01", "body_looked_at"),
        ("S-1,ratchet strap,x,x,x,x,,,good,yard hand,2026-03-01", "stays_or_aside"),
        ("S-1,ratchet strap,x,x,x,x,,,stays,,2026-03-01", "by"),
        ("S-1,ratchet strap,x,x,x,x,,,stays,yard hand,1/3/26", "on"),
        ("S-1,ratchet strap,x,x,x,x,,,stays,yard hand,", "on"),
        ("S-1,ratchet strap,x,x,x,x,,3 mm,stays,yard hand,2026-03-01", "damage_size"),
        ("S-1,ratchet strap,,,,,cut;hole,3 mm,,yard hand,2026-03-01", "damage_size"),
        ("S-1,ratchet strap,,,,,3 mm,,,yard hand,2026-03-01", "damage_found"),
        ("S-1,ratchet strap,x", None),
        ('"S-1,ratchet strap,x,x,x,x,,,stays,yard hand,2026-03-01', None),
    ],
)
def test_a_row_that_is_not_understood_says_where(row: str, column: str | None) -> None:
    assert [found for found, _ in problems(row)] == [column]


def test_a_piece_that_stands_twice_is_recorded_by_neither_row() -> None:
    read = read_filled_list(f"{HEADING}\n{WHOLE}\n{WHOLE}\n", KINDS)
    assert not read.looked and len(read.not_understood) == 2
    assert read.mending_text() == f"{HEADING}\n{WHOLE}\n{WHOLE}\n"


def test_a_spreadsheet_s_semicolons_and_a_guarded_label_are_read() -> None:
    text = f"{HEADING}\n'{WHOLE.replace('S-1', '-1')}\n".replace(",", ";")
    (row,) = read_filled_list(text, {"-1": "ratchet strap"}).looked
    assert row.label == "-1"


@pytest.mark.parametrize("text", ["", "Label,Kind\nS-1,bar\n"])
def test_another_list_is_refused(text: str) -> None:
    with pytest.raises(ListRefused, match="no inspection list"):
        read_filled_list(text, KINDS)


CELLS = st.sampled_from(["", "x", "S-1", "S-2", "B-1", "cut 3/16 in", "aside", "2026-03-01", "?"])


@given(st.lists(st.lists(CELLS, max_size=12), max_size=8))
def test_no_line_is_lost(rows: list[list[str]]) -> None:
    lines = [",".join(row) for row in rows]
    read = read_filled_list("\n".join([HEADING, *lines]) + "\n", KINDS)
    placed = (*read.looked, *read.not_understood, *read.blanks)
    assert len(placed) + len(read.untouched) == len(lines)


@given(st.lists(st.sampled_from(["", "no", "-"]), min_size=4, max_size=4))
def test_nothing_is_taken_as_looked_at_that_nobody_ticked(boxes: list[str]) -> None:
    row = ",".join(["S-1", "ratchet strap", *boxes, "", "", "stays", "yard hand", "2026-03-01"])
    assert not read_filled_list(f"{HEADING}\n{row}\n", KINDS).looked
