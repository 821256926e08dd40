"""What must hold on every trip, by the second telling of the rules."""

from collections.abc import Iterable

from scheduler.due import DueCheck, at
from scheduler.notify import Outcome
from scheduler.progress import from_ms, to_ms
from scheduler.prompts import Channel, Prompt
from scheduler.watch import Look
from tests.scheduler.simulator.facts import TRIP
from tests.scheduler.simulator.house import Clock, MemoryHouse
from tests.scheduler.simulator.printed import country_of
from tests.scheduler.simulator.second import (
    OFF_DUTY,
    ON_DUTY,
    SLEEPER,
    STEP_MS,
    Running,
    Told,
    tell,
    trip_time_ms,
)
from tests.scheduler.simulator.trips import Trip

TO_SAY = {"coming up", "due", "late"}
OWED = {"due", "late"}
NO_TONE_WHEN_DUE = {"duty_change", "load_change"}
Name = tuple[str, int, str]


class ClaimBroken(AssertionError):
    """Something that must hold on every trip did not."""


class Claims:
    """Everything claimed about one trip; raises ClaimBroken."""

    def __init__(self, trip: Trip, house: MemoryHouse, clock: Clock) -> None:
        self.trip, self.house, self.clock = trip, house, clock
        self.orderly = True
        """No duty status was recorded out of its order in time: stops keep their numbers."""
        self.happened_ms: dict[str, int] = {}
        """By the key of a fact, when it truly happened."""
        self._country = country_of(trip.rule_set, soft_load=trip.soft_load)
        self._kinds = {rule.id: (str(rule.kind), rule.limit_count or 0) for rule in house.rules}
        self._kinds["observed-loss"] = "observed_loss", 0
        self._looked_ms = 0
        self._now: tuple[tuple[int, int], int] = ((0, 0), 0)
        self._told: tuple[int, Told] = (-1, Told((), None, 0))
        self._tones: dict[Name, list[str]] = {}
        self._texts: dict[Name, list[tuple[str, int]]] = {}
        self._most_hundreds: dict[Name, int] = {}
        """By name, how many full 100 km it was ever late by, at the most."""
        self._told_hundreds: dict[Name, int] = {}
        """By name, how many a tone has told of."""

    @property
    def told(self) -> Told:
        """What the second telling makes of the facts as they stand."""
        if self._told[0] != self.house.version:
            told = tell(self.house.facts, self.trip.top_speed_mm_per_h, self._country)
            self._told = self.house.version, told
        return self._told[1]

    def note_look(self) -> None:
        """The watcher asks how things stand now."""
        self.note_now()
        self._looked_ms = self._now[1]

    def note_now(self) -> None:
        """Tell the trip's time anew: what is written in this very moment makes it later."""
        at_ms = trip_time_ms(self.house.facts, self.house.written, self.clock.here())
        self._now = (self.clock.wall_ms, self.clock.machine_ms), at_ms

    def now_ms(self) -> int:
        """The trip's time, as at the last look of this moment."""
        if self._now[0] != (self.clock.wall_ms, self.clock.machine_ms):
            self.note_now()
        return self._now[1]

    def may(self, channel: Channel) -> bool:
        """Whether a channel is allowed now."""
        if channel is Channel.TEXT:
            return self.told.duty == ON_DUTY
        return self.told.duty not in (OFF_DUTY, SLEEPER)

    def on_look(self, look: Look) -> None:
        """States at a moment looked at are the same by both tellings, from the same facts."""
        if self.house.decided_on != self.house.version:
            return
        for trip in look.trips:
            at_ms, ours_ms = to_ms(trip.at), self.now_ms()
            at_it = at_ms == ours_ms or not self.told.running
            self._hold(at_it, f"looked at {at_ms} of the trip, not at {ours_ms}")
            self._same(trip.due_checks, ours_ms)

    def same_now(self) -> None:
        """The same, asked at any moment."""
        now_ms = self.now_ms()
        self._same([at(one, from_ms(now_ms)) for one in self.house.counters()], now_ms)

    def on_raise(self, prompt: Prompt) -> None:
        """What is said is due or coming up, may be said now, and was not said before."""
        name = self._name(prompt.due_key)
        running = {one.name: one for one in self.told.running}.get(name)
        self._hold(running is not None, f"{prompt.idem} is raised but does not run")
        assert running is not None
        states = running.states(self.now_ms())
        self._hold(prompt.stage in states & TO_SAY, f"{prompt.idem} is raised but is {states}")
        self._hold(self.may(prompt.channel), f"{prompt.idem} is raised while {self.told.duty}")
        self._hold(prompt.idem not in self.house.raised, f"{prompt.idem} is raised twice")
        if prompt.channel is Channel.TEXT:
            texts = self._texts.setdefault(name, [])
            here = (str(prompt.stage), self.told.stops)
            self._hold(here not in texts or not self.orderly, f"{prompt.idem} twice in a stop")
            texts.append(here)
        else:
            self._tone(prompt, name, running)

    def _tone(self, prompt: Prompt, name: Name, running: Running) -> None:
        tones = self._tones.setdefault(name, [])
        most_now = self._note_hundreds(running)
        if prompt.stage == "coming up":
            self._hold(not tones, f"{prompt.idem} comes after {tones}")
        if running.kind in NO_TONE_WHEN_DUE:
            self._hold(prompt.stage == "late", f"{prompt.idem}: no tone before it is late")
        tones.append(str(prompt.stage))
        first = 2 if running.kind == "event" else 1
        owed = [tone for tone in tones if tone in OWED]
        if owed:
            before = self._told_hundreds.get(name, 0)
            self._told_hundreds[name] = max(before, most_now)
        most = first + self._most_hundreds.get(name, 0)
        self._hold(len(owed) <= most, f"{prompt.idem}: tones {tones}, at most {most} once due")

    def on_speech(self, channel: Channel) -> None:
        """Nothing is said, first or repeated, on a channel that is not allowed at that moment."""
        self._hold(self.may(channel), f"a {channel} while {self.told.duty}")

    def on_tell(self, due_key: str) -> None:
        """The office is told of what is late beyond the margin and binds, and once."""
        name = self._name(due_key)
        self._hold(due_key not in self.house.outbox, f"the office is told of {name} twice")
        assert self.trip.margin_mm is not None
        running = {one.name: one for one in self.told.running}.get(name)
        perhaps = running and running.for_the_office(self.now_ms(), self.trip.margin_mm)[1]
        self._hold(bool(perhaps), f"the office is told of {name}: {running}")

    def office_told(self) -> None:
        """After a look, the office has a message about whatever is late beyond the margin."""
        if self.trip.margin_mm is None:
            return
        told = {self._name(due_key) for due_key in self.house.outbox}
        for running in self.told.running:
            surely, _ = running.for_the_office(self.now_ms(), self.trip.margin_mm)
            self._hold(not surely or running.name in told, f"the office misses {running.name}")

    def outbox_empty(self) -> None:
        """The office got each message, once; again only after a cut, and marked so."""
        for due_key, message in self.house.outbox.items():
            marks = [repeated for _, repeated in message.handed]
            self._hold(message.is_told and bool(marks), f"the office never got {due_key}")
            once = marks == [False] or (message.cut_off and marks[1:] == [True] * len(marks[1:]))
            self._hold(once, f"{due_key} came to the office, repeated? {marks}")

    def all_said(self) -> None:
        """After a look, whatever may be said has been said; so is each further 100 km late.

        Where a clock set back has caught up with what was counted last, the trip's time falls back
        to it, behind the last look; nobody looks for that.
        """
        told, now_ms = self.told, self.now_ms()
        if now_ms < self._looked_ms:
            return
        for running in told.running:
            self._note_hundreds(running)
            states = running.states(now_ms)
            if not states <= TO_SAY:
                continue
            tones = self._tones.get(running.name, [])
            if self.may(Channel.TONE):
                self._all_tones(running, states, tones)
            if self.may(Channel.TEXT):
                texts = self._texts.get(running.name, [])
                here = [stage for stage, stop in texts if stop == told.stops or not self.orderly]
                self._hold(
                    bool(states & set(here)),
                    f"{running.name} is {states} at stop {told.stops}: texts {texts}",
                )

    def _all_tones(self, running: Running, states: set[str], tones: list[str]) -> None:
        owed = [tone for tone in tones if tone in OWED]
        match running.kind:
            case "duty_change" | "load_change":
                enough = states == {"due"} or bool(owed)
            case "event":
                enough = bool(owed) and (states == {"due"} or "late" in owed)
            case _:
                enough = bool(owed) if states <= OWED else bool(tones)
        self._hold(enough, f"{running.name} is {states}: tones {tones}")
        if states <= OWED:
            surely, _ = running.hundreds(self.now_ms())
            told = self._told_hundreds.get(running.name, 0)
            self._hold(surely <= told, f"{running.name}: {surely} x 100 km on, told {told}")

    def _note_hundreds(self, running: Running) -> int:
        """How many full 100 km beyond it is now, at the most."""
        if not running.states(self.now_ms()) & OWED:
            return 0
        _, most = running.hundreds(self.now_ms())
        self._most_hundreds[running.name] = max(most, self._most_hundreds.get(running.name, 0))
        return most

    def never_late_to_tell(self, true_ms: int) -> None:
        """Where all that was recorded is so, a limit truly passed is never told as not reached."""
        for running in self.told.running:
            if running.kind == "distance" and running.limit is not None:
                since_ms = self.happened_ms[running.since]
                driven_mm = self.trip.truly_mm(true_ms) - self.trip.truly_mm(since_ms)
                states = running.states(self.now_ms())
                told = states & {"due", "late", "cannot tell", "exempt"}
                self._hold(
                    driven_mm <= running.limit + 1_000 or bool(told),
                    f"{running.name}: truly {driven_mm} mm since, told as {states}",
                )

    def steps_written(self, step_ms: int) -> None:
        """A step of the clock against time as it passes is written down, once."""
        told_ms, self.house.stepped_ms = self.house.stepped_ms, 0
        wanted_ms = step_ms if abs(step_ms) > STEP_MS else 0
        self._hold(told_ms == wanted_ms, f"a step of {step_ms} ms is told as {told_ms}")

    def at_the_end(self) -> None:
        """Every raise has one outcome, and is marked repeated only where a run was cut off."""
        for idem, raised in self.house.raised.items():
            self._hold(len(raised.outcomes) <= 1, f"{idem}: outcomes {raised.outcomes}")
            if not raised.outcomes:
                self._hold(raised.cut_off, f"{idem} was never finished")
                self._hold(not self.may(raised.prompt.channel), f"{idem} was never tried again")
                continue
            repeated, outcome = raised.outcomes[0]
            said_again = raised.cut_off and outcome is Outcome.ACCEPTED
            self._hold(repeated == said_again, f"{idem}: repeated? {repeated}, {said_again}")

    def _same(self, due_checks: Iterable[DueCheck], now_ms: int) -> None:
        ours = {self._name(check.due_key): str(check.state) for check in due_checks}
        theirs = {one.name: one.states(now_ms) for one in self.told.running}
        self._hold(ours.keys() == theirs.keys(), f"we count {set(ours)}, they {set(theirs)}")
        for name, state in ours.items():
            self._hold(state in theirs[name], f"{name}: we say {state}, they {theirs[name]}")

    def _name(self, due_key: str) -> Name:
        trip, rule_id, since = due_key.split("/")
        assert trip == TRIP
        return (*self._kinds[rule_id], since)

    def _hold(self, holds: bool, told: str) -> None:
        if not holds:
            raise ClaimBroken(told)
