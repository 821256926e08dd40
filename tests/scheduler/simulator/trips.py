"""Seeded trips: a driver's day as it may go, and what goes wrong with clocks and computers on it.

All numbers are invented; a seed always makes the same trip.
"""

from dataclasses import dataclass
from enum import StrEnum
from random import Random
from typing import NamedTuple

from tests.scheduler.simulator.printed import COUNTRIES, HOUR_MS, MILE_MM, STRAP_MAKER
from tests.scheduler.simulator.second import DRIVING, OFF_DUTY, ON_DUTY, SLEEPER

MINUTE_MS = 60_000
EVENT_WORDS = ("kerb", "hard braking", "load moved", "load touched", "a branch on the load")
PLACES = (*COUNTRIES, "us-392.9", "ca-nsc10")
"""Where a trip may be; the two whose law counts distance come up more often."""
MATES = ("driver-1", "driver-2")


class Do(StrEnum):
    """What happens. The first ones are recorded, the others happen to the computer."""

    DUTY = "duty"
    READING = "reading"
    CHECK = "check"
    EVENT = "event"
    START = "start"
    EXEMPT = "exempt"
    END = "end"
    CORRECT = "correct"
    NOTHING = "nothing that counts"
    SLEEP = "computer sleeps"
    CRASH = "watcher ends"
    STEP = "clock is set"
    OFFLINE = "office out of reach"
    BUSY = "journal is busy"


class Act(NamedTuple):
    """One happening. `back_ms`: it is recorded as having been so long before; `slips_in`: another
    process writes it down in the very moment the watcher is about to raise something; `of`: which
    reading a correction is of; `ms`: how long the sleep, the absence or the office out of reach,
    how far the step, which of the next calls find the journal busy; `lost` as in a fact.
    """

    at_ms: int
    do: Do
    who: str = ""
    word: str = ""
    odometer_mm: int | None = None
    anew: bool = False
    back_ms: int = 0
    slips_in: bool = False
    of: int = -1
    ms: int = 0
    lost: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """A trip to be lived: milliseconds after departure. `course`: where it truly was, and when.

    `margin_mm`: beyond which the office is told; None: it is told nothing. `honest`: all that was
    recorded is so, and nothing was set, swapped or forgotten.
    """

    seed: int
    rule_set: str
    soft_load: bool
    margin_mm: int | None
    top_speed_mm_per_h: int | None
    duty_known: bool
    odometer_mm: int | None
    acts: tuple[Act, ...]
    course: tuple[tuple[int, int], ...]
    honest: bool

    @property
    def end_ms(self) -> int:
        """When the last thing happens."""
        return self.acts[-1].at_ms

    def truly_mm(self, at_ms: int) -> int:
        """How far it truly had come since departure, at the least."""
        before = (0, 0)
        for here in self.course:
            if here[0] > at_ms:
                part = (at_ms - before[0]) * (here[1] - before[1]) // (here[0] - before[0])
                return before[1] + part
            before = here
        return before[1]


def trip_of(seed: int) -> Trip:
    """The trip of a seed."""
    rng = Random(seed)
    day = _Day(rng, honest=rng.random() < 0.5)
    day.live()
    acts = sorted(day.acts, key=lambda act: act.at_ms)
    acts += _happens_to_the_computer(rng, day.now_ms, honest=day.honest)
    return Trip(
        seed=seed,
        rule_set=rng.choice(PLACES) + (f" {STRAP_MAKER}" if rng.random() < 0.1 else ""),
        soft_load=rng.random() < 0.15,
        margin_mm=rng.choice((None, 0, 5 * MILE_MM, 5 * MILE_MM, 30 * MILE_MM)),
        top_speed_mm_per_h=day.top,
        duty_known=day.duty_known,
        odometer_mm=day.first_mm,
        acts=tuple(sorted(acts, key=lambda act: act.at_ms)),
        course=tuple(day.course),
        honest=day.honest,
    )


