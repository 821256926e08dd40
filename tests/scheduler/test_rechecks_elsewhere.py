"""The clocks of Canada, Australia, New Zealand, Great Britain and the Union on invented days.

The numbers are those of the sources named at each case; where a text is silent (what starts a
count anew, driving or elapsed time) the case says "our reading". Situations are worked out by us.
"""

from datetime import date
from fractions import Fraction

import pytest

from scheduler.due import DueCheck, due
from scheduler.progress import DutyStatus, ExemptMark
from scheduler.prompts import Channel, prompts
from scheduler.recheck_rules import Kind, RecheckRule
from scheduler.rules_combined import combined, rules_for
from tests.scheduler.day import MILE_MM, Day, minute

KM_IN_MI = Fraction(1_000_000, MILE_MM)
CA = ("ca-nsc10",)


def _rules(*rule_sets: str, soft_load: bool = False) -> tuple[RecheckRule, ...]:
    return combined(rules_for(rule_sets, date(2026, 3, 2), soft_load=soft_load)).running


def _checks(day: Day, at: float, rules: tuple[RecheckRule, ...]) -> dict[str, DueCheck]:
    return {one.counter.rule_id: one for one in due(rules, day.progress(), minute(at))}


def _states(day: Day, at: float, rules: tuple[RecheckRule, ...]) -> dict[str, str]:
    return {name: str(one.state) for name, one in _checks(day, at, rules).items()}


def _driven(km: str, minutes: float, *, checked_at: float | None = None) -> Day:
    """So many kilometres on the odometer after so many minutes of driving."""
    day = Day(odometer_mi=0)
    since = 0.0
    if checked_at is not None:
        day.stop(checked_at)
        day.check(checked_at, 1)
        day.drive(checked_at)
        since = checked_at
    begun = 0 if checked_at is None else 1
    day.read(since + minutes, begun + Fraction(km) * KM_IN_MI)
    return day


@pytest.mark.parametrize(
    ("km", "state"),
    [("79.9", "coming up"), ("80", "due"), ("80.1", "late"), ("63.9", "nothing due")],
)
def test_canadas_first_check_is_due_at_80_km_and_late_beyond(km: str, state: str) -> None:
    """NSC Standard 10 s.3, not more than 80 km; coming up at 80 % is our reading."""
    day = _driven(km, 60)
    assert _states(day, 60, _rules(*CA))["ca-nsc10-first"] == state


def test_at_200_km_and_2_9_h_both_of_canadas_counts_are_coming_up() -> None:
    """NSC Standard 10 s.3: 240 km, 3 h; counted from the last check: our reading."""
    day = _driven("200", 174, checked_at=30)
    states = _states(day, 204, _rules(*CA))
    assert states["ca-nsc10-driving"] == states["ca-nsc10-distance"] == "coming up"


def test_at_200_km_and_3_0_h_canadas_3_hours_come_first() -> None:
    """NSC Standard 10 s.3, whichever comes first."""
    day = _driven("200", 180, checked_at=30)
    checks = _checks(day, 210, _rules(*CA))
    assert str(checks["ca-nsc10-driving"].state) == "due"
    assert str(checks["ca-nsc10-distance"].state) == "coming up"


@pytest.mark.parametrize(("km", "state"), [("240", "due"), ("240.1", "late")])
def test_canadas_later_checks_are_due_at_240_km_and_late_beyond(km: str, state: str) -> None:
    """NSC Standard 10 s.3."""
    day = _driven(km, 170, checked_at=30)
    assert _states(day, 200, _rules(*CA))["ca-nsc10-distance"] == state


def test_a_duty_change_is_due_at_once_in_canada_too() -> None:
    """NSC Standard 10 s.3; the four statuses: SOR/2005-313 s.1."""
    day = Day(odometer_mi=0)
    day.stop(18)
    assert _states(day, 18, _rules(*CA))["ca-nsc10-duty"] == "due"


def test_the_stop_for_the_check_raises_nothing_new_in_canada() -> None:
    """SOR/2005-313 s.1: inspecting the load is on-duty time; one stop is one: our reading."""
    day = Day(odometer_mi=0)
    day.stop(50)
    day.check(55, 45)
    day.drive(60)
    assert set(_states(day, 60, _rules(*CA))) == {"ca-nsc10-distance", "ca-nsc10-driving"}


