"""Picture files taken in: what is kept, what stays behind, what is refused and why.

Pictures, EXIF and the second decoding are Pillow's. What stays behind is our own design, no source;
the forms of the files are ITU-T T.81 annex B and the PNG specification (from memory).
"""

import struct
import zlib
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from exports.picture.broken import PictureBroken
from exports.picture.reading import BYTES_MAX, PIXELS_MAX, read_picture
from tests.pictures import (
    A_TOWN,
    LATITUDE,
    LONGITUDE,
    OFFSET,
    canvas,
    exif,
    fields_of,
    jpeg,
    of_form,
    pixels,
    png,
)

PLACE = b"38.84N 97.61W"
XMP = b"http://ns.adobe.com/xap/1.0/\x00<x exif:GPSLatitude='" + PLACE + b"'/>"
Write = Callable[..., bytes]
WRITERS = pytest.mark.parametrize("write", [jpeg, png], ids=["jpeg", "png"])


def with_segment(data: bytes, marker: int, payload: bytes) -> bytes:
    """A JPEG with one more segment behind its first marker."""
    return (
        data[:2] + bytes((0xFF, marker)) + struct.pack(">H", len(payload) + 2) + payload + data[2:]
    )


def chunk(name: bytes, content: bytes) -> bytes:
    return (
        struct.pack(">I", len(content))
        + name
        + content
        + struct.pack(">I", zlib.crc32(name + content))
    )


def with_chunk(data: bytes, name: bytes, content: bytes) -> bytes:
    """A PNG with one more chunk behind its first."""
    return data[:33] + chunk(name, content) + data[33:]


def gps_bytes() -> list[bytes]:
    """Each number of the coordinates as EXIF lays it down, in both orders of bytes."""
    numbers = (LATITUDE, LONGITUDE)
    return [
        struct.pack(f"{order}II", int(parts[0]), 1) + struct.pack(f"{order}II", int(parts[1]), 1)
        for order in "<>"
        for parts in numbers
    ]


@WRITERS
def test_a_picture_without_anything_beside_it_is_kept_byte_for_byte(write: Write) -> None:
    data = write()
    read = read_picture(data)
    assert read.data == data
    assert (read.original, read.taken_out) == (None, ())
    assert (read.width_px, read.height_px) == (96, 72)


@WRITERS
def test_coordinates_are_nowhere_in_what_is_kept_and_the_picture_is_the_same(write: Write) -> None:
    data = write(exif=exif(offset=OFFSET, gps=A_TOWN, taking={0x927C: PLACE * 4}))
    assert any(number in data for number in gps_bytes())
    assert fields_of(data).get_ifd(0x8825)
    read = read_picture(data)
    assert not any(number in read.data for number in gps_bytes())
    assert PLACE not in read.data
    assert not fields_of(read.data).get_ifd(0x8825)
    assert pixels(read.data) == pixels(data)
    assert read.original == data
    assert "coordinates in EXIF" in read.taken_out
    assert (read.taken.at, read.taken.offset_min) == ("2026-03-02 07:31:00", -360)


@WRITERS
def test_which_way_is_up_stays(write: Write) -> None:
    data = write(exif=exif(gps=A_TOWN, picture={0x0112: 6}))
    assert fields_of(read_picture(data).data)[0x0112] == 6


@WRITERS
def test_what_is_read_twice_is_read_alike_and_what_was_kept_stays_as_it_is(write: Write) -> None:
    data = write(exif=exif(gps=A_TOWN))
    first = read_picture(data)
    assert read_picture(data) == first
    again = read_picture(first.data)
    assert (again.data, again.original) == (first.data, None)


@pytest.mark.parametrize(
    ("marker", "payload", "told"),
    [
        (0xE1, XMP, "XMP"),
        (0xED, b"Photoshop 3.0\x00" + PLACE, "captions (IPTC)"),
        (0xFE, PLACE, "a comment"),
        (0xE2, b"MPF\x00" + PLACE, "a maker's own data"),
        (0xEC, PLACE, "a maker's own data"),
        (0xE0, b"JFXX\x00" + PLACE, "a maker's own data"),
        (0xE1, b"Exif\x00\x00" + PLACE, "EXIF that cannot be read"),
    ],
)
def test_what_lies_beside_a_jpeg_stays_behind(marker: int, payload: bytes, told: str) -> None:
    plain = jpeg()
    read = read_picture(with_segment(plain, marker, payload))
    assert read.data == plain
    assert read.taken_out == (told,)


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        (b"tEXt", b"Comment\x00" + PLACE, "texts"),
        (b"iTXt", b"XML:com.adobe.xmp\x00\x00\x00\x00\x00" + XMP, "texts"),
        (b"zTXt", b"Comment\x00\x00" + zlib.compress(PLACE), "texts"),
        (b"prVt", PLACE, "a program's own data"),
        (b"eXIf", PLACE, "EXIF that cannot be read"),
    ],
)
def test_what_lies_beside_a_png_stays_behind(name: bytes, content: bytes, told: str) -> None:
    plain = png()
    read = read_picture(with_chunk(plain, name, content))
    assert read.data == plain
    assert read.taken_out == (told,)


@WRITERS
def test_what_follows_the_picture_stays_behind(write: Write) -> None:
    """A film of the same moment behind the picture, as telephones write it, has its own place."""
    plain = write()
    read = read_picture(plain + b"\x00\x00\x00\x18ftypmp42" + PLACE)
    assert (read.data, read.taken_out) == (plain, ("what follows the picture",))


