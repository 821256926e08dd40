"""What the office has to look at first: of all trips only what is not as it should be.

Read from the derived tables through their indexes, so that trips long closed cost nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from scheduler.due import DueCheck
from triplog.desk.desk import Desk
from triplog.desk.due_now import first_due_on
from triplog.desk.looking import gear
from triplog.journal.entries import time_text

_WEEK = timedelta(days=7)
_GEAR_AHEAD = timedelta(days=30)
_CLOCK_MARGIN = timedelta(hours=1)
"""A trip's own time may stand ahead of the wall clock, where that was set back."""
SHOWN_MAX = 500
"""Of each kind at most so many; what is more is told as a number."""


class Concern(StrEnum):
    """Why something is on the list, in the order of the list."""

    LATE = "late now"
    DUE = "due now"
    FOUND = "found this week"
    UNMET = "left with something not met or not known"
    HELD = "evidence hold"
    GEAR = "gear due to be looked at"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing to look at. `trip` None: it is about gear; `since`: RFC 3339, or a day.

    What it is: `check` the check that is late or due, `duty` whether they can stop as last entered;
    `about` and `what` a tie-down or item and how it was found, `put_right` said to be so since;
    `numbers` how many are not met and not known, or how many holds, of a trip in the state `what`.
    """

    concern: Concern
    trip: str | None
    label: str
    since: str
    about: str = ""
    what: str = ""
    put_right: bool = False
    numbers: tuple[int, ...] = ()
    check: DueCheck | None = None
    duty: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Overview:
    """The list, and of each kind how many there are in all."""

    lines: tuple[Line, ...]
    counts: dict[Concern, int]
    open_trips: int


def overview(desk: Desk) -> Overview:
    """What is not as it should be, now."""
    assert desk.tables, "the rows stand"
    now = desk.now()
    owed = list(_owed(desk))
    by_concern: dict[Concern, list[Line]] = {
        Concern.LATE: [line for line in owed if line.concern is Concern.LATE],
        Concern.DUE: [line for line in owed if line.concern is Concern.DUE],
        Concern.FOUND: list(_found(desk, now.wall - _WEEK)),
        Concern.UNMET: list(_unmet(desk)),
        Concern.HELD: list(_held(desk)),
        Concern.GEAR: list(_gear(desk, now.wall)),
    }
    (open_trips,) = desk.store.raw.execute("SELECT count(*) FROM trip WHERE is_open = 1").fetchone()
    return Overview(
        lines=tuple(line for lines in by_concern.values() for line in lines[:SHOWN_MAX]),
        counts={concern: len(lines) for concern, lines in by_concern.items()},
        open_trips=open_trips,
    )


def _owed(desk: Desk) -> Iterator[Line]:
    duties: dict[str, tuple[str, str]] = {}
    now = desk.now()
    until = now.wall + _CLOCK_MARGIN
    for trip, label, check in first_due_on(desk.store, now, SHOWN_MAX, until=until):
        if not check.is_due:
            continue
        if trip not in duties:
            row = desk.store.raw.execute(
                "SELECT label, coalesce(duty, '') FROM trip WHERE id = ?", (trip,)
            ).fetchone()
            duties[trip] = row
        since = check.due_at or check.counter.as_of
        yield Line(
            concern=Concern.LATE if check.calls_for_reason else Concern.DUE,
            trip=trip,
            label=label,
            since=time_text(since),
            check=check,
            duty=duties[trip][1],
        )


def _found(desk: Desk, since: datetime) -> Iterator[Line]:
    """What checks of the week found, on trips that are open or ended within it."""
    rows = desk.store.raw.execute(
        "SELECT t.id, t.label, l.tie_down, l.found, 0, c.event_time FROM trip AS t"
        " JOIN check_made AS c ON c.trip = t.id JOIN check_line AS l"
        ' ON l.trip = c.trip AND l."check" = c.entry WHERE t.id IN (SELECT id FROM trip WHERE'
        " is_open = 1 UNION ALL SELECT id FROM trip WHERE ended_at >= :since)"
        " AND c.event_time >= :since AND l.found NOT IN ('fine', 'not looked at')"
        " UNION ALL SELECT t.id, t.label, l.item, l.found, coalesce(l.put_right, 0), c.event_time"
        " FROM trip AS t"
        " JOIN check_made AS c ON c.trip = t.id JOIN check_look AS l"
        ' ON l.trip = c.trip AND l."check" = c.entry WHERE t.id IN (SELECT id FROM trip WHERE'
        " is_open = 1 UNION ALL SELECT id FROM trip WHERE ended_at >= :since)"
        " AND c.event_time >= :since AND l.found IS NOT NULL ORDER BY 6 DESC, 1, 3",
        {"since": time_text(since)},
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


def _unmet(desk: Desk) -> Iterator[Line]:
    rows = desk.store.raw.execute(
        "SELECT id, label, not_met, not_known, departed_at FROM trip WHERE is_open = 1"
        " AND departed_at IS NOT NULL AND (not_met > 0 OR not_known > 0)"
        " ORDER BY not_met DESC, departed_at DESC, id LIMIT ?",
        (SHOWN_MAX + 1,),
    )
    for trip, label, not_met, not_known, departed in rows:
        numbers = (not_met, not_known)
        yield Line(concern=Concern.UNMET, trip=trip, label=label, since=departed, numbers=numbers)


def _held(desk: Desk) -> Iterator[Line]:
    rows = desk.store.raw.execute(
        "SELECT id, label, state, holds, opened_at FROM trip WHERE holds > 0"
        " ORDER BY opened_at DESC, id LIMIT ?",
        (SHOWN_MAX + 1,),
    )
    for trip, label, state, holds, opened in rows:
        yield Line(
            concern=Concern.HELD, trip=trip, label=label, since=opened, what=state, numbers=(holds,)
        )


def _gear(desk: Desk, now: datetime) -> Iterator[Line]:
    by = (now + _GEAR_AHEAD).date().isoformat()
    for row in gear(desk, inspect_on=by):
        yield Line(
            concern=Concern.GEAR,
            trip=None,
            label=row["label"],
            what=f"{row['kind']}, {row['standing']}",
            since=row["inspect_by"] or "",
        )


SORTS = {
    "opened": "opened_at",
    "trip": "length(label), label",
    "driver": "driver_label",
    "vehicle": "vehicle_label",
    "state": "state",
    "departed": "departed_at",
    "ended": "ended_at",
    "not met": "not_met",
    "not known": "not_known",
    "holds": "holds",
}
"""What the trips can be sorted by, each with its columns; T-2 stands before T-10."""


def found_trips(
    desk: Desk,
    words: str,
    state: str | None,
    *,
    sort: str,
    is_down: bool,
    after: int,
    count: int,
) -> tuple[list[dict[str, object]], int]:
    """Trips whose label, driver's or vehicle's label holds the words; and how many in all.

    In the order of `sort`, one of SORTS, what has none last; from a place on.
    """
    assert desk.tables, "the rows stand"
    escaped = words.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    labelled = "label LIKE :like ESCAPE '\\'"
    where = (
        f"({labelled} OR driver IN (SELECT id FROM person WHERE {labelled})"
        f" OR vehicle IN (SELECT id FROM vehicle WHERE {labelled}))"
        " AND (:state IS NULL OR state = :state)"
    )
    values = {"like": f"%{escaped}%", "state": state, "count": count, "after": after}
    (in_all,) = desk.store.raw.execute(
        f"SELECT count(*) FROM trip WHERE {where}", values
    ).fetchone()
    way = "DESC" if is_down else "ASC"
    order = ", ".join(f"{one} {way} NULLS LAST" for one in SORTS[sort].split(", "))
    cursor = desk.store.raw.execute(
        "SELECT id, label, state, opened_at, departed_at, ended_at, not_met, not_known, holds,"
        " (SELECT label FROM person WHERE id = driver) AS driver_label,"
        " (SELECT label FROM vehicle WHERE id = trip.vehicle) AS vehicle_label"
        f" FROM trip WHERE {where} ORDER BY {order}, id LIMIT :count OFFSET :after",
        values,
    )
    names = [column[0] for column in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in cursor], in_all
