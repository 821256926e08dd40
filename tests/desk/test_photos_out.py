"""Photos in what leaves the house: bundle, tables, sheet. The form of it is our own, no source.

Pictures are made with Pillow; a bundle's files are held against `hashlib`.
"""

import hashlib
import json
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from exports.document import Document, Photos
from exports.pdf_sheet import write_pdf
from exports.verify import verify
from tests.builders import reopened
from tests.desk.photographed import added, keep_positions, local, offset_text, put
from tests.desk.seat import Seat
from tests.pictures import A_TOWN, canvas, exif, jpeg, png
from triplog.desk.exporting import export
from triplog.desk.mending import withdraw
from triplog.desk.photos import photo_parts, photo_rows, thumbnails
from triplog.desk.scope import scope_of
from triplog.desk.trips import Opening, open_trip
from triplog.desk.withholding import Wish
from triplog.dossier.photos import photo_blocks
from triplog.journal import attachments


@pytest.fixture
def seat(sit: Callable[[str], Seat]) -> Seat:
    return sit("a trip planned")


def photos_in(bundle: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(bundle) as packed:
        return {
            name.rpartition("/")[2]: packed.read(name)
            for name in packed.namelist()
            if "/data/photos/" in name
        }


@pytest.mark.parametrize("whole_store", [False, True])
def test_a_bundle_holds_each_photo_under_its_digest(
    whole_store: bool, seat: Seat, tmp_path: Path
) -> None:
    files = put(tmp_path, jpeg(exif=exif(gps=A_TOWN)), png())
    made = added(seat, files, "front", "rear").new
    withdraw(seat.desk, None, reason="of another load")
    seat.later(1)
    done = export(seat.desk, tmp_path / "out", ("bundle",), None if whole_store else seat.trip)
    found = photos_in(done.files[0])
    assert found.keys() == {str(entry.body["file"]).removeprefix("photos/") for entry, _ in made}
    for name, data in found.items():
        assert name.partition(".")[0] == hashlib.sha256(data).hexdigest()
    assert verify(done.files[0]).problems == ()


def test_a_bundle_has_no_place_unless_it_is_asked_for(seat: Seat, tmp_path: Path) -> None:
    data = jpeg(exif=exif(gps=A_TOWN))
    keep_positions(seat)
    ((entry, _),) = added(seat, put(tmp_path, data)).new
    scope = scope_of(seat.desk, seat.trip)
    assert [one.path for one in photo_parts(scope, with_places=False)] == [entry.body["file"]]
    as_taken, copy = sorted(photo_parts(scope, with_places=True), key=lambda one: len(one.path))[
        ::-1
    ]
    assert (as_taken.path, copy.path) == (entry.body["original_file"], entry.body["file"])
    assert isinstance(as_taken.data, Iterator)
    assert b"".join(as_taken.data) == data
    seat.later(1)
    done = export(seat.desk, tmp_path / "out", ("bundle",), seat.trip)
    with zipfile.ZipFile(done.files[0]) as packed:
        assert not [name for name in packed.namelist() if "as-taken" in name]
    seat.later(1)
    asked = Wish(with_positions=True)
    done = export(seat.desk, tmp_path / "asked", ("bundle",), seat.trip, wish=asked)
    with zipfile.ZipFile(done.files[0]) as packed:
        (name,) = [name for name in packed.namelist() if "as-taken" in name]
        assert packed.read(name) == data


def test_a_bundle_of_one_trip_has_no_photo_of_another(seat: Seat, tmp_path: Path) -> None:
    added(seat, put(tmp_path, jpeg()))
    open_trip(seat.desk, Opening(label="T-2"), [])
    seat.later(1)
    done = export(seat.desk, tmp_path / "out", ("bundle",), seat.trip_called("T-2"))
    assert photos_in(done.files[0]) == {}


def test_the_table_has_a_row_for_each_photo_with_its_units(seat: Seat, tmp_path: Path) -> None:
    stated = local(seat, hours=1)
    added(seat, put(tmp_path, jpeg(exif=exif(taken=stated, offset=offset_text(seat)))), "tag")
    done = export(seat.desk, tmp_path / "out", ("csv", "json"), seat.trip)
    heads, row = (
        line.split(",") for line in (done.files[0] / "photos.csv").read_text().splitlines()
    )
    told = dict(zip(heads, row, strict=True))
    assert told["shows"] == "tag"
    assert told["taken_at_as_stated"] == stated.replace(":", "-", 2)
    assert told["taken_before_entry_s"] == "3600"
    trail = json.loads(done.files[1].read_text())
    (record,) = [one for one in trail if one["kind"] == "photo_added"]
    assert record["body"]["digest"] == told["digest"]


def test_the_tables_made_anew_are_those_that_grew(seat: Seat, tmp_path: Path) -> None:
    added(seat, put(tmp_path, jpeg()), "tag", tie_downs=["T1", "T2"])
    path = seat.desk.store.path
    journal = reopened(path)
    try:
        assert journal.rows() == journal.rebuilt_rows()
    finally:
        journal.close()


def test_the_sheet_tells_of_each_photo_and_of_one_that_is_gone(seat: Seat, tmp_path: Path) -> None:
    made = added(seat, put(tmp_path, jpeg(), png(canvas(mark=9))), "front", "tag").new
    gone = str(made[0][0].body["digest"])
    with seat.desk.store._transaction():
        attachments.remove(seat.desk.store, gone)
    blocks = list(photo_blocks(seat.trip, thumbnails(seat.desk, seat.trip)))
    block = blocks[-1]
    assert isinstance(block, Photos)
    photos = block.photos
    assert photos[0].jpeg is None and "not kept here any more" in photos[0].missing
    assert photos[1].jpeg is not None
    assert photos[1].lines[0] == "2  tag"
    assert [row["is_kept"] for row in photo_rows(seat.desk, seat.trip)] == [False, True]


def test_bytes_that_somebody_changed_are_not_shown_as_the_photo(seat: Seat, tmp_path: Path) -> None:
    ((entry, _),) = added(seat, put(tmp_path, jpeg()), "front").new
    raw = seat.desk.store.raw
    raw.execute("DROP TRIGGER attachment_is_never_changed")
    raw.execute("UPDATE attachment SET data = ?", (jpeg(canvas(mark=9)),))
    told = thumbnails(seat.desk, seat.trip)[str(entry.body["digest"])]
    assert "altered" in str(told)
    seat.later(1)
    done = export(seat.desk, tmp_path / "out", ("checks", "bundle"), seat.trip)
    assert done.files[0].read_bytes().startswith(b"%PDF")


def test_the_same_photos_give_the_same_page(seat: Seat, tmp_path: Path) -> None:
    added(seat, put(tmp_path, jpeg(canvas(800, 600)), png(canvas(mark=9))), "front", "tag")
    pages = []
    for name in ("a.pdf", "b.pdf"):
        document = Document(
            title="Photos",
            subtitle="",
            language="en",
            blocks=tuple(photo_blocks(seat.trip, thumbnails(seat.desk, seat.trip))),
            footer="",
            invented=False,
        )
        write_pdf(document, "letter", tmp_path / name, seat.clock.wall)
        pages.append((tmp_path / name).read_bytes())
    assert pages[0] == pages[1]


def test_of_no_photos_the_sheet_says_so(seat: Seat) -> None:
    blocks = list(photo_blocks(seat.trip, {}))
    assert [block.text for block in blocks] == ["Photos", "photos: none"]  # type: ignore[union-attr]
