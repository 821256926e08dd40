"""The addresses of the office: its two lists, one trip whole, its entries, exports."""

import secrets
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from exports.document import Document
from triplog.desk.desk import Desk
from triplog.desk.exporting import FORMS, export
from triplog.desk.looking import EntryLine, entry_lines
from triplog.desk.refused import Refused
from triplog.desk.whereabouts import Whereabouts, person_of, whereabouts_of
from triplog.desk.withholding import Wish
from triplog.dossier.plan_sheet import plan_sheet
from triplog.dossier.trip_sheet import trip_sheet
from triplog.journal.entries import Entry, time_text
from triplog.journal.trip import Trip
from triplog.page.cab.pages import trip_in, trip_named
from triplog.page.house import house_of, session_of
from triplog.page.office import lists
from triplog.page.office.told import (
    driver_lines,
    named,
    page_number,
    route_lines,
    when,
    zone_text,
)
from triplog.page.reading import for_the_page, read_form, reader_of
from triplog.wording.due import Say
from triplog.wording.entries import gist

_ENTRIES_PAGE = 200
FORM_WORDS = {
    "bundle": "bundle: all of it, for another to check",
    "sheet": "trip sheet, to print",
    "plan": "load plan, to print",
    "checks": "checks, to print",
    "slip": "hand-over slip, to print",
    "json": "all that was recorded, for a program",
    "lines": "the entries as they were recorded, one a line",
}
"""What is exported as one file, and what people call it."""
Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryRow:
    """An entry in words, with both times in the local time it was made in.

    `followed`: what holds in its place, at `followed_at`; empty where it holds itself.
    """

    number: str
    anchor: str
    kind: str
    happened: str
    entered: str
    by: str
    gist: str
    private: tuple[tuple[str, str], ...]
    followed: str
    followed_at: str

    @property
    def searched(self) -> str:
        """What a search looks through: kind, gist, person, what can be read, standing."""
        private = (f"{name}: {value}" for name, value in self.private)
        return "\n".join((self.kind, self.gist, self.by, *private, self.followed))


async def trip_page(request: Request) -> Response:
    """One trip whole: the checks as a picture, the plan, the findings, what happened."""
    house, reader = house_of(request), reader_of(request)

    def look(desk: Desk, trip: Trip) -> tuple[Trip, Whereabouts, tuple[Document, ...]]:
        now = desk.now_on(trip)
        people = dict(desk.store.raw.execute("SELECT id, label FROM person").fetchall())
        told = trip_sheet(trip, people, {}, now.wall, now.offset_min, invented=desk.invented)
        plan = plan_sheet(trip, now.wall, now.offset_min, invented=desk.invented)
        return trip, whereabouts_of(desk, [trip.id])[trip.id], (told, plan)

    trip, where, documents = await _at(request, look)
    say = reader.words.say
    return house.pages.page(
        "office/trip.html",
        reader,
        trip=trip.id,
        label=trip.label,
        state=str(trip.state),
        driver=driver_lines(where.driver, say),
        vehicle=where.vehicle or say("no vehicle yet"),
        route=route_lines(where, say),
        documents=documents,
        forms=FORM_WORDS,
        key=secrets.token_urlsafe(16),
    )


