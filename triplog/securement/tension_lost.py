"""How much of the tension planned may be lost before the static estimate falls short."""

from dataclasses import replace
from fractions import Fraction

from triplog.securement.finding import Verdict
from triplog.securement.model import Plan, TieDown
from triplog.securement.quantity import Dimension, parse
from triplog.securement.rules.static.assumed import RULE_SET
from triplog.securement.rules.static.in_order import judged

_STEPS = 64
"""How finely the share is told: what may be lost is rounded down to so many parts."""


def loss_allowed(plan: Plan) -> Fraction | None:
    """The share of every tie-down's tension that may go, all alike, and the plan still meets.

    By halving, taking it that less tension never holds better. None where the plan does not ask
    for the static estimate, where no tension is planned, and where it does not meet as tensioned.
    """
    if RULE_SET not in plan.rules or not any(one.tension for one in plan.tie_downs):
        return None
    if not _meets(plan, _STEPS):
        return None
    kept, short = _STEPS, -1
    while kept - short > 1:
        middle = (kept + short) // 2
        if _meets(plan, middle):
            kept = middle
        else:
            short = middle
    return Fraction(_STEPS - kept, _STEPS)


def _meets(plan: Plan, kept: int) -> bool:
    """Whether the estimate meets in every direction with so many parts of the tension kept."""
    found = replace(plan, tie_downs=tuple(_with_kept(one, kept) for one in plan.tie_downs))
    return all(one.verdict is Verdict.MEETS for one in judged(found))


def _with_kept(tie_down: TieDown, kept: int) -> TieDown:
    if tie_down.tension is None:
        return tie_down
    millinewtons = int(tie_down.tension.si * 1000 * kept / _STEPS)
    left = parse(f"{millinewtons / 1000:.3f} N", Dimension.FORCE)
    return replace(tie_down, retained=left)
