"""`triplog readings` as it is typed: whole files, broken ones, and what stands in the record.

Where a case names no source, what it holds is our reading.
"""

import os
from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.desk.test_feeding import ENGINES, EVENTS
from tests.errors.scenes import set_scene
from tests.scheduler.feeds import made
from tests.scheduler.feeds.made import eastward, engine, event, gpx, rmc
from triplog.cli.exit_codes import DONE, FOUND, REFUSED

TWO_GIB = 2 * 1024**3
BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]>'
    b"<gpx><name>&b;</name></gpx>"
)


@pytest.fixture
def stopped(tmp_path: Path) -> Terminal:
    """The trip that left at 07:20 and was checked at 07:55, at noon."""
    terminal = Terminal(folder=tmp_path)
    set_scene("a first check made", terminal)
    terminal.local(12, 0)
    return terminal


def test_a_duty_file_is_told_as_imported_kept_with_its_digest_and_read_once(
    stopped: Terminal,
) -> None:
    (stopped.folder / "day.csv").write_bytes(made.duty_file(EVENTS, ENGINES))
    before = stopped.entry_count()
    said = stopped.type("readings", "day.csv", "--dry-run")
    assert "imported from day.csv, not our observation; SHA-256 " in said.out
    assert stopped.entry_count() == before
    said = stopped.type("readings", "day.csv", "--kind", "duty-file")
    assert (said.code, said.err) == (DONE, "")
    assert "recorded 12:00  imported from day.csv" in said.out
    grown = stopped.entry_count()
    again = stopped.type("readings", "day.csv")
    assert "was read before" in again.out + again.err
    assert stopped.entry_count() == grown
    shown = stopped.type("trip", "show").out
    assert "duty_imported      off duty  [imported, not our observation" in shown


def test_a_track_stands_beside_the_odometer_and_no_place_is_kept(stopped: Terminal) -> None:
    track = gpx(eastward(120))
    (stopped.folder / "way.gpx").write_bytes(track)
    said = stopped.type("readings", "way.gpx")
    assert said.code == DONE
    assert "way by GPX track, imported from way.gpx, not our observation" in said.out
    assert "positions are not kept" in said.out
    store = next(stopped.folder.rglob("triplog.sqlite3")).read_bytes()
    assert b"0.001" not in store and b"0.119" not in store


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("cut.gpx", gpx(eastward(9))[:-40], "broken as XML"),
        ("bomb.gpx", BOMB, "document type"),
        ("rubbish.gpx", bytes(range(256)), "rubbish.gpx"),
        ("rubbish.bin", bytes(range(256)), "say with --kind"),
        ("empty.csv", b"", "is empty"),
        ("plain.nmea", b"no sentence at all\n", "plain.nmea"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words_and_nothing_is_recorded(
    stopped: Terminal, name: str, data: bytes, sentence: str
) -> None:
    (stopped.folder / name).write_bytes(data)
    before = stopped.entry_count()
    said = stopped.type("readings", name)
    assert said.code == REFUSED
    assert sentence in said.err
    assert stopped.entry_count() == before


def test_two_gigabytes_a_folder_and_a_locked_file_are_refused(stopped: Terminal) -> None:
    (stopped.folder / "big.gpx").touch()
    os.truncate(stopped.folder / "big.gpx", TWO_GIB)
    (stopped.folder / "there").mkdir()
    for name, sentence in (("big.gpx", "2,048 MiB"), ("there", "is a folder")):
        said = stopped.type("readings", name)
        assert (said.code, sentence in said.err) == (REFUSED, True), said.err
    if os.geteuid():
        (stopped.folder / "locked.gpx").write_bytes(gpx(eastward(9)))
        (stopped.folder / "locked.gpx").chmod(0)
        assert "cannot be read" in stopped.type("readings", "locked.gpx").err


def test_a_whole_file_is_not_followed_as_if_it_were_sentences(stopped: Terminal) -> None:
    (stopped.folder / "way.gpx").write_bytes(gpx(eastward(9)))
    said = stopped.type("readings", "way.gpx", "--follow")
    assert said.code == REFUSED
    assert "--follow goes with --kind nmea alone" in said.err


def test_wrong_sums_are_told_and_the_rest_is_taken(stopped: Terminal) -> None:
    lines = [rmc(at, place * 0.06) for place, (at, _, _) in enumerate(eastward(120)) if at]
    lines[50] = lines[50][:-2] + ("00" if lines[50][-2:] != "00" else "01")
    (stopped.folder / "log.nmea").write_text("\n".join(lines))
    said = stopped.type("readings", "log.nmea")
    assert said.code == FOUND
    assert "row 51" in said.out
    assert "way by satellite receiver" in said.out


def test_a_duty_file_with_segments_missing_mixed_ends_edits_and_the_future_is_told(
    stopped: Terminal,
) -> None:
    ahead = event("f", "030226,200000", code="4", miles="0")
    changed = event("e", "030226,110000", code="1", miles="99", status="2")
    data = made.duty_file([ahead, changed, *EVENTS], [engine("3", "030226,072000", "24130")])
    data = data.replace(b"CMV List:", b"Other List:").replace(b"\r", b"\n", 3)
    (stopped.folder / "day.csv").write_bytes(data)
    said = stopped.type("readings", "day.csv")
    assert said.code == FOUND
    for sentence in ("CMV List", "line", "superseded", "in the future"):
        assert sentence in said.out, said.out
