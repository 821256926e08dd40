"""A second telling of the duty rules, deliberately simple: fact by fact, in plain arithmetic.

It was written from the sources, not from `scheduler/`, and shares no code with it: 49 CFR 392.9(b)
as printed; what starts, closes and zeroes a counter is our reading of it, told again here.
"""

from itertools import pairwise
from typing import NamedTuple

from tests.scheduler.simulator.facts import Fact, What

HOUR_MS = 3_600_000
MILE_MM = 1_609_344
KM_MM = 1_000_000
HUNDRED_KM_MM = 100 * KM_MM
HAIR_MM = 50
"""The scheduler rounds each stretch up to the millimetre; within so many of a limit both hold."""

DRIVING, ON_DUTY, OFF_DUTY, SLEEPER = "driving", "on duty", "off duty", "sleeper"
ROLLING_FIRST = (DRIVING, ON_DUTY, SLEEPER, OFF_DUTY)

LIMITS: dict[str, dict[str, int]] = {
    # 49 CFR 392.9(b)(2) and (3): 50 miles, 150 miles, 3 hours.
    "us-392.9": {
        "first_distance": 50 * MILE_MM,
        "distance": 150 * MILE_MM,
        "driving_time": 3 * HOUR_MS,
    },
    # NSC Standard 10 s.3, as the Ontario truck driver handbook restates it: 80 km, 240 km, 3 hours.
    "ca-nsc10": {
        "first_distance": 80 * KM_MM,
        "distance": 240 * KM_MM,
        "driving_time": 3 * HOUR_MS,
    },
    # Across the border the smaller of each kind: 50 mi are 80.5 km, 150 mi 241.4 km. Our reading.
    "us-392.9 ca-nsc10": {
        "first_distance": 80 * KM_MM,
        "distance": 240 * KM_MM,
        "driving_time": 3 * HOUR_MS,
    },
}
"""By rule set and kind: millimetres, or milliseconds at the wheel."""


class Running(NamedTuple):
    """One due check that runs. Measured: `limit` given, `known` and `bound` up to `as_of_ms`.

    Due at once: `limit` None, late since `late_ms`, `known` and `bound` driven since then. `bound`
    None: nobody knows. `moving`: driven after `as_of_ms` (None: it may be).
    """

    kind: str
    since: str
    limit: int | None
    known: int
    bound: int | None
    late_ms: int | None
    as_of_ms: int
    moving: bool | None
    exempt: bool
    top: int | None

    @property
    def name(self) -> tuple[str, str]:
        """What it counts, and the fact it counts from."""
        return self.kind, self.since

    def grown(self, now_ms: int) -> tuple[int, int | None]:
        """What is known and the most it can be, at a moment."""
        gone = max(0, now_ms - self.as_of_ms) if self.moving is not False else 0
        if gone == 0:
            return self.known, self.bound
        if self.kind == "driving_time":
            known = self.known + gone if self.moving else self.known
            return known, None if self.bound is None else self.bound + gone
        if self.bound is None or self.top is None or (self.limit is None and self.late_ms is None):
            return self.known, self.bound if self.limit is None and self.late_ms is None else None
        return self.known, self.bound + _up(self.top * gone)

    def states(self, now_ms: int) -> set[str]:
        """How it stands: one word, or two within a hair of a limit."""
        if self.exempt and self.kind != "event":
            return {"exempt"}
        if self.limit is None:
            return {"due" if self.late_ms is None else "late"}
        known, bound = self.grown(now_ms)
        if known >= self.limit:
            return {"late" if known > self.limit else "due"}
        if bound is None:
            return {"cannot tell"}
        hair = 0 if self.kind == "driving_time" else HAIR_MM
        return {self._within(bound), self._within(bound - hair)}

    def _within(self, bound: int) -> str:
        assert self.limit is not None
        if bound >= self.limit:
            return "due"
        return "coming up" if bound * 10 >= self.limit * 8 else "nothing due"

    def hundreds(self, now_ms: int) -> tuple[int, int]:
        """Full 100 km driven beyond the limit, by the upper bound: surely, and at most."""
        known, bound = self.grown(now_ms)
        beyond = max(0, (known if bound is None else bound) - (self.limit or 0))
        if self.kind == "driving_time":
            beyond = beyond * (self.top or 0) // HOUR_MS
        return max(0, beyond - HAIR_MM) // HUNDRED_KM_MM, (beyond + HAIR_MM) // HUNDRED_KM_MM