def test_colours_and_resolution_stay() -> None:
    data = jpeg(dpi=(300, 300), icc_profile=b"p" * 200)
    assert b"ICC_PROFILE\x00" in data
    assert read_picture(data).data == data
    four_inks = jpeg(canvas(mode="CMYK"))
    assert b"Adobe" in four_inks
    assert pixels(read_picture(four_inks).data) == pixels(four_inks)


@pytest.mark.parametrize(
    "data",
    [
        jpeg(canvas(mode="L")),
        jpeg(progressive=True),
        jpeg(quality=95, subsampling=0),
        jpeg(restart_marker_blocks=1),
        png(canvas(mode="RGBA")),
        png(canvas(mode="1")),
        png(canvas(mode="P")),
        jpeg(canvas(1, 1)),
    ],
)
def test_the_usual_forms_are_taken(data: bytes) -> None:
    assert read_picture(data).data == data


def test_of_two_pictures_in_one_file_the_first_is_kept() -> None:
    """Telephones write a second picture behind the first (CIPA DC-007, from memory)."""
    data = of_form("MPO", save_all=True, append_images=[canvas(mark=9)])
    assert data.count(b"\xff\xd8\xff") == 2
    read = read_picture(data)
    assert read.data.count(b"\xff\xd8\xff") == 1
    assert read.media_type == "image/jpeg"


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "it is empty"),
        (b"a shopping list\n" * 100, "no picture"),
        (b"\x00" * 500, "no picture"),
        (of_form("GIF"), "GIF picture"),
        (of_form("BMP"), "BMP picture"),
        (of_form("TIFF"), "TIFF or raw"),
        (of_form("WEBP"), "WebP picture"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1", "HEIC picture; save it as JPEG"),
        (b"\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00", "film"),
        (b"%PDF-1.7\n", "PDF file"),
        (jpeg() + b"x" * BYTES_MAX, "too large; the most is 25,000,000 bytes"),
        (png(save_all=True, append_images=[canvas(mark=9)]), "moving picture"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_anything_else_is_refused_with_a_reason(data: bytes, told: str) -> None:
    with pytest.raises(PictureBroken, match=told):
        read_picture(data)


def sized(data: bytes, width: int, height: int) -> bytes:
    """A picture that says another size than it has."""
    if data.startswith(b"\x89PNG"):
        head = chunk(b"IHDR", struct.pack(">II", width, height) + data[24:29])
        return data[:8] + head + data[33:]
    at = data.index(b"\xff\xc0") + 5
    return data[:at] + struct.pack(">HH", height, width) + data[at + 4 :]


@WRITERS
def test_a_picture_that_would_unfold_to_more_than_can_be_shown_is_refused_unopened(
    write: Write,
) -> None:
    with pytest.raises(PictureBroken, match="65,000 x 65,000 pixels; the most is 60 million"):
        read_picture(sized(write(), 65_000, 65_000))
    with pytest.raises(PictureBroken, match="no width or no height"):
        read_picture(sized(write(), 0, 72))


def test_a_png_of_as_many_pixels_as_may_be_is_taken_and_of_one_row_more_not() -> None:
    assert PIXELS_MAX == 60_000_000
    black = Image.new("1", (10_000, 6_000))
    assert read_picture(png(black)).height_px == 6_000
    with pytest.raises(PictureBroken, match="10,000 x 6,001"):
        read_picture(png(Image.new("1", (10_000, 6_001))))


def test_a_picture_of_countless_passes_or_parts_is_refused_unopened() -> None:
    data = jpeg(progressive=True)
    scan = data.index(b"\xff\xda")
    end = data.index(b"\xff", scan + 14)
    while data[end + 1] in (0, *range(0xD0, 0xD8)):
        end = data.index(b"\xff", end + 2)
    with pytest.raises(PictureBroken, match="more than 32 passes"):
        read_picture(data[:end] + data[scan:end] * 40 + data[end:])
    with pytest.raises(PictureBroken, match="more than 50,000 parts"):
        read_picture(data[:2] + b"\xff\x01" * 60_000 + data[2:])
    with pytest.raises(PictureBroken, match="cut off"):
        read_picture(data[:2] + b"\xff" * 5_000_000)
    with pytest.raises(PictureBroken, match="cut off"):
        read_picture(data[: scan + 20] + b"\xff" * 5_000_000 + b"\x00")


@pytest.mark.parametrize(
    "data", [jpeg(exif=exif(gps=A_TOWN)), jpeg(progressive=True), png(exif=exif(gps=A_TOWN))]
)
def test_cut_off_anywhere_it_is_refused(data: bytes) -> None:
    for length in range(1, len(data), 7):
        with pytest.raises(PictureBroken):
            read_picture(data[:length])
    with pytest.raises(PictureBroken, match="cut off"):
        read_picture(data[:-1])


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from(["jpeg", "progressive", "png"]),
    st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 255)), min_size=1, max_size=6),
)
def test_no_altered_bytes_trip_it(which: str, changes: list[tuple[int, int]]) -> None:
    made = {
        "jpeg": jpeg(exif=exif(gps=A_TOWN)),
        "progressive": jpeg(progressive=True),
        "png": png(exif=exif(gps=A_TOWN)),
    }
    data = bytearray(made[which])
    for place, value in changes:
        data[place % len(data)] = value
    try:
        read = read_picture(bytes(data))
    except PictureBroken as problem:
        assert str(problem).startswith(("it ", "its "))
    else:
        assert read.width_px > 0


@given(st.binary(max_size=400), st.sampled_from([b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"]))
def test_no_bytes_at_all_trip_it(noise: bytes, begun: bytes) -> None:
    with pytest.raises(PictureBroken):
        read_picture(begun + noise)
