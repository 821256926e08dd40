"""The clock of a trip: that of its entries, where the wall clock was set back. Pure."""

from collections.abc import Iterable, Sequence
from datetime import timedelta

from scheduler.counter import Counter
from triplog.journal.entries import ClockReading, Entry, carried_on, event_time_now


def clock_behind(
    counters: Iterable[Counter], entries: Sequence[Entry], reading: ClockReading
) -> timedelta:
    """How far the wall clock was set back behind the trip's time; zero where it was not.

    While it stands before what was counted last, now is what an entry made now is dated; and once
    it has caught up, the time goes on until the machine is started anew.
    """
    if all(counter.as_of <= reading.wall for counter in counters):
        carried = carried_on(entries, reading)
        return timedelta(0) if carried is None else carried - reading.wall
    return event_time_now(entries, reading) - reading.wall
