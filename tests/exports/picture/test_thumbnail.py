"""Small grey pictures for a printed page. What is asked of them is our own design, no source."""

import io
import struct

import pytest
from PIL import Image

from exports.picture.broken import PictureBroken
from exports.picture.thumbnail import Thumbnail, thumbnail
from tests.pictures import A_TOWN, canvas, exif, jpeg, png


def shown(small: Thumbnail) -> Image.Image:
    return Image.open(io.BytesIO(small.data))


def test_it_is_grey_small_of_the_same_shape_and_tells_nothing_else() -> None:
    small = thumbnail(jpeg(canvas(2400, 1200), exif(gps=A_TOWN, picture={0x0110: "Camera 1"})))
    assert (small.width_px, small.height_px) == (640, 320)
    with shown(small) as picture:
        assert (picture.mode, picture.size) == ("L", (640, 320))
        assert not picture.getexif()
    assert b"Camera" not in small.data


def test_the_same_picture_gives_the_same_bytes() -> None:
    data = jpeg(canvas(1600, 1200))
    assert thumbnail(data) == thumbnail(data)


def test_a_small_picture_is_not_made_larger() -> None:
    assert thumbnail(png(canvas(40, 30))).width_px == 40


def test_it_stands_upright() -> None:
    """Exif orientation 6 (from memory): to be turned a quarter clockwise."""
    lying = canvas(80, 40)
    small = thumbnail(jpeg(lying, exif(picture={0x0112: 6}), quality=100))
    assert (small.width_px, small.height_px) == (40, 80)
    upright = lying.convert("L").transpose(Image.Transpose.ROTATE_270)
    with shown(small) as picture:
        for place in ((3, 3), (36, 3), (3, 76), (36, 76)):
            grey, wanted = picture.getpixel(place), upright.getpixel(place)
            assert isinstance(grey, int) and isinstance(wanted, int)
            assert abs(grey - wanted) < 40


@pytest.mark.parametrize(
    ("picture", "grey"),
    [
        (Image.new("RGBA", (40, 30), (255, 0, 0, 0)), 255),
        (Image.new("I;16", (40, 30), 0x8000), 128),
        (Image.new("1", (40, 30), 1), 255),
        (Image.new("LA", (40, 30), (0, 255)), 0),
    ],
    ids=["transparent", "16 bits", "black and white", "grey"],
)
def test_every_kind_of_pixel_becomes_its_grey(picture: Image.Image, grey: int) -> None:
    with shown(thumbnail(png(picture))) as small:
        found = small.getpixel((20, 15))
        assert isinstance(found, int)
        assert abs(found - grey) <= 2


@pytest.mark.parametrize(
    "data", [b"", b"no picture", jpeg()[:200], png()[:80], struct.pack(">I", 9)]
)
def test_what_cannot_be_shown_is_said_to_be_broken(data: bytes) -> None:
    with pytest.raises(PictureBroken, match="cannot be shown"):
        thumbnail(data)
