"""The inspection list: a row a piece, on paper and as CSV, nothing recorded."""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.desk.seat import Seat
from triplog.desk.gear import change_gear, set_standing
from triplog.desk.gear_paper import write_inspection_list
from triplog.desk.refused import Refused
from triplog.journal.things import Standing

Sit = Callable[[str], Seat]


def _labels(folder: Path) -> list[str]:
    with (folder / "gear-inspection.csv").open(encoding="utf-8", newline="") as file:
        return [row["label"] for row in csv.DictReader(file)]


def test_the_list_holds_all_gear_but_the_unfit_and_records_nothing(
    sit: Sit, tmp_path: Path
) -> None:
    seat = sit("a trip planned")
    set_standing(seat.desk, "S-3", Standing.UNFIT, reason="melted")
    set_standing(seat.desk, "S-4", Standing.SET_ASIDE, reason="chafed")
    before = seat.count()
    written = write_inspection_list(seat.desk, tmp_path / "out", ("pdf", "csv"))
    assert [path.name for path in written] == ["gear-inspection.pdf", "gear-inspection.csv"]
    assert written[0].read_bytes().startswith(b"%PDF-")
    assert _labels(tmp_path / "out") == ["S-1", "S-2", "S-4", "S-5", "S-6"]
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "gear-inspection.csv",
        "gear-inspection.pdf",
    ]
    assert seat.count() == before


def test_only_what_is_to_be_looked_at_or_stands_so_is_listed_where_asked(
    sit: Sit, tmp_path: Path
) -> None:
    seat = sit("a truck and gear")
    change_gear(seat.desk, "S-2", item={}, inspect_by="2026-03-01")
    set_standing(seat.desk, "S-4", Standing.SET_ASIDE, reason="chafed")
    write_inspection_list(seat.desk, tmp_path / "a", ("csv",), to_inspect=True)
    write_inspection_list(seat.desk, tmp_path / "b", ("csv",), standing="set aside")
    assert (_labels(tmp_path / "a"), _labels(tmp_path / "b")) == (["S-2"], ["S-4"])


def test_a_list_that_is_there_is_not_written_over(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a truck and gear")
    write_inspection_list(seat.desk, tmp_path, ("csv",))
    before = (tmp_path / "gear-inspection.csv").read_bytes()
    with pytest.raises(Refused, match="there already"):
        write_inspection_list(seat.desk, tmp_path, ("pdf", "csv"))
    assert (tmp_path / "gear-inspection.csv").read_bytes() == before
    assert not (tmp_path / "gear-inspection.pdf").exists()


@pytest.mark.parametrize(
    ("scene", "forms", "told"),
    [("a truck and gear", ("paper",), "forms are"), ("a journal just begun", ("csv",), "no such")],
)
def test_an_unknown_form_and_an_empty_stock_are_refused(
    scene: str, forms: tuple[str, ...], told: str, sit: Sit, tmp_path: Path
) -> None:
    with pytest.raises(Refused, match=told):
        write_inspection_list(sit(scene).desk, tmp_path, forms)
