"""Tension found lost shortens the time to the next look and never lengthens it.

A rule of thumb of our own, no source: the bound is the loss found, with 1.645 times an assumed 5 %
for a misjudged one, growing with the driving time. The figures here are worked out by us.
"""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.counter import counter_from_row, counter_row
from scheduler.due import due
from scheduler.observed_loss import RULE_ID, asks_why, loss_rule, next_look_ms
from scheduler.progress import CheckMark, ObservedLoss, ProgressBroken
from scheduler.recheck_rules import LegalForce
from scheduler.rules_combined import combined, rules_for
from tests.scheduler.day import HOUR_MS, US, Day, minute

SHARES = st.fractions(min_value=Fraction(1, 1000), max_value=1)


def _lost(lost: str, allowed: str) -> ObservedLoss:
    return ObservedLoss(lost=Fraction(lost), allowed=Fraction(allowed))


def _checked(observed: ObservedLoss | None, *, at: float = 60) -> Day:
    day = Day(odometer_mi=0)
    day.stop(at)
    day.checks.append(CheckMark(key="c1", at=minute(at), odometer_mm=None, observed_loss=observed))
    day.drive(at)
    return day


def test_a_loss_of_a_tenth_in_an_hour_with_a_fifth_allowed_is_looked_at_after_65_minutes() -> None:
    """60 min x 0.20 / (0.10 + 1.645 x 0.05) = 65.8 min, rounded down."""
    rule = loss_rule(_lost("0.1", "0.2"), HOUR_MS)
    assert rule is not None
    assert (rule.limit, rule.unit) == ("65", "min")
    assert rule.legal_force is LegalForce.COMMON_PRACTICE


def test_more_than_half_of_what_is_allowed_lost_at_once_asks_for_the_cause() -> None:
    assert asks_why(_lost("0.11", "0.2"))
    assert not asks_why(_lost("0.1", "0.2"))


@given(lost=SHARES, more=SHARES, allowed=SHARES, interval_ms=st.integers(1, 20 * HOUR_MS))
def test_more_lost_never_means_later(
    lost: Fraction, more: Fraction, allowed: Fraction, interval_ms: int
) -> None:
    worse = min(Fraction(1), lost + more)
    found = next_look_ms(ObservedLoss(lost=lost, allowed=allowed), interval_ms)
    worse_found = next_look_ms(ObservedLoss(lost=worse, allowed=allowed), interval_ms)
    assert worse_found <= found


def test_the_estimate_runs_beside_the_law_and_is_never_law() -> None:
    day = _checked(_lost("0.3", "0.2"))
    checks = {one.counter.rule_id: one for one in due(US, day.progress(), minute(60))}
    assert checks[RULE_ID].counter.printed_limit == "31"
    assert checks[RULE_ID].due_at == minute(91)
    assert checks[RULE_ID].counter.legal_force is LegalForce.COMMON_PRACTICE
    assert checks["us-392.9-driving"].due_at == minute(60 + 180)
    counter = checks[RULE_ID].counter
    assert counter_from_row(counter_row(counter)) == counter


@given(lost=SHARES, allowed=SHARES, at=st.integers(1, 600))
def test_it_never_comes_after_the_3_hours_of_the_law(
    lost: Fraction, allowed: Fraction, at: int
) -> None:
    """49 CFR 392.9(b)(3)(ii)."""
    day = _checked(ObservedLoss(lost=lost, allowed=allowed), at=at)
    checks = {one.counter.rule_id: one for one in due(US, day.progress(), minute(at))}
    law = checks["us-392.9-driving"]
    assert law.due_at == minute(at + 180)
    if RULE_ID in checks:
        assert (checks[RULE_ID].counter.limit or 0) < (law.counter.limit or 0)


def test_without_a_law_it_runs_as_well() -> None:
    rules = combined(rules_for(["nz-code"], date(2026, 3, 2))).running
    day = _checked(_lost("0.1", "0.2"))
    assert RULE_ID in {one.counter.rule_id for one in due(rules, day.progress(), minute(60))}


def test_the_next_check_ends_it() -> None:
    day = _checked(_lost("0.3", "0.2"))
    day.stop(80)
    day.check(81, 20)
    assert RULE_ID not in day.states(81)


def test_where_no_driving_is_recorded_before_the_check_nothing_is_estimated() -> None:
    assert loss_rule(_lost("0.3", "0.2"), 0) is None
    assert RULE_ID not in _checked(None).states(60)


@pytest.mark.parametrize(("lost", "allowed"), [("-0.1", "0.2"), ("1.1", "0.2"), ("0.1", "0")])
def test_shares_that_cannot_be_are_refused(lost: str, allowed: str) -> None:
    with pytest.raises(ProgressBroken, match="shares of 1"):
        _lost(lost, allowed)
