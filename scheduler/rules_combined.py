"""Which re-check rules go with a trip, and which of several of one kind count. Pure.

Of the measured rules of one kind the tightest counts. A rule stands behind another that is at
least as tight and at least as binding: so a company rule of 40 miles comes before the law's 50,
and the law's still runs, because being late by the company's rule is not being late by the law's.
Of rules that make a check due at once, the most binding counts.
"""

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from importlib.resources import files

from scheduler.recheck_rules import (
    AT_ONCE,
    COMMON_PRACTICE,
    MEASURED,
    Kind,
    LegalForce,
    RecheckRule,
    UnknownRuleSet,
    all_rules,
    load_rules,
)

BINDING = {
    force: place
    for place, force in enumerate(
        (
            LegalForce.LAW,
            LegalForce.CODE_OF_PRACTICE,
            LegalForce.COMPANY_RULE,
            LegalForce.GUIDANCE,
            LegalForce.COMMON_PRACTICE,
            LegalForce.YARDSTICK,
        )
    )
}
"""The most binding first."""

NO_COUNTRY = "any"
"""Named as a country: no country's rules, common practice alone."""

_ONE_MEASURE = {Kind.DRIVING_BREAK: Kind.DRIVING_TIME}
"""Kinds that count the same as another and are compared with it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Combined:
    """The rules of a trip, sorted out; each tuple in the order they were handed in.

    `running`: those that give counters. `behind`: each rule that another one covers, with that
    other. `told`: those that are shown and never counted, among them the measured ones whose
    source gives no number.
    """

    running: tuple[RecheckRule, ...]
    behind: tuple[tuple[RecheckRule, RecheckRule], ...]
    told: tuple[RecheckRule, ...]


def combined(rules: Iterable[RecheckRule]) -> Combined:
    """Sort out the rules of a trip. Of two alike in every way the first handed in counts."""
    families: dict[tuple[Kind, str], list[tuple[int, RecheckRule]]] = {}
    told: list[RecheckRule] = []
    for place, rule in enumerate(rules):
        if rule.limit_count is not None or rule.kind in AT_ONCE:
            families.setdefault(_family(rule), []).append((place, rule))
        else:
            told.append(rule)
    running: list[tuple[int, RecheckRule]] = []
    behind: list[tuple[int, RecheckRule, RecheckRule]] = []
    for family in families.values():
        in_front: RecheckRule | None = None
        for place, rule in sorted(family, key=_tightest_first):
            if in_front is None or BINDING[rule.legal_force] < BINDING[in_front.legal_force]:
                running.append((place, rule))
                in_front = rule
            else:
                behind.append((place, rule, in_front))
    return Combined(
        running=tuple(rule for _, rule in sorted(running, key=lambda one: one[0])),
        behind=tuple((rule, by) for _, rule, by in sorted(behind, key=lambda one: one[0])),
        told=tuple(told),
    )


def rules_for(
    rule_sets: Sequence[str], on: date, *, soft_load: bool = False
) -> tuple[RecheckRule, ...]:
    """Every rule of these sets, and of common practice, in force on a day and for this load.

    In the order of the figures file, whatever the order they are named in. Raises UnknownRuleSet
    for a set that is not there or has no rule in force that day.
    """
    wanted = {rule.id for name in {*rule_sets, COMMON_PRACTICE} for rule in load_rules(name, on)}
    return tuple(
        rule
        for rule in all_rules()
        if rule.id in wanted and rule.in_force(on) and (soft_load or not rule.applies_to)
    )


def rule_sets_for(country: str) -> tuple[str, ...]:
    """The rule sets of a country, a part of one ("CA-QC"), or a rule set by its own name.

    A member of the European Union takes the Union's beside its own. Raises UnknownRuleSet.
    """
    name = country.strip()
    if name.lower() == NO_COUNTRY:
        return ()
    known = {rule.rule_set: rule.jurisdiction for rule in all_rules()}
    if name.lower() in known:
        return (name.lower(),)
    code = name.upper()
    state = code.partition("-")[0]
    places = {code, state, _union_of().get(state, state)}
    found = tuple(rule_set for rule_set, place in known.items() if place in places)
    if not found:
        countries = dict.fromkeys(place for place in known.values() if place.isupper())
        raise UnknownRuleSet(
            f"no re-check rules are kept for {country!r}; there are those of"
            f" {', '.join(countries)}, and {NO_COUNTRY!r}: common practice alone"
        )
    return found


def _family(rule: RecheckRule) -> tuple[Kind, str]:
    """Rules that are weighed against each other."""
    word = rule.counted_from if rule.kind is Kind.EVENT else ""
    return _ONE_MEASURE.get(rule.kind, rule.kind), word


def _tightest_first(placed: tuple[int, RecheckRule]) -> tuple[int, int, int]:
    place, rule = placed
    limit = rule.limit_count if rule.kind in MEASURED else None
    return limit or 0, BINDING[rule.legal_force], place


@lru_cache(maxsize=1)
def _union_of() -> dict[str, str]:
    """Which union of states a state is a member of, for those whose rules the union has."""
    text = (files("scheduler") / "jurisdictions.csv").read_text("utf-8")
    return {row["code"]: row["part_of"] for row in csv.DictReader(io.StringIO(text, newline=""))}
