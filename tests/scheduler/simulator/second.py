"""A second telling of the duty rules, deliberately simple: fact by fact, in plain arithmetic.

It was written from the sources, not from `scheduler/`, and shares no code with it: the limits as
`printed`; what starts, closes and zeroes a counter is our reading of 49 CFR 392.9(b), told again.
"""

from itertools import pairwise
from typing import NamedTuple

from tests.scheduler.simulator.facts import ALLOWED_HUNDREDTHS, Fact, What, Written
from tests.scheduler.simulator.printed import (
    AT_THE_WHEEL,
    EVERY_SO_LONG,
    FIRST,
    HOUR_MS,
    KM_MM,
    TIMED,
    Country,
    Printed,
)

HUNDRED_KM_MM = 100 * KM_MM
STEP_MS = 2_000
"""A wall clock that is off by more was set; less is drift."""
HAIR_MM = 50
"""The scheduler rounds each stretch up to the millimetre; within so many of a limit both hold."""

DRIVING, ON_DUTY, OFF_DUTY, SLEEPER = "driving", "on duty", "off duty", "sleeper"
ROLLING_FIRST = (DRIVING, ON_DUTY, SLEEPER, OFF_DUTY)


class Running(NamedTuple):
    """One due check that runs. Measured: `limit` given, `known` and `bound` up to `as_of_ms`.

    Due at once: `limit` None, late since `late_ms`, `known` and `bound` driven since then. `bound`
    None: nobody knows. `moving`: driven, or for work time worked, after `as_of_ms` (None: it may
    be). `binds`: it is no mere advice.
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
    binds: bool

    @property
    def name(self) -> tuple[str, int, str]:
        """What it counts, how far as printed, and the fact it counts from."""
        printed = 0 if self.kind == "observed_loss" else self.limit or 0
        return self.kind, printed, self.since

    def grown(self, now_ms: int) -> tuple[int, int | None]:
        """What is known and the most it can be, at a moment."""
        gone = max(0, now_ms - self.as_of_ms) if self.moving is not False else 0
        if gone == 0:
            return self.known, self.bound
        if self.kind in TIMED:
            known = self.known + gone if self.moving else self.known
            return known, None if self.bound is None else self.bound + gone
        if self.bound is None or self.top is None or (self.limit is None and self.late_ms is None):
            return self.known, self.bound if self.limit is None and self.late_ms is None else None
        return self.known, self.bound + _up(self.top * gone)

    def left_ms(self, now_ms: int) -> int | None:
        """How long until a limit of time is reached to the millisecond; None: nobody knows."""
        _, bound = self.grown(now_ms)
        if self.kind not in TIMED or self.limit is None or bound is None or self.moving is False:
            return None
        return self.limit - bound

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
        hair = 0 if self.kind in TIMED else HAIR_MM
        return {self._within(bound), self._within(bound - hair)}

    def _within(self, bound: int) -> str:
        assert self.limit is not None
        if bound >= self.limit:
            return "due"
        return "coming up" if bound * 10 >= self.limit * 8 else "nothing due"

    def hundreds(self, now_ms: int) -> tuple[int, int]:
        """Full 100 km driven beyond the limit, by the upper bound: surely, and at most.

        Work goes on while the vehicle stands: nothing is said to be driven by it.
        """
        if self.kind == "work_time":
            return 0, 0
        known, bound = self.grown(now_ms)
        beyond = max(0, (known if bound is None else bound) - (self.limit or 0))
        if self.kind in AT_THE_WHEEL:
            beyond = beyond * (self.top or 0) // HOUR_MS
        return max(0, beyond - HAIR_MM) // HUNDRED_KM_MM, (beyond + HAIR_MM) // HUNDRED_KM_MM

    def for_the_office(self, now_ms: int, margin_mm: int) -> tuple[bool, bool]:
        """Whether it is late by more than the margin, and it binds: surely, and perhaps.

        Time at the wheel counts as the way it holds at the top speed; where nobody knows how far,
        there is no margin to wait for.
        """
        if not self.binds or self.states(now_ms) != {"late"}:
            return False, False
        known, bound = self.grown(now_ms)
        if self.limit is None:
            if bound is None:
                return True, True
            return bound - HAIR_MM > margin_mm, bound + HAIR_MM > margin_mm
        beyond = known - self.limit
        if self.kind not in AT_THE_WHEEL:
            return beyond > margin_mm, beyond > margin_mm
        far = self.top is None or beyond * self.top > margin_mm * HOUR_MS
        return far, far


class Told(NamedTuple):
    """Everything told from the facts: what runs, who may be spoken to, how often it stopped."""

    running: tuple[Running, ...]
    duty: str | None
    stops: int


class _Step(NamedTuple):
    """A fact; whether the vehicle moves, and anybody works, after it (None: nobody knows)."""

    fact: Fact
    moving: bool | None
    working: bool | None


class _AtOnce(NamedTuple):
    """Something due at once: the fact it is from, when driving resumed after it."""

    key: str
    at_ms: int
    late_ms: int | None


def tell(facts: list[Fact], top: int | None, country: Country) -> Told:
    """What runs on a trip whose facts are these, in order of time, the departure among them."""
    steps = _steps(facts)
    duty, stops = _duty(facts), _stops(facts)
    if any(fact.what is What.END for fact in facts):
        return Told((), duty, stops)
    starts = [fact for fact in facts if fact.what is What.START]
    departed_ms = starts[0].at_ms
    checks = [fact for fact in facts if fact.what is What.CHECK and fact.at_ms > departed_ms]
    base, last = checks[-1] if checks else starts[0], starts[-1]
    exempt = any(fact.what is What.EXEMPT for fact in facts)
    as_of_ms = counted_last_ms(facts)
    first_made = any(_went(steps, last, one, top) for one in checks if one.at_ms > last.at_ms)

    def run(
        kind: str,
        since: str,
        limit: int | None,
        amounts: tuple[int, int | None],
        late_ms: int | None = None,
        *,
        moving: bool | None,
        binds: bool,
    ) -> Running:
        return Running(kind, since, limit, *amounts, late_ms, as_of_ms, moving, exempt, top, binds)

    def limited(row: Printed, since: Fact) -> Running:
        works = row.kind == "work_time"
        known: int
        bound: int | None
        if row.kind in TIMED:
            known, bound = _time(steps, since.at_ms, works=works)
        else:
            known, bound, _ = _distance(steps, since.at_ms, top)
        moving = steps[-1].working if works else steps[-1].moving
        return run(row.kind, since.key, row.limit, (known, bound), moving=moving, binds=row.binds)

    def at_once(kind: str, since: str, late_ms: int | None) -> Running:
        driven = (0, 0) if late_ms is None else _distance(steps, late_ms, top)[:2]
        return run(kind, since, None, driven, late_ms, moving=steps[-1].moving, binds=True)

    found = [
        limited(row, last if row.kind in FIRST else base)
        for row in (*country.limits, *_by_loss(steps, [starts[0], *checks], country))
        if not (row.kind in FIRST and first_made)
    ]
    change, loading, events = _due_at_once(facts, departed_ms)
    if change is not None and "duty_change" in country.at_once:
        found.append(at_once("duty_change", base.key, change.late_ms))
    if loading is not None and "load_change" in country.at_once:
        found.append(at_once("load_change", loading.key, loading.late_ms))
    found.extend(at_once("event", event.key, event.late_ms) for event in events)
    return Told(tuple(found), duty, stops)


def counted_last_ms(facts: list[Fact]) -> int:
    """When the last thing happened that counts; an exemption and the end count nothing."""
    return max(fact.at_ms for fact in facts if fact.what not in (What.EXEMPT, What.END))


def trip_time_ms(facts: list[Fact], written: list[Written], here: Written) -> int:
    """What time it is on the trip: the wall clock's, unless that was set back behind what counts.

    Then it is as much later than the last thing written as has passed since, by the machine's own
    time; that starts anew with the machine, and then nobody knows how much has. As long as the
    machine runs on, no time that has passed is taken back, whatever the wall clock says.
    """
    then = [one for one in written if one.as_it_happened][-1:]
    for one in then:
        carried_ms = one.at_ms + max(1, here.passed_ms - one.passed_ms)
        if one.machine == here.machine and carried_ms - here.at_ms > STEP_MS:
            return carried_ms
    if counted_last_ms(facts) <= here.at_ms:
        return here.at_ms
    last_ms = max(one.at_ms for one in written)
    if last_ms <= here.at_ms:
        return here.at_ms
    last = next(one for one in written if one.at_ms == last_ms)
    passed_ms = here.passed_ms - last.passed_ms if here.machine == last.machine else 0
    return last_ms + max(1, passed_ms)


def _steps(facts: list[Fact]) -> list[_Step]:
    statuses: dict[str, str] = {}
    steps = []
    for fact in facts:
        if fact.what is What.DUTY:
            statuses[fact.who] = fact.word
        words = set(statuses.values())
        moving = DRIVING in words if words else None
        steps.append(_Step(fact, moving, bool(words & {DRIVING, ON_DUTY}) if words else None))
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


def _time(steps: list[_Step], begin_ms: int, *, works: bool) -> tuple[int, int]:
    """Milliseconds driven, or worked, since a moment: recorded as such, and the most it can be."""
    known = bound = 0
    for before, step in pairwise(steps):
        gone = max(0, step.fact.at_ms - max(begin_ms, before.fact.at_ms))
        at_it = before.working if works else before.moving
        known += gone if at_it else 0
        bound += gone if at_it is not False else 0
    return known, bound


def _by_loss(steps: list[_Step], looks: list[Fact], country: Country) -> list[Printed]:
    """The advice a loss of tension at the last check makes: none that is longer than what is there.

    Our own rule of thumb: what was lost is lost again in as long, and a loss is misjudged by 5
    hundredths of the tension, 1.645 times which is beyond all but 5 % of misjudgements. In whole
    minutes.
    """
    if len(looks) < 2 or not looks[-1].lost:
        return []
    until = [step for step in steps if step.fact.at_ms <= looks[-1].at_ms]
    driven_ms, _ = _time(until, looks[-2].at_ms, works=False)
    if not driven_ms:
        return []
    minutes = driven_ms * ALLOWED_HUNDREDTHS * 1_000 // (looks[-1].lost * 1_000 + 8_225) // 60_000
    limit = max(1, minutes) * 60_000
    shortest = min((one.limit for one in country.limits if one.kind in EVERY_SO_LONG), default=None)
    is_shorter = shortest is None or limit < shortest
    return [Printed("observed_loss", limit, False)] if is_shorter else []


def _due_at_once(
    facts: list[Fact], departed_ms: int
) -> tuple[_AtOnce | None, _AtOnce | None, list[_AtOnce]]:
    """The open duty change and loading, if any, and the open events: moment by moment."""
    statuses: dict[str, str] = {}
    change: _AtOnce | None = None
    loading: _AtOnce | None = None
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
            if fact.what is What.START and at_ms > departed_ms and loading is None:
                loading = _AtOnce(fact.key, at_ms, None)
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
            change, loading = _late_from(change, at_ms), _late_from(loading, at_ms)
            events = [one for event in events if (one := _late_from(event, at_ms))]
        if wheel_now:
            stood = looked = False
        elif statuses and (wheel or not was_known):
            stood, looked = True, False
        if any(fact.what is What.CHECK for fact in now):
            looked = stood
            change, loading, events = None, None, []
    return change, loading, events


def _late_from(one: _AtOnce | None, at_ms: int) -> _AtOnce | None:
    return one._replace(late_ms=at_ms) if one is not None and one.late_ms is None else one


def _up(mm_hours: int) -> int:
    """Millimetres an hour times milliseconds, as millimetres rounded up."""
    return -(-mm_hours // HOUR_MS)
