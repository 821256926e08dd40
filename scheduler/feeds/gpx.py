"""GPX 1.0 and 1.1: the fixes of the tracks in a file.

What could make a small file large, or send the reader elsewhere, is refused before the file is
parsed for good: a GPX file has no use for a document type, and so none for entities. That look is
taken by expat itself, so an encoding cannot hide one.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC
from typing import TYPE_CHECKING
from xml.parsers import expat

from scheduler.feeds.readings import FeedRefused, Fix, Noted
from scheduler.feeds.source import MEBIBYTE

if TYPE_CHECKING:
    from gpxpy.gpx import GPX, GPXTrackPoint

MOST_BYTES = 32 * MEBIBYTE
_DEPTH_MAX = 64
_NAMESPACES_MAX = 64
_DECLARED = re.compile(rb"""<\?xml[^>]*encoding\s*=\s*["']([A-Za-z0-9._-]+)["']""")


@dataclass(frozen=True, slots=True, kw_only=True)
class GpxTrack:
    """The fixes of a file in order of time, and what the reader has to say."""

    fixes: tuple[Fix, ...]
    noted: tuple[Noted, ...]


def gpx_track(data: bytes, name: str = "the file") -> GpxTrack:
    """The fixes in the bytes of a GPX file; FeedRefused, with a sentence, where there is none."""
    _refuse_unfit(data, name)
    gpx = _parsed(_text_of(data, name), name)
    noted: list[Noted] = []
    fixes = sorted(_fixes(gpx, noted), key=lambda fix: fix.at)
    if not fixes:
        reason = "no point of a track in it carries a time" if noted else "it holds no track"
        raise FeedRefused(f"{name}: {reason}, so no distance can be placed on the road")
    return GpxTrack(fixes=tuple(fixes), noted=tuple(noted))


def _refuse_unfit(data: bytes, name: str) -> None:
    """Refuse what is no XML, is not whole, has a document type, or nests without end."""
    depth = 0

    def began(tag: str, _: dict[str, str]) -> None:
        nonlocal depth
        if depth == 0 and tag.rpartition(":")[2].lower() != "gpx":
            raise FeedRefused(f"{name} is no GPX file: it begins with <{tag[:40]}>")
        depth += 1
        if depth > _DEPTH_MAX:
            raise FeedRefused(f"{name}: elements lie more than {_DEPTH_MAX} deep; no track does")

    def ended(_: str) -> None:
        nonlocal depth
        depth -= 1

    def document_type(*_: object) -> None:
        raise FeedRefused(
            f"{name} brings a document type or entities of its own. A track has no use for them"
            " and they can make a reader run out of memory; export the track anew"
        )

    parser = expat.ParserCreate()
    parser.StartElementHandler = began
    parser.EndElementHandler = ended
    parser.StartDoctypeDeclHandler = document_type
    try:
        parser.Parse(data, True)
    except expat.ExpatError as problem:
        where = f"line {problem.lineno}, column {problem.offset + 1}"
        raise FeedRefused(
            f"{name} is broken as XML at {where}: {expat.errors.messages[problem.code]}. It may be"
            " cut off, or another kind of file"
        ) from problem
    except (ValueError, LookupError) as problem:
        if isinstance(problem, FeedRefused):
            raise
        raise FeedRefused(f"{name} is in an encoding that is not known: {problem}") from problem
    if data.count(b"xmlns") > _NAMESPACES_MAX:
        raise FeedRefused(f"{name} names more than {_NAMESPACES_MAX} XML namespaces; no track does")


def _text_of(data: bytes, name: str) -> str:
    """The text, by its byte order mark or by the encoding it declares."""
    declared = _DECLARED.match(data)
    encoding = "utf-8-sig" if declared is None else declared[1].decode("ascii")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding = "utf-16"
    elif data.startswith(b"\xef\xbb\xbf"):
        encoding = "utf-8-sig"
    try:
        return data.decode(encoding)
    except (UnicodeDecodeError, LookupError) as problem:
        raise FeedRefused(f"{name} cannot be read as {encoding}: {problem}") from problem


def _parsed(text: str, name: str) -> "GPX":
    import gpxpy

    try:
        return gpxpy.parse(text)
    except Exception as problem:  # it lets through whatever its own parts raise
        raise FeedRefused(f"{name} is no GPX file that can be understood: {problem}") from problem


def _fixes(gpx: "GPX", noted: list[Noted]) -> Iterator[Fix]:
    points = (
        point for track in gpx.tracks for segment in track.segments for point in segment.points
    )
    for row, point in enumerate(points, start=1):
        fix = _fix(point, row)
        if isinstance(fix, Fix):
            yield fix
        else:
            noted.append(Noted(row=row, what=fix))


def _fix(point: "GPXTrackPoint", row: int) -> Fix | str:
    """The fix of a point, or why it is none. A time without its zone is UTC, as GPX has it."""
    if point.time is None:
        return "the point carries no time; left out"
    if not (-90 <= point.latitude <= 90 and -180 <= point.longitude <= 180):
        return "the point is no place on Earth; left out"
    try:
        at = point.time.replace(tzinfo=point.time.tzinfo or UTC).astimezone(UTC)
    except OverflowError:
        return "the point carries a time that cannot be; left out"
    return Fix(row=row, at=at, lat_deg=point.latitude, lon_deg=point.longitude)
