"""Pictures for tests, made with Pillow: an encoder and a writer of EXIF that are not ours."""

import io
from collections.abc import Mapping

from PIL import Image, ImageDraw

LATITUDE, LONGITUDE = (38.0, 50.0, 24.5), (97.0, 36.0, 41.2)
A_TOWN = {1: "N", 2: LATITUDE, 3: "W", 4: LONGITUDE}
"""A GPS directory as Exif lays it out: reference letters, degrees, minutes and seconds."""
TAKEN, OFFSET = "2026:03:02 07:31:00", "-06:00"
_EXIF, _GPS = 0x8769, 0x8825


def canvas(width: int = 96, height: int = 72, mode: str = "RGB", mark: int = 0) -> Image.Image:
    """A picture with a slope and a bar; `mark` makes another of it."""
    picture = Image.linear_gradient("L").resize((width, height)).convert(mode)
    # A bar whose width tells the mark, upright at the left edge.
    ImageDraw.Draw(picture).rectangle((0, 0, 8 + mark, height // 2), fill=1)
    return picture


def exif(
    *,
    taken: str | None = TAKEN,
    offset: str | None = None,
    gps: Mapping[int, object] | None = None,
    picture: Mapping[int, object] | None = None,
    taking: Mapping[int, object] | None = None,
) -> Image.Exif:
    """EXIF with the time it was taken and, where asked for, coordinates and other fields."""
    made = Image.Exif()
    # Pillow writes none into a PNG that has nothing in its first directory.
    made.update({0x010F: "Invented", **(picture or {})})
    directory = made.get_ifd(_EXIF)
    if taken is not None:
        directory[0x9003] = taken
    if offset is not None:
        directory[0x9011] = offset
    directory.update(taking or {})
    if gps is not None:
        made.get_ifd(_GPS).update(gps)
    return made


def jpeg(
    picture: Image.Image | None = None, exif: Image.Exif | None = None, **more: object
) -> bytes:
    """The bytes of a JPEG."""
    return _saved(picture, "JPEG", exif, more)


def png(
    picture: Image.Image | None = None, exif: Image.Exif | None = None, **more: object
) -> bytes:
    """The bytes of a PNG."""
    return _saved(picture, "PNG", exif, more)


def of_form(form: str, **more: object) -> bytes:
    """The bytes of a picture in some other form."""
    return _saved(None, form, None, more)


def pixels(data: bytes) -> bytes:
    """What a decoder makes of it."""
    with Image.open(io.BytesIO(data)) as picture:
        return picture.tobytes()


def fields_of(data: bytes) -> Image.Exif:
    """The EXIF of a picture as Pillow reads it."""
    with Image.open(io.BytesIO(data)) as picture:
        return picture.getexif()


def _saved(
    picture: Image.Image | None, form: str, exif: Image.Exif | None, more: Mapping[str, object]
) -> bytes:
    out = io.BytesIO()
    given = {} if exif is None else {"exif": exif}
    (picture or canvas()).save(out, form, **given, **more)
    return out.getvalue()
