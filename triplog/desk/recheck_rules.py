"""Which re-check rules a trip departs with, and takes on when it goes further than planned."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from scheduler.recheck_rules import (
    LegalForce,
    RecheckRule,
    UnknownRuleSet,
    all_rules,
    rule_from_row,
    rule_row,
)
from scheduler.rules_combined import rule_sets_for, rules_for
from triplog.checks import every_rule
from triplog.desk.company_rules import company_rules
from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_at_the_wheel
from triplog.journal.entries import Body, Entry
from triplog.journal.trip import UNDER_WAY, Trip
from triplog.securement.finding import Scope
from triplog.securement.model import Plan
from triplog.securement.plan_read import plan_from_document
from triplog.securement.rules.ca_nsc10 import scope as ca
from triplog.securement.rules.us_393 import scope as us

HOME_COUNTRY = "US"
"""Taken where neither the departure nor the vehicle's card says where the trip goes."""

_COUNTRY_BY_PLAN_RULES = {"us-393": "US", "ca-nsc10": "CA", "au-lrg": "AU", "nz-code": "NZ"}
"""Where the rule sets that a plan is judged by are law or guidance."""

_SCOPE_BY_SET: Mapping[str, Callable[[Plan], Scope]] = {
    "us-392.9": us.law_scope,
    "ca-nsc10": ca.law_scope,
}
"""The sets that bind only some vehicles."""


def countries_of(document: Mapping[str, Any]) -> tuple[str, ...]:
    """The countries a trip is taken to touch where nobody names any.

    Those whose rules the plan asks to be judged by, with the one the vehicle is registered in;
    where neither says anything, the home country.
    """
    named = [_COUNTRY_BY_PLAN_RULES.get(name) for name in document.get("rules", ())]
    named.append(document.get("vehicle", {}).get("registered_in"))
    kept = tuple(dict.fromkeys(one for one in named if one is not None and _is_kept(one)))
    return kept or (HOME_COUNTRY,)


def _is_kept(country: str) -> bool:
    try:
        return bool(rule_sets_for(country))
    except UnknownRuleSet:
        return False


def rows_to_pin(
    desk: Desk, countries: Sequence[str], on: date, plan: Plan, *, soft_load: bool
) -> list[dict[str, str]]:
    """The rules of these countries and of the company as rows, as they bind this vehicle.

    Where a law does not bind it, the rule is a yardstick. Raises Refused for a country without
    rules, naming those there are.
    """
    try:
        names = [name for country in countries for name in rule_sets_for(country)]
        rules = rules_for(names, on, soft_load=soft_load)
    except UnknownRuleSet as problem:
        raise Refused(str(problem)) from problem
    bound = (_as_it_binds(rule, plan) for rule in rules)
    return [rule_row(rule) for rule in (*bound, *company_rules(desk))]


def add_rules(
    desk: Desk, trip: Trip, countries: Sequence[str], *, soft_load: bool, note: str | None = None
) -> Entry:
    """Record that a trip under way touches more countries than it departed for.

    Their rules count from now on, beside those it has, so that nothing gets looser. Raises Refused
    while somebody drives, and where there is nothing in them that the trip does not have.
    """
    if trip.state not in UNDER_WAY:
        raise Refused(
            f"trip {trip.label} is {trip.state}; before it departs, name the countries with"
            " `triplog depart --through`"
        )
    refuse_at_the_wheel(trip)
    plan = plan_from_document(trip.document or {})
    has = every_rule(trip)
    rows = [
        row
        for row in rows_to_pin(desk, countries, desk.now().wall.date(), plan, soft_load=soft_load)
        if rule_from_row(row) not in has
    ]
    if not rows:
        raise Refused(f"trip {trip.label} has the rules of {', '.join(countries)} already")
    body: Body = {"through": list(countries), "rules": rows}
    return desk.record(desk.draft("rules_added", body, trip=trip.id, private={"note": note}))


def kept_rules(countries: Sequence[str]) -> tuple[RecheckRule, ...]:
    """Every rule kept, or those of some countries or rule sets. Raises Refused."""
    if not countries:
        return all_rules()
    try:
        names = {name for country in countries for name in rule_sets_for(country)}
    except UnknownRuleSet as problem:
        raise Refused(str(problem)) from problem
    return tuple(rule for rule in all_rules() if rule.rule_set in names)


def _as_it_binds(rule: RecheckRule, plan: Plan) -> RecheckRule:
    scope = _SCOPE_BY_SET.get(rule.rule_set)
    if rule.legal_force is not LegalForce.LAW or scope is None or scope(plan) is Scope.LAW:
        return rule
    return replace(rule, legal_force=LegalForce.YARDSTICK)
