"""What must hold on any day: nothing twice, nothing to read under way, nothing backwards.

Where a case names no source, what it holds is our reading.
"""

from collections import Counter as Tally
from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.counter import counter_from_row, counter_row
from scheduler.counters import counters
from scheduler.distance import grown, time_to_ms
from scheduler.due import DueCheck, State, at, due, next_moment
from scheduler.progress import DutyStatus, vehicle_duty
from scheduler.prompts import Channel, Prompt, Said, prompts
from scheduler.recheck_rules import MEASURED, Kind
from tests.scheduler.day import US, Day, minute

STEP_MIN = 7

ACTS = st.sampled_from(
    [
        "wait",
        "wait longer",
        "stop",
        "drive",
        "off duty",
        "sleeper",
        "read",
        "check",
        "check with reading",
        "event",
        "reload",
        "second driver drives",
        "second driver rests",
    ]
)
"""What may happen between one moment and the next."""

RANK = {State.NOTHING_DUE: 0, State.COMING_UP: 1, State.DUE: 2, State.LATE: 3}

days = settings(max_examples=120, deadline=None)


class Road:
    """A day as it is lived: acts in order, an odometer that never runs faster than 60 mph."""

    def __init__(self) -> None:
        self.day = Day(mph=60)
        self.now = 0
        self.odometer_mi = 12_000.0

    def act(self, what: str) -> None:
        waited = 60 if what == "wait longer" else STEP_MIN
        if vehicle_duty(self.day.duties) is DutyStatus.DRIVING:
            self.odometer_mi += waited // 2
        self.now += waited
        match what:
            case "stop":
                self.day.stop(self.now)
            case "drive":
                self.day.drive(self.now)
            case "off duty":
                self.day.duty(self.now, DutyStatus.OFF_DUTY)
            case "sleeper":
                self.day.duty(self.now, DutyStatus.SLEEPER)
            case "read":
                self.day.read(self.now, self.odometer_mi)
            case "check":
                self.day.check(self.now)
            case "check with reading":
                self.day.check(self.now, self.odometer_mi)
            case "event":
                self.day.event(self.now, "kerb")
            case "reload":
                self.day.load(self.now, self.odometer_mi)
            case "second driver drives":
                self.day.duty(self.now, DutyStatus.DRIVING, "driver-2")
            case "second driver rests":
                self.day.duty(self.now, DutyStatus.SLEEPER, "driver-2")

    def checks(self) -> tuple[DueCheck, ...]:
        return due(US, self.day.progress(), minute(self.now))


def as_said(prompt: Prompt) -> Said:
    return Said(
        due_key=prompt.due_key,
        stage=prompt.stage,
        channel=prompt.channel,
        number=prompt.number,
        outcome="accepted",
    )


@days
@given(st.lists(ACTS, max_size=40))
def test_nothing_is_said_twice_nothing_to_read_under_way_and_tones_keep_their_budget(
    acts: list[str],
) -> None:
    road = Road()
    said: list[Said] = []
    further: dict[str, int] = {}
    names: list[str] = []
    for what in acts:
        road.act(what)
        checks = road.checks()
        duty = vehicle_duty(road.day.duties)
        new = prompts(checks, said, duty)
        if duty in (DutyStatus.OFF_DUTY, DutyStatus.SLEEPER):
            assert new == ()
        if duty is not DutyStatus.ON_DUTY:
            assert all(prompt.channel is Channel.TONE for prompt in new)
        for check in checks:
            seen = further.get(check.due_key, 0)
            further[check.due_key] = max(seen, check.further_tones)
        said.extend(as_said(prompt) for prompt in new)
        names.extend(prompt.idem for prompt in new)
        assert prompts(checks, said, duty) == ()
    assert len(names) == len(set(names))
    tones = Tally(one.due_key for one in said if one.channel is Channel.TONE)
    for due_key, count in tones.items():
        assert count <= 2 + further[due_key], due_key


@days
@given(st.lists(ACTS, max_size=30), st.lists(st.integers(0, 90), max_size=8))
def test_while_nothing_is_recorded_no_due_check_goes_backwards(
    acts: list[str], waits: list[int]
) -> None:
    road = Road()
    for what in acts:
        road.act(what)
    found = counters(US, road.day.progress())
    before = [at(counter, minute(road.now)) for counter in found]
    number = road.now
    for wait in waits:
        number += wait
        after = [at(counter, minute(number)) for counter in found]
        for earlier, later in zip(before, after, strict=True):
            assert RANK[later.state] >= RANK[earlier.state]
            assert later.value >= earlier.value
            assert later.further_tones >= earlier.further_tones
        before = after


@days
@given(st.lists(ACTS, min_size=1, max_size=30))
def test_what_is_known_never_shrinks_until_a_check_or_a_new_start(acts: list[str]) -> None:
    road = Road()
    before: dict[str, int] = {}
    for what in acts:
        road.act(what)
        known = {
            counter.due_key: counter.known
            for counter in counters(US, road.day.progress())
            if counter.kind in MEASURED
        }
        for due_key in before.keys() & known.keys():
            assert known[due_key] >= before[due_key]
        before = known


@days
@given(st.lists(ACTS, max_size=30))
def test_the_upper_bound_is_never_below_what_was_really_driven(acts: list[str]) -> None:
    road = Road()
    driven_mi: dict[str, float] = {}
    for what in acts:
        road.act(what)
        for check in road.checks():
            if check.counter.kind in (Kind.FIRST_DISTANCE, Kind.DISTANCE):
                start_mi = driven_mi.setdefault(check.due_key, road.odometer_mi)
                really_mm = round((road.odometer_mi - start_mi) * 1_609_344)
                assert check.counter.estimate is not None
                assert check.value >= really_mm


@days
@given(st.lists(ACTS, max_size=30))
def test_any_counter_comes_back_from_its_row(acts: list[str]) -> None:
    road = Road()
    for what in acts:
        road.act(what)
    for counter in counters(US, road.day.progress()):
        assert counter_from_row(counter_row(counter)) == counter


@days
@given(st.lists(ACTS, max_size=30), st.integers(0, 900))
def test_between_now_and_the_next_moment_no_state_and_no_tone_changes(
    acts: list[str], later: int
) -> None:
    road = Road()
    for what in acts:
        road.act(what)
    found = counters(US, road.day.progress())
    now, then = minute(road.now), minute(road.now + later)
    moment = next_moment(found, now)
    until = then if moment is None else min(then, moment - timedelta(milliseconds=1))
    for counter in found:
        before, after = at(counter, now), at(counter, until)
        assert (after.state, after.further_tones) == (before.state, before.further_tones)
    if moment is not None:
        assert moment > now


@given(st.integers(1, 10**9), st.integers(1, 10**8))
def test_the_time_to_an_amount_is_the_first_millisecond_that_reaches_it(
    amount: int, rate_per_h: int
) -> None:
    ms = time_to_ms(amount, rate_per_h)
    assert grown(rate_per_h, ms) >= amount
    assert grown(rate_per_h, ms - 1) < amount
