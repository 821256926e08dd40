"""What an auditor has opened: an entry in the carrier's own log, one for each thing an hour."""

from datetime import timedelta

from triplog.hub import own_log
from triplog.hub.database import Database, Open
from triplog.hub.office.browsers import Visitor
from triplog.journal.entries import ClockReading

_HOUR = timedelta(hours=1)


def note_looked(
    database: Database, who: Visitor, about: str, reading: ClockReading, *, trip: str | None
) -> None:
    """Record that an auditor's browser has opened something; nothing for the office's own.

    `trip`: the id of the trip it is of. To be called before anything is shown.
    """
    if who.role != "auditor":
        return
    body: dict[str, object] = {"browser": who.browser, "label": who.label, "about": about}
    if trip is not None:
        body["trip_of"] = trip
    with database.work("office", who.carrier.id) as connection:
        if _is_new(connection, who, f"{about} {trip or ''}", reading):
            told = own_log.as_told(reading, who.carrier.invented)
            draft = own_log.by_itself("auditor_looked", body)
            own_log.append(connection, who.carrier.id, who.carrier.witness, draft, told)


def note_refused(database: Database, who: Visitor, what: str, reading: ClockReading) -> None:
    """Record that a paired browser was refused something, at most once an hour."""
    with database.work("office", who.carrier.id) as connection:
        if _is_new(connection, who, f"refused: {what}", reading):
            body: dict[str, object] = {
                "what": what,
                "count": 1,
                "since": reading.wall.isoformat(timespec="milliseconds"),
            }
            told = own_log.as_told(reading, who.carrier.invented)
            draft = own_log.by_itself("entrance_refused", body)
            own_log.append(connection, who.carrier.id, who.carrier.witness, draft, told)


def _is_new(connection: Open, who: Visitor, about: str, reading: ClockReading) -> bool:
    """Whether it was not told within the hour; then it counts as told from now on."""
    row = connection.execute(
        "INSERT INTO looked (carrier, browser, about, since) VALUES (%s, %s, %s, %s)"
        " ON CONFLICT (carrier, browser, about) DO UPDATE SET since = excluded.since"
        " WHERE looked.since NOT BETWEEN excluded.since - %s AND excluded.since RETURNING 1",
        (who.carrier.id, who.browser, about, reading.wall, _HOUR),
    ).fetchone()
    return row is not None
