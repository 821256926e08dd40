"""PNG, chunk by chunk: its size, its end, and a copy without what lies beside the picture.

Source: the PNG specification (ISO/IEC 15948, W3C; from memory): a signature of 8 bytes, then chunks
of length, type, data and CRC-32 over type and data; IHDR first, IEND last. Chunks that hold the
picture are copied byte for byte; a time comes from the chunk eXIf, which holds EXIF.
"""

import struct
import zlib
from collections.abc import Iterator

from exports.picture.broken import CUT_OFF, PARTS_MAX, PictureBroken
from exports.picture.exif import UNREADABLE, ExifBroken, Taken, read_exif
from exports.picture.jpeg import Read

SIGNATURE = b"\x89PNG\r\n\x1a\n"
_STAYS = frozenset(
    {
        *(b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP"),
        *(b"cICP", b"sBIT", b"bKGD", b"hIST", b"pHYs"),
    }
)
_TEXTS = frozenset({b"tEXt", b"zTXt", b"iTXt"})
_MOVES = b"acTL"


def read_png(data: bytes) -> Read:
    """Walk through a PNG. Raises PictureBroken, in words, where it does not hold together."""
    kept, taken_out = [SIGNATURE], list[str]()
    size: tuple[int, int] | None = None
    taken = Taken()
    end = len(SIGNATURE)
    for name, content, whole in _chunks(data):
        end += len(whole)
        if size is None:
            if name != b"IHDR" or len(content) < 8:
                raise PictureBroken("it is broken: it does not say how large it is")
            size = struct.unpack_from(">II", content)
        if name == _MOVES:
            raise PictureBroken("it is a moving picture; keep one still picture of it as JPEG")
        if name == b"eXIf":
            anew, taken, lacks = _exif_anew(content, whole)
            kept.append(anew)
            taken_out += lacks
        elif name in _STAYS:
            kept.append(whole)
        else:
            taken_out.append("texts" if name in _TEXTS else "a program's own data")
    assert size is not None, "a file that ends with IEND has had a first chunk"
    if end < len(data):
        taken_out.append("what follows the picture")
    return Read(
        width_px=size[0],
        height_px=size[1],
        taken=taken,
        without_places=b"".join(kept),
        taken_out=tuple(dict.fromkeys(taken_out)),
    )


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes, bytes]]:
    """Type, content and whole of each chunk, the last of them IEND."""
    at = len(SIGNATURE)
    for _ in range(PARTS_MAX):
        head = data[at : at + 8]
        if len(head) < 8:
            raise PictureBroken(CUT_OFF)
        length, name = struct.unpack(">I4s", head)
        whole = data[at : at + 12 + length]
        if len(whole) < 12 + length:
            raise PictureBroken(CUT_OFF)
        if struct.pack(">I", zlib.crc32(whole[4:-4])) != whole[-4:]:
            raise PictureBroken(f"it is broken: the part at byte {at:,} does not give its checksum")
        yield name, whole[8:-4], whole
        at += len(whole)
        if name == b"IEND":
            return
    raise PictureBroken(f"it is built of more than {PARTS_MAX:,} parts")


def _exif_anew(tiff: bytes, whole: bytes) -> tuple[bytes, Taken, tuple[str, ...]]:
    """The chunk of the EXIF that may stay, the time in it, what it lacks now."""
    try:
        exif = read_exif(tiff)
    except ExifBroken:
        return b"", Taken(), UNREADABLE
    if not exif.left_out:
        return whole, exif.taken, ()
    content = b"eXIf" + exif.kept
    head = struct.pack(">I", len(exif.kept))
    checksum = struct.pack(">I", zlib.crc32(content))
    return (head + content + checksum if exif.kept else b""), exif.taken, exif.left_out
