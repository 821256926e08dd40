"""A prompt's life and the counters as a state machine: whatever order things happen in.

What must hold is told by the simulator's second telling of the duty rules.
Where a case names no source, what it holds is our reading.
"""

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from scheduler.due import DueCheck, State, due
from scheduler.progress import Progress, from_ms, to_ms, vehicle_duty
from scheduler.prompts import Channel, Prompt, Said, may_be_said, prompts, shown_before_driving
from tests.scheduler.day import DEPARTURE, MILE_MM, US
from tests.scheduler.simulator.facts import Fact, What, in_time, progress_of
from tests.scheduler.simulator.printed import COUNTRIES
from tests.scheduler.simulator.second import Told, tell

TOP = 60 * MILE_MM
MATES = st.sampled_from(("driver-1", "driver-2"))
STATUSES = st.sampled_from(("driving", "driving", "on duty", "on duty", "off duty", "sleeper"))


class PromptLife(RuleBasedStateMachine):
    """One trip, from departure on; time passes, things are recorded, prompts are said."""

    def __init__(self) -> None:
        super().__init__()
        self.now_ms = to_ms(DEPARTURE)
        self.mm = 12_000 * MILE_MM
        self.recorded = [
            Fact(self.now_ms, What.START, "departure", odometer_mm=self.mm),
            Fact(self.now_ms, What.DUTY, "departure", "driver-1", "driving"),
        ]
        self.said: list[Said] = []
        self.tones: dict[str, list[State]] = {}
        self.most_further: dict[str, int] = {}

    @rule(minutes=st.integers(1, 90), share=st.integers(0, 10))
    def time_passes(self, minutes: int, share: int) -> None:
        self.now_ms += minutes * 60_000
        if self.told().duty == "driving":
            self.mm += TOP * share * minutes // 600

    @rule(who=MATES, status=STATUSES)
    def a_duty_status_is_recorded(self, who: str, status: str) -> None:
        self.record(What.DUTY, who=who, word=status)

    @rule(is_read=st.booleans())
    def a_check_is_completed(self, is_read: bool) -> None:
        self.record(What.CHECK, odometer_mm=self.mm if is_read else None)
        assert {one.since for one in self.told().running if one.kind == "distance"} == {
            self.recorded[-1].key
        }

    @rule(off_mi=st.sampled_from((0, 0, 0, -30, 500)))
    def the_odometer_is_read(self, off_mi: int) -> None:
        self.record(What.READING, odometer_mm=self.mm + off_mi * MILE_MM)

    @rule(word=st.sampled_from(("kerb", "load moved", "something else")))
    def something_happens(self, word: str) -> None:
        self.record(What.EVENT, word=word)

    @rule(is_read=st.booleans(), anew=st.booleans())
    def it_is_loaded_anew(self, is_read: bool, anew: bool) -> None:
        self.record(What.START, odometer_mm=self.mm if is_read else None, anew=anew)

    @rule()
    def a_reading_is_taken_back(self) -> None:
        readings = [fact for fact in self.recorded if fact.what is What.READING]
        if readings:
            self.recorded.remove(readings[-1])

    @rule()
    def what_may_be_said_is_said(self) -> None:
        checks, duty = self.checks(), vehicle_duty(self.progress().duty)
        new = prompts(checks, self.said, duty)
        assert all(may_be_said(prompt.channel, duty) for prompt in new)
        for prompt in new:
            self.say(prompt)
        assert prompts(checks, self.said, duty) == (), "a prompt falls silent by itself"

    @precondition(lambda self: self.told().duty != "driving")
    @rule()
    def what_is_due_is_shown_before_driving(self) -> None:
        checks = self.checks()
        for prompt in shown_before_driving(checks, self.said):
            self.say(prompt)
        shown = {
            one.due_key
            for one in self.said
            if one.channel is Channel.TEXT and one.stage in (State.DUE, State.LATE)
        }
        assert {check.due_key for check in checks if check.is_due} <= shown

    @invariant()
    def every_state_is_as_told_a_second_time(self) -> None:
        states = {one.name: one.states(self.now_ms) for one in self.told().running}
        ours = {
            (str(check.counter.kind), check.counter.limit or 0, check.counter.from_key): str(
                check.state
            )
            for check in self.checks()
        }
        assert ours.keys() == states.keys()
        assert all(state in states[name] for name, state in ours.items())

    def say(self, prompt: Prompt) -> None:
        """It was never said before, and keeps within the tones there may be."""
        new = Said(
            due_key=prompt.due_key,
            stage=prompt.stage,
            channel=prompt.channel,
            number=prompt.number,
            outcome="accepted",
        )
        assert new not in self.said
        self.said.append(new)
        if prompt.channel is Channel.TONE:
            tones = self.tones.setdefault(prompt.due_key, [])
            tones.append(prompt.stage)
            assert len(tones) <= 2 + self.most_further[prompt.due_key]

    def checks(self) -> tuple[DueCheck, ...]:
        found = due(US, self.progress(), from_ms(self.now_ms))
        for check in found:
            most = max(check.further_tones, self.most_further.get(check.due_key, 0))
            self.most_further[check.due_key] = most
        return found

    def told(self) -> Told:
        return tell(in_time(self.recorded), TOP, COUNTRIES["us-392.9"])

    def progress(self) -> Progress:
        return progress_of(in_time(self.recorded), TOP)

    def record(
        self,
        what: What,
        *,
        who: str = "",
        word: str = "",
        odometer_mm: int | None = None,
        anew: bool = False,
    ) -> None:
        self.now_ms += 1
        key = f"e{self.now_ms}"
        self.recorded.append(Fact(self.now_ms, what, key, who, word, odometer_mm, anew))


def test_whatever_happens_prompts_and_counters_keep_to_the_rules() -> None:
    run_state_machine_as_test(
        PromptLife, settings=settings(max_examples=60, stateful_step_count=40)
    )
