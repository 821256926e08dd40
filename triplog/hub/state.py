"""What a hub knows of its own state: what it counted since it began, and what the database holds.

No carrier, device or person is named in it.
"""

import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import psycopg

from triplog.hub.database import Database, HubUnusable, Open
from triplog.hub.derived import VERSION, standing_version
from triplog.hub.schema import steps

AT_ONCE_OF_ONE_MAX = 4
"""So many batches of one device are taken in at once: its own, and such as lost their line."""
_HOUR, _DAY = timedelta(hours=1), timedelta(days=1)


class Busy(Exception):
    """A device brings more at once than it may; it is to try again."""


@dataclass(slots=True)
class Counted:
    """What this hub's process counted since it began. Used by several threads."""

    batches: Counter[str] = field(default_factory=Counter)
    pairings: Counter[str] = field(default_factory=Counter)
    _busy: Counter[str] = field(default_factory=Counter)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def batch(self, outcome: str) -> None:
        """Count a batch by what came of it."""
        with self._lock:
            self.batches[outcome] += 1

    def pairing(self, outcome: str) -> None:
        """Count a pairing by what came of it."""
        with self._lock:
            self.pairings[outcome] += 1

    @contextmanager
    def one_of_few(self, device: str) -> Iterator[None]:
        """While a batch of a device is taken in. Raises Busy where too many are already."""
        with self._lock:
            if self._busy[device] >= AT_ONCE_OF_ONE_MAX:
                raise Busy
            self._busy[device] += 1
        try:
            yield
        finally:
            with self._lock:
                self._busy[device] -= 1
                if not self._busy[device]:
                    del self._busy[device]


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """How many wait for some work, and for how long the first of them has. None: none waits."""

    count: int
    oldest_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What stands in the database. Ages are in seconds.

    `entries`: held in all chains; `devices`: those paired, by when they were last heard of;
    `behind`: those among them that are old copies; `ahead`: those that have entries of the hub's
    own chains which are not here; `to_derive`: trips and things whose rows are to be made;
    `to_tell`: messages of late checks that no office has; `put_aside`: of what no rows can be made;
    `workers`: heard of within the hour; `turned_s`: since the last of them did, None: none ever
    did; `answered_s`: how long the database took to tell all this.
    """

    entries: int
    devices: dict[str, int]
    behind: int
    ahead: int
    to_derive: Waiting
    to_tell: Waiting
    put_aside: int
    workers: int
    turned_s: float | None
    answered_s: float


class SchemaOlder(HubUnusable):
    """The database is not as this program needs it."""


def standing(database: Database, now: datetime) -> Standing:
    """What stands in the database. Raises HubUnusable; SchemaOlder where it is to be brought up."""
    begun = time.perf_counter()
    with database.work("worker") as connection:
        _refuse_older(connection)
        entries = _one(connection, "SELECT coalesce(sum(seq + 1), 0)::bigint FROM chain")
        hour, day, longer, behind = connection.execute(
            "SELECT count(*) FILTER (WHERE seen_at > %(hour)s),"
            " count(*) FILTER (WHERE seen_at <= %(hour)s AND seen_at > %(day)s),"
            " count(*) FILTER (WHERE seen_at IS NULL OR seen_at <= %(day)s),"
            " count(*) FILTER (WHERE is_behind) FROM device WHERE unpaired_at IS NULL",
            {"hour": now - _HOUR, "day": now - _DAY},
        ).fetchone() or (0, 0, 0, 0)
        ahead = _one(
            connection,
            "SELECT count(DISTINCT contact.device) FROM contact JOIN carrier"
            " ON carrier.office = contact.chain WHERE contact.is_other",
        )
        # How long it waits is told by the clock that queued it, the database's.
        queued = _one(connection, "SELECT count(*) FROM to_derive")
        queued_s = _one(
            connection,
            "SELECT extract(epoch FROM clock_timestamp() - queued_at)::float8 FROM to_derive"
            " ORDER BY id LIMIT 1",
        )
        untold, first = connection.execute(
            "SELECT count(*), min(written_at) FROM outbox WHERE told_at IS NULL"
        ).fetchone() or (0, None)
        aside = _one(connection, "SELECT count(*) FROM put_aside")
        workers, turned = connection.execute(
            "SELECT count(*) FILTER (WHERE turned_at > %s), max(turned_at) FROM worker_turn",
            (now - _HOUR,),
        ).fetchone() or (0, None)
    return Standing(
        entries=entries,
        devices={"hour": hour, "day": day, "longer": longer},
        behind=behind,
        ahead=ahead,
        to_derive=Waiting(count=queued, oldest_s=queued_s),
        to_tell=Waiting(count=untold, oldest_s=_age_s(first, now)),
        put_aside=aside,
        workers=workers,
        turned_s=_age_s(turned, now),
        answered_s=time.perf_counter() - begun,
    )


def _refuse_older(connection: Open) -> None:
    newest = steps()[-1].number
    try:
        last = _one(connection, "SELECT last_step()")
    except psycopg.errors.UndefinedFunction:
        last = None
    if last != newest or standing_version(connection) != VERSION:
        raise SchemaOlder("the hub's tables are not this program's: triplog hub init")


def _one(connection: Open, query: str) -> Any:
    (found,) = connection.execute(query).fetchone() or (None,)
    return found


def _age_s(at: datetime | None, now: datetime) -> float | None:
    return None if at is None else max((now - at).total_seconds(), 0.0)