def test_a_sealed_load_is_exempt_in_canada_with_the_reason_however_far_it_went() -> None:
    """NSC Standard 10 s.3: sealed and ordered not to open, or inaccessible."""
    day = _driven("260", 210)
    day.exempt = ExemptMark(key="x1", at=minute(0), reason="sealed and ordered not to open")
    day.stop(211)
    day.duty(212, DutyStatus.OFF_DUTY)
    checks = _checks(day, 212, _rules(*CA))
    assert {str(one.state) for one in checks.values()} == {"exempt"}
    assert {one.counter.exempt_reason for one in checks.values()} == {
        "sealed and ordered not to open"
    }


def test_at_80_2_km_on_a_trip_through_both_countries_the_check_is_late_by_canadas_rule() -> None:
    """NSC Standard 10 s.3, 80 km, is less than 49 CFR 392.9(b)(2), 50 mi = 80.467 km."""
    day = _driven("80.2", 60)
    both = _states(day, 60, _rules("us-392.9", "ca-nsc10"))
    assert both["ca-nsc10-first"] == "late"
    assert "us-392.9-first" not in both
    assert _states(day, 60, _rules("us-392.9"))["us-392.9-first"] == "coming up"


def test_a_part_unloading_begins_a_new_80_km() -> None:
    """A changed load is a new load to look at: inferred from NSC Standard 10 s.3, our reading."""
    day = Day(odometer_mi=0)
    day.stop(50)
    day.check(50, 40)
    day.load(60, 40)
    day.drive(65)
    assert _states(day, 66, _rules(*CA))["ca-nsc10-first"] == "nothing due"


def test_australias_first_hour_is_coming_up_at_0_95_h_due_at_1_h_and_never_restarts() -> None:
    """Load Restraint Guide, planning step 10: within the first hour; driving time: our reading."""
    day = Day(odometer_mi=0)
    rules = _rules("au-lrg")
    assert _states(day, 57, rules)["au-first-hour"] == "coming up"
    assert _states(day, 60, rules)["au-first-hour"] == "due"
    day.stop(60)
    day.check(61, 40)
    day.drive(65)
    assert "au-first-hour" not in _states(day, 200, rules)


def test_a_break_inside_australias_first_hour_does_not_count() -> None:
    """Our reading: a load that stands does not settle."""
    day = Day(odometer_mi=0)
    day.duty(30, DutyStatus.OFF_DUTY)
    day.drive(90)
    checks = _checks(day, 100, _rules("au-lrg"))
    assert checks["au-first-hour"].value == 40 * 60_000


def test_bales_after_15_km_are_due_by_common_practice() -> None:
    """Load Restraint Guide: after a very short distance, no number; the 15 km are ours."""
    day = _driven("15", 15)
    checks = _checks(day, 15, _rules("au-lrg", soft_load=True))
    assert str(checks["any-first-soft"].state) == "due"
    assert str(checks["any-first-soft"].counter.legal_force) == "common practice"


@pytest.mark.parametrize("rule_set", ["eu-guide", "gb-guide", "aetr"])
def test_after_4_5_h_of_driving_the_break_is_a_time_to_check(rule_set: str) -> None:
    """Reg. (EC) 561/2006 art. 7, AETR art. 7 (from memory): the hours; the check is practice."""
    day = _driven("300", 270)
    (check,) = [
        one
        for one in _checks(day, 270, _rules(rule_set)).values()
        if one.counter.kind is Kind.DRIVING_BREAK
    ]
    assert (str(check.state), str(check.counter.legal_force)) == ("due", "common practice")


def test_emergency_braking_makes_a_check_due_in_the_union_by_guidance() -> None:
    """European Best Practices Guidelines: stop at a suitable place and check."""
    day = _driven("100", 72)
    rules = _rules("eu-guide")
    assert "eu-braking" not in _states(day, 72, rules)
    day.event(72, "hard braking")
    check = _checks(day, 72, rules)["eu-braking"]
    assert (str(check.state), str(check.counter.legal_force)) == ("due", "guidance")


