"""Files of our own making for the readers: tracks, sentences, duty-record files."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta

import gpxpy.gpx

from scheduler.feeds.duty_lines import event_check_value, file_check_value, line_check_value
from scheduler.feeds.nmea import check_value

START = datetime(2026, 3, 2, 13, 0, tzinfo=UTC)
HEADER = "ELD File Header Segment:"


def gpx(points: Iterable[tuple[datetime | None, float, float]]) -> bytes:
    """A track as the library writes it."""
    track = gpxpy.gpx.GPXTrack()
    segment = gpxpy.gpx.GPXTrackSegment()
    segment.points = [
        gpxpy.gpx.GPXTrackPoint(latitude=lat, longitude=lon, time=at) for at, lat, lon in points
    ]
    track.segments.append(segment)
    written = gpxpy.gpx.GPX()
    written.tracks.append(track)
    return written.to_xml().encode()


def eastward(
    count: int, *, every: timedelta = timedelta(seconds=30), begin: datetime = START
) -> list[tuple[datetime | None, float, float]]:
    """Points along the equator, a thousandth of a degree (111.2 m on the sphere) apart."""
    return [(begin + place * every, 0.0, place * 0.001) for place in range(count)]


def sentence(body: str) -> str:
    """A sentence with its right check value."""
    return f"${body}*{check_value(body)}"


def rmc(at: datetime, lon_min: float, *, status: str = "A", knots: str = "43.2") -> str:
    """An RMC sentence on the equator, so many minutes of arc east."""
    clock, day = at.strftime("%H%M%S.00"), at.strftime("%d%m%y")
    return sentence(
        f"GPRMC,{clock},{status},0000.0000,N,000{lon_min:07.4f},E,{knots},090.0,{day},,"
    )


def with_check(body: str) -> str:
    """A line of a duty-record file with its check value; worked out, not published."""
    return f"{body},{line_check_value(body)}"


def event(
    sequence: str,
    at: str,
    *,
    kind: str = "1",
    code: str = "3",
    miles: str = "0",
    status: str = "1",
    origin: str = "1",
    unit: str = "1",
) -> str:
    """A line of the event list; `at` is MMDDYY,HHMMSS."""
    date, time = at.split(",")
    summed = (kind, code, date, time, miles, "0.0", "35.22", "-101.83")
    value = event_check_value(*summed, "12", "driver1")
    body = f"{sequence},{status},{origin},{kind},{code},{date},{time},{miles},0.0,35.22,-101.83,0"
    return with_check(f"{body},{unit},1,0,0,{value}")


def engine(
    sequence: str, at: str, total: str, *, code: str = "1", unit: str = "12", hours: str = "900.0"
) -> str:
    """A line of the engine's list."""
    return with_check(f"{sequence},{code},{at},{total},{hours},35.22,-101.83,{unit},,,")


def unidentified(sequence: str, at: str, miles: str) -> str:
    """A line of driving that is nobody's."""
    return with_check(f"{sequence},1,1,1,3,{at},{miles},0.0,35.22,-101.83,0,1,0,A0")


def duty_file(
    events: Sequence[str] = (),
    engines: Sequence[str] = (),
    *,
    nobody: Sequence[str] = (),
    offset: str = "06",
    written: str = "030226,173000",
    units: Sequence[str] = ("12",),
    leave_out: Sequence[str] = (),
    end: str = "\r\n",
) -> bytes:
    """A whole file of invented people, with every check value right."""
    parts = {
        HEADER: [
            with_check("Driver,One,driver1,TX,0000000"),
            with_check(",,"),
            with_check(f"{units[0] if units else ''},,"),
            with_check(f"0000000,Invented Carrier,7,000000,{offset}"),
            with_check(",0"),
            with_check(f"{written},35.22,-101.83,24256,903.5"),
            with_check("0000,INVENT,,"),
        ],
        "User List:": [with_check("1,D,Driver,One")],
        "CMV List:": [
            with_check(f"{order},{number},") for order, number in enumerate(units, start=1)
        ],
        "ELD Event List:": list(events),
        "ELD Event Annotations or Comments:": [],
        "Driver's Certification/Recertification Actions:": [],
        "Malfunctions and Data Diagnostic Events:": [],
        "ELD Login/Logout Report:": [],
        "CMV Engine Power-Up and Shut Down Activity:": list(engines),
        "Unidentified Driver Profile Records:": list(nobody),
    }
    rows = [
        row for title, lines in parts.items() if title not in leave_out for row in (title, *lines)
    ]
    values = [int(row[-2:], 16) for row in rows if not row.endswith(":")]
    if "End of File:" not in leave_out:
        rows += ["End of File:", file_check_value(values)]
    return end.join([*rows, ""]).encode("ascii")


WORKING_DAY = (
    [
        event("0009", "030226,112500", code="1", miles="152"),
        event("0008", "030226,101500", kind="2", code="1", miles="103"),
        event("0007", "030226,091500", code="3", miles="52"),
        event("0006", "030226,090000", code="4", miles="52"),
        event("0005", "030226,080000", code="3", miles="0"),
    ],
    [
        engine("000A", "030226,113000", "24282", code="3"),
        engine("0004", "030226,073000", "24130"),
    ],
)
"""Newest first, as the writer does: on at 24,130 mi, driving, a stop of 15 min, driving, home."""
