"""Photos on a page: three in a row, each in a frame of one size, its words below."""

import io
from collections.abc import Sequence

from exports.document import Photo, Photos
from exports.pdf_canvas import MARGIN_MM, Canvas
from exports.pdf_type import BODY_BOLD, SMALL

_IN_A_ROW = 3
_GAP_MM = 4.0
_ROW_GAP_MM = 3.0
_OF_WIDTH = 0.75
"""The height of a frame to its width: a camera's picture, lying."""
_PAD_MM = 2.0
_LINE_MM = 0.2


def set_photos(canvas: Canvas, block: Photos) -> None:
    """Set photos row by row; a row goes to the next page as a whole."""
    for start in range(0, len(block.photos), _IN_A_ROW):
        _set_row(canvas, block.photos[start : start + _IN_A_ROW])


def _set_row(canvas: Canvas, row: Sequence[Photo]) -> None:
    width = (canvas.width - (_IN_A_ROW - 1) * _GAP_MM) / _IN_A_ROW
    height = width * _OF_WIDTH
    words = [_wrapped(canvas, photo, width) for photo in row]
    below = max(
        len(title) * BODY_BOLD.line_mm + len(lines) * SMALL.line_mm for title, lines in words
    )
    canvas.need(height + below)
    y = canvas.y
    for place, (photo, (title, lines)) in enumerate(zip(row, words, strict=True)):
        x = MARGIN_MM + place * (width + _GAP_MM)
        if photo.jpeg is None:
            inner = width - 2 * _PAD_MM
            told = canvas.text.wrapped(photo.missing, SMALL, inner)
            canvas.put(told, SMALL, x + _PAD_MM, y + _PAD_MM, width=inner)
        else:
            _set_photo(canvas, photo, photo.jpeg, x, y, width, height)
        canvas.pdf.set_line_width(_LINE_MM)
        canvas.pdf.rect(x, y, width, height)
        top = y + height + _LINE_MM
        canvas.put(title, BODY_BOLD, x, top, width=width)
        canvas.put(lines, SMALL, x, top + len(title) * BODY_BOLD.line_mm, width=width)
    canvas.go_to(y + height + below + _ROW_GAP_MM)


def _wrapped(canvas: Canvas, photo: Photo, width: float) -> tuple[list[str], list[str]]:
    """The lines of its title, and those below."""
    title = canvas.text.wrapped(photo.lines[0], BODY_BOLD, width)
    lines = [part for one in photo.lines[1:] for part in canvas.text.wrapped(one, SMALL, width)]
    return title, lines


def _set_photo(
    canvas: Canvas, photo: Photo, jpeg: bytes, x: float, y: float, width: float, height: float
) -> None:
    """The whole picture in the middle of its frame."""
    scale = min(width / photo.width_px, height / photo.height_px)
    across, up = photo.width_px * scale, photo.height_px * scale
    left, top = x + (width - across) / 2, y + (height - up) / 2
    canvas.pdf.image(io.BytesIO(jpeg), x=left, y=top, w=across, h=up)
