"""What a hub tells of itself while it runs: a line of JSON for each thing, on standard error.

Nothing that anybody wrote stands in it: no label, name, text or address, and of a device's id the
first letters. What went wrong is told by its kind and the places in the program.
"""

import json
import sys
import traceback
from collections.abc import Callable
from pathlib import Path

from triplog.hub.database import HubUnusable
from triplog.journal.entries import Clock, time_text

_ID_LETTERS = 4
_PLACES = 6


class HubLog:
    """Writes the lines. `write` None: nothing is told."""

    def __init__(self, clock: Clock, write: Callable[[str], object] | None) -> None:
        self._clock = clock
        self._write = write

    def tell(self, what: str, **told: str | int | None) -> None:
        """Write one line: the time, what happened, and its figures."""
        if self._write is None:
            return
        line = {"at": time_text(self._clock.read().wall), "what": what, **told}
        try:
            self._write(json.dumps(line) + "\n")
        except (OSError, ValueError):
            # Nobody reads it any more; the work goes on.
            self._write = None

    def fault(self, what: str, problem: BaseException, **told: str | int | None) -> None:
        """Write what went wrong, and where in the program."""
        kind, places = type(problem).__name__, _places(problem)
        self.tell(what, kind=kind, why=_why(problem), at_code=places, **told)


def to_stderr(text: str) -> None:
    """Write to standard error at once."""
    sys.stderr.write(text)
    sys.stderr.flush()


def short(own_id: str) -> str:
    """An id as the log tells it: enough to tell a few apart, too little to find somebody by."""
    return own_id[:_ID_LETTERS]


def place_of(problem: BaseException) -> str:
    """Where in the program something was refused, which tells why and quotes nobody."""
    return _places(problem).rpartition(" > ")[2]


def _why(problem: BaseException) -> str | None:
    """The database's own sentence; what else went wrong may quote what somebody wrote."""
    return str(problem) if isinstance(problem, HubUnusable) else None


def _places(problem: BaseException) -> str:
    frames = traceback.extract_tb(problem.__traceback__)[-_PLACES:]
    return " > ".join(f"{Path(one.filename).name}:{one.lineno}" for one in frames)
