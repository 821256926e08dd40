"""What a request asks of the desk: run in a thread that has an open desk of its own.

There are two such threads. What is done in the cab never waits for a page of the office or an
export, and everything recorded from the cab goes through one connection, one act after another.
"""

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal, TypeVar

from triplog.desk.desk import Desk, open_desk
from triplog.journal.entries import Clock, Via
from triplog.journal.store_file import told_in_words

Result = TypeVar("Result")
Bench = Literal["cab", "office"]


@dataclass(slots=True)
class _Seat:
    """A thread with its desk, opened when it is first needed."""

    thread: ThreadPoolExecutor
    desk: Desk | None = None


@dataclass(slots=True, kw_only=True)
class Work:
    """The two threads over one journal. `heads`: where the last signed head is kept."""

    home: Path
    clock: Clock
    heads: Path | None = None
    _seats: dict[Bench, _Seat] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for bench in ("cab", "office"):
            thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix=bench)
            self._seats[bench] = _Seat(thread)

    async def ask(
        self,
        bench: Bench,
        act: Callable[[Desk], Result],
        *,
        person: str | None = None,
        key: str | None = None,
        via: Via = "page",
    ) -> Result:
        """Do something at a desk as a person, under an idempotency key where something is recorded.

        Raises what the act raises, and StoreUnusable where the journal cannot be opened.
        """
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(
            self._seats[bench].thread, lambda: self._at_desk(bench, act, person, key, via)
        )

    def do(self, act: Callable[[Desk], Result]) -> Result:
        """Do something as the program itself, from outside the loop; waits for it."""
        thread = self._seats["cab"].thread
        return thread.submit(lambda: self._at_desk("cab", act, None, None, "program")).result()

    def close(self) -> None:
        """Let what is under way end, and close the journal."""
        for seat in self._seats.values():
            seat.thread.shutdown(wait=True)
            if seat.desk is not None:
                seat.desk.store.close()

    def _at_desk(
        self,
        bench: Bench,
        act: Callable[[Desk], Result],
        person: str | None,
        key: str | None,
        via: Via,
    ) -> Result:
        seat = self._seats[bench]
        if seat.desk is None:
            seat.desk = open_desk(self.home, self.clock, heads=self.heads)
            # The lists are made anew here, once, where an older program made them.
            assert seat.desk.tables, "the rows stand"
        by = seat.desk.by if person is None else person
        desk = replace(seat.desk, by=by, key=key, via=via, again=via == "program", _read={})
        # What another program holds is met while reading too.
        with told_in_words(seat.desk.store.path):
            return act(desk)
