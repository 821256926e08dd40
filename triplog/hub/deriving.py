"""Making rows of what came in: trips and things are taken from a queue, by as many as want to.

Who takes a row of the queue locks it and the trip it is about, folds the trip as it stands then,
and commits the rows and the end of the queue's together. So a worker that is killed has done
nothing, and two never fold one trip at once. What cannot be folded is put aside with the reason.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

import psycopg

from triplog.hub.database import Database, HubUnusable, Open
from triplog.hub.derived import VERSION, standing_version, write_thing, write_trip
from triplog.journal.entries import Clock, Entry, entry_of

_AT_ONCE = 16
_REASON_MAX = 200


class Queued(NamedTuple):
    """A trip or thing of a carrier that rows are to be made of."""

    carrier: str
    what: str
    about: str


PutAside = Callable[[Queued, str], None]
"""Is told what was put aside, and why."""


def derive_some(database: Database, clock: Clock, put_aside: PutAside) -> int:
    """Make the rows of a few trips and things that are queued; how many those were.

    0: nothing waits that nobody else has. Raises HubUnusable, also where the tables are of another
    program's version.
    """
    with database.work("worker") as connection:
        if standing_version(connection) != VERSION:
            raise HubUnusable("the hub's lists are of another version: triplog hub init")
        taken = _taken(connection)
        for one in taken:
            reason = _derive(connection, one)
            if reason is None:
                connection.execute(
                    "DELETE FROM put_aside WHERE carrier = %s AND what = %s AND about = %s", one
                )
                continue
            connection.execute(
                "INSERT INTO put_aside (carrier, what, about, reason, since)"
                " VALUES (%s, %s, %s, %s, %s) ON CONFLICT (carrier, what, about)"
                " DO UPDATE SET reason = excluded.reason",
                (*one, reason, clock.read().wall),
            )
            put_aside(one, reason)
    return len(taken)


def _taken(connection: Open) -> list[Queued]:
    """A few of those that wait, this transaction's alone; their rows of the queue are gone."""
    rows = connection.execute(
        "SELECT carrier, what, about FROM to_derive ORDER BY id LIMIT %s FOR UPDATE SKIP LOCKED",
        (_AT_ONCE,),
    ).fetchall()
    found = []
    for one in dict.fromkeys(Queued(*row) for row in rows):
        (is_ours,) = connection.execute(
            "SELECT pg_try_advisory_xact_lock(hashtextextended(%s, 0))", (" ".join(one),)
        ).fetchone() or (False,)
        if not is_ours:
            # Another has it; what it saw may be older than this row of the queue, which stays.
            continue
        connection.execute(
            "DELETE FROM to_derive WHERE id IN (SELECT id FROM to_derive WHERE carrier = %s"
            " AND what = %s AND about = %s FOR UPDATE SKIP LOCKED)",
            one,
        )
        found.append(one)
    return found


def _derive(connection: Open, one: Queued) -> str | None:
    """Make its rows; None, or why that cannot be done."""
    try:
        with connection.transaction():
            if one.what == "trip":
                entries = trip_entries(connection, one.carrier, one.about)
                write_trip(connection, one.carrier, one.about, entries)
                _note_writer(connection, one, entries)
            else:
                found = thing_entries(connection, one.carrier, one.about)
                write_thing(connection, one.carrier, one.about, found)
    except psycopg.OperationalError:
        raise
    except Exception as problem:
        # Whatever a device wrote: the others' rows are not to wait for it.
        return _reason(problem)
    return None


def _note_writer(connection: Open, one: Queued, entries: Sequence[Entry]) -> None:
    """Keep whose clock the times of a trip are of, as long as something can come due on it."""
    last = max(entries, key=lambda entry: (entry.entry_time, entry.device, entry.seq))
    done = connection.execute(
        "INSERT INTO last_writer (carrier, trip, device) SELECT %(carrier)s, %(trip)s, %(device)s"
        " WHERE EXISTS (SELECT FROM due WHERE carrier = %(carrier)s AND trip = %(trip)s)"
        " ON CONFLICT (carrier, trip) DO UPDATE SET device = excluded.device",
        {"carrier": one.carrier, "trip": one.about, "device": last.device},
    )
    if not done.rowcount:
        connection.execute(
            "DELETE FROM last_writer WHERE carrier = %s AND trip = %s", (one.carrier, one.about)
        )


def _reason(problem: Exception) -> str:
    """What went wrong, without what anybody wrote: where in the program, and of which kind."""
    if isinstance(problem, psycopg.Error):
        of = problem.diag.constraint_name or problem.diag.column_name or problem.sqlstate or ""
        return f"{type(problem).__name__} {of}".strip()[:_REASON_MAX]
    trace = problem.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    where = "" if trace is None else f" in {trace.tb_frame.f_code.co_name}, {trace.tb_lineno}"
    return f"{type(problem).__name__}{where}"[:_REASON_MAX]


def trip_entries(connection: Open, carrier: str, trip_id: str) -> list[Entry]:
    """All entries of a trip, whichever devices wrote them."""
    return _entries(connection, "carrier = %s AND trip = %s", (carrier, trip_id))


def thing_entries(connection: Open, carrier: str, thing_id: str) -> list[Entry]:
    """All entries about a thing, those among them that came before what they follow."""
    found = _entries(connection, "carrier = %s AND thing = %s", (carrier, thing_id))
    new: Iterable[Entry] = found
    while new:
        loose = connection.execute(
            "SELECT DISTINCT hash FROM loose_follower WHERE carrier = %s AND followed = ANY(%s)",
            (carrier, [entry.hash for entry in new]),
        ).fetchall()
        known = {entry.hash for entry in found}
        hashes = [own for (own,) in loose if own not in known]
        new = _entries(connection, "carrier = %s AND hash = ANY(%s)", (carrier, hashes))
        found += new
    return found


def _entries(connection: Open, where: str, values: Sequence[object]) -> list[Entry]:
    rows = connection.execute(
        f"SELECT data FROM entry WHERE {where} ORDER BY device, seq", tuple(values)
    )
    return [entry_of(bytes(data)) for (data,) in rows]
