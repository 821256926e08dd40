"""The office's two lists over all trucks: what is not as it should be, and the trips."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from triplog.desk.looking import by_number
from triplog.desk.overview import Concern
from triplog.desk.whereabouts import Whereabouts
from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.hub.health import UNTOLD_AGE_MAX_S
from triplog.hub.office.devices import Odd, devices_of, odd_text
from triplog.hub.office.house import ask, house_of, hub_reader, shown
from triplog.hub.office.lists import (
    SORTS,
    Found,
    found_lines,
    found_trips,
    put_aside,
    untold,
)
from triplog.hub.office.whereabouts import whereabouts_at_hub
from triplog.journal.entries import ClockReading, time_text
from triplog.journal.trip import TripState
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
from triplog.page.shown.languages import Words
from triplog.wording.due import Say

_PAGE = 100
CONCERNS = [*(one for one in Concern if one is not Concern.GEAR), *Odd]
"""Why something is on the list, worst first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """One reason why something is on the list, in words; `since`: RFC 3339."""

    concern: Concern | Odd
    what: str
    since: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A trip, or a device where `trip` is None, with all that is to be looked at, worst first.

    `address`: of the page that shows more; None: there is none.
    """

    label: str
    why: tuple[Why, ...]
    trip: str | None = None
    address: str | None = None

    @property
    def newest(self) -> str:
        """The newest of its reasons."""
        return max(one.since for one in self.why)

    @property
    def worst(self) -> int:
        """The place of its worst reason."""
        return CONCERNS.index(self.why[0].concern)


async def first(request: Request) -> Response:
    """What is not as it should be: one plain list, a row a trip or a device."""
    house, reader = house_of(request), hub_reader(request)
    say, asked = reader.words.say, request.query_params
    concern, words = asked.get("concern", ""), asked.get("q", "").strip()[:100]
    columns = _columns(say)
    sort = sort_asked(asked.get("sort"), columns, Sort("why", is_down=False))
    page, offset_min = page_number(asked.get("page", "1")), house.clock.read().offset_min

    def look(
        connection: Open, carrier: Carrier, reading: ClockReading
    ) -> tuple[list[dict[str, Any]], int, dict[str, int], int]:
        found = found_lines(connection, carrier, reading)
        groups, counts = _groups(connection, carrier, reading, found, reader.words)
        groups = [one for one in groups if concern in ("", *(w.concern for w in one.why))]
        groups.sort(key=_SORTED[sort.key], reverse=sort.is_down)
        if words:
            wheres = _where(connection, carrier, groups, offset_min)
            groups = [one for one in groups if words.casefold() in _text(one, wheres, say)]
        there = groups[(page - 1) * _PAGE : page * _PAGE]
        wheres = _where(connection, carrier, there, offset_min)
        rows = [_row(one, wheres.get(one.trip or ""), offset_min, say) for one in there]
        return rows, len(groups), counts, found.open_trips

    rows, in_all, counts, open_trips = await ask(request, "to look at", look)
    filters = {name: text for name, text in (("q", words), ("concern", concern)) if text}
    return shown(
        request,
        "hub/overview.html",
        rows=rows,
        counts=counts,
        open_trips=open_trips,
        concern=concern,
        q=words,
        sort=sort.word,
        heads=heads(columns, sort, filters),
        titles=[one.title for one in columns],
        filters=filters | {"sort": sort.word},
        page=page,
        pages=max(1, -(-in_all // _PAGE)),
        zone=zone_text(offset_min),
    )


async def trips_page(request: Request) -> Response:
    """The trips of all trucks, newest first unless asked otherwise, a hundred a page."""
    house, asked, say = house_of(request), request.query_params, hub_reader(request).words.say
    words, state = asked.get("q", "").strip()[:100], asked.get("state", "")
    columns = _trip_columns(say)
    sort = sort_asked(asked.get("sort"), columns, Sort("opened", is_down=True))
    page, offset_min = page_number(asked.get("page", "1")), house.clock.read().offset_min
    states = [str(one) for one in TripState]

    def look(connection: Open, carrier: Carrier, _: ClockReading) -> list[dict[str, Any]]:
        found = found_trips(
            connection,
            carrier,
            words,
            state if state in states else None,
            sort=sort.key,
            is_down=sort.is_down,
            after=(page - 1) * _PAGE,
            count=_PAGE,
        )
        where = whereabouts_at_hub(connection, carrier, (one["id"] for one in found), offset_min)
        return [_trip_row(one, where[one["id"]], offset_min, say) for one in found]

    rows = await ask(request, "trips", look)
    filters = {name: text for name, text in (("q", words), ("state", state)) if text}
    return shown(
        request,
        "hub/trips.html",
        trips=rows[:_PAGE],
        page=page,
        pages=page + (len(rows) > _PAGE),
        q=words,
        state=state,
        states=states,
        sort=sort.word,
        heads=heads(columns, sort, filters),
        titles=[one.title for one in columns],
        filters=filters | {"sort": sort.word},
        zone=zone_text(offset_min),
    )


def _columns(say: Say) -> tuple[Column, ...]:
    return (
        Column(title=say("Trip or device"), key="trip"),
        Column(title=say("Driver")),
        Column(title=say("Vehicle")),
        Column(title=say("From, to")),
        Column(title=say("Why, worst first"), key="why"),
        Column(title=say("Newest"), key="newest", is_down_first=True),
    )


def _trip_columns(say: Say) -> tuple[Column, ...]:
    columns = (
        Column(title=say("Trip"), key="trip"),
        Column(title=say("Driver")),
        Column(title=say("Vehicle")),
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


_SORTED: dict[str, Callable[[Group], Any]] = {
    "why": lambda one: one.worst,
    "trip": lambda one: by_number(one.label),
    "newest": lambda one: one.newest,
}


def _groups(
    connection: Open, carrier: Carrier, reading: ClockReading, found: Found, words: Words
) -> tuple[list[Group], dict[str, int]]:
    """What is on the list, trip by trip and device by device, and how many of each concern."""
    counts = {str(one): 0 for one in CONCERNS} | {str(k): n for k, n in found.counts.items()}
    groups, counts[str(Odd.UNTOLD)] = _of_trips(connection, carrier, reading, found, words)
    for about, reason, since in put_aside(connection, carrier):
        aside = (Why(concern=Odd.PUT_ASIDE, what=reason, since=since),)
        groups.append(Group(label=about, why=aside))
        counts[str(Odd.PUT_ASIDE)] += 1
    for one in devices_of(connection, carrier):
        odd = one.odd(reading.wall)
        since = time_text(one.seen_at or one.paired_at)
        why = tuple(
            Why(concern=each, what=odd_text(one, each, reading.wall, words.say), since=since)
            for each in odd
        )
        if odd:
            address = f"/office/devices?{urlencode({'q': one.label})}"
            groups.append(Group(label=one.label, why=why, address=address))
        for each in odd:
            counts[str(each)] += 1
    return groups, counts


def _of_trips(
    connection: Open, carrier: Carrier, reading: ClockReading, found: Found, words: Words
) -> tuple[list[Group], int]:
    """The groups of trips, and how many messages nobody took."""
    labels: dict[str | None, str] = {}
    whys: dict[str | None, list[Why]] = defaultdict(list)
    for line in found.lines:
        # Whether they can stop is said once, with the first, which is the worst.
        what = line_text(line, words, with_duty=line.trip not in labels)
        labels[line.trip] = line.label
        whys[line.trip].append(Why(concern=line.concern, what=what, since=line.since))
    by_now = reading.wall - timedelta(seconds=UNTOLD_AGE_MAX_S)
    waiting = untold(connection, carrier, by_now)
    told = words.say("Written to the office and taken by nobody: {count}. See Messages.")
    for trip, label, count, since in waiting:
        labels[trip] = label
        what = told.format(count=count)
        whys[trip].append(Why(concern=Odd.UNTOLD, what=what, since=time_text(since)))
    groups = [
        Group(
            trip=trip,
            label=labels[trip],
            why=tuple(sorted(why, key=lambda one: CONCERNS.index(one.concern))),
            address=f"/office/trip/{trip}",
        )
        for trip, why in whys.items()
    ]
    return groups, sum(count for _, _, count, _ in waiting)


def _where(
    connection: Open, carrier: Carrier, groups: Iterable[Group], offset_min: int
) -> dict[str, Whereabouts]:
    trips = (one.trip for one in groups if one.trip is not None)
    return whereabouts_at_hub(connection, carrier, trips, offset_min)


def _row(one: Group, where: Whereabouts | None, offset_min: int, say: Say) -> dict[str, Any]:
    return {
        "address": one.address,
        "label": one.label,
        "driver": () if where is None else driver_lines(where.driver, say),
        "vehicle": "" if where is None else where.vehicle or say("no vehicle yet"),
        "route": () if where is None else route_lines(where, say),
        "why": [
            {
                "concern": str(why.concern),
                "what": why.what,
                "since": when(why.since, offset_min, offset_min),
            }
            for why in one.why
        ],
        "newest": when(one.newest, offset_min, offset_min),
    }


def _text(one: Group, wheres: dict[str, Whereabouts], say: Say) -> str:
    """All that a row shows, to be searched."""
    row = _row(one, wheres.get(one.trip or ""), 0, say)
    why = (f"{each['concern']} {each['what']}" for each in row["why"])
    told = (one.label, *row["driver"], row["vehicle"], *row["route"], *why)
    return "\n".join(told).casefold()


def _trip_row(one: dict[str, Any], where: Whereabouts, offset_min: int, say: Say) -> dict[str, Any]:
    times = {
        name: "" if one[name] is None else when(one[name], offset_min, offset_min)
        for name in ("opened_at", "departed_at", "ended_at")
    }
    told = {"driver": driver_lines(where.driver, say), "route": route_lines(where, say)}
    return one | times | told | {"vehicle": where.vehicle or ""}


ROUTES = [Route("/office", first), Route("/office/trips", trips_page)]
