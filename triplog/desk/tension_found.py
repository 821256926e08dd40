"""The tension found at a check against the tension planned, for how soon to look again."""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from triplog.desk.refused import Refused
from triplog.journal.entries import Body
from triplog.journal.trip import Trip, records_in
from triplog.securement.plan_read import plan_from_document
from triplog.securement.quantity import Dimension, Quantity, decimal_text, parse
from triplog.securement.tension_lost import loss_allowed

_DECIMALS = 4


def reading_of(typed: str) -> Quantity:
    """A tension read off a gauge, "280 daN"; Refused where it is no force."""
    try:
        return parse(typed, Dimension.FORCE)
    except ValueError as problem:
        raise Refused(str(problem)) from problem


def loss_body(trip: Trip, readings: Mapping[str, Quantity], slack: Iterable[str]) -> Body | None:
    """What was lost at the worst tie-down, and what may be: `observed_loss` of a check's body.

    `readings`: as found, before anything is tightened, by tie-down; `slack`: those found slack,
    which have lost all: our reading. None where nothing was found lost or nothing says how much
    may be: the plan has no tension, or is not judged by the static estimate, or falls short anyway.
    """
    planned = {
        one["id"]: parse(one["tension"], Dimension.FORCE).si
        for one in records_in(trip.document or {}, "tie_down")
        if one.get("tension")
    }
    lost = [
        1 - found.si / planned[name] for name, found in readings.items() if planned.get(name, 0) > 0
    ]
    lost += [Fraction(1) for name in slack if name in planned and name not in readings]
    worst = max(lost, default=Fraction(0))
    if worst <= 0:
        return None
    allowed = loss_allowed(plan_from_document(trip.document or {}))
    if not allowed:
        return None
    return {
        "lost": decimal_text(worst, _DECIMALS, "up"),
        "allowed": decimal_text(allowed, _DECIMALS, "down"),
    }
