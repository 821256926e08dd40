"""A small grey picture of a picture, for a printed page: the same bytes each time."""

import io
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

from exports.picture.broken import PictureBroken
from exports.picture.reading import PIXELS_MAX

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

_EDGE_PX = 640
_QUALITY = 82


@dataclass(frozen=True, slots=True, kw_only=True)
class Thumbnail:
    """A JPEG in shades of grey, upright, without anything beside the picture."""

    data: bytes
    width_px: int
    height_px: int


def thumbnail(data: bytes) -> Thumbnail:
    """A thumbnail of a JPEG or PNG. Raises PictureBroken where it cannot be shown."""
    from PIL import Image, ImageOps

    Image.MAX_IMAGE_PIXELS = PIXELS_MAX
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=("JPEG", "PNG")) as picture:
                picture.draft("L", (_EDGE_PX, _EDGE_PX))
                grey = _grey(ImageOps.exif_transpose(picture))
                grey.thumbnail((_EDGE_PX, _EDGE_PX), Image.Resampling.LANCZOS)
                out = io.BytesIO()
                grey.save(out, "JPEG", quality=_QUALITY)
    # As in `reading`: whatever the library says of these bytes, they cannot be shown.
    except Exception as problem:
        raise PictureBroken("it is broken, and cannot be shown") from problem
    return Thumbnail(data=out.getvalue(), width_px=grey.width, height_px=grey.height)


def _grey(picture: "Picture") -> "Picture":
    """In shades of grey; what is transparent is white, 16 bits of grey are the upper eight."""
    from PIL import Image

    if picture.mode.startswith("I"):
        return picture.convert("I").point(lambda value: value / 256).convert("L")
    if not picture.has_transparency_data:
        return picture.convert("L")
    seen = picture.convert("RGBA")
    white = Image.new("RGBA", seen.size, "white")
    return Image.alpha_composite(white, seen).convert("L")
