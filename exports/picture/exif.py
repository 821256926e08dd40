"""EXIF as the standard lays it out: the time a picture was taken, and what is safe to keep.

Source: CIPA DC-008 / JEITA CP-3451 (Exif 2.32), from memory: a TIFF file of two directories, whose
fields are 12 bytes each. Tag numbers are those of its tables. The tests hold them against Pillow's.
"""

import re
import struct
from dataclasses import dataclass
from datetime import datetime

_TYPE_BYTES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8}
_TEXT = 2
_TO_EXIF, _TO_GPS = 0x8769, 0x8825
_POSITION_TAGS = frozenset({1, 2, 3, 4, 19, 20, 21, 22})
_TAKEN = ((0x9003, 0x9011), (0x9004, 0x9012), (0x0132, 0x9010))
"""The tags of a time with that of its offset, the moment of taking first."""
_KEPT_BYTES_MAX = 200
_OF_PICTURE = frozenset(
    {
        *(0x010F, 0x0110, 0x0112, 0x0131, 0x0132),  # maker, model, which way is up, program, time
        *(0x011A, 0x011B, 0x0128, 0x0213),  # resolution, where colours are sampled
    }
)
_OF_TAKING = frozenset(
    {
        *(0x829A, 0x829D, 0x8822, 0x8827, 0x8830, 0x8832),  # exposure, aperture, speed of the film
        *(0x9000, 0x9003, 0x9004, 0x9010, 0x9011, 0x9012),  # version, times and their offsets
        *(0x9101, 0x9102, *range(0x9201, 0x920B)),  # shutter, light, distance, flash, focal length
        *(0x9290, 0x9291, 0x9292, 0xA000, 0xA001, 0xA002, 0xA003),  # parts of a second, size
        *(0xA20E, 0xA20F, 0xA210, 0xA217, *range(0xA401, 0xA40B)),  # sensor, modes, zoom
    }
)
"""What is kept. None of it says where: places, notes, owners' names, makers' own fields and small
second pictures stay behind, because nobody can tell what they hold.
"""
_TIME = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)", re.ASCII)
_OFFSET = re.compile(r"([+-])(\d\d):(\d\d)", re.ASCII)
_OFFSET_MIN_MAX = 14 * 60
_FIELDS_MAX = 1000


UNREADABLE = ("EXIF that cannot be read",)
"""What a copy lacks whose EXIF was left out whole."""


