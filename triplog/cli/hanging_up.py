"""What ends a command from outside ends it as Ctrl-C does: what was told by then is kept."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import NoReturn

TERMINAL_CLOSED = "SIGHUP"
TOLD_TO_END = "SIGTERM"


@contextmanager
def interrupting(*names: str) -> Iterator[None]:
    """Let these signals stop the block as Ctrl-C does, where the system knows them."""
    numbers = [getattr(signal, name) for name in names if hasattr(signal, name)]

    def stop(_number: int, _frame: FrameType | None) -> NoReturn:
        raise KeyboardInterrupt

    before = [(number, signal.signal(number, stop)) for number in numbers]
    try:
        yield
    finally:
        for number, handler in before:
            signal.signal(number, handler)
