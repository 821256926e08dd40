"""JPEG, segment by segment: its size, its end, and a copy without what lies beside the picture.

Source: ITU-T T.81 annex B (from memory): a marker is a byte FF and one that is neither 00 nor FF;
of most markers a length of two bytes follows; after SOS come the coded bytes, in which FF is
followed by 00 or by a restart marker. The segments that hold the picture are copied byte for byte.
"""

import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass

from exports.picture.broken import CUT_OFF, PARTS_MAX, PictureBroken
from exports.picture.exif import UNREADABLE, ExifBroken, Taken, read_exif

SIGNATURE = b"\xff\xd8\xff"
_EOI, _SOS, _APP0, _APP1, _APP2, _APP13, _APP14, _COM = (
    0xD9,
    0xDA,
    0xE0,
    0xE1,
    0xE2,
    0xED,
    0xEE,
    0xFE,
)
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_ALONE = frozenset({0x01, *range(0xD0, 0xD9)})
_NOT_FILL = re.compile(rb"[^\xff]")
_SCAN_END = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]")
_EXIF = b"Exif\x00\x00"
_STAYS = {_APP0: b"JFIF\x00", _APP2: b"ICC_PROFILE\x00", _APP14: b"Adobe"}
"""Beside the picture, and needed to show it as it is: resolution, colours."""
_NAMES = {_APP1: "XMP", _APP13: "captions (IPTC)", _COM: "a comment"}
_SEGMENT_MAX = 0xFFFF - 2
_PASSES_MAX = 32
"""Over one picture; a picture that builds up has a dozen. More would take minutes to show."""


@dataclass(frozen=True, slots=True)
class Segment:
    """A piece of the file, with its coded bytes where it has some; `payload`: after the length."""

    marker: int
    whole: bytes
    payload: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """A file that was walked through: its size, its time, a copy without places, what that lacks.

    `position_taken_out`: coordinates were among it.
    """

    width_px: int
    height_px: int
    taken: Taken
    without_places: bytes
    taken_out: tuple[str, ...]


def read_jpeg(data: bytes) -> Read:
    """Walk through a JPEG. Raises PictureBroken, in words, where it does not hold together."""
    kept, taken_out = [data[:2]], list[str]()
    size: tuple[int, int] | None = None
    taken = Taken()
    has_exif = False
    end = 2
    for one in _segments(data):
        end += len(one.whole)
        if one.marker in _FRAMES and size is None:
            size = _size(one.payload)
        if one.marker == _APP1 and one.payload.startswith(_EXIF) and not has_exif:
            has_exif = True
            anew, taken, lacks = _exif_anew(one)
            kept.append(anew)
            taken_out += lacks
        elif _may_stay(one):
            kept.append(one.whole)
        else:
            taken_out.append(_NAMES.get(one.marker, "a maker's own data"))
    if size is None:
        raise PictureBroken("it is broken: it does not say how large it is")
    if end < len(data):
        taken_out.append("what follows the picture")
    return Read(
        width_px=size[0],
        height_px=size[1],
        taken=taken,
        without_places=b"".join(kept),
        taken_out=tuple(dict.fromkeys(taken_out)),
    )


def _segments(data: bytes) -> Iterator[Segment]:
    """The pieces behind the first marker, the last of them EOI."""
    at, passes = 2, 0
    for _ in range(PARTS_MAX):
        start = at
        if data[at : at + 1] not in (b"\xff", b""):
            raise PictureBroken(f"it is broken: at byte {at:,} a part should begin, and none does")
        filled = _NOT_FILL.search(data, at)
        if filled is None:
            raise PictureBroken(CUT_OFF)
        at = filled.start()
        marker = data[at]
        at += 1
        if marker == _EOI:
            yield Segment(marker, data[start:at], b"")
            return
        if marker in _ALONE:
            yield Segment(marker, data[start:at], b"")
            continue
        at, payload = _payload(data, at)
        if marker == _SOS:
            passes += 1
            found = _SCAN_END.search(data, at)
            if found is None:
                raise PictureBroken(CUT_OFF)
            if passes > _PASSES_MAX:
                raise PictureBroken(f"it is built of more than {_PASSES_MAX} passes")
            at = found.start()
        yield Segment(marker, data[start:at], payload)
    raise PictureBroken(f"it is built of more than {PARTS_MAX:,} parts")


def _payload(data: bytes, at: int) -> tuple[int, bytes]:
    """Where a segment's payload ends, and the payload."""
    if at + 2 > len(data):
        raise PictureBroken(CUT_OFF)
    (length,) = struct.unpack_from(">H", data, at)
    if length < 2:
        raise PictureBroken(f"it is broken: at byte {at:,} a part has no length")
    if at + length > len(data):
        raise PictureBroken(CUT_OFF)
    return at + length, data[at + 2 : at + length]


def _size(payload: bytes) -> tuple[int, int]:
    if len(payload) < 6:
        raise PictureBroken("it is broken: it does not say how large it is")
    height, width = struct.unpack_from(">HH", payload, 1)
    return width, height


def _may_stay(one: Segment) -> bool:
    is_beside = _APP0 <= one.marker < _APP0 + 16 or one.marker == _COM
    return not is_beside or (one.marker in _STAYS and one.payload.startswith(_STAYS[one.marker]))


def _exif_anew(one: Segment) -> tuple[bytes, Taken, tuple[str, ...]]:
    """The EXIF segment of what may stay, the time in it, what it lacks now."""
    tiff = one.payload[len(_EXIF) :]
    try:
        exif = read_exif(tiff)
    except ExifBroken:
        return b"", Taken(), UNREADABLE
    if not exif.left_out:
        return one.whole, exif.taken, ()
    payload = _EXIF + exif.kept
    assert len(payload) <= _SEGMENT_MAX, "what is kept is less than what was read"
    length = struct.pack(">H", len(payload) + 2)
    return (b"\xff\xe1" + length + payload if exif.kept else b""), exif.taken, exif.left_out
