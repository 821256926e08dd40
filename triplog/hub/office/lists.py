"""The office's lists, read from the derived rows of a carrier: what is owed, found, not met, held.

As `desk.overview` reads a journal's own rows; a query of a list costs what it shows, whatever was
closed long ago.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from psycopg.rows import dict_row

from scheduler.counter import counter_from_row
from scheduler.due import at
from triplog.desk.overview import SHOWN_MAX, Concern, Line
from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.journal.entries import ClockReading, time_text

_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What is on the list, and of each concern how many; more than are listed where it says so."""

    lines: tuple[Line, ...]
    counts: dict[Concern, int]
    open_trips: int


def found_lines(connection: Open, carrier: Carrier, reading: ClockReading) -> Found:
    """What is not as it should be on any trip of a carrier, now."""
    owed = list(_owed(connection, carrier, reading))
    since = reading.wall - _WEEK
    by_concern = {
        Concern.LATE: [line for line in owed if line.concern is Concern.LATE],
        Concern.DUE: [line for line in owed if line.concern is Concern.DUE],
        Concern.FOUND: list(_found(connection, carrier, since)),
        Concern.UNMET: list(_unmet(connection, carrier)),
        Concern.HELD: list(_held(connection, carrier)),
    }
    (open_trips,) = connection.execute(
        "SELECT count(*) FROM trip WHERE carrier = %s AND is_open = 1", (carrier.id,)
    ).fetchone() or (0,)
    return Found(
        lines=tuple(line for lines in by_concern.values() for line in lines[:SHOWN_MAX]),
        counts={concern: len(lines) for concern, lines in by_concern.items()},
        open_trips=open_trips,
    )


def _owed(connection: Open, carrier: Carrier, reading: ClockReading) -> Iterator[Line]:
    with connection.cursor(row_factory=dict_row) as cursor:
        rows = cursor.execute(
            "SELECT due.*, trip.label, coalesce(trip.duty, '') AS duty FROM due JOIN trip"
            " ON trip.carrier = due.carrier AND trip.id = due.trip WHERE due.carrier = %s"
            " AND due_at IS NOT NULL AND due_at <= %s ORDER BY due_at LIMIT %s",
            (carrier.id, time_text(reading.wall), SHOWN_MAX + 1),
        ).fetchall()
    for row in rows:
        check = at(counter_from_row(row), reading.wall)
        if check.is_due:
            yield Line(
                concern=Concern.LATE if check.calls_for_reason else Concern.DUE,
                trip=row["trip"],
                label=row["label"],
                since=time_text(check.due_at or check.counter.as_of),
                check=check,
                duty=row["duty"],
            )


def _found(connection: Open, carrier: Carrier, since: datetime) -> Iterator[Line]:
    """What checks of the week found, on trips that are open or ended within it."""
    rows = connection.execute(
        "WITH lately AS MATERIALIZED (SELECT id, label FROM trip WHERE carrier = %(carrier)s"
        " AND is_open = 1 UNION ALL SELECT id, label FROM trip WHERE carrier = %(carrier)s"
        " AND ended_at >= %(since)s AND is_open = 0),"
        " checks AS MATERIALIZED (SELECT t.id, t.label, c.entry, c.event_time FROM lately AS t"
        " JOIN check_made AS c ON c.carrier = %(carrier)s AND c.trip = t.id"
        " AND c.event_time >= %(since)s)"
        " SELECT c.id, c.label, l.tie_down, l.found, 0, c.event_time FROM checks AS c"
        " JOIN check_line AS l ON l.carrier = %(carrier)s AND l.trip = c.id"
        " AND l.\"check\" = c.entry WHERE l.found NOT IN ('fine', 'not looked at')"
        " UNION ALL SELECT c.id, c.label, l.item, l.found, coalesce(l.put_right, 0), c.event_time"
        " FROM checks AS c JOIN check_look AS l ON l.carrier = %(carrier)s AND l.trip = c.id"
        ' AND l."check" = c.entry WHERE l.found IS NOT NULL ORDER BY 6 DESC, 1, 3 LIMIT %(most)s',
        {"carrier": carrier.id, "since": time_text(since), "most": SHOWN_MAX + 1},
    )
    for trip, label, about, what, put_right, moment in rows:
        yield Line(
            concern=Concern.FOUND,
            trip=trip,
            label=label,
            since=moment,
            about=about,
            what=what,
            put_right=bool(put_right),
        )