class ExifBroken(ValueError):
    """The bytes are no EXIF that can be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """When a picture says it was taken, `2026-05-04 12:30:00`, and minutes ahead of UTC.

    `at` None: it says nothing that is a time. `offset_min` None: no time zone is stated.
    """

    at: str | None = None
    offset_min: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Exif:
    """What was read. `kept`: EXIF anew, of what may stay; `left_out`: what it lacks, in words."""

    taken: Taken
    kept: bytes
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Field:
    tag: int
    kind: int
    count: int
    value: bytes


def read_exif(tiff: bytes) -> Exif:
    """Read EXIF from its TIFF header on. Raises ExifBroken."""
    try:
        order = {b"II*\x00": "<", b"MM\x00*": ">"}[tiff[:4]]
        (first,) = struct.unpack_from(f"{order}I", tiff, 4)
        picture, next_one = _directory(tiff, order, first)
        taking = _pointed(tiff, order, picture.get(_TO_EXIF))
        gps = _pointed(tiff, order, picture.get(_TO_GPS))
    except (KeyError, struct.error) as problem:
        raise ExifBroken("its EXIF cannot be read") from problem
    kept = [one for one in picture.values() if _may_stay(one, _OF_PICTURE)]
    kept_taking = [one for one in taking.values() if _may_stay(one, _OF_TAKING)]
    anew = _written(order, kept, kept_taking)
    has_others = (
        len(kept) + len(kept_taking) < len(picture.keys() - {_TO_EXIF, _TO_GPS}) + len(taking)
        or next_one > 0
        or bool(gps.keys() - _POSITION_TAGS)
    )
    left_out = [
        *(["coordinates in EXIF"] if _POSITION_TAGS & gps.keys() else []),
        *(["other fields of EXIF"] if has_others else []),
    ]
    if anew != tiff and not left_out:
        left_out = ["bytes of EXIF that no field names"]
    return Exif(taken=_taken(picture | taking), kept=anew, left_out=tuple(left_out))


def _directory(tiff: bytes, order: str, start: int) -> tuple[dict[int, _Field], int]:
    """The fields of the directory at a place, and the place of the next; 0: there is none."""
    (count,) = struct.unpack_from(f"{order}H", tiff, start)
    if count > _FIELDS_MAX:
        raise ExifBroken(f"its EXIF says that it has {count} fields")
    fields = {}
    for number in range(count):
        at = start + 2 + 12 * number
        tag, kind, values = struct.unpack_from(f"{order}HHI", tiff, at)
        size = _TYPE_BYTES.get(kind, 1) * values
        where = at + 8 if size <= 4 else struct.unpack_from(f"{order}I", tiff, at + 8)[0]
        fields[tag] = _Field(tag, kind, values, tiff[where : where + size])
    (next_one,) = struct.unpack_from(f"{order}I", tiff, start + 2 + 12 * count)
    return fields, next_one


def _pointed(tiff: bytes, order: str, pointer: _Field | None) -> dict[int, _Field]:
    """The fields of the directory that a field points to; empty where there is none."""
    if pointer is None:
        return {}
    (start,) = struct.unpack(f"{order}I", pointer.value)
    return _directory(tiff, order, start)[0]


def _may_stay(one: _Field, tags: frozenset[int]) -> bool:
    size = _TYPE_BYTES.get(one.kind, 0) * one.count
    return one.tag in tags and 0 < size == len(one.value) <= _KEPT_BYTES_MAX


def _written(order: str, picture: list[_Field], taking: list[_Field]) -> bytes:
    """EXIF with these fields: header, first directory, second directory; none: no bytes."""
    if not picture and not taking:
        return b""
    if not taking:
        return _header(order) + _laid_out(order, picture, 8)
    pointer = _Field(_TO_EXIF, 4, 1, struct.pack(f"{order}I", 0))
    length = len(_laid_out(order, [*picture, pointer], 8))
    pointer = _Field(_TO_EXIF, 4, 1, struct.pack(f"{order}I", 8 + length))
    first = _laid_out(order, [*picture, pointer], 8)
    return _header(order) + first + _laid_out(order, taking, 8 + length)


def _header(order: str) -> bytes:
    return {"<": b"II*\x00", ">": b"MM\x00*"}[order] + struct.pack(f"{order}I", 8)


def _laid_out(order: str, fields: list[_Field], start: int) -> bytes:
    """A directory that begins at a place, and behind it the values that have no room in it."""
    fields = sorted(fields, key=lambda one: one.tag)
    values_at = start + 2 + 12 * len(fields) + 4
    entries, values = struct.pack(f"{order}H", len(fields)), b""
    for one in fields:
        entries += struct.pack(f"{order}HHI", one.tag, one.kind, one.count)
        if len(one.value) <= 4:
            entries += one.value.ljust(4, b"\x00")
        else:
            entries += struct.pack(f"{order}I", values_at + len(values))
            values += one.value + b"\x00" * (len(one.value) % 2)
    return entries + b"\x00" * 4 + values


def _taken(fields: dict[int, _Field]) -> Taken:
    for tag, offset_tag in _TAKEN:
        found = _TIME.fullmatch(_text(fields.get(tag)))
        if found is None:
            continue
        try:
            at = datetime.fromisoformat(f"{found[1]}-{found[2]}-{found[3]} {found[4]}")
        except ValueError:
            continue
        return Taken(at=str(at), offset_min=_offset_min(_text(fields.get(offset_tag))))
    return Taken()


def _offset_min(text: str) -> int | None:
    found = _OFFSET.fullmatch(text)
    if found is None:
        return None
    minutes = int(found[2]) * 60 + int(found[3])
    if int(found[3]) >= 60 or minutes > _OFFSET_MIN_MAX:
        return None
    return -minutes if found[1] == "-" else minutes


def _text(one: _Field | None) -> str:
    if one is None or one.kind != _TEXT:
        return ""
    return one.value.split(b"\x00")[0].decode("ascii", "replace").strip()
