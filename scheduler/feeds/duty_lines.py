"""The frame of a duty-record output file: its segments, its lines, and their check values.

49 CFR 395, subpart B, appendix A, 4.8.2.1 (segments and lines) and 4.4.5.1 to .3 (check values).
What this rests on: the steps of the check values, the order of the segments and that a line's
every character but the value itself is summed were checked against a public copy of the text; the
exact title lines and the values of the characters (1 to 9, A to Z and a to z count their ASCII
number less 48, all else nothing) are written down here from memory. So titles are taken by their
letters alone, and a check value that does not come out is told and decides nothing: it finds
typing slips, and anybody can work it out anew.
"""

import re
from collections import Counter
from dataclasses import dataclass, field
from enum import StrEnum

from scheduler.feeds.readings import FeedRefused, Noted

LINES_MAX = 200_000
_TOLD_MAX = 20


class Segment(StrEnum):
    """The parts of the file, in the order in which they are written."""

    HEADER = "ELD File Header Segment"
    USERS = "User List"
    UNITS = "CMV List"
    EVENTS = "ELD Event List"
    COMMENTS = "ELD Event Annotations or Comments"
    CERTIFICATIONS = "Driver's Certification/Recertification Actions"
    MALFUNCTIONS = "Malfunctions and Data Diagnostic Events"
    LOGINS = "ELD Login/Logout Report"
    ENGINE = "CMV Engine Power-Up and Shut Down Activity"
    UNIDENTIFIED = "Unidentified Driver Profile Records"
    END = "End of File"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of data: its number in the file, and its fields without the line's check value."""

    row: int
    fields: tuple[str, ...]


@dataclass(slots=True)
class DutyLines:
    """The lines of each segment that was found, and what there is to say about the frame."""

    segments: dict[Segment, list[Line]] = field(default_factory=dict)
    noted: list[Noted] = field(default_factory=list)

    def of(self, segment: Segment) -> list[Line]:
        """The lines of a segment; none where it is missing."""
        return self.segments.get(segment, [])


def duty_lines(data: bytes, name: str) -> DutyLines:
    """Cut a file into its segments; FeedRefused where it is none of its kind."""
    if b"\0" in data:
        raise FeedRefused(f"{name} is no text: it holds bytes that no duty-record file has")
    text = data.decode("ascii", "replace")
    found = DutyLines()
    _note_line_ends(text, found.noted)
    rows = re.split(r"\r\n|\r|\n", text)
    if len(rows) > LINES_MAX:
        raise FeedRefused(f"{name} has {len(rows):,} lines; up to {LINES_MAX:,} are read")
    _sort_into(rows, found)
    if not found.segments:
        raise FeedRefused(
            f"{name} has none of the title lines of a government duty-record output file (49 CFR"
            " 395, subpart B, appendix A, 4.8.2.1), such as “ELD Event List:”"
        )
    missing = [one for one in Segment if one not in found.segments]
    found.noted.extend(Noted(row=None, what=f"the segment “{one}” is missing") for one in missing)
    if Segment.END in missing:
        found.noted.append(Noted(row=None, what="the file has no end line; it may be cut off"))
    return found


def line_check_value(written: str) -> str:
    """The check value of a line as written without it: two hexadecimal digits."""
    return f"{_rotated(_summed(written) & 0xFF) ^ 0x96:02X}"


def event_check_value(*elements: str) -> str:
    """The check value of an event's ten elements: two hexadecimal digits."""
    return f"{_rotated(sum(map(_summed, elements)) & 0xFF) ^ 0xC3:02X}"


def file_check_value(line_values: list[int]) -> str:
    """The check value of a file from those of its lines: four hexadecimal digits."""
    low = sum(line_values) & 0xFFFF
    return f"{(_rotated(low >> 8) << 8 | _rotated(low & 0xFF)) ^ 0x969C:04X}"


def _summed(text: str) -> int:
    """The sum of the characters' values."""
    return sum(
        ord(one) - 48 for one in text if "1" <= one <= "9" or "A" <= one <= "Z" or "a" <= one <= "z"
    )


def _rotated(byte: int) -> int:
    """A byte rotated left by three."""
    return (byte << 3 | byte >> 5) & 0xFF


def _letters(text: str) -> str:
    return re.sub(r"[^a-z]", "", text.lower())


_TITLES = {_letters(one): one for one in Segment}
_HEX_BYTE = re.compile(r"[0-9A-Fa-f]{2}")
_HEX_FILE = re.compile(r"[0-9A-Fa-f]{4}")


def _sort_into(rows: list[str], found: DutyLines) -> None:
    """Sort the rows into segments, looking at check values on the way."""
    here: Segment | None = None
    line_values: list[int] = []
    wrong: list[Noted] = []
    for row, written in enumerate(rows, start=1):
        text = written.strip()
        if not text:
            continue
        title = _TITLES.get(_letters(text)) if not re.search(r"\d", text) else None
        if title is not None:
            here = title
            found.segments.setdefault(title, [])
        elif here is Segment.END:
            _look_at_file_value(text.rstrip(","), line_values, row, wrong)
        elif here is None:
            found.noted.append(Noted(row=row, what="stands before any segment; not read"))
        else:
            _take_line(text, row, found.segments[here], line_values, wrong)
    found.noted.extend(wrong[:_TOLD_MAX])
    if len(wrong) > _TOLD_MAX:
        more = f"{len(wrong) - _TOLD_MAX} further check values do not come out"
        found.noted.append(Noted(row=None, what=more))


def _take_line(
    text: str, row: int, lines: list[Line], line_values: list[int], wrong: list[Noted]
) -> None:
    body, _, value = text.rpartition(",")
    if _HEX_BYTE.fullmatch(value):
        line_values.append(int(value, 16))
        right = line_check_value(body)
        if value.upper() != right:
            what = f"the line's check value is {value}, worked out {right}"
            wrong.append(Noted(row=row, what=what))
    else:
        wrong.append(Noted(row=row, what="the line has no check value"))
        body = text
    lines.append(Line(row=row, fields=tuple(one.strip() for one in body.split(","))))


def _look_at_file_value(text: str, line_values: list[int], row: int, wrong: list[Noted]) -> None:
    right = file_check_value(line_values)
    if not _HEX_FILE.fullmatch(text):
        wrong.append(Noted(row=row, what="no check value of the file after its end line"))
    elif text.upper() != right:
        wrong.append(Noted(row=row, what=f"the file's check value is {text}, worked out {right}"))


def _note_line_ends(text: str, noted: list[Noted]) -> None:
    ends = Counter(re.findall(r"\r\n|\r|\n", text))
    if len(ends) > 1:
        names = {"\r\n": "CR LF", "\r": "CR", "\n": "LF"}
        told = ", ".join(f"{count} × {names[end]}" for end, count in sorted(ends.items()))
        noted.append(Noted(row=None, what=f"the line ends are mixed ({told}); all are taken"))