def _unmet(connection: Open, carrier: Carrier) -> Iterator[Line]:
    rows = connection.execute(
        "SELECT id, label, not_met, not_known, departed_at FROM trip WHERE carrier = %s"
        " AND is_open = 1 AND departed_at IS NOT NULL AND (not_met > 0 OR not_known > 0)"
        " ORDER BY not_met DESC, departed_at DESC, id LIMIT %s",
        (carrier.id, SHOWN_MAX + 1),
    )
    for trip, label, not_met, not_known, departed in rows:
        numbers = (not_met, not_known)
        yield Line(concern=Concern.UNMET, trip=trip, label=label, since=departed, numbers=numbers)


def _held(connection: Open, carrier: Carrier) -> Iterator[Line]:
    rows = connection.execute(
        "SELECT id, label, state, holds, opened_at FROM trip WHERE carrier = %s AND holds > 0"
        " ORDER BY opened_at DESC, id LIMIT %s",
        (carrier.id, SHOWN_MAX + 1),
    )
    for trip, label, state, holds, opened in rows:
        yield Line(
            concern=Concern.HELD, trip=trip, label=label, since=opened, what=state, numbers=(holds,)
        )


def put_aside(connection: Open, carrier: Carrier) -> list[tuple[str, str, str]]:
    """What no rows can be made of: its id, why, and since when (RFC 3339)."""
    rows = connection.execute(
        "SELECT about, reason, since FROM put_aside WHERE carrier = %s ORDER BY since DESC, about"
        " LIMIT %s",
        (carrier.id, SHOWN_MAX),
    )
    return [(about, reason, time_text(since)) for about, reason, since in rows]


def untold(
    connection: Open, carrier: Carrier, before: datetime
) -> list[tuple[str, str, int, datetime]]:
    """Each trip with messages written before then that nobody took: id, label, how many, first."""
    return connection.execute(
        "SELECT o.trip, trip.label, count(*), min(o.written_at) FROM outbox AS o JOIN trip"
        " ON trip.carrier = o.carrier AND trip.id = o.trip WHERE o.carrier = %s"
        " AND o.told_at IS NULL AND o.written_at < %s GROUP BY 1, 2 ORDER BY 4 DESC, 1 LIMIT %s",
        (carrier.id, before, SHOWN_MAX),
    ).fetchall()


SORTS = {
    "opened": "opened_at",
    "trip": "label",
    "state": "state",
    "departed": "departed_at",
    "ended": "ended_at",
    "not met": "not_met",
    "not known": "not_known",
    "holds": "holds",
}
"""What the trips can be sorted by, each with its column."""


def found_trips(
    connection: Open,
    carrier: Carrier,
    words: str,
    state: str | None,
    *,
    sort: str,
    is_down: bool,
    after: int,
    count: int,
) -> list[dict[str, Any]]:
    """Trips whose label, driver's or vehicle's label holds the words, from a place on.

    In the order of `sort`, one of SORTS, what has none last. One more than `count` where there are
    more.
    """
    escaped = words.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    where, values = "carrier = %(carrier)s", {"carrier": carrier.id, "state": state}
    if words:
        where += (
            " AND (label ILIKE %(like)s OR driver IN (SELECT id FROM person WHERE"
            " carrier = %(carrier)s AND label ILIKE %(like)s) OR vehicle IN (SELECT id FROM vehicle"
            " WHERE carrier = %(carrier)s AND label ILIKE %(like)s))"
        )
    if state is not None:
        where += " AND state = %(state)s"
    # Every trip was opened: its index goes both ways, so nothing is said of what has none.
    way = f"{'DESC' if is_down else 'ASC'}{'' if sort == 'opened' else ' NULLS LAST'}"
    both = "DESC" if is_down else "ASC"
    with connection.cursor(row_factory=dict_row) as cursor:
        return cursor.execute(
            "SELECT id, label, state, opened_at, departed_at, ended_at, not_met, not_known, holds"
            f" FROM trip WHERE {where} ORDER BY carrier {both}, {SORTS[sort]} {way}, id {both}"
            " LIMIT %(count)s OFFSET %(after)s",
            {**values, "like": f"%{escaped}%", "count": count + 1, "after": after},
        ).fetchall()
