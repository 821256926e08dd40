"""What the offices were told: each message with what came of its attempts."""

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from triplog.hub.database import Open
from triplog.wording.office import Told


class Message(NamedTuple):
    """A message of a carrier. `told_at` None: it waits; `repeated`: it said it may have come."""

    trip: str
    told: Told
    told_at: datetime | None
    repeated: bool


def messages_of(
    connection: Open, carrier: str, *, most: int, after: int = 0, trips: Sequence[str] | None = None
) -> list[Message]:
    """The messages of a carrier, the newest first, past so many; `trips`: of those alone."""
    rows = connection.execute(
        "SELECT o.trip, o.message, o.written_at, o.offset_min, o.told_at,"
        " array_agg(coalesce(a.came, 'under way') ORDER BY a.number)"
        " FILTER (WHERE a.number IS NOT NULL), coalesce(bool_or(a.repeated), false)"
        " FROM (SELECT * FROM outbox WHERE carrier = %(carrier)s"
        " AND (%(trips)s::text[] IS NULL OR trip = ANY(%(trips)s))"
        " ORDER BY id DESC LIMIT %(most)s OFFSET %(after)s) AS o"
        " LEFT JOIN outbox_attempt AS a ON a.carrier = o.carrier AND a.message = o.id"
        " GROUP BY o.id, o.trip, o.message, o.written_at, o.offset_min, o.told_at"
        " ORDER BY o.id DESC",
        {
            "carrier": carrier,
            "trips": None if trips is None else list(trips),
            "most": most,
            "after": after,
        },
    )
    return [
        Message(trip, Told(message, written, offset_min, tuple(tried or ())), told_at, repeated)
        for trip, message, written, offset_min, told_at, tried, repeated in rows
    ]
