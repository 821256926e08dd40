"""Which of several re-check rules of one kind counts, and which countries have which rules.

Where a case names no source, what it holds is our reading.
"""

import csv
import io
from dataclasses import replace
from datetime import date
from itertools import permutations
from pathlib import Path

import pytest

from scheduler.recheck_rules import (
    COMMON_PRACTICE,
    Kind,
    LegalForce,
    RecheckRule,
    UnknownRuleSet,
    all_rules,
    rule_from_row,
)
from scheduler.rules_combined import Combined, combined, rule_sets_for, rules_for

DAY = date(2026, 3, 2)


def _trip(*rule_sets: str, soft_load: bool = False) -> Combined:
    return combined(rules_for(rule_sets, DAY, soft_load=soft_load))


def _running(found: Combined, kind: Kind) -> list[str]:
    return [rule.id for rule in found.running if rule.kind is kind]


def _company(kind: Kind, limit: str, unit: str) -> RecheckRule:
    like = next(rule for rule in all_rules() if rule.kind is kind)
    return replace(
        like,
        id=f"company-{kind}",
        rule_set="company",
        limit=limit,
        unit=unit,
        legal_force=LegalForce.COMPANY_RULE,
    )


def test_a_trip_in_the_united_states_and_canada_takes_80_km_240_km_and_3_hours() -> None:
    """49 CFR 392.9(b)(2), (b)(3) against NSC Standard 10 s.3; taking the smaller is our reading."""
    found = _trip("us-392.9", "ca-nsc10")
    assert _running(found, Kind.FIRST_DISTANCE) == ["ca-nsc10-first"]
    assert _running(found, Kind.DISTANCE) == ["ca-nsc10-distance"]
    assert _running(found, Kind.DRIVING_TIME) == ["us-392.9-driving"]
    assert _running(found, Kind.DUTY_CHANGE) == ["us-392.9-duty"]
    behind = {rule.id: by.id for rule, by in found.behind}
    assert behind["us-392.9-first"] == "ca-nsc10-first"
    assert behind["ca-nsc10-driving"] == "us-392.9-driving"


def test_the_order_in_which_countries_are_named_changes_nothing() -> None:
    names = ("us-392.9", "ca-nsc10", "au-lrg", "eu-guide")
    assert len({rules_for(order, DAY) for order in permutations(names)}) == 1


def test_a_tighter_company_rule_comes_first_and_the_law_still_runs() -> None:
    """Our reading: late by the company's 40 miles is not late by the law's 50."""
    company = _company(Kind.FIRST_DISTANCE, "40", "mi")
    found = combined([*rules_for(["us-392.9"], DAY), company])
    assert _running(found, Kind.FIRST_DISTANCE) == ["us-392.9-first", company.id]


def test_a_looser_company_rule_stands_behind_the_law() -> None:
    company = _company(Kind.FIRST_DISTANCE, "60", "mi")
    found = combined([company, *rules_for(["us-392.9"], DAY)])
    assert _running(found, Kind.FIRST_DISTANCE) == ["us-392.9-first"]
    assert (company.id, "us-392.9-first") in [(rule.id, by.id) for rule, by in found.behind]


def test_advice_stands_behind_a_law_that_is_as_tight_and_runs_beside_a_looser_one() -> None:
    tighter = _trip("us-392.9", "strap-maker")
    assert _running(tighter, Kind.FIRST_DISTANCE) == ["us-392.9-first", "strap-maker-first"]
    looser = _trip("us-392.9", "eu-guide")
    assert _running(looser, Kind.DRIVING_TIME) == ["us-392.9-driving"]
    assert _running(looser, Kind.DRIVING_BREAK) == []


def test_of_the_rules_for_one_event_the_most_binding_counts() -> None:
    """GOV.UK, Securing loads on HGVs and goods vehicles, chapter 3, for a load that moved."""
    found = _trip("gb-guide")
    moved = [rule for rule in found.running if rule.counted_from == "load moved"]
    assert [(rule.id, rule.legal_force) for rule in moved] == [
        ("gb-moved", LegalForce.CODE_OF_PRACTICE)
    ]
    kerb = [rule for rule in found.running if rule.counted_from == "kerb"]
    assert [rule.rule_set for rule in kerb] == [COMMON_PRACTICE]


def test_a_rule_without_a_number_is_told_and_not_counted() -> None:
    found = _trip("eu-guide", "nz-code")
    assert {"eu-first", "eu-regular", "nz-first", "nz-before"} <= {rule.id for rule in found.told}
    assert _running(found, Kind.FIRST_DISTANCE) == []


def test_the_early_check_of_a_soft_load_is_there_only_for_a_soft_load() -> None:
    assert "any-first-soft" not in _running(_trip("au-lrg"), Kind.FIRST_DISTANCE)
    assert "any-first-soft" in _running(_trip("au-lrg", soft_load=True), Kind.FIRST_DISTANCE)


def test_every_trip_gets_the_rules_of_common_practice() -> None:
    assert {rule.rule_set for rule in rules_for([], DAY)} == {COMMON_PRACTICE}


@pytest.mark.parametrize(
    ("country", "rule_sets"),
    [
        ("US", ("us-392.9",)),
        ("ca", ("ca-nsc10",)),
        ("CA-QC", ("ca-nsc10",)),
        ("CA-SK", ("ca-nsc10", "ca-sk-advice")),
        ("DE", ("eu-guide",)),
        ("IE", ("eu-guide", "ie-hsa")),
        ("GB-SCT", ("gb-guide",)),
        ("strap-maker", ("strap-maker",)),
        ("any", ()),
    ],
)
def test_a_country_a_part_of_one_or_a_rule_set_by_name(
    country: str, rule_sets: tuple[str, ...]
) -> None:
    """Members of the Union: Treaty on European Union, art. 52; from memory."""
    assert rule_sets_for(country) == rule_sets


def test_a_country_nobody_keeps_rules_for_is_refused_with_those_there_are() -> None:
    with pytest.raises(UnknownRuleSet, match=r"'NO'; there are those of US, CA, .*'any'"):
        rule_sets_for("NO")


def test_nothing_is_left_out_when_rules_are_sorted_out() -> None:
    rules = all_rules()
    found = combined(rules)
    sorted_out = [*found.running, *(rule for rule, _ in found.behind), *found.told]
    assert sorted(rule.id for rule in sorted_out) == sorted(rule.id for rule in rules)


def test_the_rows_that_earlier_departures_pinned_are_still_read_and_all_of_them_run() -> None:
    """Rows as departures pinned them before rules knew loads, their events in the one set."""
    text = (Path(__file__).parent / "rows_pinned_before.csv").read_text("utf-8")
    rules = [rule_from_row(row) for row in csv.DictReader(io.StringIO(text, newline=""))]
    assert len(rules) == 14
    assert combined(rules).running == tuple(rules)
