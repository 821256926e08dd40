"""EXIF read and written anew, held against Pillow's writer and reader.

Tag numbers and forms: CIPA DC-008 (Exif 2.32), from memory; Pillow is the independent reading.
"""

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image

from exports.picture.exif import ExifBroken, Taken, read_exif
from tests.pictures import A_TOWN, OFFSET, TAKEN, exif

MAKER_NOTE, USER_COMMENT, SERIAL, DESCRIPTION, ARTIST = 0x927C, 0x9286, 0xA431, 0x010E, 0x013B


def tiff(made: Image.Exif) -> bytes:
    return made.tobytes().removeprefix(b"Exif\x00\x00")


def test_the_time_is_told_as_it_is_stated_and_its_offset_in_minutes() -> None:
    read = read_exif(tiff(exif(offset=OFFSET)))
    assert read.taken == Taken(at="2026-03-02 07:31:00", offset_min=-360)
    assert read_exif(tiff(exif())).taken == Taken(at="2026-03-02 07:31:00")


@pytest.mark.parametrize("offset", ["+05:45", "-03:30", "+00:00", "+14:00"])
def test_an_offset_may_be_any_that_a_place_on_earth_has(offset: str) -> None:
    hours, minutes = int(offset[1:3]), int(offset[4:])
    told = read_exif(tiff(exif(offset=offset))).taken.offset_min
    assert told == (hours * 60 + minutes) * (-1 if offset[0] == "-" else 1)


@pytest.mark.parametrize("offset", ["   :  ", "Z", "+25:00", "+05:75", "CET", "-6:00", "+٠٥:٠٠"])
def test_an_offset_that_is_none_is_not_stated(offset: str) -> None:
    assert read_exif(tiff(exif(offset=offset.encode().decode("latin-1")))).taken.offset_min is None


@pytest.mark.parametrize(
    "taken", ["    :  :     :  :  ", "0000:00:00 00:00:00", "2026:02:30 10:00:00", "yesterday"]
)
def test_a_time_that_is_none_is_no_time(taken: str) -> None:
    assert read_exif(tiff(exif(taken=taken, offset=OFFSET))).taken == Taken()


def test_the_moment_of_taking_goes_before_those_of_scanning_and_saving() -> None:
    other, saved = (
        {0x9004: "2026:03:03 08:00:00", 0x9012: "+01:00"},
        {0x0132: "2026:03:04 09:00:00"},
    )
    assert read_exif(tiff(exif(picture=saved, taking=other))).taken.at == "2026-03-02 07:31:00"
    scanned = read_exif(tiff(exif(taken=None, picture=saved, taking=other))).taken
    assert scanned == Taken(at="2026-03-03 08:00:00", offset_min=60)
    assert read_exif(tiff(exif(taken=None, picture=saved))).taken.at == "2026-03-04 09:00:00"


def test_what_is_written_anew_reads_the_same_elsewhere_and_has_no_place() -> None:
    plain = {0x010F: "Invented", 0x0110: "Camera 1", 0x0112: 6}
    taking = {0x829A: 0.004, 0x8827: 400, 0xA405: 28}
    read = read_exif(tiff(exif(offset=OFFSET, gps=A_TOWN, picture=plain, taking=taking)))
    again = Image.Exif()
    again.load(read.kept)
    assert {tag: again[tag] for tag in plain} == plain
    directory = again.get_ifd(ExifTags.IFD.Exif)
    assert (directory[0x9003], directory[0x9011], directory[0x8827]) == (TAKEN, OFFSET, 400)
    assert float(directory[0x829A]) == pytest.approx(0.004)
    assert not again.get_ifd(ExifTags.IFD.GPSInfo)
    assert read.left_out == ("coordinates in EXIF",)


@pytest.mark.parametrize("order", ["little", "big"])
def test_both_orders_of_bytes_are_read_and_kept(order: str) -> None:
    made = exif(gps=A_TOWN, picture={0x0110: "Camera 1"})
    made.endian = "<" if order == "little" else ">"
    read = read_exif(tiff(made))
    assert read.kept[:2] == (b"II" if order == "little" else b"MM")
    assert read.taken.at == "2026-03-02 07:31:00"
    assert read_exif(read.kept).taken == read.taken


@pytest.mark.parametrize("tag", [MAKER_NOTE, USER_COMMENT, SERIAL])
def test_what_nobody_can_read_or_names_somebody_is_left_out(tag: int) -> None:
    read = read_exif(tiff(exif(taking={tag: b"38.84N 97.61W somebody"})))
    assert b"38.84N" not in read.kept
    assert read.left_out == ("other fields of EXIF",)


@pytest.mark.parametrize("tag", [DESCRIPTION, ARTIST])
def test_captions_and_names_of_owners_are_left_out(tag: int) -> None:
    read = read_exif(tiff(exif(picture={tag: "near the river bridge"})))
    assert b"bridge" not in read.kept
    assert read.left_out == ("other fields of EXIF",)


def test_a_long_text_in_a_plain_field_is_left_out() -> None:
    read = read_exif(tiff(exif(picture={0x010F: "38.84N " * 100})))
    assert b"38.84N" not in read.kept


def test_what_lies_between_the_fields_is_left_out() -> None:
    """A hasty tool drops the pointer to the coordinates and leaves the coordinates."""
    plain = read_exif(tiff(exif())).kept
    read = read_exif(plain + b"38.84N 97.61W")
    assert read.kept == plain
    assert read.left_out == ("bytes of EXIF that no field names",)


def test_what_has_been_written_anew_stays_as_it_is() -> None:
    kept = read_exif(tiff(exif(gps=A_TOWN, taking={MAKER_NOTE: b"x" * 40}))).kept
    assert read_exif(kept).kept == kept
    assert read_exif(kept).left_out == ()


@pytest.mark.parametrize(
    "broken",
    [
        b"",
        b"II*\x00",
        b"XX*\x00\x08\x00\x00\x00",
        b"II*\x00\xff\xff\xff\xff",
        b"II*\x00\x08\x00\x00\x00\xff\xff",
        b"MM\x00*\x00\x00\x00\x08\x00\x01"
        + struct.pack(">HHII", 0x8769, 4, 1, 0xFFFFFF)
        + b"\x00" * 4,
        b"MM\x00*\x00\x00\x00\x08\x00\x01"
        + struct.pack(">HHIHH", 0x8825, 3, 1, 9, 0)
        + b"\x00" * 4,
    ],
)
def test_what_is_no_exif_is_said_to_be_none(broken: bytes) -> None:
    with pytest.raises(ExifBroken):
        read_exif(broken)


@given(st.binary(max_size=300), st.integers(0, 400), st.integers(0, 255))
def test_no_bytes_trip_the_reader(more: bytes, place: int, value: int) -> None:
    data = bytearray(tiff(exif(offset=OFFSET, gps=A_TOWN)) + more)
    data[place % len(data)] = value
    try:
        read = read_exif(bytes(data))
    except ExifBroken:
        return
    assert len(read.kept) <= len(data) + 12
    assert read.kept == b"" or read_exif(read.kept).kept == read.kept
