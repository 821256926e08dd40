"""Times of a duty-record file: dates and times of the home terminal, as moments in UTC.

The file says one offset from UTC, in whole hours west (04 to 11), and writes the times of the home
terminal with its daylight saving. So times on the other side of a clock change are not told apart
from those of this side: they are an hour off, or not, and nothing in the file decides it. Where
the home terminal's zone is named, the zone decides.
"""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

from scheduler.feeds.readings import FeedRefused

_CHANGES_IN = ZoneInfo("America/New_York")
"""A place whose clocks change on the days of 15 U.S.C. 260a; all that matters here is the days."""
_OFFSET = re.compile(r"-?0?(\d{1,2})(?::?00)?", re.ASCII)
OTHER_SIDE = (
    "the clocks were changed between this and the writing of the file, which tells one offset only:"
    " it may be an hour off. Name the home terminal's zone with --zone"
)
TWICE = "this hour came twice, when the clocks were set back; which of the two is not told"
NEVER = "this time never came: the clocks were set forward over it"
NO_TIME = "no date and time that can be"


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyClock:
    """How the times of one file are read. `written`: its own local date and time, None: not told.

    One of `zone` and `offset` is there; the zone goes before the offset.
    """

    written: datetime | None
    offset: timedelta | None
    zone: ZoneInfo | None

    def moment(self, date: str, time: str) -> tuple[datetime | None, str | None]:
        """The moment of MMDDYY and HHMMSS in UTC, and what is doubtful about it.

        A moment that is doubtful is the best there is, or None where there is none.
        """
        local = local_time(date, time)
        if local is None:
            return None, NO_TIME
        if self.zone is not None:
            return _in_zone(local, self.zone)
        assert self.offset is not None, "without a zone there is an offset"
        at = local.replace(tzinfo=timezone(self.offset)).astimezone(UTC)
        if self.written is not None and _side(local) != _side(self.written):
            return at, OTHER_SIDE
        return at, None


def clock_of(
    offset: str, date: str, time: str, *, zone: ZoneInfo | None, name: str
) -> tuple[DutyClock, str | None]:
    """The clock of a file by its header, and what is odd about it.

    FeedRefused where neither the file nor the caller says the offset.
    """
    hours = _OFFSET.fullmatch(offset)
    west = None if hours is None else int(hours[1])
    if zone is None and (west is None or west > 14):
        raise FeedRefused(
            f"{name} does not say how far its times are from UTC (found {offset[:12]!r}); name the"
            " home terminal's zone with --zone, such as America/Chicago"
        )
    odd = None
    if west is not None and not 4 <= west <= 11:
        odd = f"the offset from UTC is {west} hours west; the appendix has 4 to 11"
    clock = DutyClock(
        written=local_time(date, time),
        offset=None if west is None else timedelta(hours=-west),
        zone=zone,
    )
    return clock, odd


def local_time(date: str, time: str) -> datetime | None:
    """MMDDYY and HHMMSS as date and time without zone; leading zeros may have been lost.

    None for what is none.
    """
    day, clock = date.zfill(6), time.zfill(6)
    digits = day + clock
    if len(digits) != 12 or not digits.isascii() or not digits.isdecimal():
        return None
    month, on, year, hour, minute, second = (int(digits[at : at + 2]) for at in range(0, 12, 2))
    try:
        local = datetime(2000 + year, month, on, hour, minute, second, tzinfo=UTC)
    except ValueError:
        return None
    return local.replace(tzinfo=None)


def _in_zone(local: datetime, zone: ZoneInfo) -> tuple[datetime | None, str | None]:
    first = local.replace(tzinfo=zone)
    at = first.astimezone(UTC)
    if at.astimezone(zone).replace(tzinfo=None) != local:
        return at, NEVER
    if first.utcoffset() != first.replace(fold=1).utcoffset():
        return at, TWICE
    return at, None


def _side(local: datetime) -> timedelta | None:
    """Daylight saving at a local date and time, where the clocks change on the usual days."""
    return local.replace(tzinfo=_CHANGES_IN).dst()
