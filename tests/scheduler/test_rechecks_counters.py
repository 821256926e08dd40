"""Counters, sentence by sentence, where no other file has the case.

The limits are those of 49 CFR 392.9(b)(2) and (b)(3); where the section is silent the case says
"our reading". What is worked out from the printed limits is worked out by us.
"""

from dataclasses import replace
from datetime import date
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.due import next_moment
from scheduler.progress import DutyStatus, ExemptMark
from scheduler.recheck_rules import Kind, LegalForce, RecheckRule, all_rules
from scheduler.rules_combined import combined, rules_for
from tests.scheduler.day import DISTANCE, DRIVING, DUTY, FIRST, HOUR_MS, MILE_MM, US, Day, minute
from tests.scheduler.test_prompts import DRIVE, ON, Telling

EVENTS = [rule for rule in US if rule.kind is Kind.EVENT]
OFF, SLEEPER = DutyStatus.OFF_DUTY, DutyStatus.SLEEPER


@pytest.mark.parametrize("rule", EVENTS, ids=lambda rule: rule.counted_from)
def test_each_event_is_due_at_once_with_one_tone_and_late_with_one_and_never_coming_up(
    rule: RecheckRule,
) -> None:
    """Which events call for a look: common practice, no source. The tones: our reading."""
    name = rule.id.removeprefix("us-")
    day = Day(mph=60)
    telling = Telling(day)
    day.event(5, rule.counted_from)
    check = day.due(5)[rule.id]
    assert (check.state, check.coming_up_at, check.due_at) == ("due", None, minute(5))
    assert telling.at(5, DRIVE) == [f"{name} due tone 1"]
    assert telling.at(10, DRIVE) == []
    day.stop(11)
    assert telling.at(11, ON) == [f"{name} due text 1", "duty due text 1"]
    day.drive(12)
    assert telling.at(12, DRIVE) == [f"{name} late tone 2", "duty late tone 1"]
    assert telling.at(20, DRIVE) == []
    day.stop(21)
    day.check(22, 12_015)
    assert rule.id not in day.counters()


def test_a_load_that_moves_under_way_is_due_now_and_not_at_the_next_limit() -> None:
    """GOV.UK, Securing loads on HGVs and goods vehicles, chapter 3: stop at the nearest place."""
    day = Day()
    day.event(5, "load moved")
    assert day.due(5)["any-event-moved"].due_at == minute(5)
    assert next(iter(day.due(5))) == "any-event-moved"


@pytest.mark.parametrize(("before", "after"), [*product(DutyStatus, DutyStatus)])
def test_any_move_between_the_four_statuses_is_a_change_and_nothing_else_is(
    before: DutyStatus, after: DutyStatus
) -> None:
    """49 CFR 392.9(b)(3)(i); the four statuses: 49 CFR 395.8(b); any move counts: our reading."""
    day = Day()
    day.duties.clear()
    day.duty(0, before)
    day.duty(10, after)
    assert (DUTY in day.counters()) is (before is not after)


def test_a_duty_change_has_no_coming_up_and_nothing_left_to_count() -> None:
    """Our reading: at once, for no limit comes before it."""
    day = Day()
    day.stop(20)
    check = day.due(20)[DUTY]
    assert (check.state, check.coming_up_at, check.remaining) == ("due", None, None)
    assert next_moment([check.counter], minute(20)) is None


def test_each_driver_on_board_is_seen_and_a_change_of_one_is_a_check_for_all() -> None:
    """49 CFR 392.9(b)(3)(i) speaks of the driver's status: each on board, our reading."""
    day = Day()
    day.duty(0, SLEEPER, "driver-2")
    assert DUTY not in day.counters()
    changed = day.duty(40, OFF, "driver-2")
    assert day.counters()[DUTY].reasons == (changed,)


def test_distance_and_driving_time_go_on_over_a_change_of_drivers() -> None:
    """49 CFR 392.9(b)(3)(ii), (iii) speak of the vehicle: so the counts are its, our reading."""
    day = Day()
    day.stop(60)
    day.duty(60, DutyStatus.DRIVING, "driver-2")
    day.read(120, 12_100)
    found = day.counters()
    assert (found[DISTANCE].known, found[DISTANCE].from_key) == (100 * MILE_MM, "e1")
    assert (found[DRIVING].known, found[DRIVING].from_key) == (2 * HOUR_MS, "e1")


