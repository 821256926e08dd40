"""A picture file taken in: what it is by its bytes, whole and of a size that can be shown."""

import io
import warnings
from dataclasses import dataclass

from exports.picture import jpeg, png
from exports.picture.broken import PictureBroken
from exports.picture.exif import Taken

BYTES_MAX = 25_000_000
PIXELS_MAX = 60_000_000
"""Our own limits: a phone's picture has a fifth of either; more is slow to show, or a trap."""
_EIGHTHS = 8
_AS_JPEG = "save it as JPEG (a phone's camera has a setting for that), and add that"
_OTHERS = (
    (b"GIF8", 0, f"a GIF picture; {_AS_JPEG}"),
    (b"BM", 0, f"a BMP picture; {_AS_JPEG}"),
    (b"II*\x00", 0, f"a TIFF or raw picture; {_AS_JPEG}"),
    (b"MM\x00*", 0, f"a TIFF or raw picture; {_AS_JPEG}"),
    (b"WEBP", 8, f"a WebP picture; {_AS_JPEG}, or the picture as the phone took it"),
    (b"ftyphe", 4, f"a HEIC picture; {_AS_JPEG}"),
    (b"ftypmif1", 4, f"a HEIC picture; {_AS_JPEG}"),
    (b"ftypmsf1", 4, f"a HEIC picture; {_AS_JPEG}"),
    (b"ftypavif", 4, f"an AVIF picture; {_AS_JPEG}"),
    (b"ftyp", 4, "a film; keep one still picture of it as JPEG, and add that"),
    (b"%PDF", 0, "a PDF file; a photo of a paper is a JPEG or PNG picture"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureFile:
    """A picture to keep: the bytes, what they are, and what was taken out of them.

    `original` None: nothing was, and `data` is the file byte for byte as it was read.
    """

    data: bytes
    media_type: str
    suffix: str
    width_px: int
    height_px: int
    taken: Taken
    taken_out: tuple[str, ...]
    original: bytes | None


def read_picture(data: bytes) -> PictureFile:
    """Take in a picture file, JPEG or PNG by its bytes, after decoding all of it.

    Coordinates, and all beside the picture that could hold some, stay behind; the picture itself
    is copied byte for byte.

    Raises PictureBroken, in words, for anything else: empty, no picture, cut off, moving, too
    large in bytes (`BYTES_MAX`) or pixels (`PIXELS_MAX`).
    """
    if not data:
        raise PictureBroken("it is empty")
    if len(data) > BYTES_MAX:
        raise PictureBroken(
            f"it is too large; the most is {BYTES_MAX:,} bytes. Save it smaller, and add that"
        )
    if data.startswith(jpeg.SIGNATURE):
        form, media_type, suffix, found = "JPEG", "image/jpeg", "jpg", jpeg.read_jpeg(data)
    elif data.startswith(png.SIGNATURE):
        form, media_type, suffix, found = "PNG", "image/png", "png", png.read_png(data)
    else:
        raise PictureBroken(_what_it_is(data))
    size = (found.width_px, found.height_px)
    if 0 in size:
        raise PictureBroken("it is broken: it says that it has no width or no height")
    if size[0] * size[1] > PIXELS_MAX:
        raise PictureBroken(
            f"it has {size[0]:,} x {size[1]:,} pixels; the most is {PIXELS_MAX // 1_000_000}"
            " million. Save it smaller, and add that"
        )
    _decode(found.without_places, form, size)
    return PictureFile(
        data=found.without_places,
        media_type=media_type,
        suffix=suffix,
        width_px=size[0],
        height_px=size[1],
        taken=found.taken,
        taken_out=found.taken_out,
        original=None if found.without_places == data else data,
    )


def _what_it_is(data: bytes) -> str:
    for mark, at, told in _OTHERS:
        if data.startswith(mark, at):
            return f"it is {told}"
    return "it is no picture, whatever its name says; a photo is a JPEG or PNG picture"


def _decode(data: bytes, form: str, size: tuple[int, int]) -> None:
    """Decode all of it; of a JPEG every coded byte, into an eighth of the size."""
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = PIXELS_MAX
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=(form,)) as picture:
                same = picture.size == size
                if form == "JPEG":
                    picture.draft("RGB", (max(1, size[0] // _EIGHTHS), max(1, size[1] // _EIGHTHS)))
                picture.load()
    # A stranger's bytes may trip the library anywhere; whatever it says, they are not shown.
    except Exception as problem:
        raise PictureBroken("it is broken, and cannot be shown") from problem
    if not same:
        raise PictureBroken("it is broken: it is not as large as it says")
