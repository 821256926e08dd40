"""Following a receiver or a log that grows: the way is recorded as it comes, each part once."""

import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

from scheduler.feeds.following import GrowingFile, Lines, Source, serial_source, tcp_source
from scheduler.feeds.nmea import NmeaReader
from scheduler.feeds.readings import FeedRefused
from scheduler.feeds.way import Way
from triplog.desk.desk import Desk, present
from triplog.desk.feeding import imported, positions_text, way_fields
from triplog.desk.feeds import Source as Kind
from triplog.desk.fitting import last_sample, span_of
from triplog.desk.refused import Refused
from triplog.desk.setting_up import positions_kept
from triplog.journal.entries import Body
from triplog.journal.store import new_id
from triplog.journal.store_file import StoreUnusable
from triplog.journal.trip import Trip, TripState, trip_of

_TCP = "tcp://"
_IDLE_S = 0.5


@dataclass(slots=True, kw_only=True)
class Follower:
    """Follows one source for one trip. `live`: what comes is of this moment (a receiver).

    `tell` is handed each sentence there is to say; `wait` lets so many seconds pass.
    """

    desk: Desk
    trip_id: str
    name: str
    live: bool
    tell: Callable[[str], None]
    wait: Callable[[float], None]
    parts: int = 0
    _feed: str = field(default_factory=new_id)
    _digest: "hashlib._Hash" = field(default_factory=hashlib.sha256)
    _bytes: int = 0
    _way: Way = field(default_factory=Way)
    _lines: Lines = field(default_factory=Lines)
    _samples_written: int = 0
    _gaps_written: int = 0
    _notes_written: int = 0
    _receiver_ahead: timedelta | None = None
    _is_put_off: bool = False

    def run(self, source: Source) -> None:
        """Follow until KeyboardInterrupt, until the source has gone, or the trip is closed.

        What was read up to then is recorded in any case.
        """
        # It decides by what stands when it writes, so others may write meanwhile.
        self.desk = replace(self.desk, key=None, _read={})
        reader = NmeaReader(near=self.desk.now().wall)
        since = last_sample(self.desk, self._trip(), self.name)
        try:
            while self._trip().state is not TripState.CLOSED:
                data = source.read()
                self._read(reader, data, since)
                if len(self._way.samples) > self._samples_written:
                    self._record(reader)
                if not data:
                    self.wait(_IDLE_S)
        except KeyboardInterrupt:
            pass
        except FeedRefused as problem:
            self.tell(str(problem))
        self._way.end()
        if len(self._way.samples) > self._samples_written:
            self._record(reader, last=True)

    def _trip(self) -> Trip:
        return trip_of(self.trip_id, self.desk.store.trip_entries(self.trip_id))

    def _read(self, reader: NmeaReader, data: bytes, since: datetime | None) -> None:
        """Go on along the fixes of some more bytes, as far as they are of the trip and new."""
        self._digest.update(data)
        self._bytes += len(data)
        span = span_of(self.desk, self._trip())
        for fix in reader.read(self._lines.push(data)):
            if self.live:
                self._receiver_ahead = fix.at - span.now
            if span.holds(fix.at) and (since is None or fix.at > since):
                self._way.add([fix])

    def _record(self, reader: NmeaReader, *, last: bool = False) -> None:
        """Record the part of the way since the last one; later, where the journal is busy."""
        trip = self._trip()
        body: Body = present(
            source=str(Kind.NMEA),
            feed=self._feed,
            digest=self._digest.hexdigest(),
            bytes=self._bytes,
            counts={"sentences": reader.sentences, "noted": len(reader.noted)},
            receiver_ahead_ms=None
            if self._receiver_ahead is None
            else self._receiver_ahead // timedelta(milliseconds=1),
        )
        body |= way_fields(
            self._way, samples_since=self._samples_written, gaps_since=self._gaps_written
        )
        notes = [str(one) for one in reader.noted[self._notes_written :]]
        places = positions_text(self._way, samples_since=self._samples_written)
        private = {
            "name": self.name,
            "report": "\n".join(notes) or None,
            "positions": places if positions_kept(self.desk) else None,
        }
        draft = self.desk.draft("readings_imported", body, trip=trip.id, private=private)
        try:
            with self.desk.writing() as writing:
                writing.append(imported(draft))
        except (StoreUnusable, Refused) as problem:
            if last:
                raise
            if not self._is_put_off:
                self.tell(f"{problem}; trying again")
            self._is_put_off = True
            return
        self._is_put_off = False
        self.parts += 1
        self._samples_written = len(self._way.samples)
        self._gaps_written = len(self._way.gaps)
        self._notes_written = len(reader.noted)


@contextmanager
def source_named(name: str, tell: Callable[[str], None]) -> Iterator[tuple[Source, bool]]:
    """The source of that name, and whether it is live; Refused where it cannot be opened.

    tcp://HOST:PORT, a serial device, or a file that grows.
    """
    path = Path(name)
    try:
        if name.startswith(_TCP):
            with tcp_source(*_host_and_port(name)) as connection:
                yield connection, True
        elif path.is_char_device():
            with serial_source(name) as port:
                yield port, True
        else:
            if not path.is_file():
                raise Refused(f"{name} is no file; name a file, a serial device or tcp://HOST:PORT")
            growing = GrowingFile(path, lambda what: tell(f"{name}: {what}"))
            try:
                yield growing, False
            finally:
                growing.close()
    except FeedRefused as problem:
        raise Refused(str(problem)) from problem


def _host_and_port(name: str) -> tuple[str, int]:
    host, _, port = name.removeprefix(_TCP).rpartition(":")
    if not host or not port.isascii() or not port.isdecimal() or not 0 < int(port) < 65_536:
        raise Refused(
            f"write a TCP source as tcp://HOST:PORT, such as tcp://127.0.0.1:10110; found {name!r}"
        )
    return host.strip("[]"), int(port)
