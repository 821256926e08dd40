"""The office is told of what is late beyond its margin: an outbox in the journal, and its way out.

A message is written down first, once per due check, and handed over when that can be done. What
is being handed over is noted before, so that an end in between shows: it is repeated then, and says
so. The way out is a setting of this machine in a file beside the journal, and goes into no journal,
no backup and no export.
"""

import contextlib
import json
import os
import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from shutil import which

from scheduler.due import DueCheck
from scheduler.notify import Outcome
from scheduler.office import next_to_tell, pause_ms, to_tell
from scheduler.office_hook import CommandHook, FolderHook, Hook
from scheduler.watch import Look, TripWatch
from triplog.checks import duty_of, last_odometer, odometer_mm
from triplog.desk.desk import Desk, present
from triplog.desk.refused import Refused
from triplog.desk.setting_up import office_margin
from triplog.desk.staging import staged, told_in_words
from triplog.desk.watching import JournalHouse
from triplog.journal.entries import Body, Entry, time_text
from triplog.journal.repeats import AlreadyRecorded
from triplog.journal.trip import text_in, trip_of
from triplog.wording.office import handed_text, office_text

SETTING = "office.json"
_UNDER_WAY = "office_message_under_way"
_LAST_WAIT_S = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """A message to the office and what came of each attempt, in order.

    `repeated`: one of them was a repeat already, after an end in between.
    """

    entry: Entry
    tried: tuple[str, ...]
    repeated: bool = False

    @property
    def is_told(self) -> bool:
        """Whether it was handed over."""
        return Outcome.ACCEPTED in self.tried


def messages(desk: Desk) -> list[Message]:
    """All messages to the office, the oldest first."""
    rows = desk.tables.connection.exec_driver_sql(
        "SELECT DISTINCT trip FROM trip_event WHERE kind = 'office_message_queued'"
    ).fetchall()
    found = []
    for (trip_id,) in rows:
        trip = trip_of(trip_id, desk.store.trip_entries(trip_id))
        tried = [fact.entry.body for fact in trip.of("office_message_tried")]
        for fact in trip.of("office_message_queued"):
            of_it = [one for one in tried if one["queued"] == fact.original.hash]
            found.append(
                Message(
                    entry=fact.original,
                    tried=tuple(text_in(one, "came") for one in of_it),
                    repeated=any("repeated" in one for one in of_it),
                )
            )
    return sorted(found, key=lambda one: (one.entry.entry_time, one.entry.seq))


def set_hook(
    home: Path, *, command: Sequence[str] | None = None, folder: Path | None = None
) -> Hook | None:
    """Set the way out on this machine; neither: there is none any more."""
    setting: dict[str, object] = {}
    if command:
        program = which(command[0])
        if program is None:
            raise Refused(f"there is no program {command[0]!r} here that can be run")
        setting = {"command": [str(Path(program).absolute()), *command[1:]]}
    elif folder is not None:
        if not folder.is_dir():
            raise Refused(f"there is no folder {folder}; make it, or name another")
        setting = {"folder": str(folder.absolute())}
    path = home / SETTING
    if not setting:
        path.unlink(missing_ok=True)
        return None
    with staged(home) as stage, told_in_words(home):
        written = stage / SETTING
        written.touch(mode=0o600)
        with written.open("w", encoding="utf-8") as file:
            json.dump(setting, file, indent=1)
            file.flush()
            os.fsync(file.fileno())
        written.replace(path)
    return hook_of(home)


def hook_of(home: Path) -> Hook | None:
    """The way out set on this machine; None: none. Refused where the setting cannot be read."""
    path = home / SETTING
    try:
        setting = json.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as problem:
        raise Refused(f"{path} cannot be read: {problem}; set the way out anew") from problem
    command = setting.get("command") if isinstance(setting, dict) else None
    folder = setting.get("folder") if isinstance(setting, dict) else None
    if isinstance(command, list) and command and all(isinstance(one, str) for one in command):
        return CommandHook(tuple(command))
    if isinstance(folder, str):
        return FolderHook(Path(folder))
    raise Refused(f"{path} names neither a command nor a folder; set the way out anew")


