"""Refused attempts in the journal: the first of a kind at once, then one entry an hour with the
number, however many come.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from threading import Lock

from triplog.page.entrance.book import Book

HOUR_MS = 3_600_000
WRONG_CODE = "wrong pairing code"
NO_SESSION = "session that is over or unknown"
WRONG_ROLE = "page of another role"
WRONG_TOKEN = "form that is not ours"
WRONG_HOST = "address by another name"
TOO_LARGE = "request that is too large"
Record = Callable[[str, int, datetime], object]
"""Records that somebody was refused: the kind, how often, since when."""


@dataclass(slots=True)
class _Count:
    told_ms: int
    since_ms: int
    count: int


@dataclass(slots=True)
class Refusals:
    """Counts refused attempts and has them recorded by `record`."""

    book: Book
    record: Record
    _counts: dict[str, _Count] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def __post_init__(self) -> None:
        self._counts = {what: _Count(*kept) for what, kept in self.book.refusals().items()}

    def refused(self, what: str, now_ms: int) -> None:
        """Count one; it is recorded now if none of its kind was within the hour."""
        with self._lock:
            one = self._counts.setdefault(what, _Count(-HOUR_MS, now_ms, 0))
            if one.count == 0:
                one.since_ms = now_ms
            one.count += 1
            self._tell(what, one, now_ms)

    def look(self, now_ms: int) -> None:
        """Record what was counted and whose hour is over."""
        with self._lock:
            for what, one in self._counts.items():
                self._tell(what, one, now_ms)

    def close(self) -> None:
        """Keep what was counted and not recorded yet; the next start records it."""
        with self._lock:
            for what, one in self._counts.items():
                self.book.keep_refusals(what, one.told_ms, one.since_ms, one.count)

    def _tell(self, what: str, one: _Count, now_ms: int) -> None:
        # A clock set back must not keep it silent for longer than an hour of its own.
        elapsed_ms = now_ms - one.told_ms
        if one.count == 0 or 0 <= elapsed_ms < HOUR_MS:
            return
        self.record(what, one.count, _moment(one.since_ms))
        one.told_ms, one.count = now_ms, 0
        self.book.keep_refusals(what, one.told_ms, one.since_ms, one.count)


def _moment(ms: int) -> datetime:
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=ms)
