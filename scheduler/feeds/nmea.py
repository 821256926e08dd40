"""NMEA 0183: the fixes of RMC sentences, as a satellite receiver writes them.

RMC alone carries the date. Only status A (valid) is used. A sentence needs its check value: the
XOR of all characters between `$` and `*`. Speed comes in knots. The order of the fields of RMC
is written down here from memory. The date has two figures for the year, and an old receiver can
be whole turns of 1,024 weeks behind; where such turns bring a date close to when the source is
read, they are added and that is said.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from scheduler.feeds.following import Lines
from scheduler.feeds.readings import FeedRefused, Fix, Noted
from scheduler.feeds.source import MEBIBYTE

MOST_BYTES = 256 * MEBIBYTE
KNOT_M_PER_S = 1852 / 3600
TURN = timedelta(weeks=1024)
_NEAR = timedelta(days=366)
_TURNS_MAX = 3
_NOTED_MAX = 200
_SENTENCE = re.compile(r"\$([^$*]*)(?:\*([0-9A-Fa-f]{2}))?\s*$")
_RMC = re.compile(r"[A-Z]{2}RMC")
_TIME = re.compile(r"(\d{2})(\d{2})(\d{2})(?:\.(\d{1,9}))?", re.ASCII)
_DATE = re.compile(r"(\d{2})(\d{2})(\d{2})", re.ASCII)
_PLACE = re.compile(r"(\d{2,3})(\d{2}(?:\.\d{1,12})?)", re.ASCII)
_NUMBER = re.compile(r"\d{1,6}(?:\.\d{1,9})?", re.ASCII)


def check_value(sentence: str) -> str:
    """The two hexadecimal digits that belong behind the `*`: XOR of what is between `$` and `*`."""
    value = 0
    for character in sentence:
        value ^= ord(character)
    return f"{value & 0xFF:02X}"


@dataclass(frozen=True, slots=True, kw_only=True)
class NmeaLog:
    """The fixes of a log in the order they stand in, and what the reader has to say."""

    fixes: tuple[Fix, ...]
    noted: tuple[Noted, ...]


@dataclass(slots=True)
class NmeaReader:
    """Reads sentences as they come. `near`: about when they were written, for whole turns."""

    near: datetime
    noted: list[Noted] = field(default_factory=list)
    row: int = 0
    sentences: int = 0
    not_valid: int = 0
    turns: int = 0
    _unsaid: int = 0

    def read(self, lines: Iterable[str]) -> Iterator[Fix]:
        """The fixes of some more lines; what is wrong with a line is noted."""
        for line in lines:
            self.row += 1
            found = self._sentence(line)
            if isinstance(found, Fix):
                yield found
            elif found is not None:
                self._note(found)

    def report(self) -> tuple[Noted, ...]:
        """What there is to say, line by line and then about the whole."""
        whole = []
        if self._unsaid:
            whole.append(f"{self._unsaid} further lines are not understood")
        if self.not_valid:
            whole.append(f"{self.not_valid} sentences without a valid fix (status V); left out")
        if self.turns:
            whole.append(
                f"the receiver's dates are {self.turns * 1024:,} weeks behind, as old receivers"
                " are; they were counted forward"
            )
        return (*self.noted, *(Noted(row=None, what=what) for what in whole))

    def _note(self, what: str) -> None:
        if len(self.noted) < _NOTED_MAX:
            self.noted.append(Noted(row=self.row, what=what))
        else:
            self._unsaid += 1

    def _sentence(self, line: str) -> Fix | str | None:
        """A fix, what is wrong, or None for what is none of ours or has no valid fix."""
        begin = line.rfind("$")
        if begin < 0:
            return None
        found = _SENTENCE.match(line[begin:])
        fields = line[begin + 1 :].partition("*")[0].split(",")
        if not _RMC.fullmatch(fields[0]):
            return None
        self.sentences += 1
        if found is None or found[2] is None:
            return "the sentence has no check value; left out"
        right = check_value(found[1])
        if found[2].upper() != right:
            return f"the check value is {found[2]}, worked out {right}; left out"
        return self._rmc(fields)

    def _rmc(self, fields: list[str]) -> Fix | str | None:
        if len(fields) < 10:
            return f"an RMC sentence of {len(fields)} fields, ten are needed; left out"
        _, time, status, lat, north, lon, east, speed, _, date = fields[:10]
        if status != "A":
            self.not_valid += 1
            return None
        at = self._moment(date, time)
        lat_deg, lon_deg = _degrees(lat, north, "NS", 90), _degrees(lon, east, "EW", 180)
        if at is None:
            # What stands there may be a place that slipped into another field: it is not repeated.
            return "no date and time; left out"
        if lat_deg is None or lon_deg is None:
            return "no place on Earth; left out"
        return Fix(
            row=self.row,
            at=at,
            lat_deg=lat_deg,
            lon_deg=lon_deg,
            speed_m_per_s=float(speed) * KNOT_M_PER_S if _NUMBER.fullmatch(speed) else None,
        )

    def _moment(self, date: str, time: str) -> datetime | None:
        day, clock = _DATE.fullmatch(date), _TIME.fullmatch(time)
        if day is None or clock is None:
            return None
        year = int(day[3]) + (1900 if int(day[3]) >= 80 else 2000)
        try:
            at = datetime(
                year,
                int(day[2]),
                int(day[1]),
                int(clock[1]),
                int(clock[2]),
                min(int(clock[3]), 59),  # a leap second has no place in a time of ours
                int((clock[4] or "").ljust(6, "0")[:6]),
                tzinfo=UTC,
            )
        except ValueError:
            return None
        for turns in range(1, _TURNS_MAX + 1):
            if abs(at - self.near) > _NEAR and abs(at + turns * TURN - self.near) <= _NEAR:
                self.turns = turns
                return at + turns * TURN
        return at


def read_nmea(chunks: Iterable[bytes], name: str, near: datetime) -> NmeaLog:
    """The fixes of a log that comes in pieces; FeedRefused where there is no RMC in it."""
    reader, lines = NmeaReader(near=near), Lines()
    fixes: list[Fix] = []
    for chunk in chunks:
        fixes.extend(reader.read(lines.push(chunk)))
    fixes.extend(reader.read(lines.rest()))
    if not reader.sentences:
        raise FeedRefused(
            f"{name} holds no RMC sentence of NMEA 0183, the one that carries date and place;"
            " switch RMC on in the receiver, or name another kind of file"
        )
    return NmeaLog(fixes=tuple(fixes), noted=reader.report())


def _degrees(text: str, side: str, sides: str, most: int) -> float | None:
    """Degrees of ddmm.mmmm, positive for the first of the two sides; None for no such place."""
    found = _PLACE.fullmatch(text)
    if found is None or side not in sides or not side:
        return None
    degrees = int(found[1]) + float(found[2]) / 60
    if float(found[2]) >= 60 or degrees > most:
        return None
    return degrees if side == sides[0] else -degrees
