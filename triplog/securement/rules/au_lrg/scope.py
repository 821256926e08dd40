"""The shares of the weight by direction, and how binding they and the guide are.

The shares stand in Schedule 7 of the National Regulation: law. The regulator calls its guide
information only on one page and asks on another that it be followed; in Western Australia it is
said to be law. So a finding is guidance, and says so.
"""

from triplog.securement.figures import Share, share
from triplog.securement.finding import Step
from triplog.securement.model import Direction, Plan

RULE_SET = "au-lrg"
TABLE = "figures_au"
GUIDE_EDITION = "Schedule 7 as shown by the regulator; guide of 2018"
_WESTERN_AUSTRALIA = "AU-WA"
_FIGURES = {
    Direction.FORWARD: "forward",
    Direction.REARWARD: "rearward",
    Direction.LEFT: "sideways",
    Direction.RIGHT: "sideways",
}


def share_of_weight(direction: Direction) -> Share:
    """The share of the weight to be held in a direction."""
    return share(_FIGURES[direction], TABLE)


def force_note(plan: Plan) -> Step:
    """How binding it is."""
    place = (plan.vehicle.registered_in or "").strip().upper()
    return Step(id="note.au-law-there" if place == _WESTERN_AUSTRALIA else "note.au-force")
