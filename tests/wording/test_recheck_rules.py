"""Re-check rules in words: by their legal force, in both units, and never advice as a duty.

Where a case names no source, what it holds is our reading.
"""

from datetime import date

import pytest

from scheduler.due import DueCheck, due
from scheduler.progress import DutyStatus
from scheduler.recheck_rules import ADVICE, Kind, LegalForce, RecheckRule, all_rules
from scheduler.rules_combined import combined, rules_for
from tests.scheduler.day import Day, minute
from triplog.wording.due import by_when, count_text, prompt_text, rule_text, state_text, title
from triplog.wording.recheck_rules import (
    first_lines,
    limit_text,
    rule_set_lines,
    rule_title,
    told_lines,
)

DAY = date(2026, 3, 2)


def _check(day: Day, at: float, rule: str, *rule_sets: str, soft_load: bool = False) -> DueCheck:
    rules = combined(rules_for(rule_sets, DAY, soft_load=soft_load)).running
    found = {one.counter.rule_id: one for one in due(rules, day.progress(), minute(at))}
    return found[rule]


def test_guidance_is_named_as_guidance_and_gone_beyond_not_late() -> None:
    check = _check(Day(), 72, "au-first-hour", "au-lrg")
    assert title(check) == "guidance: first check, within 1 h of driving with this load"
    assert state_text(check) == "beyond it by 12 min"
    heading, message = prompt_text(check, check.state, "T-1")
    assert heading == "Load check due, trip T-1"
    assert "late" not in message
    assert rule_text(check) == "guidance, Load Restraint Guide, planning step 10"


def test_at_the_break_it_is_due_at_the_break_and_the_hours_are_named_as_the_breaks() -> None:
    check = _check(Day(), 270, "eu-break", "eu-guide")
    assert state_text(check) == "due at the break"
    assert title(check) == "check with the break, by 4.5 h of driving"
    assert rule_text(check) == (
        "common practice; the break itself: Regulation (EC) No 561/2006 art. 7"
    )


def test_work_is_said_to_go_on_and_not_driving() -> None:
    day = Day()
    day.duty(60, DutyStatus.ON_DUTY)
    check = _check(day, 60, "nz-work-break", "nz-code")
    assert by_when(check, 0, minute(60)) == "by about 13:30 if work goes on"


def test_a_law_is_late_and_stands_with_its_clause() -> None:
    day = Day(odometer_mi=0)
    day.read(60, 50.1)
    check = _check(day, 60, "ca-nsc10-first", "ca-nsc10")
    assert state_text(check).startswith("late by ")
    assert rule_text(check) == "law, NSC Standard 10 s.3"


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        ("us-392.9-first", "50 mi (80.4 km)"),
        ("ca-nsc10-first", "80 km (49.7 mi)"),
        ("ca-nsc10-distance", "240 km (149.1 mi)"),
        ("us-392.9-driving", "3 h"),
        ("eu-first", ""),
    ],
)
def test_a_limit_is_shown_in_both_units_the_other_rounded_down(rule: str, text: str) -> None:
    """1 mi = 1609.344 m exactly."""
    assert limit_text(next(one for one in all_rules() if one.id == rule)) == text


def test_every_rule_is_listed_with_its_force_and_how_sure_it_is() -> None:
    lines = rule_set_lines(all_rules(), 1000)
    assert sum("in force from" in line for line in lines) == len(all_rules())
    assert "  first check, soon after setting out with this load (a soft load)" in lines
    assert any(line.startswith("ca-nsc10  (CA)") for line in lines)


def test_what_does_not_bind_never_says_must() -> None:
    said = {
        f"{rule_title(rule)} {rule.note}"
        for rule in all_rules()
        if rule.legal_force in (LegalForce.GUIDANCE, LegalForce.COMMON_PRACTICE)
    }
    assert not [one for one in said if " must " in one or "required" in one]


@pytest.mark.parametrize("rule", all_rules(), ids=lambda rule: rule.id)
def test_only_what_binds_is_worded_as_a_requirement(rule: RecheckRule) -> None:
    """By its legal force: advice is what is done, and never at the latest."""
    words = rule_title(rule)
    assert ("at the latest" in words) is (
        rule.legal_force not in ADVICE and rule.kind in (Kind.DISTANCE, Kind.DRIVING_TIME)
    )


def test_on_a_trip_through_two_countries_each_due_check_says_which_rule_made_it() -> None:
    """NSC Standard 10 s.3 is the shorter in distance; both have 3 h, 49 CFR 392.9(b)(3)(ii)."""
    rules = combined(rules_for(["us-392.9", "ca-nsc10"], DAY)).running
    day = Day(odometer_mi=0)
    day.stop(20)
    told = {
        one.counter.kind: (one.due_key, rule_text(one))
        for one in due(rules, day.progress(), minute(20))
    }
    assert told == {
        Kind.DUTY_CHANGE: ("trip-1/us-392.9-duty/e1", "law, 49 CFR 392.9(b)(3)(i)"),
        Kind.FIRST_DISTANCE: ("trip-1/ca-nsc10-first/e1", "law, NSC Standard 10 s.3"),
        Kind.DISTANCE: ("trip-1/ca-nsc10-distance/e1", "law, NSC Standard 10 s.3"),
        Kind.DRIVING_TIME: ("trip-1/us-392.9-driving/e1", "law, 49 CFR 392.9(b)(3)(ii)"),
    }


@pytest.mark.parametrize(("duty_is_known", "label"), [(True, "(estimated)"), (False, "(elapsed)")])
def test_what_is_no_reading_is_labelled_wherever_it_is_counted(
    duty_is_known: bool, label: str
) -> None:
    """Our reading: an upper bound says that it is one."""
    day = Day(odometer_mi=0)
    if not duty_is_known:
        day.duties.clear()
    for at in (10, 45, 500):
        check = _check(day, at, "us-392.9-first", "us-392.9")
        assert label in count_text(check)
        assert label in prompt_text(check, check.state, "T-1")[1]


def test_a_departure_is_told_the_most_binding_look_before_driving_once() -> None:
    rules = combined(rules_for(["us-392.9", "ca-nsc10", "au-lrg"], DAY))
    told = told_lines(rules, 200)
    assert [line for line in told if "look before driving" in line] == [
        "  look before driving; law, 49 CFR 392.9(b)(1)"
    ]
    assert not [line for line in told if "soon after" in line]


def test_the_first_checks_are_told_by_reading_before_a_stop_is_named() -> None:
    rules = combined(rules_for(["ca-nsc10"], DAY))
    assert first_lines(rules.running, "100 km", 200) == [
        "  first check, within 80 km (49.7 mi) of setting out with this load, by odometer 180 km;"
        " law, NSC Standard 10 s.3"
    ]
    assert Kind.FIRST_DISTANCE in {rule.kind for rule in rules.running}
