"""Photos on the pages of a PDF, read back with Pillow-made pictures and poppler where installed.

The layout is our own design, no source.
"""

import io
import subprocess
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image

from exports.document import Document, DocumentError, Photo, Photos
from exports.pdf_sheet import Paper, write_pdf
from tests.needs import need

MADE_AT = datetime(2026, 5, 4, 18, 0, tzinfo=UTC)
WORDS = ("entered 2026-05-04 12:30", "taken 2026-05-04 11:30:00", "1 h 00 min before the entry")


def grey(width: int = 320, height: int = 240, shade: int = 90) -> bytes:
    out = io.BytesIO()
    Image.new("L", (width, height), shade).save(out, "JPEG")
    return out.getvalue()


def photo(number: int, width: int = 320, height: int = 240) -> Photo:
    return Photo(
        jpeg=grey(width, height),
        width_px=width,
        height_px=height,
        lines=(f"{number}  tag, T{number}", *WORDS),
    )


def document(*photos: Photo) -> Document:
    return Document(
        title="Photos",
        subtitle="",
        language="en",
        blocks=(Photos(photos=photos),),
        footer="Written from the log.",
        invented=True,
    )


def written(folder: Path, *photos: Photo, paper: Paper = "letter") -> tuple[Path, int]:
    path = folder / "photos.pdf"
    return path, write_pdf(document(*photos), paper, path, MADE_AT)


def read_by(*command: str) -> str:
    need([command[0]])
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize(("count", "pages"), [(1, 1), (9, 1), (12, 2), (17, 2)])
def test_nine_stand_on_a_page_each_with_its_words(
    paper: Paper, count: int, pages: int, tmp_path: Path
) -> None:
    path, made = written(tmp_path, *(photo(one) for one in range(1, count + 1)), paper=paper)
    assert made == pages
    text = read_by("pdftotext", str(path), "-")
    for one in range(1, count + 1):
        assert f"{one} tag, T{one}" in " ".join(text.split())
    assert text.count("1 h 00 min before the entry") == count
    listed = read_by("pdfimages", "-list", str(path)).splitlines()[2:]
    assert len(listed) == count
    assert all(line.split()[5] == "gray" for line in listed)


def test_a_standing_picture_is_shown_whole_in_the_frame_of_a_lying_one(tmp_path: Path) -> None:
    path, _ = written(tmp_path, photo(1, 240, 320))
    need(["pdftoppm"])
    subprocess.run(["pdftoppm", "-r", "50", "-png", str(path), str(tmp_path / "p")], check=True)
    with Image.open(next(tmp_path.glob("p*.png"))) as page:
        shades = page.convert("L")
        dark = [
            (x, y)
            for x in range(shades.width)
            for y in range(shades.height)
            if isinstance(shade := shades.getpixel((x, y)), int) and 80 < shade < 100
        ]
    across = max(x for x, _ in dark) - min(x for x, _ in dark)
    up = max(y for _, y in dark) - min(y for _, y in dark)
    assert across / up == pytest.approx(240 / 320, rel=0.05)


def test_of_a_photo_that_is_not_there_the_frame_says_why(tmp_path: Path) -> None:
    gone = replace(photo(1), jpeg=None, missing="not kept here any more")
    path, _ = written(tmp_path, gone, photo(2))
    assert "not kept here any more" in read_by("pdftotext", str(path), "-")


def test_the_same_photos_give_the_same_bytes(tmp_path: Path) -> None:
    first = written(tmp_path, photo(1), photo(2))[0].read_bytes()
    assert written(tmp_path, photo(1), photo(2))[0].read_bytes() == first


def test_what_cannot_be_set_is_refused_at_birth() -> None:
    with pytest.raises(DocumentError, match="needs a line"):
        Photo(jpeg=grey(), width_px=1, height_px=1, lines=())
    with pytest.raises(DocumentError, match="no size"):
        Photo(jpeg=grey(), width_px=0, height_px=1, lines=("1",))
    with pytest.raises(DocumentError, match="why the photo"):
        Photo(jpeg=None, width_px=1, height_px=1, lines=("1",))
    with pytest.raises(DocumentError, match="at least one"):
        Photos(photos=())
