"""The worksheet of a bundle: facts of the Federal Rules of Evidence 902(13) and (14), unsigned.

What is asked there was read in commentaries that quote the rules; the list of facts is ours.
"""

import hashlib
import zipfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from tests.desk.exported import member
from tests.desk.seat import Seat
from triplog.desk.exporting import export
from triplog.desk.road import read_odometer
from triplog.desk.withholding import Wish

Sit = Callable[[str], Seat]


def sheet_of(bundle: Path) -> str:
    """The worksheet as running text."""
    return " ".join(member(bundle, "worksheet.txt").decode().split())


def test_it_names_what_identifies_the_copy_and_its_source(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a first check made")
    made = export(seat.desk, tmp_path, ("bundle",), seat.trip)
    told = sheet_of(made.files[0])
    assert made.entry.hash in told
    assert made.head is not None and made.head.code in told
    device, (seq, digest) = next(iter(seat.desk.store.heads().items()))
    assert f"Device {device}" in told
    assert f"the last number {seq - 1}" in told or f"the last number {seq}" in told
    with zipfile.ZipFile(made.files[0]) as packed:
        tags = packed.read(f"{made.files[0].stem}/tagmanifest-sha256.txt")
    assert hashlib.sha256(tags).hexdigest() == made.seal
    assert str(made.seal) not in told, "it cannot stand in what it stands for"
    assert digest


def test_it_counts_what_was_late_and_what_is_withheld(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a first check made")
    before = sheet_of(export(seat.desk, tmp_path / "one", ("bundle",), seat.trip).files[0])
    assert "Private values withheld from this copy: none" in before
    seat.later(40)
    read_odometer(
        seat.desk,
        seat.trip,
        "24190",
        stopped=True,
        sure=True,
        at=seat.clock.wall - timedelta(minutes=20),
    )
    wish = Wish(words=("names",), reason="asked for")
    after = sheet_of(export(seat.desk, tmp_path / "two", ("bundle",), None, wish=wish).files[0])
    assert "after what is told: 0." in before
    assert "after what is told: 1." in after
    assert "name" in after.split("withheld from this copy: ")[1].split(".")[0]


def test_nothing_in_it_is_signed_or_filled_in_for_the_person(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a first check made")
    told = sheet_of(export(seat.desk, tmp_path, ("bundle",), seat.trip).files[0])
    blanks = told.split("For the person who certifies")[1]
    for name in ("Name", "Signature", "Declaration", "verify.py answered"):
        assert name in blanks
    assert blanks.count("_" * 40) == 9
    assert "unsigned" in told
