"""Photos as they come off a phone, put beside a script under `photo.jpg`. All are made here."""

import os
import struct
from collections.abc import Callable

from exports.picture.reading import BYTES_MAX
from tests.cli.terminal import Terminal
from tests.pictures import canvas, exif, jpeg, png

_NAME = "photo.jpg"


def whole(terminal: Terminal) -> None:
    """A photo taken an hour ago."""
    _write(terminal, jpeg(exif=exif(taken="2026:03:02 06:15:00", offset="-06:00")))


def cut_off(terminal: Terminal) -> None:
    """A photo whose end is missing."""
    _write(terminal, jpeg()[:700])


def no_picture(terminal: Terminal) -> None:
    """A text file that is called like a photo."""
    _write(terminal, b"a shopping list\n" * 40)


def empty(terminal: Terminal) -> None:
    """A photo of which nothing was copied."""
    _write(terminal, b"")


def too_large(terminal: Terminal) -> None:
    """A photo of more bytes than are kept."""
    _write(terminal, jpeg() + b"x" * BYTES_MAX)


def too_many_pixels(terminal: Terminal) -> None:
    """A small file that would unfold to a picture as large as a house."""
    data = jpeg()
    size_at = data.index(b"\xff\xc0") + 5
    _write(terminal, data[:size_at] + struct.pack(">HH", 65_000, 65_000) + data[size_at + 4 :])


def heic(terminal: Terminal) -> None:
    """A photo in the form that some phones write instead of JPEG."""
    _write(terminal, b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"\x00" * 400)


def moving(terminal: Terminal) -> None:
    """A picture that moves."""
    _write(terminal, png(save_all=True, append_images=[canvas(mark=9)]))


def pipe(terminal: Terminal) -> None:
    """A pipe that nobody writes to, called like a photo."""
    os.mkfifo(terminal.folder / _NAME)


def _write(terminal: Terminal, data: bytes) -> None:
    terminal.folder.joinpath(_NAME).write_bytes(data)


PHOTOS: dict[str, Callable[[Terminal], None]] = {
    (one.__doc__ or "").rstrip("."): one
    for one in (
        whole,
        cut_off,
        no_picture,
        empty,
        too_large,
        too_many_pixels,
        heic,
        moving,
        pipe,
    )
}
"""By the sentence that a script's `given:` line holds."""
