"""The office at the other end: an outbox in the house's memory, and a way out that comes and goes.

What is to be told, when to look again and how long to wait are the scheduler's; the outbox kept in
the real journal has its own tests.
"""

from collections.abc import Callable, Sequence
from datetime import datetime

from scheduler.office import next_to_tell, pause_ms, to_tell
from scheduler.watch import Look, TripWatch
from tests.scheduler.simulator.house import Clock, Crash, MemoryHouse


class MemoryOffice:
    """A `scheduler.watch.Office`; begun anew with each watcher, over what the house kept."""

    def __init__(
        self, house: MemoryHouse, clock: Clock, margin_mm: int, reached: Callable[[], bool]
    ) -> None:
        self._house, self._clock = house, clock
        self._margin_mm, self._reached = margin_mm, reached
        self._interrupted, self._try_at_ms = house.under_way, 0

    def looked(self, trips: Sequence[TripWatch], look: Look) -> datetime | None:
        (trip,), (found,) = trips, look.trips
        told = trip.office_told
        for check in to_tell(found.due_checks, told, self._margin_mm):
            self._house.tell_office(check.due_key, found.at)
            told |= {check.due_key}
        moment = next_to_tell(trip.counters, told, self._margin_mm, found.at)
        return None if moment is None else moment - trip.clock_behind

    def turn(self, passed_ms: int) -> None:
        """Hand over the oldest message that waits, if its time has come."""
        house = self._house
        waiting = [key for key, one in house.outbox.items() if not one.is_told]
        if not waiting or passed_ms < self._try_at_ms:
            return
        house.under_way = waiting[0]
        message = house.outbox[waiting[0]]
        arrives = self._reached()
        repeated = message.repeated or self._interrupted == waiting[0]
        if arrives:
            message.handed.append((self._clock.wall_ms, repeated))
        if house.crash == "handed over":
            message.cut_off = True
            raise Crash
        message.tried, message.repeated = message.tried + 1, repeated
        message.is_told, house.under_way, self._interrupted = arrives, None, None
        self._try_at_ms = passed_ms + (0 if arrives else pause_ms(message.tried))

    def end(self) -> None:
        """Nothing is under way between two turns."""