@pytest.mark.parametrize(
    ("rule_set", "rule"),
    [("eu-guide", "eu-load-change"), ("gb-guide", "gb-load-change"), ("au-lrg", "au-load-change")],
)
def test_a_part_unloading_is_due_at_once_until_a_check_and_late_once_driven_on(
    rule_set: str, rule: str
) -> None:
    """Union: each unloading or redistribution; GOV.UK: removing part of a load; a Queensland
    council: each item added or removed.
    """
    rules = _rules(rule_set)
    day = Day(odometer_mi=0)
    day.stop(50)
    day.load(60, 40)
    assert _states(day, 60, rules)[rule] == "due"
    day.drive(70)
    assert _states(day, 70, rules)[rule] == "late"
    day.stop(80)
    day.check(81, 45)
    assert rule not in _states(day, 81, rules)


def test_a_check_made_before_the_unloading_of_the_same_stop_does_not_answer_it() -> None:
    """Our reading of "each time"."""
    day = Day(odometer_mi=0)
    day.stop(50)
    day.check(55, 40)
    day.load(60, 40)
    assert _states(day, 60, _rules("eu-guide"))["eu-load-change"] == "due"
    day.check(65, 40)
    assert "eu-load-change" not in _states(day, 65, _rules("eu-guide"))


def test_a_load_change_is_told_as_text_and_has_a_tone_only_when_driven_on() -> None:
    """Our reading: it happens at a stop, where there is nothing to hear it over."""
    rules = _rules("eu-guide")
    day = Day(odometer_mi=0)
    day.stop(50)
    day.load(60, 40)
    here = [one for one in due(rules, day.progress(), minute(60)) if one.is_due]
    said = prompts(here, (), DutyStatus.ON_DUTY)
    assert [one.channel for one in said] == [Channel.TEXT]
    day.drive(70)
    on = [one for one in due(rules, day.progress(), minute(70)) if one.is_due]
    assert [one.channel for one in prompts(on, (), DutyStatus.DRIVING)] == [Channel.TONE]


@pytest.mark.parametrize(
    ("rule_set", "rule", "hours"),
    [("au-lrg", "au-work-break", 5.25), ("nz-code", "nz-work-break", 5.5)],
)
def test_work_counts_standing_too_and_rest_does_not(rule_set: str, rule: str, hours: float) -> None:
    """Heavy Vehicle (Fatigue Management) National Regulation s.5; Land Transport Rule 62001/2007.

    Work is driving and on duty; any driver on board working counts, an upper bound: our reading.
    """
    rules = _rules(rule_set)
    day = Day(odometer_mi=0)
    day.stop(60)
    day.drive(120)
    day.duty(180, DutyStatus.OFF_DUTY)
    day.drive(210)
    day.read(210 + hours * 60 - 180, 100)
    checks = _checks(day, 210 + hours * 60 - 180, rules)
    assert str(checks[rule].state) == "due"
    assert checks[rule].value == hours * 3_600_000


def test_a_tone_is_never_sounded_again_for_work_that_goes_on_standing() -> None:
    """Further tones are for distance driven, and unloading drives none: our reading."""
    day = Day(odometer_mi=0)
    day.stop(60)
    check = _checks(day, 60 + 12 * 60, _rules("nz-code"))["nz-work-break"]
    assert (str(check.state), check.further_tones) == ("late", 0)


def test_one_check_closes_every_rule_of_both_countries_in_its_stop() -> None:
    """One physical check may close several duties: our reading of 49 CFR 392.9(b) and s.3."""
    day = Day(odometer_mi=0)
    day.event(20, "kerb")
    day.stop(48)
    day.check(50, 45)
    rules = _rules("us-392.9", "ca-nsc10", "au-lrg")
    assert all(state == "nothing due" for state in _states(day, 50, rules).values())


def test_a_fuel_stop_starts_no_first_check_anywhere() -> None:
    """Our reading: only a changed load or vehicle does."""
    day = Day(odometer_mi=0)
    day.stop(48)
    day.check(50, 45)
    day.drive(60)
    day.stop(100)
    day.drive(115)
    rules = _rules("us-392.9", "ca-nsc10", "au-lrg")
    assert not {"ca-nsc10-first", "au-first-hour"} & set(_states(day, 116, rules))
