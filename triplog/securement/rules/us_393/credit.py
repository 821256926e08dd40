"""What share of its rating a tie-down counts: 49 CFR 393.106(d)(1) to (3).

Half from the vehicle to the article itself (1) or back to the same side (2), in full from one side
over to the other (3).
"""

from triplog.securement.figures import figure
from triplog.securement.model import Path, Plan, TieDown
from triplog.securement.rules.combined_sum import Credit


def credit_of(tie_down: TieDown, plan: Plan) -> Credit:
    """Half or full, by where both ends are anchored; both where path and sides are not known.

    Anchors known to be on one side make half of a tie-down said to run over.
    """
    direct = figure("credit-direct").value_us
    same_side = figure("credit-same-side").value_us
    full = figure("credit-over").value_us
    if tie_down.path is Path.DIRECT:
        return Credit(low=direct, high=direct)
    if tie_down.path is Path.SAME_SIDE:
        return Credit(low=same_side, high=same_side)
    one_side = ends_on_one_side(tie_down, plan)
    if one_side is True:
        return Credit(low=same_side, high=same_side)
    if one_side is False or tie_down.path is Path.OVER:
        return Credit(low=full, high=full)
    return Credit(
        low=min(direct, same_side), high=full, asks="path" if tie_down.path is None else "sides"
    )


def ends_on_one_side(tie_down: TieDown, plan: Plan) -> bool | None:
    """Whether both ends are on the same side of the vehicle; None where that is not known."""
    if tie_down.from_anchor is not None and tie_down.from_anchor == tie_down.to:
        return True
    places = [plan.anchor(end) for end in (tie_down.from_anchor, tie_down.to)]
    across = [place.at.left_m for place in places if place is not None and place.at is not None]
    if len(across) < 2 or 0 in across:
        return None
    return (across[0] > 0) is (across[1] > 0)
