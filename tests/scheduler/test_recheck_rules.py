"""The rules as data, and how a broken figures file is refused.

Where a case names no source, what it holds is our reading.
"""

from datetime import date
from importlib.resources import files

import pytest

from scheduler.recheck_rules import (
    ANY_OTHER_EVENT,
    COMMON_PRACTICE,
    HowSure,
    Kind,
    LegalForce,
    RuleFileBroken,
    UnknownRuleSet,
    load_rules,
    parse_rules,
    rule_from_row,
    rule_row,
)

DAY = date(2026, 3, 2)
TEXT = (files("scheduler") / "recheck_rules.csv").read_text("utf-8")


@pytest.mark.parametrize(
    ("kind", "limit", "unit", "clause"),
    [
        (Kind.FIRST_DISTANCE, "50", "mi", "392.9(b)(2)"),
        (Kind.DISTANCE, "150", "mi", "392.9(b)(3)(iii)"),
        (Kind.DRIVING_TIME, "3", "h", "392.9(b)(3)(ii)"),
        (Kind.DUTY_CHANGE, "", "", "392.9(b)(3)(i)"),
    ],
)
def test_the_four_triggers_stand_as_49_cfr_392_9_prints_them(
    kind: Kind, limit: str, unit: str, clause: str
) -> None:
    """Printed in 49 CFR 392.9(b)(2) and (b)(3)(i) to (iii)."""
    (rule,) = [rule for rule in load_rules("us-392.9", DAY) if rule.kind is kind]
    assert (rule.limit, rule.unit, rule.source, rule.clause) == (limit, unit, "49 CFR", clause)
    assert (rule.legal_force, rule.how_sure) == (LegalForce.LAW, HowSure.READ)


def test_fifty_miles_are_exactly_80467200_millimetres() -> None:
    """1 mi = 1609.344 m exactly (international mile, 1959 agreement; from memory)."""
    by_kind = {rule.kind: rule.limit_count for rule in load_rules("us-392.9", DAY)}
    assert by_kind[Kind.FIRST_DISTANCE] == 80_467_200
    assert by_kind[Kind.DISTANCE] == 241_401_600
    assert by_kind[Kind.DRIVING_TIME] == 3 * 60 * 60 * 1000
    assert by_kind[Kind.DUTY_CHANGE] is None


def test_an_event_rule_is_common_practice_without_a_source_and_never_law() -> None:
    """Common practice, no source."""
    events = [rule for rule in load_rules(COMMON_PRACTICE, DAY) if rule.kind is Kind.EVENT]
    assert {rule.legal_force for rule in events} == {LegalForce.COMMON_PRACTICE}
    assert {rule.source for rule in events} == {"common practice, no source"}
    assert "load moved" in {rule.counted_from for rule in events}
    assert ANY_OTHER_EVENT in {rule.counted_from for rule in events}


def test_a_rule_set_nobody_knows_is_refused_with_the_ones_there_are() -> None:
    with pytest.raises(UnknownRuleSet, match=r"'us-1.1'; there is: aetr, .*us-392\.9"):
        load_rules("us-1.1", DAY)


def test_a_day_before_any_rule_was_in_force_is_refused() -> None:
    with pytest.raises(UnknownRuleSet, match="in force on 1999-01-01"):
        load_rules("us-392.9", date(1999, 1, 1))


def test_a_rule_that_has_ended_is_in_force_on_its_last_day_and_not_after(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rows = TEXT.replace(",2004-01-01,,", ",2004-01-01,2026-03-02,")
    monkeypatch.setattr("scheduler.recheck_rules.rules_text", lambda: rows)
    assert load_rules("us-392.9", date(2026, 3, 2))
    with pytest.raises(UnknownRuleSet):
        load_rules("us-392.9", date(2026, 3, 3))


def test_a_pinned_row_comes_back_as_the_same_rule_and_the_same_row() -> None:
    for rule in load_rules("us-392.9", DAY):
        row = rule_row(rule)
        assert rule_from_row(row) == rule
        assert rule_row(rule_from_row(row)) == row
        assert all(type(value) is str for value in row.values())


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (",50,mi,", ",-50,mi,", r"line 3, column limit: a decimal number, found '-50'"),
        (",50,mi,", ",0,mi,", r"line 3, column limit: above zero"),
        (",50,mi,", ",50,furlong,", r"line 3, column unit: blank or mi or km for first_distance"),
        (",50,mi,", ",,mi,", r"line 3, column limit: '' does not go with 'mi'"),
        (",law,49 CFR,", ",rumour,49 CFR,", r"line 2, column legal_force: one of law, "),
        (",392.9(b)(2),", ",,", r"line 3, column clause: it is blank"),
        (",first_distance,", ",first_miles,", r"line 3, column kind: one of "),
        (",read,2004-01-01,", ",read,last year,", r"line 2, column valid_from: a day as "),
        (",read,2004-01-01,,", ",read,2004-01-01,2003-01-01,", r"line 2, column valid_to: "),
        ("us-392.9-first,", "us/first,", r"line 3, column id: no slash"),
        ("us-392.9-distance,", "us-392.9-first,", r"line 4, column id: .* in force twice"),
        ("id,rule_set,", "name,rule_set,", r"the columns must be id, rule_set"),
        ("us-392.9-first,us-392.9,", "us-392.9-first,", r"line 3, a row needs a text in each"),
    ],
)
def test_a_broken_figures_file_names_the_file_the_line_and_the_column(
    old: str, new: str, message: str
) -> None:
    assert old in TEXT
    with pytest.raises(RuleFileBroken, match=r"recheck_rules\.csv, .*" + message):
        parse_rules(TEXT.replace(old, new, 1))


def test_a_figures_file_without_a_rule_is_refused() -> None:
    with pytest.raises(RuleFileBroken, match="no rule in it"):
        parse_rules(TEXT.splitlines(keepends=True)[0])


def test_a_row_with_an_unknown_column_is_refused() -> None:
    row = rule_row(load_rules("us-392.9", DAY)[0])
    with pytest.raises(RuleFileBroken, match="in each of the columns id, rule_set"):
        rule_from_row({**row, "colour": "blue"})
