"""What would mend a plan, from the gear at hand."""

from dataclasses import dataclass, replace

from triplog.advise.choosing import SECONDS, Advice, advise
from triplog.advise.program import NoSolver
from triplog.desk import looking
from triplog.desk.desk import Desk
from triplog.desk.finding_things import gear_named
from triplog.desk.gear import gear_table
from triplog.desk.judging import judge_file, judge_trip, with_rules
from triplog.desk.refused import Refused
from triplog.journal.entries import Body
from triplog.journal.things import Standing
from triplog.journal.trip import Trip
from triplog.securement.assess import assess
from triplog.securement.finding import Finding
from triplog.securement.model import Gear, Plan
from triplog.securement.plan_read import plan_from_document
from triplog.securement.quantity import Dimension, Quantity, QuantityRefused, parse


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """How the advice is wanted. `rules` empty: those of the plan; `tension` as typed.

    `only`: how the rules begin that are to be met; empty: all. `afresh` takes every tie-down off
    first; `seconds` limits each solve.
    """

    rules: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    afresh: bool = False
    tension: str | None = None
    seconds: float = SECONDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Advised:
    """The advice, and the findings of the plan with it."""

    advice: Advice
    findings: tuple[Finding, ...]


def advise_on_file(data: bytes, name: str, wanted: Wanted) -> Advised:
    """Advice on a plan file; the stock is the gear it lists and does not use."""
    plan = judge_file(data, name).plan
    return _advised(plan, _idle(plan, afresh=wanted.afresh), wanted)


def advise_on_trip(desk: Desk, trip: Trip, wanted: Wanted) -> Advised:
    """Advice on the plan in force, from what is in stock and on no trip. Records nothing."""
    plan = judge_trip(trip).plan
    return _advised(plan, (*_stock(desk), *(plan.gear if wanted.afresh else ())), wanted)


def _idle(plan: Plan, *, afresh: bool) -> tuple[Gear, ...]:
    used = set() if afresh else {one.gear for one in plan.tie_downs}
    return tuple(one for one in plan.gear if one.id not in used)


def _stock(desk: Desk) -> tuple[Gear, ...]:
    labels = [
        one["label"]
        for one in looking.gear(desk, standing=Standing.IN_STOCK)
        if one["on_trip"] is None
    ]
    tables = [gear_table(gear_named(desk, label)) for label in labels]
    document: Body = {"format": "triplog-plan/1", "gear": [*tables]}
    return plan_from_document(document).gear


def _advised(plan: Plan, stock: tuple[Gear, ...], wanted: Wanted) -> Advised:
    plan = with_rules(plan, wanted.rules)
    if wanted.afresh:
        plan = replace(plan, tie_downs=())
    try:
        advice = advise(
            plan,
            stock,
            tension=_tension(wanted.tension),
            only=wanted.only,
            seconds=wanted.seconds,
        )
    except NoSolver as missing:
        raise Refused(str(missing)) from missing
    return Advised(advice=advice, findings=assess(advice.plan))


def _tension(typed: str | None) -> Quantity | None:
    if typed is None:
        return None
    try:
        return parse(typed, Dimension.FORCE)
    except QuantityRefused as problem:
        raise Refused(f"--tension: {problem}") from problem
