"""The desk somebody sits at: an open journal, a clock, and who is typing."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from triplog.desk.refused import Refused
from triplog.journal.entries import Body, Clock, ClockReading, Draft, Entry, Via
from triplog.journal.store import Store, Writing, open_store
from triplog.journal.store_file import STORE_NAME
from triplog.journal.trip import Trip, trip_of

if TYPE_CHECKING:
    from sqlmodel import Session

    from triplog.journal.derived_tables import DerivedTables

NOBODY = "nobody"


@dataclass(slots=True, kw_only=True)
class Desk:
    """An open journal with a clock. `by` is the id of the person typing.

    `key`: an idempotency key from outside for what is recorded next; `again`: record although
    the same was recorded within two minutes. `heads`: the folder where the last signed head is
    kept; None: the home folder. `head_trouble`: why no head was signed, or kept
    there, in words; None: there was no trouble.
    """

    home: Path
    store: Store
    clock: Clock
    by: str = NOBODY
    via: Via = "typed"
    key: str | None = None
    again: bool = False
    heads: Path | None = None
    head_trouble: str | None = None
    _tables: "DerivedTables | None" = None
    _read: dict[str, int] = field(default_factory=dict)

    @property
    def tables(self) -> "DerivedTables":
        """The derived tables, rebuilt first where an older program made them."""
        if self._tables is None:
            from triplog.checks import due_rows
            from triplog.journal.derived_tables import DerivedTables
            from triplog.journal.store_file import PROJECTION_VERSION

            self._tables = DerivedTables(self.store, due_rows, PROJECTION_VERSION)
            if self.store.fact("projection") != self._tables.version:
                self.store.rebuild(self._tables)
        return self._tables

    @property
    def invented(self) -> bool:
        """Whether this store holds the demo's invented data."""
        return self.store.fact("invented") == "yes"

    def now(self) -> ClockReading:
        """The clocks now."""
        return self.clock.read()

    def now_on(self, trip: Trip, reading: ClockReading | None = None) -> ClockReading:
        """The clocks by the time of a trip: later than the wall clock where that was set back.

        `reading`: the clocks as read before; None: they are read now.
        """
        from triplog.checks import counters_of
        from triplog.desk.trip_clock import clock_behind

        reading = reading or self.now()
        if all(fact.entry.event_time <= reading.wall for fact in trip.facts):
            return reading
        entries = self.store.trip_entries(trip.id)
        behind = clock_behind(counters_of(trip), entries, reading)
        return replace(reading, wall=reading.wall + behind)

    @contextmanager
    def writing(self, *, whatever_came: bool = False) -> Iterator[Writing]:
        """One transaction at the clock's present moment.

        Raises Refused where a trip that was read before has been written to by another program
        since: what was decided may not hold any more. `whatever_came`: what is recorded holds
        whatever else was written meanwhile, or reads again itself.
        """
        with self.store.writing(self.now(), self.tables) as writing:
            for trip_id, count in {} if whatever_came else self._read.items():
                if _told(self.store.trip_entries(trip_id)) != count:
                    label = trip_of(trip_id, self.store.trip_entries(trip_id)).label
                    raise Refused(
                        f"trip {label} has been written to by another program meanwhile; look at"
                        " it, and record again what still holds"
                    )
            yield writing
        self._read.clear()

    def draft(
        self,
        kind: str,
        body: Body,
        *,
        trip: str | None = None,
        private: dict[str, str | None] | None = None,
        at: datetime | None = None,
        follows: str | None = None,
    ) -> Draft:
        """A draft by the person typing; private values that are None are left out."""
        given = {name: value for name, value in (private or {}).items() if value is not None}
        return Draft(
            kind=kind,
            body=body,
            by=self.by,
            via=self.via,
            trip=trip,
            private=given,
            event_time=at,
            follows=follows,
        )

    def record(self, draft: Draft) -> Entry:
        """Record one draft by itself, under the key from outside if there is one."""
        with self.writing() as writing:
            return self.append(writing, draft)

    def append(self, writing: Writing, draft: Draft, *, may_repeat: bool = False) -> Entry:
        """The first entry of what a person does: it takes the key and may be asked about.

        `may_repeat`: doing the same again within two minutes is nothing to ask about.
        """
        keyed = draft if self.key is None else replace(draft, idem=self.key)
        asked = not (may_repeat or self.again or self.key is not None)
        return writing.append(keyed, repeat_asked=asked)

    def session(self) -> "Session":
        """A session for reading the derived tables."""
        from sqlmodel import Session

        return Session(bind=self.tables.connection)

    def trip(self, trip_id: str, known_at: datetime | None = None) -> Trip:
        """A trip as the journal has it, with what was known at a time."""
        entries = self.store.trip_entries(trip_id)
        self._read.setdefault(trip_id, _told(entries))
        return trip_of(trip_id, entries, known_at)


def present(**fields: object) -> Body:
    """A body without the fields that are None: absent means unknown."""
    return {name: value for name, value in fields.items() if value is not None}


def open_desk(
    home: Path, clock: Clock, *, reading_only: bool = False, heads: Path | None = None
) -> Desk:
    """The desk of a home folder, with the person set to type there."""
    store = open_store(home / STORE_NAME, reading_only=reading_only)
    by = store.fact("typist") or NOBODY
    return Desk(home=home, store=store, clock=clock, by=by, heads=heads)


def _told(entries: list[Entry]) -> int:
    """How many entries of a trip somebody made; what the watcher says comes and goes beside."""
    return sum(1 for entry in entries if not entry.kind.startswith(("prompt_", "office_message_")))
