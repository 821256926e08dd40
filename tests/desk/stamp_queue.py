"""Heads of a yard's log that wait for a time-stamp."""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tests.dossier.scene import Office
from triplog.desk import stamps
from triplog.desk.witness import give_head
from triplog.journal.checkpoint import Checkpoint


@dataclass(slots=True)
class Queue:
    """A yard whose clock stands at the authority's time, and a folder for requests."""

    yard: Office
    folder: Path

    def head(self, *, days_ago: float = 0) -> Checkpoint:
        """Sign a head so many days ago."""
        self.yard.clock.wall = datetime.now(UTC)
        self.yard.clock.forward(minutes=-days_ago * 1440)
        self.yard.desk.again = True
        _, head = give_head(self.yard.desk, None, "paper", to=None, note=None, file=None)
        return head

    def ask(self) -> list[Path]:
        """The requests that wait, as files."""
        asked = stamps.ask(self.yard.desk, None, self.folder)
        return [self.folder / stamps.request_name(one) for one in asked]
