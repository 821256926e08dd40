"""A trip is lived: what happens is recorded, the watcher is turned, and the claims are asked."""

from contextlib import suppress
from datetime import date
from typing import Any

from scheduler.notify import FirstThatWorks
from scheduler.progress import to_ms
from scheduler.recheck_rules import RecheckRule
from scheduler.rules_combined import combined, rules_for
from scheduler.watch import HouseBusy, Watch
from tests.scheduler.day import DEPARTURE
from tests.scheduler.simulator.claims import ClaimBroken, Claims
from tests.scheduler.simulator.facts import Fact, What
from tests.scheduler.simulator.house import Clock, Crash, Jobs, MemoryHouse, Mouth
from tests.scheduler.simulator.office import MemoryOffice
from tests.scheduler.simulator.printed import HOUR_MS
from tests.scheduler.simulator.second import DRIVING
from tests.scheduler.simulator.trips import MINUTE_MS, Act, Do, Trip

STANDING_MS = 17 * MINUTE_MS
"""How often it is looked at while the vehicle stands: nothing grows then."""

RECORDED = {
    Do.DUTY: What.DUTY,
    Do.READING: What.READING,
    Do.CHECK: What.CHECK,
    Do.EVENT: What.EVENT,
    Do.START: What.START,
    Do.EXEMPT: What.EXEMPT,
    Do.END: What.END,
}


def rules_of(trip: Trip) -> tuple[RecheckRule, ...]:
    """The rules that run on a simulated trip; a trip across a border names both sets."""
    rules = rules_for(trip.rule_set.split(), date(2026, 3, 2), soft_load=trip.soft_load)
    return combined(rules).running


