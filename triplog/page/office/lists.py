"""The two lists of the office: what is not as it should be, and the trips."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, cast

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from triplog.desk.desk import Desk
from triplog.desk.looking import by_number
from triplog.desk.overview import SORTS, Concern, Line, found_trips, overview
from triplog.desk.whereabouts import Whereabouts, whereabouts_of
from triplog.journal.trip import TripState
from triplog.page.house import house_of, session_of
from triplog.page.office.told import (
    Column,
    Sort,
    driver_lines,
    heads,
    line_text,
    page_number,
    route_lines,
    sort_asked,
    when,
    zone_text,
)
from triplog.page.reading import reader_of
from triplog.page.shown.languages import Words
from triplog.wording.due import Say

_PAGE = 100
_WORST_FIRST = list(Concern)


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """One reason why a trip is on the list, in words."""

    concern: str
    what: str
    since: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A trip, or a piece of gear, with all that is to be looked at on it, worst first."""

    trip: str | None
    label: str
    driver: tuple[str, ...]
    vehicle: str
    route: tuple[str, ...]
    why: tuple[Why, ...]
    newest: str


Group = tuple[Line, ...]


async def first(request: Request) -> Response:
    """What is not as it should be: one plain list, a row a trip, filtered and sorted as asked."""
    house, reader, session = house_of(request), reader_of(request), session_of(request)
    say, asked = reader.words.say, request.query_params
    concern, words = asked.get("concern", ""), asked.get("q", "").strip()[:100]
    columns = _columns(say)
    sort = sort_asked(asked.get("sort"), columns, Sort("why", is_down=False))
    page, offset_min = page_number(asked.get("page", "1")), house.clock.read().offset_min

    def look(desk: Desk) -> tuple[list[Row], int, dict[Concern, int], int]:
        found = overview(desk)
        groups = _by_trip(line for line in found.lines if concern in ("", line.concern))
        start = (page - 1) * _PAGE
        if sort.key in _OF_LINES:
            groups.sort(key=_OF_LINES[sort.key], reverse=sort.is_down)
            if not words:
                shown = _rows(desk, groups[start : start + _PAGE], offset_min, reader.words)
                return shown, len(groups), found.counts, found.open_trips
        # What is private is opened for a whole list only where it is asked by.
        rows = _rows(desk, groups, offset_min, reader.words)
        rows = [row for row in rows if words.casefold() in _text(row).casefold()]
        if sort.key in _OF_ROWS:
            rows.sort(key=_OF_ROWS[sort.key], reverse=sort.is_down)
        return rows[start : start + _PAGE], len(rows), found.counts, found.open_trips

    rows, in_all, counts, open_trips = await house.work.ask("office", look, person=session.person)
    filters = {name: text for name, text in (("q", words), ("concern", concern)) if text}
    return house.pages.page(
        "office/overview.html",
        reader,
        rows=rows,
        counts={str(one): counts[one] for one in Concern},
        open_trips=open_trips,
        concern=concern,
        q=words,
        sort=sort.word,
        heads=heads(columns, sort, filters),
        filters=filters | {"sort": sort.word},
        page=page,
        pages=max(1, -(-in_all // _PAGE)),
        zone=zone_text(offset_min),
    )


async def trips_page(request: Request) -> Response:
    """The trips, newest first unless asked otherwise, a hundred a page."""
    house, reader, asked = house_of(request), reader_of(request), request.query_params
    session, say = session_of(request), reader.words.say
    words, state = asked.get("q", "").strip()[:100], asked.get("state", "")
    columns = _trip_columns(say)
    sort = sort_asked(asked.get("sort"), columns, Sort("opened", is_down=True))
    page, offset_min = page_number(asked.get("page", "1")), house.clock.read().offset_min
    states = [str(one) for one in TripState]

    def look(desk: Desk) -> tuple[list[dict[str, object]], int]:
        found, in_all = found_trips(
            desk,
            words,
            state if state in states else None,
            sort=sort.key,
            is_down=sort.is_down,
            after=(page - 1) * _PAGE,
            count=_PAGE,
        )
        where = whereabouts_of(desk, (str(one["id"]) for one in found))
        for one in found:
            its = where[str(one["id"])]
            one["driver"], one["route"] = driver_lines(its.driver, say), route_lines(its, say)
            one["vehicle"] = its.vehicle or ""
            for name in ("opened_at", "departed_at", "ended_at"):
                moment = cast(str | None, one[name])
                one[name] = "" if moment is None else when(moment, its.offset_min, offset_min)
        return found, in_all

    rows, in_all = await house.work.ask("office", look, person=session.person)
    filters = {name: text for name, text in (("q", words), ("state", state)) if text}
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
        sort=sort.word,
        heads=heads(columns, sort, filters),
        filters=filters | {"sort": sort.word},
        zone=zone_text(offset_min),
    )


def _columns(say: Say) -> tuple[Column, ...]:
    return (
        Column(title=say("Trip or gear"), key="trip"),
        Column(title=say("Driver"), key="driver"),
        Column(title=say("Vehicle"), key="vehicle"),
        Column(title=say("From, to"), key="route"),
        Column(title=say("Why, worst first"), key="why"),
        Column(title=say("Newest"), key="newest", is_down_first=True),
    )


def _trip_columns(say: Say) -> tuple[Column, ...]:
    columns = (
        Column(title=say("Trip"), key="trip"),
        Column(title=say("Driver"), key="driver"),
        Column(title=say("Vehicle"), key="vehicle"),
        Column(title=say("From, to")),
        Column(title=say("State"), key="state"),
        Column(title=say("Opened"), key="opened", is_down_first=True),
        Column(title=say("Departed"), key="departed", is_down_first=True),
        Column(title=say("Ended"), key="ended", is_down_first=True),
        Column(title=say("Not met"), key="not met", is_down_first=True),
        Column(title=say("Not known"), key="not known", is_down_first=True),
        Column(title=say("Holds"), key="holds", is_down_first=True),
    )
    assert {one.key for one in columns if one.key} == SORTS.keys()
    return columns


def _by_trip(lines: Iterable[Line]) -> list[Group]:
    """The lines of each trip together, worst first, the trips by the worst of theirs."""
    found: dict[tuple[str | None, str], list[Line]] = {}
    for line in sorted(lines, key=lambda one: _WORST_FIRST.index(one.concern)):
        found.setdefault((line.trip, line.label), []).append(line)
    return [tuple(one) for one in found.values()]


_OF_LINES: dict[str, Callable[[Group], Any]] = {
    "why": lambda group: _WORST_FIRST.index(group[0].concern),
    "trip": lambda group: by_number(group[0].label),
    "newest": lambda group: max(line.since for line in group),
}
"""What a list is sorted by before anything of the trips is looked up."""
_OF_ROWS: dict[str, Callable[[Row], Any]] = {
    "driver": lambda row: (not row.driver, row.driver),
    "vehicle": lambda row: (not row.vehicle, by_number(row.vehicle)),
    "route": lambda row: (not row.route, row.route),
}
"""What needs them looked up."""


def _rows(desk: Desk, groups: list[Group], offset_min: int, words: Words) -> list[Row]:
    trips = (group[0].trip for group in groups)
    where = whereabouts_of(desk, (trip for trip in trips if trip is not None))
    return [_row(group, where.get(group[0].trip or ""), offset_min, words) for group in groups]


def _row(group: Group, where: Whereabouts | None, offset_min: int, words: Words) -> Row:
    own_offset_min = offset_min if where is None else where.offset_min
    say = words.say
    return Row(
        trip=group[0].trip,
        label=group[0].label,
        driver=() if where is None else driver_lines(where.driver, say),
        vehicle="" if where is None else where.vehicle or say("no vehicle yet"),
        route=() if where is None else route_lines(where, say),
        why=tuple(
            Why(
                concern=str(line.concern),
                # Whether they can stop is said once, with the worst.
                what=line_text(line, words, with_duty=line is group[0]),
                since=when(line.since, own_offset_min, offset_min),
            )
            for line in group
        ),
        newest=when(max(line.since for line in group), own_offset_min, offset_min),
    )


def _text(row: Row) -> str:
    """All that a row shows, to be searched."""
    why = (f"{one.concern} {one.what}" for one in row.why)
    return "\n".join((row.label, *row.driver, row.vehicle, *row.route, *why))


ROUTES = [Route("/office", first), Route("/office/trips", trips_page)]
