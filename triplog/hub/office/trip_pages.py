"""One trip whole, over all devices that wrote to it: documents, entries, export, holds."""

import secrets
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route

from exports.document import Document
from triplog.desk.desk import Desk
from triplog.desk.holding import holds_on_trip
from triplog.desk.looking import EntryLine, entry_lines
from triplog.desk.refused import Refused
from triplog.desk.whereabouts import Whereabouts, person_of, whereabouts_of
from triplog.desk.withholding import Wish
from triplog.dossier.plan_sheet import plan_sheet
from triplog.dossier.trip_sheet import trip_sheet
from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.hub.exporting import Order, Place, export_from_hub
from triplog.hub.extract import Asked
from triplog.hub.office.holds import Pending, lift, pending_on, place
from triplog.hub.office.house import (
    acting,
    ask,
    form_sent,
    house_of,
    hub_reader,
    shown,
    visitor_of,
)
from triplog.hub.office.looked import note_looked
from triplog.hub.office.trip_desk import trip_desk
from triplog.journal.entries import ClockReading, Entry, time_text
from triplog.journal.trip import Trip
from triplog.page.office.told import driver_lines, page_number, route_lines, when, zone_text
from triplog.wording.due import Say
from triplog.wording.entries import gist

_ENTRIES_PAGE = 200
FORMS = {
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
class HoldRow:
    """A hold that stands. `pending`: the devices that have not taken it in yet, by label."""

    hash: str
    since: str
    by: str
    reason: str
    pending: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryRow:
    """An entry in words, with both times, and the device that wrote it."""

    number: str
    device: str
    kind: str
    happened: str
    entered: str
    by: tuple[str, ...]
    gist: str
    private: tuple[tuple[str, str], ...]
    standing: str

    @property
    def searched(self) -> str:
        """What a search looks through."""
        private = (f"{name}: {value}" for name, value in self.private)
        return "\n".join((self.kind, self.gist, self.device, *self.by, *private, self.standing))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What the page of a trip shows."""

    trip: Trip
    where: Whereabouts
    documents: tuple[Document, ...]
    holds: tuple[HoldRow, ...]
    devices: tuple[str, ...]


async def trip_page(request: Request) -> Response:
    """One trip whole: the checks as a picture, the plan, the findings, what happened."""

    def look(desk: Desk, trip: Trip, names: dict[str, str], pending: Pending) -> _Seen:
        now = desk.now_on(trip)
        people = dict(desk.store.raw.execute("SELECT id, label FROM person").fetchall())
        told = trip_sheet(trip, people, {}, now.wall, now.offset_min, invented=desk.invented)
        plan = plan_sheet(trip, now.wall, now.offset_min, invented=desk.invented)
        return _Seen(
            trip=trip,
            where=whereabouts_of(desk, [trip.id])[trip.id],
            documents=(told, plan),
            holds=tuple(_holds(desk, trip, pending)),
            devices=tuple(names[one] for one in desk.store.devices() if one in names),
        )

    seen = await _at(request, "trip", look)
    say, where = _say(request), seen.where
    return shown(
        request,
        "hub/trip.html",
        trip=seen.trip.id,
        label=seen.trip.label,
        state=str(seen.trip.state),
        driver=driver_lines(where.driver, say),
        vehicle=where.vehicle or say("no vehicle yet"),
        route=route_lines(where, say),
        devices=seen.devices,
        documents=seen.documents,
        holds=seen.holds,
        forms=FORMS,
        key=secrets.token_urlsafe(16),
    )


async def entries_page(request: Request) -> Response:
    """The entries of a trip, newest first, with both times and the device of each."""
    house, asked = house_of(request), request.query_params
    page, words = page_number(asked.get("page", "1")), asked.get("q", "").strip()[:100]
    kind, offset_min = asked.get("kind", ""), house.clock.read().offset_min
    say = _say(request)

    def look(
        desk: Desk, trip: Trip, names: dict[str, str], pending: Pending
    ) -> tuple[str, list[EntryRow]]:
        del pending
        lines = list(entry_lines(desk, trip, None))
        lines.reverse()
        return trip.label, [_row(desk, line, names, offset_min, say) for line in lines]

    label, rows = await _at(request, "entries of a trip", look)
    kinds = sorted({row.kind for row in rows})
    rows = [
        row
        for row in rows
        if kind in ("", row.kind) and words.casefold() in row.searched.casefold()
    ]
    return shown(
        request,
        "hub/entries.html",
        trip=request.path_params["trip"],
        label=label,
        rows=rows[(page - 1) * _ENTRIES_PAGE : page * _ENTRIES_PAGE],
        in_all=len(rows),
        page=page,
        pages=max(1, -(-len(rows) // _ENTRIES_PAGE)),
        q=words,
        kind=kind,
        kinds=kinds,
        filters={name: text for name, text in (("q", words), ("kind", kind)) if text},
        zone=zone_text(offset_min),
    )


async def export_trip(request: Request) -> Response:
    """Write one form of a trip and hand it over; the carrier's own log says so."""
    house, who, form = house_of(request), visitor_of(request), await form_sent(request)
    trip_id = str(request.path_params["trip"])
    kind = form.text("form")
    if kind not in FORMS:
        raise Refused(f"a form is one of: {', '.join(FORMS)}")
    wish = Wish(words=tuple(form.texts("withhold")), reason=form.text("reason"))
    folder = tempfile.TemporaryDirectory(prefix="triplog-")
    hub = Place(database=house.database, home=house.home, clock=house.clock, role=who.role)
    order = Order(forms=(kind,), who=f"{who.label}, at the office's page", wish=wish)

    def write() -> Path:
        note_looked(house.database, who, "export of a trip", house.clock.read(), trip=trip_id)
        with house.database.work(who.role, who.carrier.id) as connection:
            there = connection.execute("SELECT 1 FROM entry WHERE trip = %s LIMIT 1", (trip_id,))
            if there.fetchone() is None:
                raise Refused("there is no such trip")
        asked = Asked(trips=(trip_id,))
        (made,) = export_from_hub(hub, who.carrier, asked, order, Path(folder.name) / "out")
        return made.files[0]

    try:
        path = await run_in_threadpool(write)
    except BaseException:
        folder.cleanup()
        raise
    return FileResponse(path, filename=path.name, background=BackgroundTask(folder.cleanup))


async def hold_trip(request: Request) -> Response:
    """Put a trip under an evidence hold; it reaches the devices when they are next heard of."""
    form = await acting(request)
    house, who = house_of(request), visitor_of(request)
    trip, reason = str(request.path_params["trip"]), form.text("reason")
    reading = house.clock.read()
    await run_in_threadpool(place, house.database, who, trip, reason, form.key, reading)
    return RedirectResponse(f"/office/trip/{trip}#holds", 303)


async def lift_hold(request: Request) -> Response:
    """Lift one hold of a trip."""
    form = await acting(request)
    house, who = house_of(request), visitor_of(request)
    trip, reason = str(request.path_params["trip"]), form.text("reason")
    hold, reading = form.text("hold") or "", house.clock.read()
    await run_in_threadpool(lift, house.database, who, trip, hold, reason, form.key, reading)
    return RedirectResponse(f"/office/trip/{trip}#holds", 303)


Look = Callable[[Desk, Trip, dict[str, str], Pending], Result]


async def _at(request: Request, about: str, look: "Look[Result]") -> Result:
    """What is seen at the desk of the trip that the address names."""
    house, trip = house_of(request), str(request.path_params["trip"])

    def at_desk(connection: Open, carrier: Carrier, reading: ClockReading) -> Result:
        del reading
        names: dict[str, str] = dict(connection.execute("SELECT id, label FROM device").fetchall())
        names |= dict.fromkeys(carrier.offices, "office")
        with trip_desk(connection, house.home, carrier, trip, house.clock) as desk:
            pending = pending_on(connection, carrier, desk, trip)
            return look(desk, desk.trip(trip), names, pending)

    return await ask(request, about, at_desk, trip=trip)


def _holds(desk: Desk, trip: Trip, pending: Pending) -> list[HoldRow]:
    return [
        HoldRow(
            hash=one.hold.original.hash,
            since=one.since,
            by=one.by,
            reason=one.reason or "",
            pending=pending.get(one.hold.original.hash, ()),
        )
        for one in holds_on_trip(desk, trip)
    ]


def _row(desk: Desk, line: EntryLine, names: dict[str, str], offset_min: int, say: Say) -> EntryRow:
    entry, own_offset = line.entry, line.entry.event_offset_min
    happened, entered = (
        when(time_text(one), own_offset, offset_min, seconds=True)
        for one in (entry.event_time, entry.entry_time)
    )
    return EntryRow(
        number=str(entry.seq),
        device=names.get(entry.device, entry.device),
        kind=entry.kind.replace("_", " "),
        happened=happened,
        entered=entered,
        by=driver_lines(person_of(desk, entry.by), say) if entry.by != "nobody" else (),
        gist=gist(entry),
        private=tuple(line.opened.items()),
        standing=_standing(line, say),
    )


def _standing(line: EntryLine, say: Say) -> str:
    """What holds in an entry's place; empty where it holds itself."""
    if line.followed_by is None or line.standing not in ("corrected", "taken back"):
        return ""
    told = (
        say("corrected by entry {number}")
        if line.standing == "corrected"
        else say("taken back by entry {number}")
    )
    return told.format(number=_number(line.followed_by))


def _number(entry: Entry) -> str:
    return f"{entry.seq}@{entry.device[:4]}"


def _say(request: Request) -> Say:
    return hub_reader(request).words.say


ROUTES = [
    Route("/office/trip/{trip}", trip_page),
    Route("/office/trip/{trip}/entries", entries_page),
    Route("/office/trip/{trip}/export", export_trip, methods=["POST"]),
    Route("/office/trip/{trip}/hold", hold_trip, methods=["POST"]),
    Route("/office/trip/{trip}/lift", lift_hold, methods=["POST"]),
]