class _Day:
    """A day being lived: where the truck is, and what gets recorded on the way."""

    def __init__(self, rng: Random, *, honest: bool) -> None:
        self.rng, self.honest = rng, honest
        mph = rng.choice((55, 60, 62, 65, 65, 70, 75))
        self.fastest = mph * MILE_MM
        self.top = self.fastest if rng.random() < 0.93 else None
        self.duty_known = honest or rng.random() < 0.9
        self.tells_duty = self.duty_known or rng.random() < 0.5
        self.mm = rng.randrange(9_000, 900_000) * MILE_MM
        self.origin_mm = self.mm
        self.first_mm = self.mm if rng.random() < 0.85 else None
        self.now_ms = 0
        self.acts: list[Act] = []
        self.course: list[tuple[int, int]] = [(0, 0)]
        self.team = self.tells_duty and rng.random() < 0.25
        self.at_the_wheel = MATES[0]
        self.feed_every = rng.choice((0, 0, 0, 1, 3)) * MINUTE_MS * 5
        self.checker = rng.choice((0.2, 0.5, 0.8))

    def live(self) -> None:
        """Drive and stop until the day is over; deliver, mostly."""
        length_ms = round(self.rng.choice((2, 4, 7, 11, 11)) * HOUR_MS * self.rng.uniform(0.6, 1.2))
        if self.team:
            self._record(Do.DUTY, who=MATES[1], word=self.rng.choice((SLEEPER, ON_DUTY)))
        if self.rng.random() < 0.07:
            self._pass(self.rng.randrange(1, 40) * MINUTE_MS)
            self._record(Do.EXEMPT)
        while self.now_ms < length_ms:
            self._drive(self.rng.choice((4, 15, 40, 60, 90, 150)) * self.rng.uniform(0.4, 1.4))
            self._stop()
        if self.rng.random() < 0.8:
            self._record(Do.END)
        self._pass(3 * MINUTE_MS)
        self._record(Do.NOTHING)

    def _drive(self, minutes: float) -> None:
        """On the road, with jams, feeds that come and go, and things that happen."""
        rng = self.rng
        left_ms = round(minutes * MINUTE_MS)
        has_feed = self.feed_every and rng.random() < 0.8
        while left_ms > 0:
            part_ms = min(left_ms, self.feed_every or rng.randrange(5, 30) * MINUTE_MS)
            jam = rng.random() < 0.1
            share = rng.uniform(0, 0.3) if jam else rng.uniform(0.6, 1.0 if self.honest else 1.15)
            self._pass(part_ms, round(self.fastest * share))
            left_ms -= part_ms
            if has_feed and rng.random() < 0.9:
                self._record(Do.READING, odometer_mm=self.mm)
            if rng.random() < 0.02:
                self._record(Do.EVENT, word=rng.choice(EVENT_WORDS))
            if rng.random() < 0.03:
                self._record(Do.NOTHING)
            if self.team and rng.random() < 0.05:
                self._swap()

    def _stop(self) -> None:
        """Off the road: some of what a stop may hold, in some order; then on again."""
        rng = self.rng
        told = self.honest or (self.tells_duty and rng.random() < 0.92)
        back_ms = 0 if self.honest or rng.random() < 0.9 else rng.randrange(1, 20) * MINUTE_MS
        word = rng.choice((ON_DUTY, ON_DUTY, ON_DUTY, OFF_DUTY, SLEEPER))
        if told:
            self._pass(rng.randrange(100), 0)
            self._record(
                Do.DUTY,
                who=self.at_the_wheel,
                word=word,
                back_ms=back_ms,
                slips_in=not back_ms and rng.random() < 0.1,
            )
        for _ in range(rng.randrange(0, 4)):
            self._pass(round(rng.uniform(0.2, 12) * MINUTE_MS))
            self._at_the_stop()
        self._pass(round(rng.choice((1, 5, 30, 45, 300)) * rng.uniform(0.2, 1.2) * MINUTE_MS))
        if self.team and rng.random() < 0.3:
            self.at_the_wheel = MATES[1 - MATES.index(self.at_the_wheel)]
        if told:
            self._record(Do.DUTY, who=self.at_the_wheel, word=DRIVING, slips_in=rng.random() < 0.15)

    def _at_the_stop(self) -> None:
        rng = self.rng
        kind = rng.random()
        if kind < self.checker:
            read = rng.random() < 0.6
            lost = rng.choice((0, 0, 0, 0, 0, 2, 5, 12, 100))
            self._record(Do.CHECK, odometer_mm=self._typed() if read else None, lost=lost)
        elif kind < self.checker + 0.1:
            self._read()
        else:
            match rng.choice(("partial", "event", "loaded", "vehicle", "duty", "read", "mate")):
                case "partial":
                    self._record(Do.NOTHING)
                case "event":
                    self._record(Do.EVENT, word=rng.choice(EVENT_WORDS))
                case "loaded" if rng.random() < 0.6:
                    self._record(Do.START, odometer_mm=self.mm if rng.random() < 0.6 else None)
                case "vehicle" if rng.random() < 0.3:
                    self._another_vehicle()
                case "duty" if self.tells_duty:
                    words = (ON_DUTY, OFF_DUTY, SLEEPER)
                    self._record(Do.DUTY, who=self.at_the_wheel, word=rng.choice(words))
                case "mate" if self.team:
                    mate = MATES[1 - MATES.index(self.at_the_wheel)]
                    self._record(Do.DUTY, who=mate, word=rng.choice((ON_DUTY, OFF_DUTY, SLEEPER)))
                case _:
                    self._read()

    def _read(self) -> None:
        """A reading typed; a wrong one is sometimes put right later."""
        typed = self._typed()
        self._record(Do.READING, odometer_mm=typed)
        if typed != self.mm and not self.honest and self.rng.random() < 0.6:
            wrong, right = len(self.acts) - 1, self.mm
            self._pass(self.rng.randrange(0, 8) * MINUTE_MS)
            self._record(Do.CORRECT, odometer_mm=right, of=wrong)

    def _typed(self) -> int:
        """The odometer as somebody types it: whole miles, two digits swapped, another unit ..."""
        if self.honest:
            return self.mm
        miles = self.mm // MILE_MM
        match self.rng.randrange(9):
            case 0:
                digits = list(str(miles))
                place = self.rng.randrange(len(digits) - 1)
                digits[place], digits[place + 1] = digits[place + 1], digits[place]
                miles = int("".join(digits))
            case 1:
                miles = miles * 1609 // 1000
            case 2:
                miles -= self.rng.randrange(1, 300)
            case 3:
                miles = int(str(miles) + "0")
            case _:
                pass
        return max(0, miles) * MILE_MM

    def _another_vehicle(self) -> None:
        """The load goes on with another truck, whose odometer may not be read at first."""
        moved = self.mm - self.origin_mm
        self.mm = self.rng.randrange(9_000, 900_000) * MILE_MM
        self.origin_mm = self.mm - moved
        read = self.rng.random() < 0.7
        self._record(Do.START, odometer_mm=self.mm if read else None, anew=True)

    def _swap(self) -> None:
        """The two drivers change places: in one moment, or one after the other."""
        mate = MATES[1 - MATES.index(self.at_the_wheel)]
        rests = (Do.DUTY, self.at_the_wheel, self.rng.choice((SLEEPER, ON_DUTY)))
        drives = (Do.DUTY, mate, DRIVING)
        apart_ms = self.rng.choice((0, 0, 2 * MINUTE_MS))
        for do, who, word in self.rng.choice(((rests, drives), (drives, rests))):
            self._record(do, who=who, word=word)
            self._pass(apart_ms)
        self.at_the_wheel = mate

    def _pass(self, ms: int, mm_per_h: int = 0) -> None:
        self.now_ms += ms
        self.mm += mm_per_h * ms // HOUR_MS
        if ms:
            self.course.append((self.now_ms, self.mm - self.origin_mm))

    def _record(
        self,
        do: Do,
        *,
        who: str = "",
        word: str = "",
        odometer_mm: int | None = None,
        anew: bool = False,
        back_ms: int = 0,
        slips_in: bool = False,
        of: int = -1,
        lost: int = 0,
    ) -> None:
        act = Act(self.now_ms, do, who, word, odometer_mm, anew, back_ms, slips_in, of, lost=lost)
        self.acts.append(act)


