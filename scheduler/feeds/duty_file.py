"""The government duty-record output file (49 CFR 395, subpart B, appendix A, 4.8.2.1).

What this rests on. Checked against a public copy of the text: lists are written newest first;
event and unidentified lists hold every record status; engine, login and malfunction lines carry
total miles, all others the miles since the engine was last switched on; in personal use miles and
hours are blank; a comma within a field was written as a semicolon; one offset from UTC. Written
down from memory: the order of the fields within a line, the event codes, and the title lines. So a
line that has not the fields expected is told and not read, and nothing is guessed.

Miles are whole, and whether they were rounded or cut is not told: a figure stands for all from
half a mile below to a mile above. A figure added up from two is twice as wide.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from scheduler.feeds.duty_clock import DutyClock, clock_of
from scheduler.feeds.duty_lines import DutyLines, Line, Segment, duty_lines, event_check_value
from scheduler.feeds.readings import Aside, DutyReading, Noted, Reading
from scheduler.feeds.source import MEBIBYTE
from scheduler.progress import DutyStatus

MOST_BYTES = 16 * MEBIBYTE
MILE_MM = 1_609_344
_BELOW_MM, _ABOVE_MM = MILE_MM // 2, MILE_MM
_ACTIVE = "1"
_STATUSES = {
    "1": DutyStatus.OFF_DUTY,
    "2": DutyStatus.SLEEPER,
    "3": DutyStatus.DRIVING,
    "4": DutyStatus.ON_DUTY,
}
_SUPERSEDED = {
    "2": "superseded: changed later",
    "3": "a change that was asked for, not in force",
    "4": "a change that was asked for and rejected",
}
_ORIGINS = {
    "1": "by the device",
    "2": "by the driver",
    "3": "asked for by somebody else",
    "4": "taken over from unidentified driving",
}
_USES = {"0": "personal use or yard move ends", "1": "personal use begins", "2": "yard move begins"}
_ENGINE_ON = ("1", "2")
_FIELDS = {
    Segment.EVENTS: 17,
    Segment.UNIDENTIFIED: 15,
    Segment.ENGINE: 12,
    Segment.LOGINS: 7,
    Segment.MALFUNCTIONS: 8,
}
_TOTALS = {Segment.ENGINE: 2, Segment.MALFUNCTIONS: 3, Segment.LOGINS: 3}
"""Where date, time and total miles stand one after another in the lines that carry total miles."""
_KINDS = ("1", "2", "3", "4", "5", "6", "7")
_WITH_MILES = ("1", "2", "3", "6")


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyFile:
    """What a file tells, each list in order of time.

    `units`: the numbers of the power units named. `written_at`: when the file was made, None: not
    told. `duty` and `readings` count; `aside` is kept beside them.
    """

    duty: tuple[DutyReading, ...]
    readings: tuple[Reading, ...]
    aside: tuple[Aside, ...]
    units: tuple[str, ...]
    written_at: datetime | None
    noted: tuple[Noted, ...]


def duty_file(data: bytes, name: str = "the file", *, zone: ZoneInfo | None = None) -> DutyFile:
    """What the bytes of a duty-record file tell; FeedRefused, with a sentence, where it is none."""
    return _Reader(lines=duty_lines(data, name), name=name, zone=zone).read()


@dataclass(slots=True, kw_only=True)
class _Reader:
    """Reads one file; what it finds is gathered and put in order at the end."""

    lines: DutyLines
    name: str
    zone: ZoneInfo | None
    duty: list[DutyReading] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    aside: list[Aside] = field(default_factory=list)
    _switched_on: list[Reading] = field(default_factory=list)

    def read(self) -> DutyFile:
        clock = self._clock()
        units, users = self._units(), self._usernames()
        for segment in _TOTALS:
            for line in self._whole(segment):
                self._total_miles(segment, line, clock, units)
        self._switched_on.sort(key=lambda one: one.at)
        for line in self._whole(Segment.EVENTS):
            self._event(line, clock, units)
            self._look_at_event_value(line, units, users)
        for line in self._whole(Segment.UNIDENTIFIED):
            self._unidentified(line, clock)
        readings, backwards = _never_backwards(sorted(self.readings, key=_by_time))
        self.aside += backwards
        header = self._header(5)
        written_at = clock.moment(header[0], header[1])[0] if len(header) > 1 else None
        return DutyFile(
            duty=tuple(sorted(self.duty, key=_by_time)),
            readings=tuple(readings),
            aside=tuple(sorted(self.aside, key=lambda one: one.row)),
            units=tuple(dict.fromkeys(units.values())),
            written_at=written_at,
            noted=tuple(self.lines.noted),
        )

    def _clock(self) -> DutyClock:
        carrier, current = self._header(3), self._header(5)
        clock, odd = clock_of(
            carrier[4] if len(carrier) > 4 else "",
            *(current[:2] if len(current) > 1 else ("", "")),
            zone=self.zone,
            name=self.name,
        )
        self._note(None, odd)
        return clock

    def _header(self, place: int) -> tuple[str, ...]:
        header = self.lines.of(Segment.HEADER)
        return header[place].fields if len(header) > place else ()

    def _units(self) -> dict[str, str]:
        """The power units' numbers by their order in the file."""
        listed = (line.fields for line in self.lines.of(Segment.UNITS))
        return {one[0]: one[1] for one in listed if len(one) > 1}

    def _usernames(self) -> dict[str, str]:
        """Usernames by order: the list has names only, the header those of driver and co-driver."""
        known = {tuple(one[:2]): one[2] for one in map(self._header, (0, 1)) if len(one) > 2}
        listed = (line.fields for line in self.lines.of(Segment.USERS))
        names = {one[0]: tuple(one[2:4]) for one in listed if len(one) > 3}
        return {order: known[name] for order, name in names.items() if name in known}

    def _whole(self, segment: Segment) -> Iterator[Line]:
        """The lines of a segment that have the fields expected."""
        expected = _FIELDS[segment]
        for line in self.lines.of(segment):
            if len(line.fields) == expected:
                yield line
            else:
                s = "" if len(line.fields) == 1 else "s"
                found = f"{len(line.fields)} field{s} where {expected} were expected; not read"
                self._note(line.row, found)

    def _note(self, row: int | None, what: str | None) -> None:
        if what is not None:
            self.lines.noted.append(Noted(row=row, what=what))

    def _total_miles(
        self, segment: Segment, line: Line, clock: DutyClock, units: dict[str, str]
    ) -> None:
        fields, begin = line.fields, _TOTALS[segment]
        date, time, written = fields[begin : begin + 3]
        miles = _whole_miles(written)
        if miles is None:
            if written:
                self._note(line.row, f"total miles cannot be read: {written[:20]!r}")
            return
        at, doubt = clock.moment(date, time)
        if at is None or doubt is not None:
            self._put_aside(line, at, f"total miles {miles:,}", doubt or "")
            return
        unit = self._only_unit(units)
        if segment is not Segment.LOGINS:
            unit = fields[8] if segment is Segment.ENGINE else units.get(fields[7])
        reading = Reading(
            row=line.row,
            at=at,
            odometer_mm=miles * MILE_MM,
            below_mm=_BELOW_MM,
            above_mm=_ABOVE_MM,
            unit=unit or None,
        )
        self.readings.append(reading)
        if segment is Segment.ENGINE and fields[1] in _ENGINE_ON:
            self._switched_on.append(reading)

    def _event(self, line: Line, clock: DutyClock, units: dict[str, str]) -> None:
        _, standing, origin, kind, code, date, time, miles, *_ = line.fields
        what = _told(kind, code)
        at, doubt = clock.moment(date, time)
        if standing != _ACTIVE:
            why = _SUPERSEDED.get(standing, f"its record status {standing[:4]!r} is not known")
            self._put_aside(line, at, what, why)
            return
        if at is None or doubt is not None:
            self._put_aside(line, at, what, doubt or "")
            return
        if kind == "1" and code in _STATUSES:
            made_by = _ORIGINS.get(origin, "origin not known")
            self.duty.append(
                DutyReading(row=line.row, at=at, status=_STATUSES[code], made_by=made_by)
            )
        elif kind == "3":
            self._put_aside(line, at, what, "said beside; the miles of personal use are not told")
        elif kind not in _KINDS or kind == "1":
            self._note(line.row, f"event type {kind[:4]!r}, code {code[:4]!r} is not known")
        if kind in _WITH_MILES:
            self._miles_since_switched_on(line, at, miles, units.get(line.fields[12]))

    def _miles_since_switched_on(
        self, line: Line, at: datetime, miles: str, unit: str | None
    ) -> None:
        """A total from the miles since the engine was switched on, and the total miles then."""
        since = _whole_miles(miles)
        if since is None:
            return  # blank in personal use
        before = [one for one in self._switched_on if one.at <= at and one.unit in (unit, None)]
        if not before:
            self._put_aside(
                line, at, f"{since:,} miles since the engine was switched on", "no total miles then"
            )
            return
        base = before[-1]
        if any(one.at == at and one.unit == base.unit for one in self.readings):
            return
        self.readings.append(
            Reading(
                row=line.row,
                at=at,
                odometer_mm=base.odometer_mm + since * MILE_MM,
                below_mm=2 * _BELOW_MM,
                above_mm=2 * _ABOVE_MM,
                unit=base.unit,
            )
        )

    def _unidentified(self, line: Line, clock: DutyClock) -> None:
        fields = line.fields
        at, _ = clock.moment(fields[5], fields[6])
        self._put_aside(line, at, _told(fields[3], fields[4]), "unidentified driving: nobody's")

    def _only_unit(self, units: dict[str, str]) -> str | None:
        """The one power unit of the file; None where there are several, or none is named."""
        numbers = set(units.values())
        return numbers.pop() if len(numbers) == 1 else None

    def _put_aside(self, line: Line, at: datetime | None, what: str, why: str) -> None:
        self.aside.append(Aside(row=line.row, at=at, what=what, why=why))

    def _look_at_event_value(
        self, line: Line, units: dict[str, str], users: dict[str, str]
    ) -> None:
        """Tell an event's own check value that does not come out, where all it sums is known."""
        fields = line.fields
        unit, user = units.get(fields[12]), users.get(fields[13])
        if unit is None or user is None:
            return
        right = event_check_value(*fields[3:11], unit, user)
        if fields[16].upper() != right:
            self._note(line.row, f"the event's check value is {fields[16][:4]}, worked out {right}")


def _told(kind: str, code: str) -> str:
    """An event in words."""
    if kind == "1" and code in _STATUSES:
        return str(_STATUSES[code])
    if kind == "3" and code in _USES:
        return _USES[code]
    return {"2": "on the way", "6": "engine switched on or off"}.get(
        kind, f"event type {kind[:4]}, code {code[:4]}"
    )


def _whole_miles(text: str) -> int | None:
    """Whole miles of up to eight figures; None for anything else, blank among it."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 9 else None


def _by_time(one: Reading | DutyReading) -> tuple[datetime, int]:
    """In order of time; of the same moment, what stands further down is older."""
    return one.at, -one.row


def _never_backwards(readings: list[Reading]) -> tuple[list[Reading], list[Aside]]:
    """The readings of each power unit that do not fall, and those that do."""
    kept: list[Reading] = []
    aside: list[Aside] = []
    highest: dict[str | None, Reading] = {}
    for one in readings:
        before = highest.get(one.unit)
        if before is not None and one.most_mm < before.least_mm:
            what = f"total miles {one.odometer_mm // MILE_MM:,}"
            aside.append(Aside(row=one.row, at=one.at, what=what, why="below an earlier one"))
        else:
            kept.append(one)
            highest[one.unit] = one
    return kept, aside
