"""The machine's clocks, read together."""

import time
from datetime import UTC, datetime
from pathlib import Path

from triplog.journal.entries import ClockReading, to_milliseconds

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


class MachineClock:
    """The wall clock with its local offset, and the time since the machine started."""

    def read(self) -> ClockReading:
        """The clocks now."""
        wall = to_milliseconds(datetime.now(UTC))
        offset = wall.astimezone().utcoffset()
        assert offset is not None, "a local time has an offset"
        return ClockReading(
            wall=wall,
            offset_min=int(offset.total_seconds()) // 60,
            source="machine",
            boot_id=_boot_id(),
            boot_ms=_boot_ms(),
        )

    def wall(self) -> datetime:
        """Now, aware; what the watcher asks for."""
        return self.read().wall

    def monotonic_ms(self) -> int:
        """Milliseconds that never go backwards, and stand still while the machine sleeps."""
        return time.monotonic_ns() // 1_000_000


def _boot_id() -> str:
    try:
        return _BOOT_ID.read_text().strip()
    except OSError:
        return "unknown"


def _boot_ms() -> int:
    """Since the start of the machine, sleep included where the system counts it."""
    counter = getattr(time, "CLOCK_BOOTTIME", None)
    ns = time.monotonic_ns() if counter is None else time.clock_gettime_ns(counter)
    return ns // 1_000_000