class Told(NamedTuple):
    """Everything told from the facts: what runs, who may be spoken to, how often it stopped."""

    running: tuple[Running, ...]
    duty: str | None
    stops: int


class _Step(NamedTuple):
    """A fact, and whether the vehicle moves after it (None: no duty status is known)."""

    fact: Fact
    moving: bool | None


class _AtOnce(NamedTuple):
    """Something due at once: the fact it is from, when driving resumed after it."""

    key: str
    at_ms: int
    late_ms: int | None


def tell(facts: list[Fact], top: int | None, rule_set: str) -> Told:
    """What runs on a trip whose facts are these, in order of time, the departure among them."""
    steps = _steps(facts)
    duty, stops = _duty(facts), _stops(facts)
    if any(fact.what is What.END for fact in facts):
        return Told((), duty, stops)
    starts = [fact for fact in facts if fact.what is What.START]
    departed_ms = starts[0].at_ms
    checks = [fact for fact in facts if fact.what is What.CHECK and fact.at_ms > departed_ms]
    base = checks[-1] if checks else starts[0]
    exempt = any(fact.what is What.EXEMPT for fact in facts)
    as_of_ms = max(fact.at_ms for fact in facts if fact.what not in (What.EXEMPT, What.END))
    moving = steps[-1].moving

    def run(
        kind: str,
        since: str,
        limit: int | None,
        amounts: tuple[int, int | None],
        late_ms: int | None = None,
    ) -> Running:
        return Running(kind, since, limit, *amounts, late_ms, as_of_ms, moving, exempt, top)

    def at_once(kind: str, since: str, late_ms: int | None) -> Running:
        driven: tuple[int, int | None] = (0, 0)
        if late_ms is not None:
            known, bound, _ = _distance(steps, late_ms, top)
            driven = known, bound
        return run(kind, since, None, driven, late_ms)

    limits = LIMITS[rule_set]
    found: list[Running] = []
    last = starts[-1]
    if not any(_went(steps, last, check, top) for check in checks if check.at_ms > last.at_ms):
        found.append(
            run(
                "first_distance",
                last.key,
                limits["first_distance"],
                _distance(steps, last.at_ms, top)[:2],
            )
        )
    found.append(
        run("distance", base.key, limits["distance"], _distance(steps, base.at_ms, top)[:2])
    )
    found.append(
        run("driving_time", base.key, limits["driving_time"], _at_the_wheel(steps, base.at_ms))
    )
    change, events = _due_at_once(facts, departed_ms)
    if change is not None:
        found.append(at_once("duty_change", base.key, change.late_ms))
    found.extend(at_once("event", event.key, event.late_ms) for event in events)
    return Told(tuple(found), duty, stops)


def _steps(facts: list[Fact]) -> list[_Step]:
    statuses: dict[str, str] = {}
    steps = []
    for fact in facts:
        if fact.what is What.DUTY:
            statuses[fact.who] = fact.word
        steps.append(_Step(fact, DRIVING in statuses.values() if statuses else None))
    return steps


def _duty(facts: list[Fact]) -> str | None:
    """The status that says who may be spoken to: driving beats on duty, sleeper, off duty."""
    statuses = {fact.who: fact.word for fact in facts if fact.what is What.DUTY}
    return next((word for word in ROLLING_FIRST if word in statuses.values()), None)


def _stops(facts: list[Fact]) -> int:
    """How often the driving has ended on the trip."""
    moving = list({step.fact.at_ms: step.moving for step in _steps(facts)}.values())
    return sum(1 for before, after in pairwise(moving) if before and not after)


