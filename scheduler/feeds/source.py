"""Opening what somebody named: within a limit, and told in words where it cannot be read."""

import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from scheduler.feeds.readings import FeedRefused

MEBIBYTE = 1024 * 1024
_PIECE_BYTES = 64 * 1024


@contextmanager
def opened(path: Path, most_bytes: int) -> Iterator[BinaryIO]:
    """An ordinary file of no more than so many bytes, open for reading; FeedRefused for others.

    The size is looked at before a byte is read.
    """
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise FeedRefused(f"{path} is a folder; name a file in it")
        if not stat.S_ISREG(found.st_mode):
            raise FeedRefused(f"{path} is no ordinary file; name a file")
        if found.st_size > most_bytes:
            raise FeedRefused(
                f"{path} has {found.st_size / MEBIBYTE:,.0f} MiB; up to"
                f" {most_bytes // MEBIBYTE} MiB are read. Cut it to the days of the trip"
            )
        if found.st_size == 0:
            raise FeedRefused(f"{path} is empty; nothing was written to it")
        with path.open("rb") as file:
            yield file
    except OSError as problem:
        raise FeedRefused(f"{path} cannot be read: {problem.strerror or problem}") from problem


def pieces(path: Path, most_bytes: int) -> Iterator[bytes]:
    """The bytes of a file, piece by piece; FeedRefused where it grows past the limit meanwhile."""
    left = most_bytes
    with opened(path, most_bytes) as file:
        while piece := file.read(_PIECE_BYTES):
            left -= len(piece)
            if left < 0:
                raise FeedRefused(f"{path} grew past {most_bytes // MEBIBYTE} MiB meanwhile")
            yield piece