class Run:
    """One trip with its watcher. `by_hand`: jobs run by hand, not by the scheduling library."""

    def __init__(self, trip: Trip, *, by_hand: bool = True) -> None:
        self.trip = trip
        self._by_hand = by_hand
        begin_ms = to_ms(DEPARTURE)
        self._clock = Clock(begin_ms)
        first = [Fact(begin_ms, What.START, "departure", odometer_mm=trip.odometer_mm)]
        if trip.duty_known:
            first.append(Fact(begin_ms, What.DUTY, "departure", "driver-1", DRIVING))
        self.house = MemoryHouse(rules_of(trip), trip.top_speed_mm_per_h, first, self._clock)
        self.claims = Claims(trip, self.house, self._clock)
        self.claims.happened_ms["departure"] = 0
        self.house.on_asked = self.claims.note_look
        self.house.on_raise = self.claims.on_raise
        self.house.on_tell = self.claims.on_tell
        self._unreached_ms = 0
        self._now_ms = 0
        self._key_of: list[str] = []
        self._watch: Watch | None = None
        self._up_ms: int | None = 0
        self._awake_ms: int | None = None
        self._down_ms = 0
        self._was_busy = False
        self._unrecorded = False
        self._step_ms = 0
        self._slips: tuple[int, Act] | None = None

    def live(self) -> None:
        """Let it all happen. Raises ClaimBroken, with the minute it happened in.

        An error in what is watched is a claim broken too: that it goes on whatever happens.
        """
        try:
            left = list(enumerate(self.trip.acts))
            self._turn()
            while left:
                self._pass_until(self._next_ms(left[0][1].at_ms))
                self._unrecorded = left[0][1].at_ms < self._now_ms
                self._turn()
                while left and left[0][1].at_ms <= self._now_ms and self._awake_ms is None:
                    at_ms = left[0][1].at_ms
                    while left and left[0][1].at_ms == at_ms and self._awake_ms is None:
                        self._happen(*left.pop(0))
                    self._unrecorded = bool(left) and left[0][1].at_ms < self._now_ms
                    self._turn()
            self._end()
        except ClaimBroken as broken:
            raise ClaimBroken(f"{self._here()}: {broken}") from None
        except Exception as error:
            raise ClaimBroken(f"{self._here()}: it ended in an error, {error!r}") from error

    def _here(self) -> str:
        return f"trip {self.trip.seed}, minute {self._now_ms / MINUTE_MS:.3f}"

    def _next_ms(self, happens_ms: int) -> int:
        """The next moment to look at: something happens, or it is time, or just at a limit.

        Behind a clock set back each entry of one moment is dated a millisecond after the other, so
        that the trip's time runs on by so many after a look: there it is not asked to that.
        """
        if self._awake_ms is not None:
            return self._awake_ms
        running = self.claims.told.running
        moving = any(one.moving is not False for one in running)
        moments = [happens_ms, self._now_ms + (MINUTE_MS if moving else STANDING_MS)]
        if self._up_ms is not None and self._up_ms > self._now_ms:
            moments.append(self._up_ms)
        trip_ms = self.claims.now_ms()
        left = [ms for one in running if (ms := one.left_ms(trip_ms)) is not None and ms > 0]
        if trip_ms == self._clock.wall_ms:
            moments += [self._now_ms + ms for ms in left]
        return min(moments)

    def _pass_until(self, then_ms: int) -> None:
        gone_ms = max(0, then_ms - self._now_ms)
        self._now_ms += gone_ms
        self._clock.wall_ms += gone_ms
        self._clock.machine_ms += gone_ms
        if self._awake_ms is None:
            self._clock.awake_ms += gone_ms
        else:
            self._step_ms += gone_ms

    def _happen(self, number: int, act: Act) -> None:
        match act.do:
            case Do.SLEEP:
                self._awake_ms = self._now_ms + act.ms
            case Do.CRASH if act.word in ("between", "machine"):
                self._fall(act.ms)
                if act.word == "machine":
                    self._clock.starts_anew()
            case Do.CRASH:
                self.house.crash = act.word
                self._down_ms = act.ms
            case Do.OFFLINE:
                self._unreached_ms = max(self._unreached_ms, self._now_ms + act.ms)
            case Do.BUSY:
                self.house.busy = act.ms
            case Do.STEP:
                self._clock.wall_ms += act.ms
                self._step_ms += act.ms
            case Do.DUTY if act.slips_in and self._watch is not None:
                self._slip_in()
                self._slips = number, act
                self.house.slip_in = self._slip_in
            case _:
                if act.do is Do.DUTY:
                    self._slip_in()
                self._record(number, act)

    def _slip_in(self) -> None:
        """Another process writes down what has been waiting to be."""
        if self._slips is not None:
            waiting, self._slips, self.house.slip_in = self._slips, None, None
            self._record(*waiting)

    def _record(self, number: int, act: Act) -> None:
        recorded = list(self.house.recorded)
        at_ms = self.house.now_ms()
        if act.do is Do.CORRECT:
            recorded = [
                fact._replace(odometer_mm=act.odometer_mm)
                if fact.key == self._key(act.of)
                else fact
                for fact in recorded
            ]
        elif act.do is not Do.NOTHING:
            late_ms = self._now_ms - act.at_ms
            at_ms = self._free_ms(at_ms - act.back_ms - late_ms, act)
            fact = Fact(
                at_ms,
                RECORDED[act.do],
                f"e{number}",
                act.who,
                act.word,
                act.odometer_mm,
                act.anew,
                act.lost,
            )
            self.claims.happened_ms[fact.key] = act.at_ms
            last_ms = max(one.at_ms for one in recorded)
            self.claims.orderly = self.claims.orderly and fact.at_ms >= last_ms
            recorded.append(fact)
        self.house.write(recorded, at_ms=at_ms)

    def _key(self, of: int) -> str:
        """The key of the reading that is the so-manieth thing recorded by people."""
        by_people = [
            number
            for number, act in enumerate(self.trip.acts)
            if act.do in RECORDED or act.do in (Do.CORRECT, Do.NOTHING)
        ]
        return f"e{by_people[of]}"

    def _free_ms(self, at_ms: int, act: Act) -> int:
        """The moment, or the next free one: only two drivers who swap share one."""
        taken = {
            one.at_ms
            for one in self.house.recorded
            if not (
                one.what is What.DUTY
                and act.do is Do.DUTY
                and self.claims.happened_ms[one.key] == act.at_ms
            )
        }
        while at_ms in taken:
            at_ms += 1
        return at_ms

    def _turn(self) -> None:
        """Wake, begin again or turn the watcher, as things are; then ask what must hold."""
        if self._awake_ms is not None and self._now_ms >= self._awake_ms:
            self._awake_ms = None
        if self._awake_ms is not None:
            return
        try:
            if self._watch is None:
                if self._up_ms is None or self._now_ms < self._up_ms:
                    return
                self._begin()
            self._look_until_quiet()
        except Crash:
            self._fall(self._down_ms)
            return
        step_ms, self._step_ms = self._step_ms, 0
        self.claims.steps_written(step_ms)
        self.claims.same_now()
        self.claims.all_said()
        self.claims.office_told()
        if self.trip.honest and self._slips is None and not self._unrecorded:
            self.claims.never_late_to_tell(self._now_ms)

    def _look_until_quiet(self) -> None:
        """Turn the watcher as often as two seconds would, while anything is left to look at."""
        assert self._watch is not None
        for _ in range(20):
            for _ in range(max(1, self._run_jobs(self._watch.scheduler))):
                self._watch.wait_and_look(0)
            if not self._was_busy and self.house.is_seen:
                return
            self._was_busy = False
            self._pass_until(self._now_ms + 2_000)
        raise ClaimBroken("the watcher never comes to rest")

    def _run_jobs(self, scheduler: Any) -> int:
        now = self._clock.wall()
        if isinstance(scheduler, Jobs):
            return scheduler.run_until(now)
        due = [job for job in scheduler.get_jobs() if job.next_run_time <= now]
        for job in due:
            job.func(*job.args)
            job.remove()
        return len(due)

    def _begin(self) -> None:
        """A new watcher over the same journal."""
        self._up_ms = None
        self._step_ms = self.house.stepped_ms = 0
        self._watch = Watch(
            self.house,
            self._clock,
            FirstThatWorks([Mouth(self.house, self.claims.on_speech)]),
            office=self._office(),
            on_look=self.claims.on_look,
            on_busy=self._note_busy,
        )
        if self._by_hand:
            self._watch.scheduler = Jobs()
        self._watch.start(paused=True)

    def _office(self) -> MemoryOffice | None:
        if self.trip.margin_mm is None:
            return None
        return MemoryOffice(
            self.house,
            self._clock,
            self.trip.margin_mm,
            lambda: self._now_ms >= self._unreached_ms,
        )

    def _note_busy(self, _busy: HouseBusy) -> None:
        self._was_busy = True

    def _fall(self, down_ms: int) -> None:
        """The watcher ends; it is begun again after a time."""
        if self._watch is not None:
            self._watch.scheduler.shutdown(wait=False)
        for raised in self.house.raised.values():
            raised.cut_off = raised.cut_off or not raised.outcomes
        self._watch, self._up_ms, self.house.crash = None, self._now_ms + down_ms, None
        self._slip_in()

    def _reach_the_office(self) -> None:
        """Once the office can be reached, the outbox empties: the longest pause is an hour."""
        self._pass_until(max(self._now_ms, self._unreached_ms))
        for _ in range(20):
            self._pass_until(self._now_ms + HOUR_MS)
            self._turn()
            if all(message.is_told for message in self.house.outbox.values()):
                break
        self.claims.outbox_empty()

    def _end(self) -> None:
        """Bring everything up once more, and ask what must hold of the whole."""
        self._slip_in()
        self.house.crash = None
        self._pass_until(max(self._now_ms, self._up_ms or 0, self._awake_ms or 0))
        self._turn()
        self._turn()
        self._reach_the_office()
        self.claims.at_the_end()
        if self._watch is not None:
            with suppress(Exception):
                self._watch.scheduler.shutdown(wait=False)
