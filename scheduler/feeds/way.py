"""The distance along fixes: a second witness beside the odometer, corrected by nothing.

Distances are great circles on a sphere of the mean Earth radius (R1 of the GRS 80 ellipsoid,
6,371,008.8 m), by the haversine formula; against the ellipsoid that is within 0.6 %.

A receiver wanders while the vehicle stands. So a fix counts only when it lies away from the last
one that counted, and not when the receiver itself says that it stands. Across a gap only the
straight line is known: the least it can have been. A jump no vehicle makes is left out, and where
the fixes stay there, nothing is counted for it. The figures below, but the radius, are our own, no
source.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import asin, cos, radians, sin, sqrt

from scheduler.feeds.readings import Fix

EARTH_RADIUS_M = 6_371_008.8
WANDERS_M = 25.0
GAP = timedelta(seconds=60)
JUMP_M_PER_S = 60.0
JUMPS_BELIEVED = 5
STANDS_M_PER_S = 0.5
SAMPLE_EVERY = timedelta(minutes=5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A time without fixes, and the straight line across it."""

    begin: datetime
    end: datetime
    straight_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """How far along the way at a moment, in metres from its first fix."""

    at: datetime
    along_m: float
    fix: Fix


@dataclass(slots=True)
class Way:
    """A way that is added up fix by fix, in order of time."""

    along_m: float = 0.0
    samples: list[Sample] = field(default_factory=list)
    gaps: list[Gap] = field(default_factory=list)
    out_of_order: int = 0
    jumps: int = 0
    _counted: Fix | None = None
    _last: Fix | None = None
    _jumps_running: int = 0

    def add(self, fixes: Iterable[Fix]) -> None:
        """Go on along some more fixes."""
        for fix in fixes:
            self._go(fix)

    def end(self) -> None:
        """Take a last sample, at the last fix."""
        if self._last is not None and self.samples[-1].at != self._last.at:
            self._sample(self._last)

    def _go(self, fix: Fix) -> None:
        last, counted = self._last, self._counted
        if last is None or counted is None:
            self._last = self._counted = fix
            self._sample(fix)
            return
        if fix.at <= last.at:
            self.out_of_order += 1
            return
        step_m = distance_m(counted, fix)
        passed = fix.at - last.at
        since_counted_s = (fix.at - counted.at).total_seconds()
        if step_m - WANDERS_M > JUMP_M_PER_S * since_counted_s:
            self._jump(last, fix)
            return
        self._jumps_running = 0
        if passed > GAP:
            self._across(last, fix, step_m)
        elif step_m >= WANDERS_M and not _stands(fix):
            self.along_m += step_m
            self._counted = fix
        self._last = fix
        if fix.at - self.samples[-1].at >= SAMPLE_EVERY:
            self._sample(fix)

    def _jump(self, last: Fix, fix: Fix) -> None:
        """Leave a jump out; where the fixes stay there, the one before was wrong: begin anew."""
        self.jumps += 1
        self._jumps_running += 1
        if self._jumps_running >= JUMPS_BELIEVED:
            self.gaps.append(Gap(begin=last.at, end=fix.at, straight_m=0.0))
            self._last = self._counted = fix
            self._jumps_running = 0

    def _across(self, last: Fix, fix: Fix, step_m: float) -> None:
        """Bridge a gap with the straight line, and sample both its edges."""
        if self.samples[-1].at != last.at:
            self._sample(last)
        straight_m = step_m if step_m >= WANDERS_M else 0.0
        self.gaps.append(Gap(begin=last.at, end=fix.at, straight_m=straight_m))
        self.along_m += straight_m
        self._counted = fix
        self._sample(fix)

    def _sample(self, fix: Fix) -> None:
        self.samples.append(Sample(at=fix.at, along_m=self.along_m, fix=fix))


def distance_m(one: Fix, other: Fix) -> float:
    """The great-circle distance between two fixes, in metres (haversine)."""
    lat_1, lat_2 = radians(one.lat_deg), radians(other.lat_deg)
    half_lat, half_lon = (lat_2 - lat_1) / 2, radians(other.lon_deg - one.lon_deg) / 2
    chord = sin(half_lat) ** 2 + cos(lat_1) * cos(lat_2) * sin(half_lon) ** 2
    return 2 * EARTH_RADIUS_M * asin(sqrt(min(1.0, chord)))


def _stands(fix: Fix) -> bool:
    return fix.speed_m_per_s is not None and fix.speed_m_per_s < STANDS_M_PER_S
