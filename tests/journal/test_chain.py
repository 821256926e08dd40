"""How entries hold together, and how each place where they do not is named."""

import hashlib

import pytest

from tests.builders import DEVICE, bulk_rows
from triplog.journal.chain import Row, breaks


def _rows(count: int = 6) -> list[Row]:
    return [(row[1], row[2], row[7]) for row in bulk_rows(DEVICE, count)]


def _sentences(rows: list[Row]) -> list[tuple[int, str]]:
    return [(one.seq, one.sentence) for one in breaks(rows)]


def _with_own_hash(row: Row, data: bytes) -> Row:
    return row[0], hashlib.sha256(data).hexdigest(), data


def test_an_unaltered_chain_holds() -> None:
    assert _sentences(_rows(250)) == []


def test_a_part_asked_for_by_itself_holds() -> None:
    assert _sentences(_rows()[3:]) == []


def test_one_changed_byte_is_named_at_its_entry() -> None:
    rows = _rows()
    seq, stored, data = rows[2]
    rows[2] = (seq, stored, data.replace(b"24132 mi", b"24232 mi"))
    assert rows[2][2] != data
    assert _sentences(rows) == [(2, "the entry's bytes do not give the hash stored beside them")]


def test_an_entry_changed_together_with_its_hash_is_named_at_the_next() -> None:
    rows = _rows()
    rows[2] = _with_own_hash(rows[2], rows[2][2].replace(b"24132 mi", b"24232 mi"))
    assert _sentences(rows) == [(3, "it does not name the hash of the entry before")]


def test_a_removed_entry_is_named() -> None:
    rows = _rows()
    del rows[3]
    assert _sentences(rows) == [(4, "entry 3 is not there")]


def test_two_entries_that_changed_places_are_named() -> None:
    rows = _rows()
    rows[2], rows[3] = (2, *rows[3][1:]), (3, *rows[2][1:])
    assert [seq for seq, _ in _sentences(rows)] == [2, 3, 4]


def test_a_first_entry_that_names_another_is_named() -> None:
    rows = _rows(1)
    forged = rows[0][2].replace(b'"prev":null', b'"prev":"' + b"0" * 64 + b'"', 1)
    assert _sentences([_with_own_hash(rows[0], forged)]) == [
        (0, "a first entry names an entry before it")
    ]


def test_the_link_is_not_taken_from_the_trip_or_from_the_body() -> None:
    """A body may quote the hash before, `trip_prev` may be the same: neither is the link."""
    rows = _rows(2)
    before = rows[0][1].encode()
    data = rows[1][2].replace(b'"prev":"' + before, b'"prev":"' + b"0" * 64, 1)
    data = data.replace(b'"odometer":', b'"note":{"prev":"' + before + b'"},"odometer":')
    assert data.count(before) == 2
    assert _sentences([rows[0], _with_own_hash(rows[1], data)]) == [
        (1, "it does not name the hash of the entry before")
    ]


@pytest.mark.parametrize("place", [0, 1, 498, 499, 500, 501, 999, 1000, 1003])
def test_breaks_of_each_kind_are_found_wherever_they_are_in_a_long_chain(place: int) -> None:
    """Rows are looked at 500 at a time: the seams hold as well."""
    rows = _rows(1004)
    seq, stored, data = rows[place]
    altered = [*rows[:place], (seq, stored, data + b" "), *rows[place + 1 :]]
    assert _sentences(altered) == [
        (place, "the entry's bytes do not give the hash stored beside them")
    ]
    anew = [*rows[:place], _with_own_hash(rows[place], data + b" "), *rows[place + 1 :]]
    after = [(place + 1, "it does not name the hash of the entry before")]
    assert _sentences(anew) == (after if place < 1003 else [])
    if 0 < place < 1003:
        del rows[place]
        assert _sentences(rows) == [(place + 1, f"entry {place} is not there")]