def _distance(steps: list[_Step], begin_ms: int, top: int | None) -> tuple[int, int | None, bool]:
    """Since a moment: read off, the most it can be (None: nobody knows), whether it went at all."""
    odometer: int | None = None
    known, bound, guessed = 0, 0, False
    unread = 0  # milliseconds that may have been driven since the odometer was read
    begun, no_bound = False, False
    for before, step in zip([None, *steps], steps, strict=False):
        fact = step.fact
        if not begun and fact.at_ms > begin_ms:
            begun = True
            odometer, unread = None if unread else odometer, 0
            known, bound, guessed, no_bound = 0, 0, False, False
        if before is not None and before.moving is not False:
            unread += fact.at_ms - before.fact.at_ms
        if fact.odometer_mm is None and not fact.anew:
            continue
        read_on = None if fact.anew or fact.odometer_mm is None else fact.odometer_mm
        if odometer is not None and read_on is not None and read_on >= odometer:
            known += read_on - odometer
            bound += read_on - odometer
        elif unread:
            guessed, no_bound = True, no_bound or top is None
            bound += _up((top or 0) * unread)
        odometer, unread = fact.odometer_mm, 0
    if not begun:
        return 0, 0, False
    if unread:
        guessed, no_bound = True, no_bound or top is None
        bound += _up((top or 0) * unread)
    return known, None if no_bound else bound, guessed or known > 0


def _went(steps: list[_Step], start: Fact, check: Fact, top: int | None) -> bool:
    """Whether a check has more than no distance behind it since a start."""
    until = [step for step in steps if step.fact.at_ms <= check.at_ms]
    return _distance(until, start.at_ms, top)[2]


def _at_the_wheel(steps: list[_Step], begin_ms: int) -> tuple[int, int]:
    """Milliseconds driven since a moment: recorded as driving, and the most it can be."""
    known = bound = 0
    for before, step in pairwise(steps):
        gone = max(0, step.fact.at_ms - max(begin_ms, before.fact.at_ms))
        known += gone if before.moving else 0
        bound += gone if before.moving is not False else 0
    return known, bound


def _due_at_once(facts: list[Fact], departed_ms: int) -> tuple[_AtOnce | None, list[_AtOnce]]:
    """The open duty change, if any, and the open events: moment by moment."""
    statuses: dict[str, str] = {}
    change: _AtOnce | None = None
    events: list[_AtOnce] = []
    stood = False  # a stop on the road goes on: standing since before departure is none
    looked = False  # a completed check was made in it
    for at_ms in sorted({fact.at_ms for fact in facts}):
        now = [fact for fact in facts if fact.at_ms == at_ms]
        wheel = {who for who, word in statuses.items() if word == DRIVING}
        was_known = bool(statuses)
        for fact in now:
            if fact.what is What.EVENT:
                events.append(_AtOnce(fact.key, at_ms, None))
            if fact.what is not What.DUTY:
                continue
            before = statuses.get(fact.who)
            statuses[fact.who] = fact.word
            is_change = before != fact.word and (before is not None or fact.word == DRIVING)
            if at_ms > departed_ms and is_change and not (stood and looked) and change is None:
                change = _AtOnce(fact.key, at_ms, None)
        wheel_now = {who for who, word in statuses.items() if word == DRIVING}
        swapped = bool(wheel and wheel_now and not wheel & wheel_now)
        if at_ms <= departed_ms:
            continue
        if wheel_now and (stood or swapped):
            change = _late_from(change, at_ms)
            events = [one for event in events if (one := _late_from(event, at_ms))]
        if wheel_now:
            stood = looked = False
        elif statuses and (wheel or not was_known):
            stood, looked = True, False
        if any(fact.what is What.CHECK for fact in now):
            looked = stood
            change, events = None, []
    return change, events


def _late_from(one: _AtOnce | None, at_ms: int) -> _AtOnce | None:
    return one._replace(late_ms=at_ms) if one is not None and one.late_ms is None else one


def _up(mm_hours: int) -> int:
    """Millimetres an hour times milliseconds, as millimetres rounded up."""
    return -(-mm_hours // HOUR_MS)
