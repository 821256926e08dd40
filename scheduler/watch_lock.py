"""One watcher for each store: a lock of the operating system on a file."""

import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO


class AlreadyWatching(OSError):
    """Another process holds the lock; this one has to leave."""


@contextlib.contextmanager
def only_watcher(lock_path: Path) -> Iterator[None]:
    """Hold the lock while the block runs; the system lets go of it however the process ends.

    Raises AlreadyWatching when another process holds it, OSError when the file cannot be opened.
    The file stays: taking it away could leave two processes holding two files.
    """
    with lock_path.open("ab") as file:
        try:
            _lock(file)
        except (BlockingIOError, PermissionError) as error:
            raise AlreadyWatching(
                f"another watcher is running here ({lock_path} is held); leave it running, or end "
                "it first"
            ) from error
        yield


if sys.platform == "win32":
    import msvcrt

    def _lock(file: BinaryIO) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(file: BinaryIO) -> None:
        fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
