"""The tension of a tie-down that may be counted: as last told, and no more than it is rated for."""

from dataclasses import replace
from fractions import Fraction

from triplog.securement.model import Plan, TieDown
from triplog.securement.quantity import Amount
from triplog.securement.rating import Defaults, assembly_rating
from triplog.securement.rules.leg_forces import tension_n


def rated_for_tension(tie_down: TieDown, plan: Plan) -> Amount | None:
    """The least rating that is known of its parts; None: none is known.

    Gear with a lashing capacity (LC) is rated for that where it is more than the marked WLL.
    """
    gear = plan.gear_item(tie_down.gear)
    if gear is not None and gear.lc is not None and (gear.wll is None or gear.wll.si < gear.lc.si):
        rated = replace(gear, wll=gear.lc)
        others = tuple(one for one in plan.gear if one.id != gear.id)
        plan = replace(plan, gear=(*others, rated))
    rating = assembly_rating(tie_down, plan, us=False, defaults=Defaults.NONE)
    return None if rating.governing is None else rating.governing.amount


def counted_tension_n(tie_down: TieDown, plan: Plan) -> Fraction | None:
    """In newtons: as found at the last look, else as tensioned; None where neither is told."""
    told_n = tension_n(tie_down)
    rated = rated_for_tension(tie_down, plan)
    return told_n if told_n is None or rated is None else min(told_n, rated.si)
