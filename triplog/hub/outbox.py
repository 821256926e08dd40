"""Messages to the offices on their way out: each attempt and what came of it.

Who takes a message leaves word in the database until when nobody else is to try it, and then hands
it over. A worker that is killed meanwhile has told nothing, so it is tried again after that time,
and says that it may have arrived before.
"""

import contextlib
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from scheduler.notify import Outcome
from scheduler.office import pause_ms
from scheduler.office_hook import Hook
from triplog.hub.database import Database
from triplog.journal.entries import Clock
from triplog.wording.office import handed_text

LEFT_ALONE = timedelta(minutes=3)
"""Longer than any way out takes: a folder on a network that is away can take a minute."""
CUT_OFF = "cut off"


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """A message that is this worker's for a while, and the text as it goes out."""

    id: int
    number: int
    carrier: str
    name: str
    text: str
    hook: Hook


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """What came of one attempt, for which carrier."""

    carrier: str
    came: Outcome


def hand_over_one(database: Database, clock: Clock, ways: Mapping[str, Hook]) -> Attempt | None:
    """Take the message that has waited longest and try to hand it over; None: none is to be tried.

    `ways`: the way out by carrier; what is of another carrier waits. Raises HubUnusable.
    """
    claimed = claim(database, clock, ways)
    if claimed is None:
        return None
    came = Outcome.FAILED
    with contextlib.suppress(Exception):  # against its contract, and no reason to lose it
        came = claimed.hook.hand_over(claimed.name, claimed.text)
    settle(database, clock, claimed, came)
    return Attempt(carrier=claimed.carrier, came=came)


def claim(database: Database, clock: Clock, ways: Mapping[str, Hook]) -> Claimed | None:
    """Take a message for `LEFT_ALONE`, an attempt without outcome beside it."""
    now = clock.read().wall
    with database.work("worker") as connection:
        row = connection.execute(
            "SELECT outbox.id, outbox.carrier, due_key, stage, message, offset_min, written_at,"
            " tries, invented FROM outbox JOIN carrier ON carrier.id = outbox.carrier"
            " WHERE told_at IS NULL AND next_at <= %s AND outbox.carrier = ANY(%s)"
            " ORDER BY next_at LIMIT 1 FOR UPDATE OF outbox SKIP LOCKED",
            (now, list(ways)),
        ).fetchone()
        if row is None:
            return None
        own, carrier, due_key, stage, message, offset_min, written_at, tries, invented = row
        connection.execute(
            "UPDATE outbox_attempt SET came = %s, ended_at = %s"
            " WHERE carrier = %s AND message = %s AND came IS NULL",
            (CUT_OFF, now, carrier, own),
        )
        (repeated,) = connection.execute(
            "SELECT coalesce(bool_or(came = ANY(%s)), false) FROM outbox_attempt"
            " WHERE carrier = %s AND message = %s",
            ([CUT_OFF, str(Outcome.TIMED_OUT)], carrier, own),
        ).fetchone() or (False,)
        hook = ways[carrier]
        connection.execute(
            "INSERT INTO outbox_attempt (carrier, message, number, by, repeated, begun_at)"
            " VALUES (%s, %s, %s, %s, %s, %s)",
            (carrier, own, tries + 1, hook.name, repeated, now),
        )
        connection.execute(
            "UPDATE outbox SET tries = %s, next_at = %s WHERE id = %s",
            (tries + 1, now + LEFT_ALONE, own),
        )
    text = handed_text(
        message,
        written=written_at,
        handed=now,
        offset_min=offset_min,
        repeated=repeated,
        invented=invented,
    )
    return Claimed(
        id=own,
        number=tries + 1,
        carrier=carrier,
        name=_name(carrier, due_key, stage),
        text=text,
        hook=hook,
    )


def settle(database: Database, clock: Clock, claimed: Claimed, came: Outcome) -> None:
    """Keep what came of the attempt, and when the next is to be made if it came to nothing."""
    now = clock.read().wall
    with database.work("worker") as connection:
        connection.execute(
            "UPDATE outbox_attempt SET came = %s, ended_at = %s WHERE message = %s AND number = %s",
            (str(came), now, claimed.id, claimed.number),
        )
        if came is Outcome.ACCEPTED:
            connection.execute(
                "UPDATE outbox SET told_at = coalesce(told_at, %s) WHERE id = %s",
                (now, claimed.id),
            )
        else:
            # Where another has taken it since, that one says when the next comes.
            connection.execute(
                "UPDATE outbox SET next_at = %s WHERE id = %s AND tries = %s",
                (_next(now, claimed.number), claimed.id, claimed.number),
            )


def _next(now: datetime, number: int) -> datetime:
    return now + timedelta(milliseconds=pause_ms(number))


def _name(carrier: str, due_key: str, stage: str) -> str:
    """The message's own name, the same each time it is tried."""
    return "triplog-" + hashlib.sha256(f"{carrier} {due_key} {stage}".encode()).hexdigest()[:16]
