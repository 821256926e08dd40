"""The journal as the watcher sees it: trips under way, prompts raised and their outcomes."""

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import NamedTuple

from scheduler.due import DueCheck
from scheduler.notify import Attempt
from scheduler.prompts import Prompt
from scheduler.watch import HouseBusy, TripWatch, Unfinished
from triplog.checks import (
    counters_of,
    duty_of,
    office_told_on,
    prompt_body,
    prompt_in,
    said_on,
    unfinished_prompts,
)
from triplog.desk.desk import Desk
from triplog.desk.trip_clock import clock_behind
from triplog.journal.entries import Entry, EntryBroken
from triplog.journal.repeats import AlreadyRecorded
from triplog.journal.store_file import StoreUnusable, told_in_words
from triplog.journal.trip import trip_of
from triplog.wording.due import prompt_text


class _AsWritten(NamedTuple):
    """An open trip, folded from so many entries."""

    length: int
    entries: Sequence[Entry]
    trip: TripWatch


class JournalHouse:
    """A `scheduler.watch.House` over an open desk; every entry is made by the program.

    Raises HouseBusy where another program is writing, StoreUnusable where the journal cannot be
    used any more; at its making also where it cannot be written: it would never speak then.
    `desk` is the program's own.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = replace(desk, via="program", key=None, again=True)
        self._seen: int | None = None
        self._decided_on: int | None = None
        self._labels: dict[str, str] = {}
        self._watched: dict[str, _AsWritten] = {}
        self._file = self._file_there()
        with self.desk.writing():
            self._invented = desk.invented

    def changed(self) -> bool:
        """Whether another process has written since this was last asked."""
        if self._file_there() != self._file:
            raise StoreUnusable(
                f"the journal {self.desk.store.path} is another file now than when watching"
                " began; start watching again"
            )
        with self.at_the_journal():
            version = self.desk.store.data_version()
        changed = version != self._seen
        self._seen = version
        return changed

    def open_trips(self) -> Sequence[TripWatch]:
        """The trips under way."""
        store, reading = self.desk.store, self.desk.now()
        with self.at_the_journal():
            self._decided_on = store.data_version()
            rows = store.raw.execute(
                "SELECT id, label FROM trip WHERE state IN ('rolling', 'stopped') ORDER BY id"
            ).fetchall()
            self._labels = dict(rows)
            before = self._watched
            self._watched = {trip_id: self._as_written(trip_id, before) for trip_id, _ in rows}
        return [
            replace(one.trip, clock_behind=clock_behind(one.trip.counters, one.entries, reading))
            for one in self._watched.values()
        ]

    def _as_written(self, trip_id: str, before: Mapping[str, _AsWritten]) -> _AsWritten:
        """A trip by its entries; folded anew only if there are more of them than before."""
        store = self.desk.store
        (length,) = store.raw.execute(
            "SELECT count(*) FROM entry WHERE trip = ?", (trip_id,)
        ).fetchone()
        if trip_id in before and before[trip_id].length == length:
            return before[trip_id]
        entries = store.trip_entries(trip_id)
        trip = trip_of(trip_id, entries)
        watched = TripWatch(
            trip=trip.id,
            label=trip.label,
            counters=counters_of(trip),
            said=said_on(trip),
            duty=duty_of(trip),
            office_told=office_told_on(trip),
        )
        return _AsWritten(length, entries, watched)

    def raise_prompt(self, prompt: Prompt, due_check: DueCheck) -> str | None:
        """Record that a prompt is about to be said.

        None: it is recorded already, or another process has written since the trips were read;
        what was decided may not hold then (somebody may drive by now).
        """
        desk = self.desk
        draft = replace(
            desk.draft(
                "prompt_raised", prompt_body(prompt, due_check), trip=due_check.counter.trip
            ),
            idem=prompt.idem,
        )
        try:
            with self.at_the_journal(), desk.writing() as writing:
                if not self.is_as_read():
                    return None
                return desk.append(writing, draft).hash
        except AlreadyRecorded:
            return None

    def is_as_read(self) -> bool:
        """Whether no other process has written since the open trips were read."""
        return self.desk.store.data_version() == self._decided_on

    def record_outcome(self, token: str, attempts: tuple[Attempt, ...], *, repeated: bool) -> None:
        """Record what came of a prompt: *accepted* at best, never seen."""
        body: dict[str, object] = {
            "raised": token,
            "outcomes": [{"by": one.notifier, "came": str(one.outcome)} for one in attempts],
        }
        if repeated:
            body["repeated"] = True
        with self.at_the_journal():
            raised = self.desk.store.entry(token)
            self.desk.record(self.desk.draft("prompt_outcome", body, trip=raised.trip))

    def unfinished(self) -> Sequence[Unfinished]:
        """Prompts that were raised and have no outcome: the program ended in between.

        Those of trips that have ended since are among them: they lack an outcome all the same.
        """
        with self.at_the_journal():
            store = self.desk.store
            rows = store.raw.execute(
                "SELECT DISTINCT trip FROM prompt WHERE outcome IS NULL ORDER BY trip"
            ).fetchall()
            return [
                Unfinished(token=fact.original.hash, prompt=prompt_in(fact.entry.body))
                for (trip_id,) in rows
                for fact in unfinished_prompts(trip_of(trip_id, store.trip_entries(trip_id)))
            ]

    def clock_stepped(self, step_ms: int) -> None:
        """Record that the clock was set, or that the computer slept."""
        whole, part = divmod(abs(step_ms), 1000)
        sign = "-" if step_ms < 0 else ""
        body: dict[str, object] = {"seconds": f"{sign}{whole}.{part:03d}"}
        with self.at_the_journal():
            self.desk.record(self.desk.draft("clock_stepped", body))

    def say(self, prompt: Prompt, due_check: DueCheck) -> tuple[str, str]:
        """Title and message of a text; those of a demo's store say that it is invented."""
        title, message = prompt_text(due_check, prompt.stage, self._labels[due_check.counter.trip])
        return (f"Invented: {title}" if self._invented else title), message

    def _file_there(self) -> tuple[int, int]:
        """Which file the journal is. A file taken away or put in its place would not be seen
        through the open one, and nothing would ever come due again.
        """
        path = self.desk.store.path
        try:
            found = path.stat()
        except OSError as problem:
            raise StoreUnusable(f"the journal {path} is not there any more") from problem
        return found.st_dev, found.st_ino

    @contextmanager
    def at_the_journal(self) -> Iterator[None]:
        """Read or write; tell what goes wrong in words, and what only needs a moment apart."""
        path = self.desk.store.path
        try:
            with told_in_words(path):
                yield
        except EntryBroken as problem:
            raise StoreUnusable(
                f"the journal {path} does not hold together: {problem}"
            ) from problem
        except StoreUnusable as problem:
            code = getattr(problem.__cause__, "sqlite_errorcode", 0) & 0xFF
            if code == sqlite3.SQLITE_BUSY:
                raise HouseBusy(
                    f"the journal {path} is being written by another program; looking again in a"
                    " moment"
                ) from problem
            raise
