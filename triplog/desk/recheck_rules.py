"""Which re-check rules a trip departs with: those of the countries it touches."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from scheduler.recheck_rules import LegalForce, RecheckRule, UnknownRuleSet, rule_row
from scheduler.rules_combined import rule_sets_for, rules_for
from triplog.desk.refused import Refused
from triplog.securement.finding import Scope
from triplog.securement.model import Plan
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
    countries: Sequence[str], on: date, plan: Plan, *, soft_load: bool
) -> list[dict[str, str]]:
    """The rules of these countries as rows: where one does not bind this vehicle, a yardstick.

    Raises Refused for a country without rules, naming those there are.
    """
    try:
        names = [name for country in countries for name in rule_sets_for(country)]
        rules = rules_for(names, on, soft_load=soft_load)
    except UnknownRuleSet as problem:
        raise Refused(str(problem)) from problem
    return [rule_row(_as_it_binds(rule, plan)) for rule in rules]


def _as_it_binds(rule: RecheckRule, plan: Plan) -> RecheckRule:
    scope = _SCOPE_BY_SET.get(rule.rule_set)
    if rule.legal_force is not LegalForce.LAW or scope is None or scope(plan) is Scope.LAW:
        return rule
    return replace(rule, legal_force=LegalForce.YARDSTICK)
