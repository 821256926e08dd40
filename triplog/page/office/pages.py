"""The addresses of the office: what is not as it should be, the trips, one trip whole, exports."""

import secrets
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import TypeVar, cast

from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from exports.document import Document
from triplog.desk.desk import Desk
from triplog.desk.exporting import FORMS, export
from triplog.desk.finding_things import person_label
from triplog.desk.looking import EntryLine, entry_lines
from triplog.desk.overview import Concern, Line, found_trips, overview
from triplog.desk.refused import Refused
from triplog.desk.withholding import Wish
from triplog.dossier.plan_sheet import plan_sheet
from triplog.dossier.trip_sheet import trip_sheet
from triplog.journal.entries import time_text
from triplog.journal.trip import Trip, TripState
from triplog.page.cab.pages import trip_in, trip_named
from triplog.page.house import house_of, session_of
from triplog.page.reading import for_the_page, read_form, reader_of
from triplog.wording.due import Say, rule_text, state_text, title
from triplog.wording.entries import gist

_PAGE = 100
_ENTRIES_PAGE = 200
_SORTS = ("in order", "newest first", "by label")
_ONE_FILE = ("bundle", "json", "lines", "sheet", "plan", "checks", "slip")
Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line of the list in words."""

    concern: str
    trip: str | None
    label: str
    what: str
    since: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryRow:
    """An entry in words, with both times in the local time it was made in."""

    seq: int
    device: str
    kind: str
    happened: str
    entered: str
    by: str
    gist: str
    standing: str
    private: tuple[tuple[str, str], ...]
    hash: str


async def first(request: Request) -> Response:
    """What is not as it should be: one plain list, filtered and sorted as asked."""
    house, reader = house_of(request), reader_of(request)
    say, asked = reader.words.say, request.query_params
    found = await _ask(request, overview)
    offset_min = house.clock.read().offset_min
    rows = [_row(line, offset_min, say) for line in found.lines]
    concern, words = asked.get("concern", ""), asked.get("q", "").strip()
    rows = [
        row
        for row in rows
        if concern in ("", row.concern) and words.lower() in f"{row.label} {row.what}".lower()
    ]
    sort = asked.get("sort", _SORTS[0])
    if sort == "newest first":
        rows.sort(key=lambda row: row.since, reverse=True)
    elif sort == "by label":
        rows.sort(key=lambda row: row.label)
    return house.pages.page(
        "office/overview.html",
        reader,
        rows=rows,
        counts={str(one): found.counts[one] for one in Concern},
        open_trips=found.open_trips,
        concern=concern,
        q=words,
        sort=sort,
        sorts=_SORTS,
    )


async def trips_page(request: Request) -> Response:
    """The trips, newest first, a hundred a page."""
    house, reader, asked = house_of(request), reader_of(request), request.query_params
    words, state = asked.get("q", "").strip()[:100], asked.get("state", "")
    page = _number(asked.get("page", "1"))
    states = [str(one) for one in TripState]
    rows, in_all = await _ask(
        request,
        lambda desk: found_trips(
            desk,
            words,
            state if state in states else None,
            after=(page - 1) * _PAGE,
            count=_PAGE,
        ),
    )
    offset_min = house.clock.read().offset_min
    for row in rows:
        for name in ("opened_at", "departed_at", "ended_at"):
            row[name] = _local(cast(str | None, row[name]), offset_min)
    return house.pages.page(
        "office/trips.html",
        reader,
        trips=rows,
        in_all=in_all,
        page=page,
        pages=max(1, -(-in_all // _PAGE)),
        q=words,
        state=state,
        states=states,
    )


async def trip_page(request: Request) -> Response:
    """One trip whole: the checks as a picture, the plan, the findings, what happened."""
    house, reader = house_of(request), reader_of(request)

    def look(desk: Desk, trip: Trip) -> tuple[str, str, tuple[Document, ...]]:
        now = desk.now_on(trip)
        people = dict(desk.store.raw.execute("SELECT id, label FROM person").fetchall())
        told = trip_sheet(trip, people, {}, now.wall, now.offset_min, invented=desk.invented)
        plan = plan_sheet(trip, now.wall, now.offset_min, invented=desk.invented)
        return trip.label, str(trip.state), (told, plan)

    label, state, documents = await _at(request, look)
    return house.pages.page(
        "office/trip.html",
        reader,
        trip=trip_named(request),
        label=label,
        state=state,
        documents=documents,
        forms=_ONE_FILE,
        key=secrets.token_urlsafe(16),
        refused="",
    )


async def entries_page(request: Request) -> Response:
    """The entries of a trip, newest first, with both times of each."""
    house, reader = house_of(request), reader_of(request)
    page = _number(request.query_params.get("page", "1"))

    def look(desk: Desk, trip: Trip) -> tuple[str, list[EntryRow], int]:
        lines = list(entry_lines(desk, trip, None))
        lines.reverse()
        shown = lines[(page - 1) * _ENTRIES_PAGE : page * _ENTRIES_PAGE]
        people: dict[str, str] = {}
        rows = [_entry(desk, one, people) for one in shown]
        return trip.label, rows, len(lines)

    label, rows, in_all = await _at(request, look)
    return house.pages.page(
        "office/entries.html",
        reader,
        trip=trip_named(request),
        label=label,
        rows=rows,
        in_all=in_all,
        page=page,
        pages=max(1, -(-in_all // _ENTRIES_PAGE)),
    )


async def export_trip(request: Request) -> Response:
    """Write one form of a trip and hand it over; the export is an entry like any other."""
    house, reader, session = house_of(request), reader_of(request), session_of(request)
    form, trip_id = await read_form(request), trip_named(request)
    folder = tempfile.TemporaryDirectory(prefix="triplog-")

    def write(desk: Desk) -> Path:
        trip = trip_in(desk, trip_id)
        kind = form.text("form")
        if kind not in _ONE_FILE or kind not in FORMS:
            raise Refused(f"a form is one of: {', '.join(_ONE_FILE)}")
        wish = Wish(words=tuple(form.texts("withhold")), reason=form.text("reason"))
        (path,) = export(desk, Path(folder.name) / "out", (kind,), trip, wish=wish).files
        return path

    try:
        path = await house.work.ask("office", write, person=session.person, key=form.key)
    except BaseException as problem:
        folder.cleanup()
        if not isinstance(problem, Refused):
            raise
        told = for_the_page(str(problem), reader.words.say)
        return house.pages.page("told.html", reader, status=409, told=told)
    return FileResponse(path, filename=path.name, background=BackgroundTask(folder.cleanup))


def _row(line: Line, offset_min: int, say: Say) -> Row:
    what = line.what
    if line.check is not None:
        stands = say("driving; ask if and where they can stop")
        duty = stands if "driving" in line.duty or not line.duty else say(line.duty)
        parts = (state_text(line.check, say), title(line.check, say), rule_text(line.check, say))
        what = "; ".join((*parts, duty))
    since = line.since if len(line.since) <= 10 else _local(line.since, offset_min)
    return Row(
        concern=str(line.concern), trip=line.trip, label=line.label, what=what, since=since or ""
    )


def _entry(desk: Desk, line: EntryLine, people: dict[str, str]) -> EntryRow:
    entry = line.entry
    by = people.setdefault(entry.by, person_label(desk, entry.by))
    return EntryRow(
        seq=entry.seq,
        device=entry.device,
        kind=entry.kind.replace("_", " "),
        happened=_local(time_text(entry.event_time), entry.event_offset_min) or "",
        entered=_local(time_text(entry.entry_time), entry.event_offset_min) or "",
        by=by,
        gist=gist(entry),
        standing=line.standing,
        private=tuple(line.opened.items()),
        hash=entry.hash,
    )


def _local(moment: str | None, offset_min: int) -> str | None:
    if moment is None:
        return None
    zone = timezone(timedelta(minutes=offset_min))
    return datetime.fromisoformat(moment).astimezone(zone).strftime("%Y-%m-%d %H:%M:%S")


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and 0 < len(text) < 7 and int(text) > 0 else 1


async def _ask(request: Request, look: Callable[[Desk], Result]) -> Result:
    house, session = house_of(request), session_of(request)
    return await house.work.ask("office", look, person=session.person)


async def _at(request: Request, look: Callable[[Desk, Trip], Result]) -> Result:
    trip_id = trip_named(request)
    return await _ask(request, lambda desk: look(desk, trip_in(desk, trip_id)))


ROUTES = [
    Route("/office", first),
    Route("/office/trips", trips_page),
    Route("/office/trip/{trip}", trip_page),
    Route("/office/trip/{trip}/entries", entries_page),
    Route("/office/trip/{trip}/export", export_trip, methods=["POST"]),
]
