"""Late checks of all carriers, found by when they were due, and written down for their offices.

Each due check is written down once, however many workers look. A trip's times are those of the
device that wrote last, so *now* is what that device's clock shows, as far off as it was when it
was last heard of. Only rows are read: what no rows can be made of stands as it was before.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any, LiteralString

from psycopg.rows import dict_row

from scheduler.counter import CounterRowBroken, counter_from_row
from scheduler.due import DueCheck, State, at
from scheduler.office import to_tell
from triplog.hub.database import Database, Open
from triplog.hub.margins import Margins
from triplog.journal.entries import Clock, time_of, time_text
from triplog.wording.office import office_text

_ONE_LOOKS = 0x7472_6C68
_AT_ONCE = 500
_USUAL = timedelta(minutes=2)
"""No clock is right to the second; one further ahead than this is told of at the hub."""
_UNTOLD: LiteralString = (
    " due.carrier = ANY(%(carriers)s) AND NOT EXISTS (SELECT FROM outbox WHERE outbox.carrier ="
    " due.carrier AND outbox.due_key = due.due_key AND outbox.stage = 'late')"
)
_DUE: LiteralString = (
    "SELECT due.*, device.clock_ahead_ms AS ahead FROM due"
    " LEFT JOIN last_writer AS w ON w.carrier = due.carrier AND w.trip = due.trip"
    " LEFT JOIN device ON device.id = w.device WHERE due.due_at <= %(usual)s AND" + _UNTOLD
)
_DUE_BY_A_FAST_CLOCK: LiteralString = (
    "SELECT due.*, device.clock_ahead_ms AS ahead FROM device"
    " JOIN last_writer AS w ON w.device = device.id"
    " JOIN due ON due.carrier = w.carrier AND due.trip = w.trip"
    " WHERE device.clock_ahead_ms > %(usual_ms)s AND due.due_at > %(usual)s AND" + _UNTOLD
)
_KNOWN_OF_TRIP: LiteralString = (
    "SELECT label, duty, odometer, read_at, event_offset_min, (SELECT device.label FROM"
    " last_writer AS w JOIN device ON device.id = w.device WHERE w.carrier = trip.carrier"
    " AND w.trip = trip.id) FROM trip"
    " LEFT JOIN LATERAL (SELECT odometer, event_time AS read_at FROM odometer_reading AS r"
    " WHERE r.carrier = trip.carrier AND r.trip = trip.id ORDER BY event_time DESC LIMIT 1)"
    " AS reading ON true"
    " LEFT JOIN LATERAL (SELECT event_offset_min FROM (SELECT event_time, event_offset_min"
    " FROM odometer_reading AS r WHERE r.carrier = trip.carrier AND r.trip = trip.id"
    " UNION ALL SELECT event_time, event_offset_min FROM trip_event AS e"
    " WHERE e.carrier = trip.carrier AND e.trip = trip.id) AS known"
    " ORDER BY event_time DESC LIMIT 1) AS last ON true"
    " WHERE carrier = %s AND id = %s"
)


def tell_late(database: Database, clock: Clock, margins: Margins) -> int:
    """Write down what is late beyond its carrier's margin and was not yet; how many messages.

    Only one worker looks at a time; the others go on with something else. Raises HubUnusable.
    """
    with database.work("worker") as connection:
        (is_ours,) = connection.execute(
            "SELECT pg_try_advisory_xact_lock(%s)", (_ONE_LOOKS,)
        ).fetchone() or (False,)
        margin_mm = margins.now(connection) if is_ours else {}
        if not margin_mm:
            return 0
        now = clock.read().wall.astimezone(UTC)
        return sum(
            _write_down(connection, carrier, check, as_of, now)
            for carrier, check, as_of in _late(connection, margin_mm, now)
        )


def _late(
    connection: Open, margin_mm: dict[str, int], now: datetime
) -> Iterator[tuple[str, DueCheck, datetime]]:
    """Each check that is to be told, with its carrier and the moment it is so, on the trip."""
    asked = {
        "carriers": list(margin_mm),
        "usual": time_text(now + _USUAL),
        "usual_ms": _USUAL // timedelta(milliseconds=1),
    }
    for name, query in (("due", _DUE), ("by_a_fast_clock", _DUE_BY_A_FAST_CLOCK)):
        with connection.cursor(name, row_factory=dict_row) as rows:
            rows.itersize = _AT_ONCE
            rows.execute(query, asked)
            for row in rows:
                told = _told(row, now, margin_mm[row["carrier"]])
                if told is not None:
                    yield row["carrier"], *told


def _told(row: dict[str, Any], now: datetime, margin_mm: int) -> tuple[DueCheck, datetime] | None:
    """The check of a row and the moment, if it is to be told."""
    try:
        moment = now + timedelta(milliseconds=row["ahead"] or 0)
        check = at(counter_from_row(row), moment)
    except (CounterRowBroken, OverflowError):
        # A device can record what no clock reaches; its trip's other checks go on.
        return None
    return (check, moment) if to_tell((check,), (), margin_mm) else None


def _write_down(
    connection: Open, carrier: str, check: DueCheck, as_of: datetime, now: datetime
) -> int:
    trip = check.counter.trip
    known = connection.execute(_KNOWN_OF_TRIP, (carrier, trip)).fetchone()
    assert known is not None, "rows of a trip are written together"
    label, duty, odometer, read_at, offset_min, device = known
    message = office_text(
        check,
        label,
        duty=duty,
        odometer=None if odometer is None else (odometer, time_of(read_at)),
        offset_min=offset_min or 0,
        now=as_of,
        device=device,
    )
    done = connection.execute(
        "INSERT INTO outbox (carrier, due_key, stage, trip, message, offset_min, written_at,"
        " next_at) VALUES (%s, %s, %s, %s, %s, %s, %s, %s) ON CONFLICT DO NOTHING",
        (carrier, check.due_key, str(State.LATE), trip, message, offset_min or 0, now, now),
    )
    return done.rowcount
