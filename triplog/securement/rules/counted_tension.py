"""The tension of a tie-down that may be counted: as last told, and no more than it is rated for."""

from fractions import Fraction

from triplog.securement.model import Plan, TieDown
from triplog.securement.quantity import Amount
from triplog.securement.rating import Defaults, PartName, assembly_rating
from triplog.securement.rules.leg_forces import tension_n


def rated_for_tension(tie_down: TieDown, plan: Plan) -> Amount | None:
    """The least rating that is known of its parts; None: none is known.

    Gear with a lashing capacity (LC) is rated for that where it is more than the marked WLL.
    """
    parts = assembly_rating(tie_down, plan, us=False, defaults=Defaults.NONE).parts
    gear = plan.gear_item(tie_down.gear)
    own: tuple[Amount | None, ...] = (None,) if gear is None else (gear.lc, gear.wll)
    ends = [one.amount for one in parts if one.part is not PartName.BODY]
    body = max((one for one in own if one is not None), key=_si, default=None)
    return min((one for one in (body, *ends) if one is not None), key=_si, default=None)


def _si(amount: Amount) -> Fraction:
    return amount.si


def counted_tension_n(tie_down: TieDown, plan: Plan) -> Fraction | None:
    """In newtons: as found at the last look, else as tensioned; None where neither is told."""
    told_n = tension_n(tie_down)
    rated = rated_for_tension(tie_down, plan)
    return told_n if told_n is None or rated is None else min(told_n, rated.si)