async def entries_page(request: Request) -> Response:
    """The entries of a trip, newest first, with both times of each; searched and by kind."""
    house, reader, asked = house_of(request), reader_of(request), request.query_params
    page, words = page_number(asked.get("page", "1")), asked.get("q", "").strip()[:100]
    kind, offset_min = asked.get("kind", ""), house.clock.read().offset_min

    def look(desk: Desk, trip: Trip) -> tuple[str, list[EntryRow], list[str]]:
        lines = list(entry_lines(desk, trip, None))
        lines.reverse()
        list_ = _Listed(desk, lines, offset_min, reader.words.say)
        rows = [list_.row(line) for line in lines]
        return trip.label, rows, sorted({row.kind for row in rows})

    label, rows, kinds = await _at(request, look)
    rows = [
        row
        for row in rows
        if kind in ("", row.kind) and words.casefold() in row.searched.casefold()
    ]
    filters = {name: text for name, text in (("q", words), ("kind", kind)) if text}
    return house.pages.page(
        "office/entries.html",
        reader,
        trip=trip_named(request),
        label=label,
        rows=rows[(page - 1) * _ENTRIES_PAGE : page * _ENTRIES_PAGE],
        in_all=len(rows),
        page=page,
        pages=max(1, -(-len(rows) // _ENTRIES_PAGE)),
        q=words,
        kind=kind,
        kinds=kinds,
        filters=filters,
        zone=zone_text(offset_min),
    )


async def export_trip(request: Request) -> Response:
    """Write one form of a trip and hand it over; the export is an entry like any other."""
    house, reader, session = house_of(request), reader_of(request), session_of(request)
    form, trip_id = await read_form(request), trip_named(request)
    folder = tempfile.TemporaryDirectory(prefix="triplog-")

    def write(desk: Desk) -> Path:
        trip = trip_in(desk, trip_id)
        kind = form.text("form")
        if kind not in FORM_WORDS or kind not in FORMS:
            raise Refused(f"a form is one of: {', '.join(FORM_WORDS)}")
        wish = Wish(words=tuple(form.texts("withhold")), reason=form.text("reason"))
        (path,) = export(desk, Path(folder.name) / "out", (kind,), trip, wish=wish).files
        return path

    try:
        path = await house.work.ask("office", write, person=session.person, key=form.key)
    except BaseException as problem:
        folder.cleanup()
        if not isinstance(problem, Refused):
            raise
        told = for_the_page(str(problem), reader.words)
        return house.pages.page("told.html", reader, status=409, told=told)
    return FileResponse(path, filename=path.name, background=BackgroundTask(folder.cleanup))


class _Listed:
    """The entries of one trip, newest first, on their way to words."""

    def __init__(self, desk: Desk, lines: list[EntryLine], offset_min: int, say: Say) -> None:
        self._desk, self._offset_min, self._say = desk, offset_min, say
        self._people: dict[str, str] = {}
        self._place = {line.entry.hash: place for place, line in enumerate(lines)}
        self._is_one_device = len({line.entry.device for line in lines}) == 1

    def row(self, line: EntryLine) -> EntryRow:
        """An entry in words."""
        entry, offset_min = line.entry, line.entry.event_offset_min
        if entry.by not in self._people:
            person = person_of(self._desk, entry.by)
            self._people[entry.by] = ", ".join(named(person, self._say))
        happened, entered = (
            when(time_text(one), offset_min, self._offset_min, seconds=True)
            for one in (entry.event_time, entry.entry_time)
        )
        followed, address = self._followed(line)
        return EntryRow(
            number=self._number(entry),
            anchor=_anchor(entry),
            kind=entry.kind.replace("_", " "),
            happened=happened,
            entered=entered,
            by=self._people[entry.by],
            gist=gist(entry),
            private=tuple(line.opened.items()),
            followed=followed,
            followed_at=address,
        )

    def _followed(self, line: EntryLine) -> tuple[str, str]:
        """What holds in an entry's place, and the address of it; both empty where it holds."""
        if line.followed_by is None or line.standing not in ("corrected", "taken back"):
            return "", ""
        say, other = self._say, line.followed_by
        told = (
            say("corrected by entry {number}")
            if line.standing == "corrected"
            else say("taken back by entry {number}")
        )
        page = self._place[other.hash] // _ENTRIES_PAGE + 1
        return told.format(number=self._number(other)), f"?page={page}#{_anchor(other)}"

    def _number(self, entry: Entry) -> str:
        """Its number in its device's log, with the device where there are several."""
        return str(entry.seq) if self._is_one_device else f"{entry.seq}@{entry.device[:4]}"


def _anchor(entry: Entry) -> str:
    return f"e-{entry.hash[:12]}"


async def _ask(request: Request, look: Callable[[Desk], Result]) -> Result:
    house, session = house_of(request), session_of(request)
    return await house.work.ask("office", look, person=session.person)


async def _at(request: Request, look: Callable[[Desk, Trip], Result]) -> Result:
    trip_id = trip_named(request)
    return await _ask(request, lambda desk: look(desk, trip_in(desk, trip_id)))


ROUTES = [
    *lists.ROUTES,
    Route("/office/trip/{trip}", trip_page),
    Route("/office/trip/{trip}/entries", entries_page),
    Route("/office/trip/{trip}/export", export_trip, methods=["POST"]),
]