class JournalOffice:
    """A `scheduler.watch.Office` over the journal a house watches.

    Messages are handed over one at a time by a thread that touches no journal.
    """

    def __init__(self, house: JournalHouse) -> None:
        self._house = house
        self._desk = house.desk
        self._waiting: list[Message] | None = None
        self._interrupted: str | None = None
        self._sending: _Sending | None = None
        self._try_at_ms = 0

    def looked(self, trips: Sequence[TripWatch], look: Look) -> datetime | None:
        """Write down what the office is to be told; when the next may come by driving alone."""
        with self._house.at_the_journal():
            margin = office_margin(self._desk)
        if margin is None:
            return None
        margin_mm, moments = odometer_mm(margin), []
        for trip, found in zip(trips, look.trips, strict=True):
            told = trip.office_told
            for check in to_tell(found.due_checks, told, margin_mm):
                self._queue(check, trip.label, found.at)
                told |= {check.due_key}
            moment = next_to_tell(trip.counters, told, margin_mm, found.at)
            if moment is not None:
                moments.append(moment - trip.clock_behind)
        return min(moments, default=None)

    def turn(self, passed_ms: int) -> None:
        """Write down what came of the last attempt, and begin the next if its time has come."""
        with self._house.at_the_journal():
            if self._waiting is None:
                self._waiting = [one for one in messages(self._desk) if not one.is_told]
                self._interrupted = self._desk.store.fact(_UNDER_WAY)
            self._write_down(passed_ms)
            if self._sending is None and self._waiting and passed_ms >= self._try_at_ms:
                self._begin(self._waiting[0])

    def end(self) -> None:
        """Wait a little for what is being handed over; what takes longer is repeated next time."""
        if self._sending is not None:
            self._sending.join(_LAST_WAIT_S)
            with contextlib.suppress(OSError), self._house.at_the_journal():
                self._write_down(0)

    def _queue(self, check: DueCheck, label: str, now: datetime) -> None:
        desk, counter = self._desk, check.counter
        with self._house.at_the_journal():
            trip = trip_of(counter.trip, desk.store.trip_entries(counter.trip))
        odometer, duty = last_odometer(trip), duty_of(trip)
        message = office_text(
            check,
            label,
            duty=None if duty is None else str(duty),
            odometer=odometer,
            offset_min=desk.now().offset_min,
            now=now,
        )
        body = present(
            due=check.due_key,
            rule=counter.rule_id,
            since=counter.from_key,
            state=str(check.state),
            message=message,
            late_by=check.late_by,
            due_at=None if check.due_at is None else time_text(check.due_at),
            last_odometer=None if odometer is None else odometer[0],
            last_odometer_at=None if odometer is None else time_text(odometer[1]),
        )
        draft = desk.draft("office_message_queued", body, trip=counter.trip)
        with contextlib.suppress(AlreadyRecorded), self._house.at_the_journal():
            with desk.writing() as writing:
                if not self._house.is_as_read():
                    return
                entry = desk.append(
                    writing, replace(draft, idem=f"{check.due_key}/office"), may_repeat=True
                )
            if self._waiting is not None:
                self._waiting.append(Message(entry=entry, tried=()))

    def _begin(self, message: Message) -> None:
        try:
            hook = hook_of(self._desk.home)
        except Refused:
            hook = None
        if hook is None:
            return
        entry = message.entry
        reading = self._desk.now()
        cut_off = entry.hash == self._interrupted or Outcome.TIMED_OUT in message.tried
        repeated = cut_off or message.repeated
        with self._desk.writing():
            self._desk.store.set_fact(_UNDER_WAY, entry.hash)
        text = handed_text(
            text_in(entry.body, "message"),
            written=entry.entry_time,
            handed=reading.wall,
            offset_min=reading.offset_min,
            repeated=repeated,
            invented=self._desk.invented,
        )
        self._sending = _Sending(message, hook, text, repeated=repeated)
        self._sending.start()

    def _write_down(self, passed_ms: int) -> None:
        """Write down what came of the attempt under way, if it is back."""
        sending = self._sending
        if sending is None or sending.came is None:
            return
        assert self._waiting, "what is handed over waits until that is written down"
        entry, came = sending.message.entry, sending.came
        body: Body = {"queued": entry.hash, "by": sending.hook.name, "came": str(came)}
        if sending.repeated:
            body["repeated"] = True
        draft = self._desk.draft("office_message_tried", body, trip=entry.trip)
        with self._desk.writing() as writing:
            self._desk.append(writing, draft, may_repeat=True)
            self._desk.store.set_fact(_UNDER_WAY, "")
        self._sending, self._interrupted = None, None
        tried = (*sending.message.tried, str(came))
        told = Message(entry=entry, tried=tried, repeated=sending.repeated)
        if told.is_told:
            del self._waiting[0]
            self._try_at_ms = passed_ms
        else:
            self._waiting[0] = told
            self._try_at_ms = passed_ms + pause_ms(len(told.tried))


class _Sending(threading.Thread):
    """One message on its way out. `came` None: not back yet."""

    def __init__(self, message: Message, hook: Hook, text: str, *, repeated: bool) -> None:
        super().__init__(name="office message", daemon=True)
        self.message = message
        self.hook = hook
        self.repeated = repeated
        self.came: Outcome | None = None
        self._text = text

    def run(self) -> None:
        """Hand it over."""
        came = Outcome.FAILED
        with contextlib.suppress(Exception):  # against its contract, and no reason to lose it
            came = self.hook.hand_over(f"triplog-{self.message.entry.hash[:16]}", self._text)
        self.came = came
