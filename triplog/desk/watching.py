"""The journal as the watcher sees it: trips under way, prompts raised and their outcomes."""

from collections.abc import Sequence
from dataclasses import replace

from scheduler.due import DueCheck
from scheduler.notify import Attempt
from scheduler.prompts import Prompt
from scheduler.watch import TripWatch, Unfinished
from triplog.checks import (
    counters_of,
    duty_of,
    prompt_body,
    prompt_in,
    said_on,
    unfinished_prompts,
)
from triplog.desk.desk import Desk
from triplog.journal.store import AlreadyRecorded
from triplog.journal.trip import Trip
from triplog.wording.due import prompt_text


class JournalHouse:
    """A `scheduler.watch.House` over an open desk; every entry is made by the program."""

    def __init__(self, desk: Desk) -> None:
        self._desk = replace(desk, via="program", key=None, again=True)
        self._seen = -1
        self._labels: dict[str, str] = {}

    def changed(self) -> bool:
        """Whether another process has written since this was last asked."""
        version = self._desk.store.data_version()
        changed = version != self._seen
        self._seen = version
        return changed

    def open_trips(self) -> Sequence[TripWatch]:
        """The trips under way."""
        return [
            TripWatch(
                trip=trip.id,
                label=trip.label,
                counters=counters_of(trip),
                said=said_on(trip),
                duty=duty_of(trip),
            )
            for trip in self._trips()
        ]

    def raise_prompt(self, prompt: Prompt, due_check: DueCheck) -> str | None:
        """Record that a prompt is about to be said; None: it is recorded already."""
        desk = self._desk
        draft = desk.draft(
            "prompt_raised", prompt_body(prompt, due_check), trip=due_check.counter.trip
        )
        try:
            return desk.record(replace(draft, idem=prompt.idem)).hash
        except AlreadyRecorded:
            return None

    def record_outcome(self, token: str, attempts: tuple[Attempt, ...], *, repeated: bool) -> None:
        """Record what came of a prompt: *accepted* at best, never seen."""
        raised = self._desk.store.entry(token)
        body: dict[str, object] = {
            "raised": token,
            "outcomes": [{"by": one.notifier, "came": str(one.outcome)} for one in attempts],
        }
        if repeated:
            body["repeated"] = True
        self._desk.record(self._desk.draft("prompt_outcome", body, trip=raised.trip))

    def unfinished(self) -> Sequence[Unfinished]:
        """Prompts that were raised and have no outcome: the program ended in between."""
        return [
            Unfinished(token=fact.original.hash, prompt=prompt_in(fact.entry.body))
            for trip in self._trips()
            for fact in unfinished_prompts(trip)
        ]

    def clock_stepped(self, step_ms: int) -> None:
        """Record that the clock was set, or that the computer slept."""
        whole, part = divmod(abs(step_ms), 1000)
        sign = "-" if step_ms < 0 else ""
        self._desk.record(
            self._desk.draft("clock_stepped", {"seconds": f"{sign}{whole}.{part:03d}"})
        )

    def say(self, prompt: Prompt, due_check: DueCheck) -> tuple[str, str]:
        """Title and message of a text."""
        return prompt_text(due_check, prompt.stage, self._labels[due_check.counter.trip])

    def _trips(self) -> list[Trip]:
        rows = self._desk.store.raw.execute(
            "SELECT id, label FROM trip WHERE state IN ('rolling', 'stopped') ORDER BY id"
        ).fetchall()
        self._labels = dict(rows)
        return [self._desk.trip(trip_id) for trip_id, _ in rows]
