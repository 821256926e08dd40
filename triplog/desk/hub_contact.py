"""The watcher brings the journal to the hub by itself, beside everything else it does.

Each push runs in a thread of its own, with a connection of its own to the journal: neither the
watcher nor anybody who records waits for the network. Nothing is shown while it goes on.
"""

import random
import threading
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

from scheduler.contact import contact_ms, pause_ms
from scheduler.watch import Look, Office, TripWatch
from triplog.desk.desk import open_desk
from triplog.desk.hub_pairing import SETTING
from triplog.desk.hub_push import Pushed, push
from triplog.desk.refused import Refused
from triplog.desk.watching import JournalHouse
from triplog.journal.entries import Clock
from triplog.wording.hub import parted_lines, trouble_lines

_LAST_WAIT_S = 5.0


class WithHub:
    """A `scheduler.watch.Office` that does what another one does, and pushes beside it.

    `lot`: draws from 0 up to 1, for the waits.
    """

    def __init__(
        self, inner: Office, house: JournalHouse, *, lot: Callable[[], float] = random.random
    ) -> None:
        self._inner = inner
        self._house = house
        self._lot = lot
        self._pushing: _Pushing | None = None
        self._failures = 0
        self._try_at_ms: int | None = None
        self._seen: tuple[int, str] | None = None
        self._is_asked = True
        self.trouble: tuple[str, ...] = ()

    def looked(self, trips: Sequence[TripWatch], look: Look) -> datetime | None:
        """As the other one does."""
        return self._inner.looked(trips, look)

    def turn(self, passed_ms: int) -> None:
        """See what came of the last push, and begin the next if its time has come."""
        self._inner.turn(passed_ms)
        if self._pushing is not None and not self._pushing.is_alive():
            self._came(self._pushing, passed_ms)
            self._pushing = None
        if self._pushing is None and self._is_time(passed_ms):
            desk = self._house.desk
            self._pushing = _Pushing(desk.home, desk.clock, desk.heads, is_asked=self._is_asked)
            self._is_asked = False
            self._pushing.start()

    def end(self) -> None:
        """Wait a little for what is on its way; the rest of it is brought the next time."""
        self._inner.end()
        if self._pushing is not None:
            self._pushing.stop.set()
            self._pushing.join(_LAST_WAIT_S)

    def _is_time(self, passed_ms: int) -> bool:
        """At the beginning, after the wait, and at once where something new was recorded."""
        if not (self._house.desk.home / SETTING).exists():
            return False
        if self._try_at_ms is None or passed_ms >= self._try_at_ms:
            return True
        if self._failures:
            return False
        store = self._house.desk.store
        with self._house.at_the_journal():
            return store.head(store.device) != self._seen

    def _came(self, pushing: "_Pushing", passed_ms: int) -> None:
        """How long to wait now. An old copy or a fork is nothing that trying again mends."""
        self._seen, self.trouble = pushing.seen, tuple(pushing.trouble)
        self._failures = 0 if pushing.came is not None else self._failures + 1
        lot = self._lot()
        wait = pause_ms(self._failures, lot) if self._failures else contact_ms(lot)
        self._try_at_ms = passed_ms + wait


class _Pushing(threading.Thread):
    """One push. `came` None: it failed, or goes on. `seen`: the end of the chain when it ended."""

    def __init__(self, home: Path, clock: Clock, heads: Path | None, *, is_asked: bool) -> None:
        super().__init__(name="hub", daemon=True)
        self._home, self._clock, self._heads = home, clock, heads
        self._is_asked = is_asked
        self.stop = threading.Event()
        self.came: Pushed | None = None
        self.seen: tuple[int, str] | None = None
        self.trouble: list[str] = []

    def run(self) -> None:
        """Push. What the hub refuses is kept for whoever looks; being away is nothing to tell."""
        try:
            self._push()
        except Refused as problem:
            self.trouble.append(str(problem))
        except OSError:
            pass  # the hub is away, or the journal is busy: it is tried again
        except Exception as problem:  # our own fault: the prompts go on all the same
            self.trouble.append(f"pushing to the hub broke off: {type(problem).__name__}")

    def _push(self) -> None:
        desk = open_desk(self._home, self._clock, heads=self._heads)
        try:
            came = push(desk, is_asked=self._is_asked, is_stopped=self.stop.is_set)
            held = came.own.held if came.own.outcome == "taken" else None
            # What was recorded since the last batch is new, so that it is brought at once.
            self.seen = held or desk.store.head(desk.store.device)
        finally:
            desk.store.close()
        own = came.own
        self.trouble += [*parted_lines(own.outcome, own.device, own.theirs)]
        self.trouble += trouble_lines(came.trouble)
        self.came = came