def _happens_to_the_computer(rng: Random, end_ms: int, *, honest: bool) -> list[Act]:
    """Sleep, ends of the watcher, a busy journal; and the clock set, where not all is honest."""
    acts = []
    for _ in range(rng.choice((0, 0, 0, 1, 2))):
        ms = round(rng.choice((2, 10, 60)) * rng.uniform(0.3, 1.5) * MINUTE_MS)
        acts.append(Act(rng.randrange(end_ms), Do.SLEEP, ms=ms))
    for _ in range(rng.choice((0, 0, 1, 2, 4))):
        where = rng.choice(("between", "machine", "raised", "said", "saying", "handed over"))
        ms = round(rng.choice((0.1, 5, 40)) * rng.uniform(0.3, 1.5) * MINUTE_MS)
        acts.append(Act(rng.randrange(end_ms), Do.CRASH, word=where, ms=ms))
    for _ in range(rng.choice((0, 0, 1, 4))):
        acts.append(Act(rng.randrange(end_ms), Do.BUSY, ms=rng.randrange(1, 64)))
    for _ in range(rng.choice((0, 0, 1, 2))):
        ms = round(rng.choice((5, 60, 300)) * rng.uniform(0.3, 1.5) * MINUTE_MS)
        acts.append(Act(rng.randrange(end_ms), Do.OFFLINE, ms=ms))
    for _ in range(0 if honest else rng.choice((0, 0, 1, 2))):
        ms = round(rng.choice((-60, -20, -0.05, 0.02, 0.1, 30, 60)) * MINUTE_MS)
        at_ms = rng.randrange(end_ms)
        acts.append(Act(at_ms, Do.STEP, ms=ms))
        if rng.random() < 0.3:  # a machine that was off, and came up with another time
            off_ms = round(rng.choice((0.1, 5)) * rng.uniform(0.3, 1.5) * MINUTE_MS)
            acts.append(Act(at_ms, Do.CRASH, word="machine", ms=off_ms))
    return acts
