"""A filled-in inspection list in the store: recorded once, whole, with where it came from."""

import csv
import io
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from tests.desk.seat import Seat
from triplog.desk.finding_things import gear_named
from triplog.desk.gear_paper import write_inspection_list
from triplog.desk.inspection_lists import ReadInspections, read_inspections, record_inspections
from triplog.desk.refused import Refused
from triplog.journal.things import Standing

Sit = Callable[[str], Seat]
DAY = "2026-03-01"
TICKED = dict.fromkeys(
    ("label_looked_at", "body_looked_at", "ends_looked_at", "tightener_looked_at"), "x"
)
LOOKED = {"by": "yard hand", "on": DAY}


def filled(seat: Seat, folder: Path, **by_label: dict[str, str]) -> bytes:
    """The list as this program writes it, with some rows filled in; S_1 is the piece S-1."""
    write_inspection_list(seat.desk, folder, ("csv",))
    with (folder / "gear-inspection.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row.update(by_label.get(row["label"].replace("-", "_"), {}))
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue().encode()


def read(seat: Seat, data: bytes) -> ReadInspections:
    return read_inspections(seat.desk, data, "gear-inspection.csv")


def test_what_was_ticked_is_recorded_and_nothing_else(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a truck and gear")
    found = {"damage_found": "cut", "damage_size": "3/16 in", "stays_or_aside": "aside", **LOOKED}
    data = filled(seat, tmp_path, S_1={**TICKED, **LOOKED}, S_2=found)
    entry = record_inspections(seat.desk, read(seat, data))
    assert (entry.kind, entry.via) == ("inspection_list_read", "imported")
    assert entry.body == {
        "digest": sha256(data).hexdigest(),
        "rows": 2,
        "not_looked_at": 4,
        "not_understood": 0,
    }
    assert seat.opened(entry) == {"name": "gear-inspection.csv"}
    looks = seat.entries("gear_inspected")
    assert [one.body["answer"] for one in looks] == ["nothing found", "set aside"]
    assert looks[0].event_time.date().isoformat() == DAY
    assert seat.opened(looks[0])["note"].startswith(f"looked at by yard hand on {DAY}")
    assert gear_named(seat.desk, "S-2").standing is Standing.SET_ASIDE
    assert gear_named(seat.desk, "S-1").standing is Standing.IN_STOCK


def test_a_blank_list_records_nothing(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a truck and gear")
    before = seat.count()
    with pytest.raises(Refused, match="says that somebody looked"):
        record_inspections(seat.desk, read(seat, filled(seat, tmp_path)))
    assert seat.count() == before


def test_a_list_is_not_recorded_twice(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a truck and gear")
    data = filled(seat, tmp_path, S_1={**TICKED, **LOOKED})
    record_inspections(seat.desk, read(seat, data))
    seat.later(60)
    before = seat.count()
    with pytest.raises(Refused, match="was read already"):
        record_inspections(seat.desk, read(seat, data))
    assert seat.count() == before


def test_a_list_mended_and_read_again_doubles_nothing(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a truck and gear")
    cut = {"damage_found": "cut 3/16 in", **LOOKED}
    part = {**TICKED, "body_looked_at": "", **LOOKED}
    data = filled(seat, tmp_path / "a", S_1=part, S_2=cut)
    record_inspections(seat.desk, read(seat, data), rest=tmp_path / "rest.csv")
    mended = read(seat, filled(seat, tmp_path / "b", S_1={**TICKED, **LOOKED}, S_2=cut))
    assert mended.before == ("S-2",)
    assert [one.row.label for one in mended.answered] == ["S-1"]
    record_inspections(seat.desk, mended)
    assert len(seat.entries("gear_inspected")) == 2


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ({"damage_found": "cut", "stays_or_aside": "stays", **LOOKED}, "no list keeps that in use"),
        ({**TICKED, "by": "yard hand", "on": "2030-01-01"}, "has not come yet"),
        ({"damage_found": "cut 3 furlong", **LOOKED}, "furlong"),
    ],
)
def test_a_row_that_cannot_be_recorded_keeps_the_list_out_or_goes_into_a_file(
    row: dict[str, str], why: str, sit: Sit, tmp_path: Path
) -> None:
    seat = sit("a truck and gear")
    listed = read(seat, filled(seat, tmp_path, S_1={**TICKED, **LOOKED}, S_2=row))
    (refused,) = listed.not_understood
    assert why in refused.problems[0].why
    before = seat.count()
    with pytest.raises(Refused, match="1 of 2 rows filled in are not understood"):
        record_inspections(seat.desk, listed)
    assert seat.count() == before
    rest = tmp_path / "rest.csv"
    record_inspections(seat.desk, listed, rest=rest)
    again = read(seat, rest.read_bytes())
    assert [one.first_line for one in again.not_understood] == [2]
    with pytest.raises(Refused, match="there already"):
        record_inspections(seat.desk, listed, rest=rest)


def test_what_the_looker_sets_aside_is_set_aside_though_nothing_was_found(
    sit: Sit, tmp_path: Path
) -> None:
    seat = sit("a truck and gear")
    data = filled(seat, tmp_path, S_1={**TICKED, "stays_or_aside": "aside", **LOOKED})
    listed = read(seat, data)
    assert listed.answered[0].is_out
    record_inspections(seat.desk, listed)
    assert gear_named(seat.desk, "S-1").standing is Standing.SET_ASIDE
