"""The signed head on paper: a reader of other making reads the QR code off the printed page."""

import subprocess
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from exports.pdf_sheet import Paper
from exports.verify import Outside, verify
from tests.desk.exported import exported, under_way
from tests.dossier.scene import office
from tests.needs import need
from triplog.desk.exporting import export
from triplog.journal.checkpoint import signed_of
from triplog.journal.trip import text_in

_DPI = 150


def _codes_on(sheet: Path, folder: Path) -> list[str]:
    """What the codes on the pages of a sheet say, seen as a grey scan would show them."""
    need(["pdftoppm"])
    subprocess.run(
        ["pdftoppm", "-r", str(_DPI), "-gray", sheet, folder / "page"], check=True, timeout=60
    )
    found = []
    for page in sorted(folder.glob("page*.pgm")):
        with Image.open(page) as image:
            found += [one.text for one in zxingcpp.read_barcodes(image)]
    return found


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_code_on_the_trip_sheet_reads_as_the_signed_head(tmp_path: Path, paper: Paper) -> None:
    yard = office(tmp_path / "home")
    trip = under_way(yard)
    yard.clock.forward(minutes=1)
    sheet = export(yard.desk, tmp_path / "out", ("checks",), trip, paper=paper).files[0]
    (read,) = _codes_on(sheet, tmp_path)
    fact = yard.trip("T-1").last("checkpoint_signed")
    assert fact is not None
    assert signed_of(read).text == text_in(fact.entry.body, "signed_note")
    bundle = exported(yard, tmp_path / "later", yard.trip("T-1"), "bundle").files[0]
    report = verify(bundle, Outside(checkpoints=(read,)))
    assert report.problems == ()
    assert report.counts["outside_heads_compared"] == 1