def test_a_first_check_once_made_is_not_asked_for_again_however_far_it_goes() -> None:
    """49 CFR 392.9(b)(2): once, after beginning a trip."""
    day = Day()
    day.stop(30)
    day.check(31, 12_020)
    day.drive(32)
    day.read(120, 12_110)
    assert FIRST not in day.counters()


def test_driven_on_past_a_stop_is_late_with_no_distance_behind_it_yet() -> None:
    """Our reading: what is flagged is the moment driving resumes."""
    day = Day()
    day.stop(20)
    day.drive(25)
    check = day.due(25)[DUTY]
    assert (check.state, check.late_by, check.late_at) == ("late", 0, minute(25))


def test_what_happened_to_an_exempt_load_is_due_all_the_same() -> None:
    """49 CFR 392.9(b)(4) lifts paragraph (b); a look after an event is not of it: our reading."""
    day = Day()
    day.exempt = ExemptMark(key="x1", at=minute(0), reason="sealed and ordered not to open")
    day.event(10, "kerb")
    day.stop(12)
    assert day.states(12) == {
        "any-event-kerb": "due",
        FIRST: "exempt",
        DISTANCE: "exempt",
        DRIVING: "exempt",
        DUTY: "exempt",
    }


@pytest.mark.parametrize(("rule", "minutes"), [(FIRST, 46), (DISTANCE, 138)])
def test_with_nothing_recorded_time_gone_by_at_top_speed_bounds_the_way_and_says_so(
    rule: str, minutes: int
) -> None:
    """Worked out by us: 50 mi at 65 mph take 46 min 9 s, 150 mi 2 h 18 min 28 s."""
    day = Day(odometer_mi=None, mph=65)
    day.duties.clear()
    check = day.due(10)[rule]
    assert check.basis == "elapsed"
    assert check.due_at is not None
    assert minute(minutes) < check.due_at < minute(minutes + 1)
    later = day.due(600)[rule]
    assert (later.state, later.by_estimate, later.late_by) == ("due", True, None)


def test_with_nothing_recorded_time_gone_by_since_departure_bounds_driving_time() -> None:
    """49 CFR 392.9(b)(3)(ii), 3 h; time gone by as its upper bound: our reading."""
    day = Day(odometer_mi=None, mph=None)
    day.duties.clear()
    check = day.due(180)[DRIVING]
    assert (check.state, check.basis) == ("due", "elapsed")
    assert {day.states(180)[rule] for rule in (FIRST, DISTANCE)} == {"cannot tell"}


def test_a_top_speed_stated_later_tells_what_could_not_be_told() -> None:
    day = Day(odometer_mi=None, mph=None)
    assert day.states(20)[FIRST] == "cannot tell"
    day.speed = 65 * MILE_MM
    assert day.states(20)[FIRST] == "nothing due"
    assert day.states(47)[FIRST] == "due"


def _company(kind: Kind, limit: int) -> RecheckRule:
    like = next(rule for rule in US if rule.kind is kind)
    return replace(
        like,
        id=f"company-{kind}",
        rule_set="company",
        limit=str(limit),
        legal_force=LegalForce.COMPANY_RULE,
    )


COMPANY = st.builds(
    _company,
    st.sampled_from([Kind.FIRST_DISTANCE, Kind.DISTANCE, Kind.DRIVING_TIME]),
    st.integers(1, 500),
)


@given(others=st.lists(st.one_of(COMPANY, st.sampled_from(all_rules())), max_size=12))
def test_no_other_rule_however_it_is_put_lengthens_a_limit_of_the_law(
    others: list[RecheckRule],
) -> None:
    """49 CFR 392.9(b)(2), (b)(3): each limit runs still, or a law's that is as short."""
    law = [one for one in rules_for(["us-392.9"], date(2026, 3, 2)) if one.rule_set == "us-392.9"]
    running = combined([*law, *others]).running
    for rule in law:
        if rule.limit_count is not None:
            limits = [
                one.limit_count
                for one in running
                if one.kind is rule.kind and one.legal_force is LegalForce.LAW
            ]
            assert min(limit for limit in limits if limit is not None) <= rule.limit_count
